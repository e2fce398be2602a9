"""Words of a choice may be written as people write them; a refusal offers what that column takes, and asks about millimetres."""

from __future__ import annotations

import pytest

from riserkit.model.assemble import assemble_site
from riserkit.model.choices import EXPLAINED
from riserkit.model.problems import InputError, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.model.tables import RECORDS, choices_of


def read(parts: tuple[dict[str, object], ...] = (), **opening: object) -> Site:
    row = {"mark": "1", "level": "L1", "x_m": 0, "y_m": 0, **opening}
    tables = {
        "levels": [RawRecord({"id": "L1", "elevation_m": 0}, Where("levels.csv", 2))],
        "openings": [RawRecord(row, Where("openings.csv", 2))],
        "parts": [RawRecord(part, Where("parts.csv", n)) for n, part in enumerate(parts, 2)],
    }
    return assemble_site(RawSite(None, tables))


@pytest.mark.parametrize(
    ("field", "written", "meant"),
    [
        ("type", "Single", "single"),
        ("type", "PAIR", "double"),
        ("fail_mode", "Fail Secure", "fail-secure"),
        ("fail_mode", "fail secure", "fail-secure"),
        ("fail_mode", "FAIL_SAFE", "fail-safe"),
        ("egress", "Sensor release", "sensor-release"),
        ("hinges", "LH", "left"),
    ],
)
def test_a_word_in_another_spelling(field: str, written: str, meant: str) -> None:
    assert getattr(read(**{field: written}).openings[0], field) == meant


def test_a_kind_of_part_in_the_trade_s_words() -> None:
    site = read(parts=({"id": "m", "kind": "Maglock", "rated_v": 12}, {"id": "s", "kind": "Electric Strike"}))
    assert site.part["m"].kind == "electromagnetic-lock"
    assert site.part["s"].kind == "strike"


def problem(**opening: object) -> str:
    with pytest.raises(InputError) as error:
        read(**opening)
    (one,) = error.value.problems
    return str(one)


def test_another_word_is_refused_with_the_words_of_that_column() -> None:
    told = problem(fail_mode="fail-sometimes")
    assert "'fail-safe' or 'fail-secure'" in told


def test_a_refused_part_offers_parts_of_that_column_only() -> None:
    told = problem(lock="controller-c9")
    assert "controller" not in told.partition("such as")[2]
    assert "of kind strike or electromagnetic-lock" in told
    assert "strike-12-secure" in problem(lock="strike-12-secur")
    assert "cat6" in problem(horizontal_cable="cat66")
    assert "18-2" not in problem(horizontal_cable="18-22").partition("such as")[2]


@pytest.mark.parametrize(("field", "value"), [("width_m", 915), ("height_m", "2134"), ("reader_height_m", 1067.0)])
def test_a_length_in_millimetres_is_asked_about(field: str, value: object) -> None:
    told = problem(**{field: value})
    assert f"in millimetres? Then write {float(str(value)):g} mm" in told


@pytest.mark.parametrize(("field", "value"), [("width_m", 25), ("width_m", "40 m"), ("x_m", 10_000_000_000)])
def test_other_lengths_beyond_bounds_are_not(field: str, value: object) -> None:
    assert "millimetres" not in problem(**{field: value})


def test_every_word_that_is_explained_may_be_written_and_none_is_left_out() -> None:
    for place, words in EXPLAINED.items():
        table, _, field = place.partition(".")
        assert table in RECORDS
        known = set(choices_of(table)[field].values())
        assert set(words) == known, place
