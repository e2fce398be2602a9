"""Floor plans in the styles of many offices, and real ones: doors with place, width, hinge, swing and mark."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from riserkit_dxf_plan.plan import read_plan

from riserkit.importing.settings import DocumentSettings
from tests.importing.architects import STYLES, Style, draw, score


@pytest.fixture(scope="module")
def shared(request: pytest.FixtureRequest) -> Path:
    return Path(request.getfixturevalue("shared_dir")) / "real"


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_plans_in_a_dozen_styles(style: Style, shared: Path, tmp_path: Path) -> None:
    """Of the 66 doors of the building's ground floor, six of them pairs, at most one may be missed or wrong; no hinge."""
    doors = draw(shared / "office", "Level 1", style, tmp_path / "plan.dxf")
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    found = score(style.name, doors, facts.doors)
    assert facts.unit_m == style.unit_m
    assert found.found >= 0.98 * found.doors, found
    assert found.false <= 0.02 * found.doors, found
    assert found.wide >= 0.98 * found.doors, found
    assert found.hinged >= 0.99 * found.single, found
    assert found.sided >= 0.99 * found.doors, found
    assert found.marked >= 0.95 * found.doors, found


def test_a_house_drawn_in_inches_under_a_header_of_millimetres(shared: Path) -> None:
    """A public sample plan; its README counts 11 swing arcs of radius 24 to 36 inches."""
    facts = read_plan(shared / "documents" / "plan-house.dxf", DocumentSettings())
    assert facts.unit_m == 0.0254
    inches = sorted(round(door.width_m / 0.0254) for door in facts.doors if door.width_m)
    assert inches == [24, 28, 28, 30, 30, 30, 30, 30, 30, 36, 36]
    for door in facts.doors:
        assert door.hinge_m is not None
        assert door.at_m is not None
        assert math.isclose(math.dist(door.hinge_m, door.at_m), (door.width_m or 0) / 2, abs_tol=0.02)
        assert door.height_m == pytest.approx(2.032)  # 6'-8", as 2668 says
        assert not door.mark
    names = {room.name for room in facts.rooms}
    assert {
        "KITCHEN",
        "ENTRY",
        "HALL",
        "GREAT ROOM",
        "DINING ROOM",
        "BEDROOM 2",
        "BEDROOM 3",
        "MASTER BEDROOM",
    } <= names


def test_a_park_building_in_inches_under_a_header_of_metres(shared: Path) -> None:
    """The conversion left one swing on the upper floor; the arcs of the lower floor are of columns and foundations."""
    lower, upper = (read_plan(shared / "documents" / f"plan-park-{n}.dxf", DocumentSettings()) for n in (1, 2))
    assert lower.unit_m == upper.unit_m == 0.0254
    swings = [door for door in upper.doors if door.operation == "swing"]
    assert len(swings) == 1
    assert swings[0].width_m == pytest.approx(30 * 0.0254)
    assert not [door for door in lower.doors if door.operation == "swing"]
