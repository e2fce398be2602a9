"""Lock power from a supply that stands at another opening, or where no way leads to: its length is never that of the door alone."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.findings import Finding, Severity, Verdict
from riserkit.reports.materials.site import site_materials
from tests.known_bad.designs import design_of, said_by

FAR = {"like": "strike-24", "mark": "102", "x_m": 5, "supply": "PS24"}
"""A door 25 m from 101, at which the supply of both stands."""


def case(**more: Any) -> dict[str, Any]:
    """Door 101 with a supply beside it, and door 102 fed from there."""
    return {"door": "strike-24", "openings": [FAR], **more}


def lock_power(found: tuple[Finding, ...], mark: str) -> Finding:
    return next(f for f in found if f.subject == mark and f.about == "lock power")


def test_it_is_as_long_as_the_way_between_the_two() -> None:
    made = design_of(case())
    (cable,) = [c for c in made.cables if c.kind.value == "lock power"]
    # 25 m along and 0 m across, down from a ceiling of 3 m to devices at 1.2 m or so at both ends, 1 m of slack at each.
    assert cable.length_m == pytest.approx(25 + 2 * (3 - 1.2) + 2, abs=1)
    assert (cable.from_id, cable.basis) == ("PS24", "estimated")
    drawn = made.door["102"].wiring.drawn
    assert drawn is not None
    assert drawn.supply_at == "opening 101"
    far, near = (made.door[mark].wiring.voltages.lock_low_v for mark in ("102", "101"))
    assert far is not None
    assert near is not None
    assert far < near


def test_a_long_thin_one_is_found_out() -> None:
    """800 m beside any pathway: the strike gets too little, where 2.4 m at the door would have passed."""
    far = {**FAR, "x_m": -800, "arrangement": "relay-external-supply"}
    found = said_by({"door": "strike-24", "openings": [far]}, "lock-voltage")
    assert [f.severity for f in found if f.subject == "102" and f.verdict is Verdict.FAIL] == [Severity.ERROR]


def test_a_stated_run_is_taken() -> None:
    run = {"id": "R", "from_end": "PS24", "to_end": "102/supply", "length_m": 31, "basis": "measured"}
    (cable,) = [c for c in design_of(case(runs=[run])).cables if c.kind.value == "lock power"]
    assert (cable.length_m, cable.basis) == (31, "measured")


def test_the_supply_is_bought_once() -> None:
    lines = {
        line.item: count for line, count in site_materials(design_of(case())).items() if line.item == "supply-24-4"
    }
    assert lines == {"supply-24-4": 1}


def test_one_that_feeds_only_from_afar_is_bought_once_too() -> None:
    """Door 101 hangs on the PoE cable; the supply over it feeds the next door alone."""
    asked = {
        **case(),
        "door": "strike",
        "supplies": [{"id": "PS24", "part": "supply-24-4", "opening": "101", "on_battery": "yes"}],
    }
    lines = {line.item: count for line, count in site_materials(design_of(asked)).items() if line.item == "supply-24-4"}
    assert lines == {"supply-24-4": 1}


def test_an_estimate_is_said_and_no_way_at_all_is_not_evaluated() -> None:
    assert lock_power(said_by(case(), "estimated-length"), "102").severity is Severity.NOTE
    levels = [{"id": "LB", "building": "B2", "elevation_m": 0, "ceiling_m": 3, "ceiling_space": "general"}]
    buildings = [{"id": "B1", "code": "A"}, {"id": "B2", "code": "B"}]
    other = case(openings=[{**FAR, "level": "LB"}], levels=levels, buildings=buildings, level={"building": "B1"})
    found = lock_power(said_by(other, "estimated-length"), "102")
    assert found.verdict is Verdict.NOT_EVALUATED
    assert "No way is known for lock power cable" in found.message
    (cable,) = [c for c in design_of(other).cables if c.kind.value == "lock power"]
    assert (cable.length_m, cable.basis) == (None, "unknown")


def test_a_supply_in_a_closet_that_no_way_leads_to_is_not_evaluated() -> None:
    levels = [{"id": "L9", "elevation_m": 36, "ceiling_m": 3, "ceiling_space": "general"}]
    closets = [{"id": "C9", "level": "L9", "x_m": 0, "y_m": 0, "fed_from": "C1"}]
    supplies = [{"id": "PS", "part": "supply-24-4", "closet": "C9", "on_battery": "yes"}]
    asked = {"door": "strike", "levels": levels, "closets": closets, "supplies": supplies,
             "opening": {"lock": "strike-24-secure", "supply": "PS"}}  # fmt: skip
    assert lock_power(said_by(asked, "estimated-length"), "101").verdict is Verdict.NOT_EVALUATED
