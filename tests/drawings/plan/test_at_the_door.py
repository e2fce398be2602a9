"""What stands at a door must be drawn where it is stated to be: leaf, hand, sides, devices; all read back from the DXF."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely

from riserkit.design import design
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.edits.into import regenerate
from riserkit.drawings.legibility.sheet import inspect_document
from riserkit.drawings.plan.devices import place_devices
from riserkit.drawings.plan.sheets import draw_plan_sheet
from riserkit.drawings.plan.swing import leaves_of
from riserkit.drawings.plan.values import PlanOpening
from riserkit.model.assemble import assemble_site
from riserkit.model.place import Wall
from riserkit.model.problems import InputError
from riserkit.model.site import Site
from tests.floor_plans import floor_plans
from tests.known_bad.designs import raw_site


def _site(**opening: Any) -> Site:
    stated = {"hinges": "left", "secured_side_deg": 90, "swings_to": "secured", "width_m": 1.0, "rex": "rex-motion"}
    case = {"door": "strike", "site": {"plan_scale": 50}, "opening": {**stated, **opening}}
    return assemble_site(raw_site(case))


def _doc(site: Site) -> Any:
    return draw_plan_sheet(floor_plans(design(site)), 0).doc


def _told(doc: Any) -> str:
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    return " ".join(e.plain_text().replace("\n", " ") for e in paper if e.dxftype() in ("TEXT", "MTEXT"))


def _leaf(doc: Any, mark: str = "101") -> list[Any]:
    return [e for e in doc.groups.get(f"opening_{mark}") if e.dxftype() == "ARC"]


# by hand: the hinge's side of the door's middle in x, and the side the leaf stands on in y, for a wall along x
HANDS = [
    ("left", 90, "secured", -1, 1),
    ("right", 90, "secured", 1, 1),
    ("left", 90, "unsecured", -1, -1),
    ("left", -90, "secured", 1, -1),
    ("right", -90, "unsecured", -1, 1),
]


@pytest.mark.parametrize(("hinges", "side", "to", "hinge_x", "leaf_y"), HANDS)
def test_a_leaf_hangs_and_swings_as_stated(hinges: str, side: int, to: str, hinge_x: int, leaf_y: int) -> None:
    """Who looks north has west on the left; hinges are told as seen from the unsecured side."""
    site = _site(hinges=hinges, secured_side_deg=side, swings_to=to)
    opening = site.openings[0]
    (arc,) = _leaf(_doc(site))
    assert arc.dxf.radius == pytest.approx(1000)
    assert arc.dxf.center.x == pytest.approx((opening.x_m + hinge_x * 0.5) * 1000)
    assert arc.dxf.center.y == pytest.approx(opening.y_m * 1000)
    points = list(arc.flattening(1))
    assert all(
        (p.y - arc.dxf.center.y) * leaf_y >= -1e-6 and (p.x - arc.dxf.center.x) * hinge_x <= 1e-6 for p in points
    )
    assert (arc.dxf.end_angle - arc.dxf.start_angle) % 360 == pytest.approx(90)


def test_a_wall_at_an_angle_turns_the_leaf_with_it() -> None:
    """Wall at 30 degrees, secured side to the upper left: square to it at 120 degrees, and the left hand is at 210."""
    opening = PlanOpening("1", "1", "", (), (5.0, 5.0), 30.0, 1.0, "single", secured_deg=120.0, hinges="left",
                          swings_to="secured")  # fmt: skip
    (leaf,) = leaves_of(opening)
    at = 5 + 0.5 * math.cos(math.radians(210)), 5 + 0.5 * math.sin(math.radians(210))
    tip = at[0] + math.cos(math.radians(120)), at[1] + math.sin(math.radians(120))
    assert leaf.hinge == pytest.approx(at)
    assert leaf.tip == pytest.approx(tip)
    assert leaf.start_deg == pytest.approx(30)


def test_a_pair_has_two_leaves_that_meet() -> None:
    doc = _doc(_site(type="double", width_m=1.8, hinges=None, lock_count=1, inactive_leaf="automatic-bolts"))
    one, other = _leaf(doc)
    assert one.dxf.radius == other.dxf.radius == pytest.approx(900)
    assert abs(one.dxf.center.x - other.dxf.center.x) == pytest.approx(1800)


@pytest.mark.parametrize("blank", ["hinges", "secured_side_deg", "swings_to"])
def test_what_is_not_stated_is_not_drawn_and_the_notes_say_so(blank: str) -> None:
    doc = _doc(_site(**{blank: None}))
    assert not _leaf(doc)
    assert "not stated" in _told(doc)
    assert "not stated" not in _told(_doc(_site()))


def test_devices_stand_on_their_sides_with_their_designations_and_clear_of_the_leaf() -> None:
    site = _site(secured_side_deg=90, controller_at="unsecured", reader_out="reader-out")
    made = design(site)
    doc = draw_plan_sheet(floor_plans(made), 0).doc
    wall_mm = site.openings[0].y_m * 1000
    found = {}
    for insert in doc.modelspace().query("INSERT"):
        values = {a.dxf.tag: a for a in insert.attribs}
        assert values["MARK"].dxf.text == "101"
        assert values["MARK"].is_invisible and not values["REF"].is_invisible
        assert values["REF"].dxf.height / 50 >= 2.5
        found[values["REF"].dxf.text] = insert
    netlist = made.doors[0].wiring.netlist
    assert netlist is not None
    at_door = {c.ref for c in netlist.components if not c.closet}
    by_block = {insert.dxf.name: insert for insert in found.values()}
    assert set(found) <= at_door
    assert {"plan_controller", "plan_lock", "plan_contact", "plan_rex", "plan_reader"} <= set(by_block)
    assert by_block["plan_controller"].dxf.insert.y < wall_mm < by_block["plan_rex"].dxf.insert.y
    assert by_block["plan_reader"].dxf.insert.y > wall_mm, "a reader for the way out is on the secured side"
    (arc,) = _leaf(doc)
    swept = shapely.Polygon([(arc.dxf.center.x, arc.dxf.center.y), *((p.x, p.y) for p in arc.flattening(1))])
    grounds = [swept, *(_ground(insert) for insert in found.values())]
    assert all(not a.intersects(b) for n, a in enumerate(grounds) for b in grounds[n + 1 :])
    assert inspect_document(doc).violations == ()


def _ground(insert: Any) -> Any:
    x, y = insert.dxf.insert.x, insert.dxf.insert.y
    return shapely.box(x - 4 * 50, y - 2.5 * 50, x + 4 * 50, y + 2.5 * 50)


def test_no_line_of_a_device_starts_behind_a_label() -> None:
    """A box above the ceiling may be on either hand of the opening: where a label hides its place it goes to another."""
    site = _site(controller="controller-c4", lock="magnet-12-300", fail_mode="fail-safe", egress="sensor-release",
                 free_egress_hardware=None, release="release-30")  # fmt: skip
    pages = floor_plans(design(site)).pages
    assert pages is not None
    view = pages.pages[0].view
    box = next(d for d in view.devices if d.device.symbol in ("plan_junction_box", "plan_box"))
    x, y = box.leader[0]
    over = replace(view.tags[0], box=Rect(x - 0.8, y - 0.8, x + 0.8, y + 0.8), leader=None)
    again = place_devices(replace(view, tags=(*view.tags, over), devices=(), without_devices=()))
    assert {d.device.ref for d in again.devices} == {d.device.ref for d in view.devices}
    assert not any(over.box.holds(Rect(*d.leader[0], *d.leader[0])) for d in again.devices)


@pytest.mark.slow
def test_a_plan_without_room_leaves_the_devices_out_and_names_the_sheet_that_has_them() -> None:
    """At 1:500 forty doors 2 m apart stand 4 mm apart on paper, half the width of a symbol."""
    site = _site()
    door = site.openings[0]
    doors = tuple(door.model_copy(update={"mark": f"{101 + n}", "x_m": door.x_m + n * 2.0}) for n in range(12))
    site = site.model_copy(
        update={"openings": doors, "info": site.info.model_copy(update={"plan_scale": 500, "riser_sheet": "A3"})}
    )
    doc = _doc(site)
    drawn = {a.dxf.text for e in doc.modelspace().query("INSERT") for a in e.attribs if a.dxf.tag == "MARK"}
    without = {d.mark for d in doors} - drawn
    assert without
    assert "see T-102." in _told(doc)
    assert all(mark in _told(doc) for mark in without)


def test_all_of_an_opening_is_one_group() -> None:
    doc = _doc(_site())
    group = doc.groups.get("opening_101")
    kinds = {e.dxftype() for e in group}
    assert {"LINE", "ARC", "CIRCLE", "INSERT", "TEXT"} <= kinds
    everything = [e for e in doc.modelspace() if e.dxftype() in ("INSERT", "ARC")]
    assert {e.dxf.handle for e in everything} <= {e.dxf.handle for e in group}
    audit = doc.audit()
    assert not audit.errors and not audit.fixes


def test_a_secured_side_along_the_wall_is_refused() -> None:
    with pytest.raises(InputError, match=r"expected a direction across the wall, such as 90 or 270"):
        _site(secured_side_deg=10)


@pytest.mark.parametrize(("deg", "words"), [(12, "12° right of up"), (-30, "30° left of up"), (350, "10° left of up")])
def test_true_north_turns_the_arrow_and_is_told(deg: float, words: str) -> None:
    site = _site()
    doc = _doc(site.model_copy(update={"info": site.info.model_copy(update={"true_north_deg": deg})}))
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    (arrow,) = (e for e in paper.query("INSERT") if e.dxf.name == "north_arrow")
    assert (arrow.dxf.rotation + deg) % 360 == pytest.approx(0), "clockwise on paper"
    assert words in _told(doc) and "not known" not in _told(doc)
    assert "true north is not known" in _told(_doc(site))


def test_a_site_in_survey_coordinates_has_the_same_plan_but_for_the_figures_at_its_edge() -> None:
    near, (dx, dy) = _site(), (500_000, 4_500_000)
    moved = near.model_copy(
        update={
            name: tuple(
                one.model_copy(update={"x_m": one.x_m + dx, "y_m": one.y_m + dy}) for one in getattr(near, name)
            )
            for name in ("openings", "closets", "pathway_nodes")
        }
    )
    one, other = _doc(near), _doc(moved)
    assert [_drawn(e) for e in one.modelspace()] == [_drawn(e) for e in other.modelspace()]
    figures = [
        sorted(float(e.dxf.text) for e in doc.layouts.get("T-101").query("TEXT") if _is_figure(e))
        for doc in (one, other)
    ]
    assert figures[1] == sorted({x + d for d in (dx, dy) for x in figures[0]} & set(figures[1]))
    assert len(figures[0]) == len(figures[1]) > 2
    assert "500000 and 4500000 metres nearer to its origin" in _told(other)
    assert "nearer" not in _told(one)


def _drawn(entity: Any) -> tuple[Any, ...]:
    kept = {k: v for k, v in entity.dxfattribs().items() if k not in ("handle", "owner")}
    return entity.dxftype(), str(
        {k: tuple(round(c, 3) for c in v) if hasattr(v, "xyz") else v for k, v in kept.items()}
    )


def _is_figure(entity: Any) -> bool:
    return abs(entity.dxf.height - 1.8) < 0.01 and entity.dxf.text.lstrip("-").isdigit() and entity.dxf.halign == 1


def test_labels_mask_walls_that_stay_whole_in_the_file() -> None:
    """Four walls 4 m long and 0.5 m apart, which no label at the door misses; a gap is there for the door alone."""
    site = _site()
    door = site.openings[0]
    x, y = door.x_m, door.y_m
    wall = shapely.union_all([shapely.box(x - 2, y + d - 0.1, x + 2, y + d + 0.1) for d in (-1.0, -0.5, 0.0, 0.5)])
    raw = {"level": door.level, "outline_wkt": wall.wkt}
    site = site.model_copy(update={"walls": (Wall(**raw),)})
    doc = _doc(site)
    length = sum(
        shapely.LineString([*e.get_points("xy"), *([e.get_points("xy")[0]] if e.closed else [])]).length
        for e in doc.modelspace().query("LWPOLYLINE")
        if e.dxf.layer == "A-WALL"
    )
    gap = shapely.box(x - 0.5, y - 0.3, x + 0.5, y + 0.3)
    assert length == pytest.approx(wall.difference(gap).length * 1000, rel=1e-3)
    assert doc.modelspace().query("WIPEOUT")
    on_line = [v for v in inspect_document(doc).violations if v.check == "text-on-foreign-line"]
    assert not on_line
    for mask in doc.modelspace().query("WIPEOUT"):
        doc.modelspace().delete_entity(mask)
    assert [v for v in inspect_document(doc).violations if v.check == "text-on-foreign-line"], "masks alone hide them"


@pytest.mark.slow
def test_drawn_again_over_edits_an_opening_is_still_one_group(tmp_path: Path) -> None:
    site = _site()
    door = site.openings[0]
    draw_plan_sheet(floor_plans(design(site)), 0).save(tmp_path / "before.dxf")
    moved = site.model_copy(update={"openings": (door.model_copy(update={"width_m": 1.2}),)})
    regenerate(tmp_path / "before.dxf", draw_plan_sheet(floor_plans(design(moved)), 0), tmp_path / "after.dxf")
    doc = read_dxf(tmp_path / "after.dxf")
    (arc,) = _leaf(doc)
    assert arc.dxf.radius == pytest.approx(1200)
    group = {e.dxf.handle for e in doc.groups.get("opening_101")}
    assert {e.dxf.handle for e in doc.modelspace().query("INSERT ARC")} <= group


def test_a_label_makes_way_for_devices_where_paper_is_left() -> None:
    """The arrow to a closet behind a door moves the label to where the controller's symbol would stand."""
    site = _site()
    door, closet = site.openings[0], site.closets[0]
    doors = tuple(door.model_copy(update={"mark": f"{101 + n}", "x_m": 8.0 + n * 16, "y_m": 10.0}) for n in range(4))
    changed = {
        "openings": doors,
        "closets": (closet.model_copy(update={"x_m": 20.0, "y_m": 5.0}),),
        "info": site.info.model_copy(update={"plan_scale": 100}),
    }
    doc = _doc(site.model_copy(update=changed))
    drawn = {a.dxf.text for e in doc.modelspace().query("INSERT") for a in e.attribs if a.dxf.tag == "MARK"}
    assert {one.mark for one in doors} <= drawn
    assert "No room" not in _told(doc)
