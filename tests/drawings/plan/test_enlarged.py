"""Enlarged plans: devices that have no room on a plan are drawn on another sheet, to which the plan points."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from random import Random
from typing import Any

import pytest

from riserkit.design import design
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.plan.enlarged import windows_over
from riserkit.drawings.plan.sheets import FloorPlans, draw_plan_sheet
from riserkit.plugin.read import read_site
from tests.floor_plans import floor_plans
from tests.opened import opened

LEVEL = "L3"
SITE = Path(__file__).resolve().parents[3] / "sample_drawings" / "seed-archive" / "site"


@pytest.fixture(scope="module")
def plans() -> FloorPlans:
    """Of the larger sample, at 1:250."""
    return floor_plans(design(read_site(SITE)))


@pytest.fixture(scope="module")
def drawn(plans: FloorPlans, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Sheets of one level, by identification."""
    folder, found = tmp_path_factory.mktemp("plans"), {}
    for n, sheet_id in enumerate(plans.sheet_ids):
        if plans.pages is not None and plans.pages.pages[n].view.level.id == LEVEL:
            found[sheet_id] = folder / f"{sheet_id}.dxf"
            draw_plan_sheet(plans, n).save(found[sheet_id])
    return found


def _said(path: Path) -> tuple[str, set[str]]:
    """All words of a sheet, and the openings that have symbols of devices on it."""
    doc: Any = opened(path)
    entities = [e for layout in doc.layouts for e in layout]
    words = " ".join(e.plain_text() for e in entities if e.dxftype() in ("TEXT", "MTEXT"))
    ids = [mark.model_id for e in entities if e.dxftype() == "INSERT" and (mark := read_mark(e)) is not None]
    return words, {i.removeprefix("opening:").partition("/")[0] for i in ids if "/device/" in i}


@pytest.mark.slow
def test_each_opening_s_devices_are_on_a_plan_or_on_the_one_that_it_points_to(drawn: dict[str, Path]) -> None:
    """Read from the written files: of the sheet named in the note, not of what was planned."""
    said = {sheet_id: _said(path) for sheet_id, path in drawn.items()}
    first, *enlarged = sorted(said)
    words, shown = said[first]
    pointed = {
        mark: sheet_id
        for marks, sheet_id in re.findall(r"Devices of ([^:]*): see (T-\d+)\.", words)
        for mark in marks.split(", ")
    }
    assert set(pointed.values()) == set(enlarged)
    assert len(pointed) >= 5
    for mark, sheet_id in pointed.items():
        assert mark not in shown
        assert mark in said[sheet_id][1]
    for sheet_id in enlarged:
        assert "Key plan" in said[sheet_id][0]
        assert words.count(f"see {sheet_id}") >= 2, "in the notes, and at the area that it shows"


@pytest.mark.slow
def test_enlarged_plans_are_larger_legible_and_complete(plans: FloorPlans, drawn: dict[str, Path]) -> None:
    assert plans.pages is not None
    for page in plans.pages.pages:
        assert page.scale.ratio == page.view.ratio
        assert (page.scale.ratio * 2 <= plans.pages.scale.ratio) == bool(page.area)
    told = [v.message for path in drawn.values() for v in inspect_sheet(path).violations]
    assert told == []
    doors = [o for page in plans.pages.pages if not page.area for o in page.view.openings if o.opening.devices]
    bare = [o.opening.mark for o in doors if o.opening.mark not in plans.pages.drawn_at]
    assert bare == [], "35 of the 41 had no room before there were enlarged plans"
    of_pairs = [
        o for o in doors if o.opening.kind == "double" and any(d.symbol == "plan_lock" for d in o.opening.devices)
    ]
    assert of_pairs, "whose locks are where the leaves meet, in the circle of the opening's symbol"


@pytest.mark.slow
def test_types_of_cable_sizes_and_heights_of_pathways_are_on_the_plan(plans: FloorPlans, tmp_path: Path) -> None:
    """What most have stands in the notes, what differs at the thing itself; by the tables of the sample."""
    ground = tmp_path / "ground.dxf"
    draw_plan_sheet(plans, 0).save(ground)
    words, _ = _said(ground)
    nodes = {row["id"]: row for row in csv.DictReader(_rows("pathway_nodes.csv")) if row["level"] == "L1"}
    segments = list(csv.DictReader(_rows("pathway_segments.csv")))
    sized = [row for row in segments if row["trade_size"] and {row["from_node"], row["to_node"]} <= nodes.keys()]
    assert len(sized) == 2
    assert all(f"{row['id']}, trade size {row['trade_size']}: " in words for row in sized)
    low = [
        row
        for row in segments
        if {nodes.get(row[end], {}).get("height_m") for end in ("from_node", "to_node")} == {"", "0.3"}
    ]
    assert words.count("from the ceiling to 0.3 m") == len(low) == 1
    assert "Pathways run at the ceiling, where" in words
    assert "Horizontal cables: cat6, where" in words
    cables = [door.cable for door in design(read_site(SITE)).doors if door.opening.level == "L1"]
    assert (
        words.count("cat6-outdoor")
        == sum(cable is not None and cable.cable_type == "cat6-outdoor" for cable in cables)
        > 1
    )


def _rows(name: str) -> list[str]:
    lines = (SITE / name).read_text("utf-8").splitlines()
    return [line for line in lines if not line.startswith("#")]


@pytest.mark.parametrize("seed", range(5))
def test_windows_have_every_point_well_inside(seed: int) -> None:
    chance = Random(seed)
    at = {f"{n}": (chance.uniform(-400, 900), chance.uniform(0, 700)) for n in range(60)}
    windows = windows_over(at, Rect(0, 0, 300, 200))
    assert all((window.width, window.height) == pytest.approx((300, 200)) for window in windows)
    for x, y in at.values():
        assert any(w.x0 + 30 <= x <= w.x1 - 30 and w.y0 + 30 <= y <= w.y1 - 30 for w in windows)
    assert len(windows) < len(at)
