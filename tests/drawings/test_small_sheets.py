"""A tower on the smallest sheets that may be asked for: what has no room beside the drawing gives way, nothing leaves the frame."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.plan.enlarged import windows_over
from riserkit.drawings.plan.pages import plan_pages, set_strip
from riserkit.drawings.plan.sheets import draw_plan_sheet, plan_levels
from riserkit.drawings.riser.sheets import draw_riser_sheet, plan_riser
from riserkit.drawings.setting.frames import set_frames, set_title
from riserkit.drawings.setting.sheet import RevisionLine
from riserkit.results.inspect import inspect_drawings
from tests.floor_plans import floor_plans

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parent / "riser_sites.py"))
FOOT_M = 0.3048


@pytest.fixture(scope="module")
def tower() -> Design:
    """Twelve floors with a closet each, all fed from the lowest, which has three switches and nine doors of long marks."""
    floors = range(1, 13)
    door = {
        "lock": "strike-12-secure", "controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion",
        "fail_mode": "fail-secure", "egress": "mechanical", "hinges": "left", "secured_side_deg": 90, "swings_to": "secured",
    }  # fmt: skip
    doors = [
        {**door, "mark": f"T-L01-COMMONS-E-{n:04d}", "level": "L01", "x_m": (20 + 12 * n) * FOOT_M, "y_m": 24 * FOOT_M}
        for n in range(8)
    ]
    doors.append({**door, "mark": "ENTRY", "level": "L01", "x_m": 70 * FOOT_M, "y_m": 0.0, "type": "double", "width_m": 1.83,
                  "lock": "exit-device-motor", "inactive_leaf": "automatic-bolts", "outdoor": True})  # fmt: skip
    doors += [
        {**door, "mark": f"T-L{n:02d}-STAIR-A", "level": f"L{n:02d}", "x_m": 20 * FOOT_M, "y_m": 24 * FOOT_M,
         "fail_mode": "fail-safe", "egress": "stair", "lock": "latch-12-safe", "fire_alarm_release": True,
         "fire_relay": "fire-relay"}
        for n in floors[1:]
    ]  # fmt: skip
    closets = [
        {"id": f"TR-{n:02d}", "level": f"L{n:02d}", "x_m": 3.0, "y_m": 3.6, **({"fed_from": "TR-01"} if n > 1 else {})}
        for n in floors
    ]
    return design(SITES["site_of"](
        {"name": "Millrace Tower", "sheet_size": "ANSI B", "sheet_series": "ANSI", "unit_system": "imperial"},
        levels=[{"id": f"L{n:02d}", "elevation_m": (n - 1) * 3.4, "name": f"Floor {n}"} for n in floors],
        closets=closets,
        switches=[{"id": f"SW-{n:02d}{k}", "closet": f"TR-{n:02d}", "ports": 12, "poe_class": 4}
                  for n in floors for k in ("ABC" if n == 1 else "A")],
        pathway_nodes=[{"id": f"{end}{n}", "level": f"L{n:02d}", "x_m": x, "y_m": 6.0}
                       for n in floors for end, x in (("A", 3.0), ("B", 37.0))],
        pathway_segments=[
            *({"id": f"S{n}", "from_node": f"A{n}", "to_node": f"B{n}"} for n in floors),
            *({"id": f"R{n}", "from_node": f"A{n - 1}", "to_node": f"A{n}", "kind": "riser"} for n in floors[1:]),
        ],
        openings=doors,
    ))  # fmt: skip


def words(path: Path) -> list[str]:
    found = [e for space in read_dxf(path).layouts for e in space]
    attributes = [a.dxf.text for e in found for a in getattr(e, "attribs", ())]
    return [*(" ".join(e.plain_text().split()) for e in found if e.dxftype() in ("TEXT", "MTEXT")), *attributes]


def frame_of(made: Design, size: str) -> Any:
    (frame,) = set_frames(made.site, (sheet_size(size),), set_title(made.site, "T-101", "Plan", "Plan"))
    return frame


@pytest.mark.slow
def test_plans_leave_their_legend_to_the_cover_and_stay_within_the_frame(tower: Design, tmp_path: Path) -> None:
    plans = floor_plans(tower)
    paths = []
    for n, sheet_id in enumerate(plans.sheet_ids[:6]):
        paths.append(tmp_path / f"{sheet_id}.dxf")
        draw_plan_sheet(plans, n).save(paths[-1])
    assert not [v.message for i in inspect_drawings(paths) for v in i.violations]
    for path in paths:
        said = words(path)
        assert "Legend" not in said
        assert any("cautions, symbols and abbreviations: sheets T-001 on" in text for text in said)


def test_a_legend_stands_on_plans_that_have_room_for_it(tower: Design) -> None:
    levels = plan_levels(Checked(tower))
    assert set_strip(frame_of(tower, "ANSI B"), levels, tower.site.info).legend is None
    assert set_strip(frame_of(tower, "ANSI D"), levels, tower.site.info).legend is not None


def test_what_every_floor_notes_alike_takes_room_once(tower: Design) -> None:
    levels, frame = plan_levels(Checked(tower)), frame_of(tower, "ANSI D")
    assert set_strip(frame, levels, tower.site.info).notes == set_strip(frame, levels[:1], tower.site.info).notes


def test_a_sheet_without_room_for_a_plan_is_told(tower: Design) -> None:
    """Its revisions stand one above the other over the title block."""
    revisions = tuple(RevisionLine(str(n), "2026-05-04", f"Revision {n}", "A. Okafor") for n in range(40))
    frame = replace(frame_of(tower, "ANSI B"), revisions=revisions)
    with pytest.raises(SheetError, match="ANSI B has no room for a plan"):
        plan_pages(plan_levels(Checked(tower)), (frame,), tower.site.info)


def test_a_window_lower_than_its_edges_still_finds_every_point() -> None:
    at = {"a": (0.0, 0.0), "b": (10.0, 30.0), "c": (20.0, -8.0)}
    windows = windows_over(at, Rect(0, 0, 300, 50))
    assert all(any(w.x0 <= x <= w.x1 and w.y0 <= y <= w.y1 for w in windows) for x, y in at.values())


@pytest.mark.slow
def test_a_riser_with_a_level_as_high_as_the_sheet_has_its_notes_on_a_sheet_that_follows(
    tower: Design, tmp_path: Path
) -> None:
    riser = plan_riser(Checked(tower))
    shown = [riser.title(n) for n in range(len(riser.sheet_ids))]
    assert shown.count("Riser diagram, notes and legend") == 1
    last = shown.index("Riser diagram, notes and legend")
    assert set(shown[:last]) == {"Riser diagram"}
    assert last > 1
    paths = []
    for n, sheet_id in enumerate(riser.sheet_ids):
        paths.append(tmp_path / f"{sheet_id}.dxf")
        draw_riser_sheet(riser, n).save(paths[-1])
    assert not [v.message for i in inspect_drawings(paths) for v in i.violations]
    assert [("Legend" in words(path)) for path in paths].index(True) == last
    every = " ".join(text for path in paths for text in words(path))
    assert all(switch.id in every for switch in tower.site.switches)
    assert all(opening.mark in every for opening in tower.site.openings)
