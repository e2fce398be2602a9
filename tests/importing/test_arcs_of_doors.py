"""Swings as other offices draw them: some as arcs and some as short lines, half a circle to both sides, a pair of unequal leaves."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path
from typing import Any

from ezdxf.math import fit_points_to_cad_cv

from tests.importing.tables import rows, texts
from tests.importing.test_how_doors_are_tagged import LEFTS, imported, leaf, tag

AT = {"layer": "A-DOOR"}


def bent(left: float) -> list[tuple[float, float]]:
    """A quarter of a circle in nine points."""
    turns = [math.radians(90 * n / 8) for n in range(9)]
    return [(left + 0.9 * math.cos(turn), 0.2 + 0.9 * math.sin(turn)) for turn in turns]


def test_swings_of_short_lines_beside_arcs_are_doors(tmp_path: Path) -> None:
    """One real arc in the plan, and the doors whose arcs were exploded into lines were lost."""

    def draw(_doc: Any, model: Any) -> None:
        model.add_lwpolyline([(0, 0.2), (12, 0.2)], dxfattribs={"layer": "A-WALL"})  # no gap tells of a door
        model.add_lwpolyline([(0, 0), (12, 0)], dxfattribs={"layer": "A-WALL"})
        leaf(model, LEFTS[0])
        for n, left in enumerate(LEFTS[1:]):
            points = bent(left)
            if n == 0:
                model.add_lwpolyline(points, dxfattribs=AT)
            for one, other in pairwise(points) if n else ():
                model.add_line(one, other, dxfattribs=AT)
            model.add_line((left, 0.2), (left, 1.1), dxfattribs=AT)
        model.add_lwpolyline([(x, y + 3) for x, y in bent(2)], dxfattribs={"layer": "MISC"})  # no door: nothing says so
        model.add_line((2, 3.2), (2, 4.1), dxfattribs={"layer": "MISC"})
        for n, left in enumerate(LEFTS):
            tag(model, left, f"10{n}")

    site = imported(tmp_path, draw)
    doors = rows(site, "openings")
    assert {mark: door["x_m"] for mark, door in doors.items()} == {"100": "1.45", "101": "4.45", "102": "7.45"}
    assert {door["hinges"] for door in doors.values()} == {"left"}
    assert "2 swings are drawn as chains of short lines" in texts(site, "inferred")


def test_half_a_circle_to_both_sides_of_the_wall_is_one_leaf_in_its_gap(tmp_path: Path) -> None:
    """It was a door across the wall, and a second one in the gap; one that opens until it lies at the wall swings to one side."""

    def draw(_doc: Any, model: Any) -> None:
        for left, start, tip in ((LEFTS[0], 270, (LEFTS[0], 1.1)), (LEFTS[1], 0, (LEFTS[1] - 0.9, 0.2))):
            model.add_arc((left, 0.2), 0.9, start, start + 180, dxfattribs=AT)
            model.add_line((left, 0.2), tip, dxfattribs=AT)
            tag(model, left, f"{left:.0f}01")

    doors = rows(imported(tmp_path, draw), "openings")
    assert {mark: (door["x_m"], door["angle_deg"]) for mark, door in doors.items()} == {
        "101": ("1.45", "0"),
        "401": ("4.45", "0"),
    }
    assert (doors["101"]["swings_to"], doors["401"]["swings_to"]) == ("", "secured")


def test_unequal_leaves_of_a_pair_are_asked(tmp_path: Path) -> None:
    def draw(_doc: Any, model: Any) -> None:
        for hinge, wide, tip in ((LEFTS[0], 0.6, 0), (LEFTS[0] + 0.9, 0.3, 90)):
            model.add_arc((hinge, 0.2), wide, tip, tip + 90, dxfattribs=AT)
            model.add_line((hinge, 0.2), (hinge, 0.2 + wide), dxfattribs=AT)
        model.add_arc((LEFTS[1], 0.2), 0.45, 0, 90, dxfattribs=AT)
        model.add_arc((LEFTS[1] + 0.9, 0.2), 0.45, 90, 180, dxfattribs=AT)
        for left in LEFTS[:2]:
            tag(model, left, f"{left:.0f}01")

    site = imported(tmp_path, draw)
    doors = rows(site, "openings")
    assert {door["type"] for door in doors.values()} == {"double"}
    assert "leaves: 0.60 + 0.30 m" in doors["101"]["remarks"]
    assert "door 101: its leaves are unequal" in texts(site, "question")
    assert "401: its leaves" not in texts(site, "question")


def test_swings_that_are_splines(tmp_path: Path) -> None:
    """Beside a real arc too, and in a mirrored block; a curve that is no arc is no swing."""

    def draw(doc: Any, model: Any) -> None:
        model.add_lwpolyline([(0, 0.2), (12, 0.2)], dxfattribs={"layer": "A-WALL"})  # no gap tells of a door
        model.add_lwpolyline([(0, 0), (12, 0)], dxfattribs={"layer": "A-WALL"})
        block = doc.blocks.new("LEAF")
        for layout, left in ((block, 0.0), (model, LEFTS[1])):
            layout.add_spline(dxfattribs=AT).apply_construction_tool(
                fit_points_to_cad_cv([(x, y, 0) for x, y in bent(left)])
            )
            layout.add_line((left, 0.2), (left, 1.1), dxfattribs=AT)
        model.add_blockref("LEAF", (LEFTS[2] + 0.9, 0), dxfattribs={**AT, "xscale": -1})
        leaf(model, LEFTS[0])
        wave = [(x / 4, 5 + math.sin(x), 0) for x in range(9)]
        model.add_spline(dxfattribs=AT).apply_construction_tool(fit_points_to_cad_cv(wave))
        for n, left in enumerate(LEFTS):
            tag(model, left, f"10{n}")

    site = imported(tmp_path, draw)
    doors = rows(site, "openings")
    assert {mark: (door["x_m"], door["width_m"]) for mark, door in doors.items()} == {
        "100": ("1.45", "0.9"),
        "101": ("4.45", "0.9"),
        "102": ("7.45", "0.9"),
    }
    assert [doors[m]["hinges"] for m in ("101", "102")] == ["left", "right"]
    assert "SPLINE" not in texts(site, "left")
