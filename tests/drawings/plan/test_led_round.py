"""Cables pass beside openings that are not theirs, rooms keep a number, and ways to another building say where to."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.plan.around import led_round
from riserkit.drawings.plan.content import read_levels
from riserkit.drawings.plan.labels import Tag
from riserkit.drawings.plan.notes import Remarks, plan_notes
from riserkit.drawings.plan.values import PlanLevel, PlanOpening, PlanRoom, Strand
from riserkit.drawings.plan.view import lay_out_view
from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.model.info import SiteInfo
from riserkit.model.place import Building, Closet, Level, PathwayNode
from riserkit.model.site import Site


def _opening(mark: str, x_m: float, y_m: float = 0.0) -> PlanOpening:
    return PlanOpening(mark, mark, mark, (), (x_m, y_m), 0.0, 0.9, "single", None, f"cable:{mark}")


def _nearest_m(strands: tuple[Strand, ...], subject: str, opening: PlanOpening) -> float:
    lines = [shapely.LineString([s.start_m, s.end_m]) for s in strands if s.subject == subject]
    return float(shapely.union_all(lines).distance(shapely.Point(opening.at_m)))


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize("angle_deg", [0.0, 90.0, 180.0, 37.0])
def test_a_cable_keeps_clear_of_openings_that_it_passes_and_reaches_its_own(angle_deg: float, *, back: bool) -> None:
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    first, near, own = (_opening(mark, d * cos, d * sin) for mark, d in (("1", 5.0), ("2", 5.5), ("3", 12.0)))
    ends = (own.at_m, (0.0, 0.0)) if back else ((0.0, 0.0), own.at_m)
    found = led_round([Strand("cable:3", *ends), Strand("cable:1", (0.0, 0.0), first.at_m)], [first, near, own], 0.3)
    for passed in (first, near):
        assert _nearest_m(found, "cable:3", passed) >= 0.3 / math.sqrt(2) - 1e-6
    assert _nearest_m(found, "cable:3", own) < 1e-6
    assert _nearest_m(found, "cable:1", first) < 1e-6
    pieces = [s for s in found if s.subject == "cable:3"]
    assert (pieces[0].start_m, pieces[-1].end_m) == ends
    assert all(a.end_m == b.start_m for a, b in pairwise(pieces))


def test_both_directions_of_a_line_are_led_round_on_the_same_side() -> None:
    there, back = Strand("a", (0.0, 0.0), (10.0, 0.0)), Strand("b", (10.0, 0.0), (0.0, 0.0))
    sides = {max((s.end_m[1] for s in led_round([one], [_opening("1", 5)], 0.3)), key=abs) for one in (there, back)}
    assert sides == {0.3}


def test_a_room_too_small_for_its_name_has_its_number_by_a_leader_or_in_the_notes() -> None:
    rooms = tuple(
        PlanRoom(f"1S{n:02d}", "Uninterruptible power supplies", shapely.box(2 * n, 0, 2 * n + 1, 1)) for n in range(4)
    )
    level = PlanLevel("L1", "Ground", (_opening("1", 3, 8),), (), (), (), (), rooms)
    view = lay_out_view(level, 100, Rect(-40, -40, 160, 160))
    told = {p.tag.subject: [text for text, _ in p.tag.lines] for p in view.tags if p.tag.subject.startswith("room:")}
    assert told == {f"room:{room.id}": [room.id] for room in rooms}
    cramped = lay_out_view(level, 500, Rect(0, 0, 17, 17))
    shown = {p.tag.subject for p in cramped.tags} | {tag.subject for tag in (*cramped.rest, *cramped.unnumbered)}
    assert {f"room:{room.id}" for room in rooms} <= shown


def test_the_leader_of_a_room_s_number_starts_and_runs_outside_all_other_labels() -> None:
    """The label of the door covers the middle of the room."""
    room = PlanRoom("Q3", "Stair with a long name", shapely.box(0, 0, 8, 9))
    door = replace(_opening("201", 0.0, 4.5), angle_deg=90.0, cable="M-2A-A02", held=True)
    level = PlanLevel("L1", "Ground", (door,), (), (), (), (), (room,), walls=shapely.box(-0.2, -0.2, 0.1, 9.2))
    view = lay_out_view(level, 500, Rect(-10, -10, 60, 60))
    number = next(p for p in view.tags if p.tag.subject == "room:Q3")
    drawn = [shapely.box(*number.box), *([shapely.LineString(number.leader)] if number.leader else [])]
    others = [shapely.box(*p.box) for p in view.tags if p is not number]
    assert others
    assert any(other.contains(shapely.Point(8.0, 9.0)) for other in others), "the middle of the room is taken"
    assert not shapely.union_all(drawn).intersects(shapely.union_all(others))


def test_a_room_number_without_room_is_not_taken_for_a_door() -> None:
    tags = (
        Tag("room:116", ((0.0, 0.0),), (("116", 2.5),), 1.0),
        Tag("opening:117", ((0.0, 0.0),), (("HOLD", 3.5), ("117", 3.5)), 1.0, held=("117",)),
    )
    notes = plan_notes(SiteInfo(), (), Remarks(missing=tags))
    assert notes[-3:] == (
        "On HOLD and without room for their labels: 117.",
        "Room numbers left out for lack of space: 116.",
        "No room on this plan for HOLD 117; see the schedules.",
    )


def test_a_conduit_to_another_building_names_it_and_is_neither_up_nor_down() -> None:
    site = Site(
        buildings=(Building(id="A", name="Mill"), Building(id="B", name="Boiler house")),
        levels=(
            Level(id="A1", building="A", name="Ground", elevation_m=0),
            Level(id="A2", building="A", name="First", elevation_m=4),
            Level(id="B1", building="B", name="Yard floor", elevation_m=-0.5),
        ),
        closets=(Closet(id="TR-1", level="A1", x_m=1, y_m=1),),
        pathway_nodes=tuple(
            PathwayNode(id=name, level=level, x_m=x, y_m=0)
            for name, level, x in (("N1", "A1", 0), ("N2", "B1", 30), ("N3", "A2", 0))
        ),
        pathway_segments=(
            PathwaySegment(id="S1", from_node="N1", to_node="N2", kind=PathwayKind.CONDUIT),
            PathwaySegment(id="S2", from_node="N1", to_node="N3", kind=PathwayKind.RISER),
        ),
    )
    ground, first = read_levels(Checked(design(site)))[:2]
    (riser,) = ground.risers
    assert riser.lines == ("S1 across to Boiler house, Yard floor", "S2 up to First")
    assert (riser.up, riser.down, riser.across) == (True, False, True)
    assert [r.lines for r in first.risers] == [("S2 down to Ground",)]
