"""Cells as offices write them: per cent, doors without a rating, and words that stand for no value."""

from __future__ import annotations

import pytest

from riserkit.model.problems import InputError
from riserkit.model.site import Site
from tests.conftest import OPENING
from tests.record.test_numbers import _site

STRIKE = {"id": "own", "kind": "strike", "rated_v": 12, "hold_a": 0.25}


def site(opening: dict[str, object] | None = None, part: dict[str, object] | None = None) -> Site:
    """One door, with what is said of it or of its strike."""
    return _site({
        "levels": [{"id": "L1", "elevation_m": 0}], "parts": [{**STRIKE, **(part or {})}],
        "openings": [{**OPENING, "mark": "1", "level": "L1", "lock": "own", **(opening or {})}],
    })  # fmt: skip


@pytest.mark.parametrize("cell", ["15 %", "15%", "±15 %", "+/- 15%", "+15 %", "0.15", 0.15])
def test_a_tolerance_in_per_cent_is_a_fraction(cell: object) -> None:
    assert site(part={"tolerance_low": cell}).part["own"].tolerance_low == pytest.approx(0.15)  # type: ignore[union-attr]


def test_a_number_of_per_cent_without_its_sign_is_asked_about() -> None:
    with pytest.raises(InputError, match=r"expected less than 1; in per cent\? Then write 15 %"):
        site(part={"tolerance_low": "15"})


@pytest.mark.parametrize("cell", ["none", "NR", "N.R.", "not rated", "Non-rated", "unrated", "not fire-rated"])
def test_a_door_said_to_have_no_rating_has_none(cell: str) -> None:
    assert site({"fire_rating_min": cell}).opening["1"].fire_rating_min == 0


@pytest.mark.parametrize("cell", ["n/a", "-", "TBD", "?"])
@pytest.mark.parametrize("column", ["free_egress_hardware", "fire_rating_min", "rex_height_m"])
def test_a_word_for_no_value_is_no_value_and_the_way_out_is_told(column: str, cell: str) -> None:
    with pytest.raises(InputError, match="leave it empty where there is none or it is not known yet"):
        site({column: cell})
