"""Records of any reader become a site, or every problem in the user's own words."""

from __future__ import annotations

from typing import Annotated

import pytest
from pydantic import TypeAdapter, ValidationError

from riserkit.model import catalogue
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.refusals import _PATTERNS
from riserkit.model.site import Site
from riserkit.model.tables import RECORDS, fields_of


def _rows(table: str, *values: dict[str, object]) -> list[RawRecord]:
    return [RawRecord(v, Where(table, n)) for n, v in enumerate(values, 1)]


def _door(mark: str = "101", **values: object) -> dict[str, object]:
    return {"mark": mark, "level": "L1", "x_m": 0, "y_m": 0, **values}


def _assemble(**tables: list[dict[str, object]]) -> Site:
    sound: dict[str, list[dict[str, object]]] = {"levels": [{"id": "L1", "elevation_m": 0}], "openings": [_door()]}
    return assemble_site(RawSite(None, {t: _rows(t, *rows) for t, rows in {**sound, **tables}.items()}))


def _problems(**tables: list[dict[str, object]]) -> list[Problem]:
    with pytest.raises(InputError) as caught:
        _assemble(**tables)
    return list(caught.value.problems)


def test_the_catalogue_stands_behind_the_site_s_own_parts():
    own = {"id": "strike-12-secure", "kind": "strike", "rated_v": 11}
    site = _assemble(parts=[own, {"id": "mine", "kind": "accessory"}])
    assert [part.id for part in site.parts[:2]] == ["strike-12-secure", "mine"]
    assert len(site.parts) == len(catalogue.PARTS) + 1
    assert site.part["strike-12-secure"].rated_v == 11


def test_repeating_a_shipped_part_changes_nothing():
    same = catalogue.PARTS[3].model_dump(exclude_none=True)
    assert _assemble(parts=[same]) == _assemble()


def test_empty_text_says_nothing_where_nothing_is_the_default():
    assert _assemble(openings=[_door(lock="", name="", closet="")]) == _assemble()
    (problem,) = _problems(openings=[_door(egress="")])
    assert problem.accepted.startswith("expected 'none', 'mechanical'")


def test_readers_problems_come_first_and_are_kept():
    raw = RawSite(None, {}, (Problem(Where("f"), "", "", "broken"),))
    with pytest.raises(InputError) as caught:
        assemble_site(raw)
    assert [p.accepted for p in caught.value.problems] == ["broken"], "no talk of missing openings on top of it"


def test_the_user_s_own_column_cell_and_place_are_shown():
    where, elsewhere = Where("doors", 7), Where("mapping", pointer="x")
    record = RawRecord(
        _door(width_m="-1 m", height_m=-1), where, {"width_m": "Leaf"}, {"width_m": "-1"}, {"height_m": elsewhere}
    )
    with pytest.raises(InputError) as caught:
        assemble_site(RawSite(None, {"levels": _rows("levels", {"id": "L1", "elevation_m": 0}), "openings": [record]}))
    assert [(p.where, p.column, p.seen) for p in caught.value.problems] == [
        (where, "Leaf", "-1"),
        (elsewhere, "height_m", "-1"),
    ]


def test_what_the_reader_has_reported_is_not_reported_again():
    values = {k: v for k, v in _door().items() if k != "x_m"}
    record = RawRecord(values, Where("openings", 1), reported=frozenset({"x_m"}))
    levels = _rows("levels", {"id": "L1", "elevation_m": 0})
    said = Problem(Where("openings", 1), "x_m", "=A1", "a formula")
    with pytest.raises(InputError) as caught:
        assemble_site(RawSite(None, {"levels": levels, "openings": [record]}, (said,)))
    assert caught.value.problems == (said,)


def test_a_refused_record_still_counts_as_known():
    problems = _problems(levels=[{"id": "L1", "elevation_m": "high"}])
    assert [(p.column, p.seen) for p in problems] == [("elevation_m", "high")], "the door's level is not dangling"


def test_one_cell_is_reported_once_though_it_is_wrong_twice():
    problems = _problems(openings=[_door(closet="no such", x_m="west")])
    assert sorted(p.column for p in problems) == ["closet", "x_m"]


def test_many_dangling_references_stay_quick_to_tell(monkeypatch):
    """Looking for close names is the slow part; it is done a limited number of times however long the list."""
    searches = []

    def search(word: str, names: list[str], **_: object) -> list[str]:
        searches.append(word)
        return names[:1]

    monkeypatch.setattr("riserkit.model.references.difflib.get_close_matches", search)
    doors = [_door(f"D{i}", level=f"X{i}") for i in range(1000)]
    problems = _problems(levels=[{"id": f"L{i}", "elevation_m": i} for i in range(9)], openings=doors)
    assert len(problems) == 1000
    assert len(searches) == 200


@pytest.mark.parametrize("at_limit", [0.001, 20])
def test_bounds_at_the_limit(at_limit):
    assert _assemble(openings=[_door(width_m=at_limit)]).openings[0].width_m == at_limit


@pytest.mark.parametrize(
    ("beyond", "accepted"), [(0, "expected more than 0 m"), (20.001, "expected at most 20 m"), (-1, "more than 0 m")]
)
def test_bounds_beyond_the_limit(beyond, accepted):
    (problem,) = _problems(openings=[_door(width_m=beyond)])
    assert accepted in problem.accepted


def test_a_port_at_and_beyond_the_last_for_doors():
    closets = [{"id": "C", "level": "L1", "x_m": 0, "y_m": 0}]
    switches = [{"id": "S", "closet": "C", "ports": 8, "uplink_ports": 2}]
    assert _assemble(closets=closets, switches=switches, openings=[_door(switch="S", port=6)])
    (problem,) = _problems(closets=closets, switches=switches, openings=[_door(switch="S", port=7)])
    assert problem.accepted == "expected 1 to 6; that is all S has for doors beside 2 uplink ports"


def test_a_closet_that_feeds_itself():
    (problem,) = _problems(closets=[{"id": "C", "level": "L1", "x_m": 0, "y_m": 0, "fed_from": "C"}])
    assert problem.accepted == "expected no circle, but here it is fed C from C"


def test_a_long_chain_of_closets_is_no_circle():
    closets: list[dict[str, object]] = [{"id": f"C{i}", "level": "L1", "x_m": 0, "y_m": 0} for i in range(300)]
    for i in range(1, 300):
        closets[i]["fed_from"] = f"C{i - 1}"
    assert len(_assemble(closets=closets).closets) == 300


def test_a_name_of_two_things_does_no_harm_until_a_run_uses_it():
    closets = [{"id": "101", "level": "L1", "x_m": 0, "y_m": 0}]
    assert _assemble(closets=closets)
    (problem,) = _problems(closets=closets, runs=[{"id": "R", "from_end": "101/lock", "to_end": "101"}])
    assert (problem.column, problem.seen) == ("to_end", "101")


def test_every_pattern_of_the_models_is_told_in_words():
    patterns = {
        part["pattern"]
        for models in RECORDS.values()
        for model in models
        for prop in model.model_json_schema()["properties"].values()
        for part in (prop, *prop.get("anyOf", ()))
        if "pattern" in part
    }
    assert patterns - _PATTERNS.keys() == set()


@pytest.mark.parametrize("table", RECORDS)
def test_every_unit_in_a_name_is_the_unit_of_its_values(table):
    """A bare number and one with the unit of the field's name are the same, in every quantity of every table."""
    units = {"m": "m", "v": "V", "a": "A", "w": "W", "ohm": "ohm", "h": "H", "s": "s", "ah": "Ah", "j": "J", "c": "°C"}
    for facts in (f for f in fields_of(table).values() if f.suffix):
        info = next(m for m in RECORDS[table] if facts.name in m.model_fields).model_fields[facts.name]
        adapter = TypeAdapter(Annotated[info.annotation, info])
        assert adapter.validate_python(0.125) == adapter.validate_python(f"0.125 {units[facts.suffix]}") == 0.125
        with pytest.raises(ValidationError, match="is not one of"):
            adapter.validate_python("0.125 parsec")


def test_kinds_of_fields():
    kinds = {
        name: fields_of("openings")[name].kind for name in ("mark", "x_m", "angle_deg", "port", "outdoor", "egress")
    }
    assert kinds == {
        "mark": "text", "x_m": "quantity", "angle_deg": "number", "port": "whole", "outdoor": "yes-no", "egress": "text",
    }  # fmt: skip
    assert [f.name for f in fields_of("openings").values() if f.required] == ["mark", "level", "x_m", "y_m"]
    assert [f.name for f in fields_of("parts").values() if f.required] == ["id", "kind"]


@pytest.mark.parametrize(
    ("stated", "whole_m", "leaf_m"),
    [
        ({}, 0.915, 0.915),
        ({"type": "double"}, 1.83, 0.915),
        ({"type": "double", "width_m": "1 m"}, 1.0, 0.5),
        ({"type": "double", "leaf_width_m": 0.8}, 1.6, 0.8),
        ({"type": "double", "width_m": 1.2}, 1.2, 0.6),
        ({"leaf_width_m": 0.8}, 0.8, 0.8),
        ({"type": "gate", "width_m": 3}, 3.0, 3.0),
    ],
)
def test_a_width_is_the_whole_opening_s_or_one_leaf_s_as_its_field_says(stated, whole_m, leaf_m):
    (opening,) = _assemble(openings=[_door(**stated)]).openings
    assert (opening.whole_width_m, opening.one_leaf_m) == pytest.approx((whole_m, leaf_m))


def test_a_double_opening_as_narrow_as_a_leaf_is_asked_about():
    (problem,) = _problems(openings=[_door(type="double", width_m=0.999)])
    assert (problem.column, problem.accepted.split("; ")[1]) == (
        "width_m",
        "the width of one leaf is stated as leaf_width_m",
    )


def test_a_width_stated_twice_is_asked_about():
    (problem,) = _problems(openings=[_door(type="double", width_m=1.8, leaf_width_m=0.9)])
    assert (problem.column, problem.accepted[-8:]) == ("leaf_width_m", "not both")
