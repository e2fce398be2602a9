"""Floor plans in the styles of many offices, and real ones: doors with place, width, hinge, swing and mark."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import ezdxf
import pytest
import shapely
from riserkit_dxf_plan.plan import read_plan

from riserkit.importing.settings import DocumentSettings
from riserkit.importing.sides import hand
from tests.importing.architects import STYLES, Style, draw, score, wall_rings
from tests.importing.odd_styles import ODD_STYLES, OddDrafter
from tests.sweep import swept


@pytest.fixture(scope="module")
def shared(request: pytest.FixtureRequest) -> Path:
    return Path(request.getfixturevalue("shared_dir")) / "real"


@swept("level", ["Level 1", "Level 2"], ["Level 2"])
@swept("style", STYLES, (STYLES[0], STYLES[2], STYLES[5], STYLES[8]), slow=STYLES, ids=lambda style: style.name)
def test_plans_in_a_dozen_styles(style: Style, level: str, shared: Path, tmp_path: Path) -> None:
    """Of the 66 doors of the building's ground floor at most one may be missed or wrong, of the 36 of the upper none; no hinge."""
    doors = draw(shared / "office", level, style, tmp_path / "plan.dxf")
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    found = score(style.name, doors, facts.doors)
    assert facts.unit_m == style.unit_m
    assert found.found >= 0.98 * found.doors, found
    assert found.false <= 0.02 * found.doors, found
    assert found.wide >= 0.98 * found.doors, found
    assert found.hinged >= 0.99 * found.single, found
    assert found.sided >= 0.99 * found.doors, found
    assert found.marked >= 0.95 * found.doors, found


@swept(
    "style", ODD_STYLES, (ODD_STYLES[1], ODD_STYLES[6], ODD_STYLES[11]), slow=ODD_STYLES, ids=lambda style: style.name
)
def test_plans_in_rarer_styles(style: Style, shared: Path, tmp_path: Path) -> None:
    """The upper floor, 36 doors: none may be missed, one may be wrong; what is no door is not taken for one."""
    doors = draw(shared / "office", "Level 2", style, tmp_path / "plan.dxf", drafter=OddDrafter)
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    found = score(style.name, doors, facts.doors)
    assert facts.unit_m == style.unit_m
    assert found.found >= found.doors - 1, found
    assert found.false <= 1, found
    assert found.wide >= found.doors - 1, found
    assert found.hinged >= found.single - 1, found
    assert found.sided >= found.doors - 1, found
    assert found.marked >= 0.95 * found.doors, found


_OF_WALLS = [STYLES[2], ODD_STYLES[7], ODD_STYLES[10]]


@swept("style", _OF_WALLS, _OF_WALLS[:1], slow=_OF_WALLS, ids=lambda style: style.name)
def test_walls_have_footprints_however_they_are_drawn(style: Style, shared: Path, tmp_path: Path) -> None:
    """Lines on a layer of walls, on a layer by number, and fills: 98 % of the walls' area is found."""
    true = shapely.union_all([shapely.Polygon(ring) for ring in wall_rings(shared / "office", "Level 2")])
    draw(shared / "office", "Level 2", style, tmp_path / "plan.dxf", drafter=OddDrafter)
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    found = shapely.union_all(
        [shapely.make_valid(shapely.Polygon(w.outline_m, w.holes_m)) for w in facts.walls if not w.is_line]
    )
    assert found.intersection(true).area >= 0.98 * true.area
    # Between walls that nearly touch there are strips as thick as walls, which lines alone do not tell from them.
    assert found.area <= 1.3 * true.area


@pytest.mark.parametrize(("furniture", "asked"), [("0", True), ("FURNITURE", False)])
def test_walls_among_other_lines_are_a_question(furniture: str, asked: bool, tmp_path: Path) -> None:
    """Two faces of a wall on layer 0, which names nothing; tables of a room stand there too, or on a layer of their own."""
    doc = ezdxf.new("R2010")
    model = doc.modelspace()
    for y in (0, 200):
        model.add_line((0, y), (9000, y))
    for n in range(20):
        x, y = 400 * n, 1500 + 900 * (n % 3)
        model.add_line((x, y), (x + 300, y + 350), dxfattribs={"layer": furniture})
    doc.header["$INSUNITS"] = 4
    doc.saveas(tmp_path / "plan.dxf")
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings(units="mm"))
    assert facts.walls
    assert (
        any(n.severity == "question" and "walls stand on layers with other lines (0)" in n.text for n in facts.notes)
        == asked
    )
    stated = read_plan(tmp_path / "plan.dxf", DocumentSettings(units="mm", layers={"0": "walls"}))
    assert not [note for note in stated.notes if "other lines" in note.text]


def test_gaps_in_walls_are_doors_only_where_no_swing_is_drawn(shared: Path, tmp_path: Path) -> None:
    style = Style("no doors", "none", door_layer="A-ELSE", tags="none")
    doors = draw(shared / "office", "Level 2", style, tmp_path / "plan.dxf", drafter=OddDrafter)
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings(units="mm"))
    near = [
        d for d in doors
        # a door stands on a face of its wall, a gap in the middle of it
        if any(math.dist(d.middle, f.at_m or (9e9, 0)) < 0.3 and abs((f.width_m or 0) - d.width_m) < 0.02 for f in facts.doors)
    ]  # fmt: skip
    assert len(near) >= 0.8 * len(doors)
    assert all(f.hinge_m is None and f.swings_deg is None and f.leaves is None for f in facts.doors)
    assert any(note.severity == "question" and "gaps in walls" in note.text for note in facts.notes)


def test_titles_of_several_levels_are_a_question(tmp_path: Path) -> None:
    doc = ezdxf.new("R2010")
    for n, title in enumerate(("FIRST FLOOR PLAN", "SECOND FLOOR PLAN")):
        doc.modelspace().add_text(title, height=600).set_placement((n * 60_000, 0))
    doc.saveas(tmp_path / "plan.dxf")
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    assert any(note.severity == "question" and "name 2 levels" in note.text for note in facts.notes)


@pytest.mark.parametrize(
    ("titles", "level"),
    [
        (["Plan, Boat", "house"], "Boat house"),
        (["FIRST FLOOR PLAN", "DOORS"], "First floor"),
        (["Plan, Slipway, sheet 2"], "Slipway"),
        (["Details"], ""),
    ],
)
def test_a_title_block_names_the_level(titles: list[str], level: str, tmp_path: Path) -> None:
    """Lines of the title stand in any order in the file; other attributes name no level."""
    doc = ezdxf.new("R2010")
    doc.modelspace().add_line((0, 0), (5000, 0))
    block = doc.layout("Layout1").add_blockref("FRAME", (0, 0))
    for n, text in reversed(list(enumerate(titles))):
        block.add_attrib(f"TITLE_{n}", text, (0, -n))
    block.add_attrib("SUBTITLE", "Second floor", (0, 9))
    doc.blocks.new("FRAME")
    doc.saveas(tmp_path / "plan.dxf")
    facts = read_plan(tmp_path / "plan.dxf", DocumentSettings())
    assert [found.name for found in facts.levels] == [level] * bool(level)


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
    """The conversion left one swing on the upper floor, and none on the lower one, whose arcs are of columns and retaining walls.

    It lost the places of the lower floor's doors; what is left of them are gaps: four in the walls of its small rooms.
    """
    lower, upper = (read_plan(shared / "documents" / f"plan-park-{n}.dxf", DocumentSettings()) for n in (1, 2))
    assert lower.unit_m == upper.unit_m == 0.0254
    swings = [door for door in upper.doors if door.operation == "swing"]
    assert len(swings) == 1
    assert swings[0].width_m == pytest.approx(30 * 0.0254)
    assert not [door for door in lower.doors if door.operation == "swing"]
    assert len(lower.doors) == 4
    assert sorted(round((door.width_m or 0) / 0.0254) for door in lower.doors) == [30, 34, 34, 34]


@pytest.mark.parametrize(("copied", "mark"), [(False, "STAIR HALL"), (True, "12")])
def test_a_mark_of_words_is_read_from_our_own_circle(copied: bool, mark: str, tmp_path: Path) -> None:
    """A circle that a drafter has copied says nothing: then the nearest text is the mark."""
    doc = ezdxf.new("R2010", setup=True)
    doc.appids.add("RISERKIT")
    model, layer = doc.modelspace(), {"layer": "A-DOOR"}
    model.add_line((0, 0), (0, 900), dxfattribs=layer)
    model.add_arc((0, 0), 900, 0, 90, dxfattribs=layer)
    model.add_text("12", height=200).set_placement((450, -400))
    for x in (450, 9000) if copied else (450,):
        model.add_circle((x, 0), 140).set_xdata("RISERKIT", [(1000, "opening:STAIR HALL"), (1000, "0")])
    model.add_circle((450, 0), 20).set_xdata("RISERKIT", [(1000, "opening:STAIR HALL/device/K1"), (1000, "0")])
    doc.saveas(tmp_path / "plan.dxf")
    assert [door.mark for door in read_plan(tmp_path / "plan.dxf", DocumentSettings()).doors] == [mark]


def test_our_own_plan_gives_back_the_doors_it_was_drawn_from() -> None:
    """Place, width, mark, hinge and swing; the sample's sheet and the table beside it."""
    sample = Path(__file__).parents[2] / "sample_drawings" / "first-look"
    with (sample / "site" / "openings.csv").open(encoding="utf-8") as file:
        true = {row["mark"]: row for row in csv.DictReader(line for line in file if not line.startswith("#"))}
    facts = read_plan(sample / "drawings" / "T-101.dxf", DocumentSettings())
    assert [(level.name, level.at.place) for level in facts.levels] == [("Ground floor", "its title block")]
    assert {door.mark for door in facts.doors} == set(true)
    for door in facts.doors:
        row = true[door.mark]
        assert door.at_m == pytest.approx((float(row["x_m"]), float(row["y_m"])), abs=0.01)
        assert door.width_m == pytest.approx(float(row["width_m"]), abs=0.005)
        found = hand(door, float(row["secured_side_deg"]))
        assert (found["hinges"], found["swings_to"]) == (row["hinges"], row["swings_to"])
    assert not any("taken for walls" in note.text for note in facts.notes)
