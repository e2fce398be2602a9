"""A cloud goes round the whole of a table's row, through no line of a cell that has several; what only moved has none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from riserkit.checked import Checked
from riserkit.circuits.netlist import Netlist
from riserkit.design import Design
from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.door.sheets import plan_door_sheets
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.revisions.clouds import _overlaps_any, draw_revisions
from riserkit.drawings.revisions.content import model_lines, sheet_content
from riserkit.drawings.revisions.values import SheetContent, SheetRevisions
from riserkit.drawings.wiring.draw import draw_wiring
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.values import Style
from riserkit.findings import Finding
from riserkit.reports.test_sheet import door_tests

ROWS = (300.0, 284.0)
"""Heights of the middle lines of two rows, each with a cell of three lines, 4 mm apart, and one of two."""


def _sheet(reading: str) -> Canvas:
    canvas = Canvas("T-1", sheet_size("A1"))
    with canvas.subject("opening:2/readings"):
        for n, y in enumerate(ROWS):
            with canvas.wholes.row():
                canvas.text(f"{n}", (20, y), 2.5)
                canvas.lines(
                    ("controller locks, lock", "energised; mains on,", "battery charged"), (40, y + 4), 2.5, "left"
                )
                canvas.lines(("module contact", "C to NO"), (90, y + 2), 2.5, "left")
                canvas.text(reading if n == 0 else "0.3", (120, y), 2.5)
    return canvas


def test_the_cloud_cuts_no_line_of_the_row() -> None:
    before = {line.digest for line in model_lines(_sheet(""), is_plan=False)}
    canvas = _sheet("13.68")
    new = tuple(line.digest for line in model_lines(canvas, is_plan=False) if line.digest not in before)
    assert len(new) == 1
    texts = [box.rect for box in canvas.placed.boxes if box.kind == "text"]
    draw_revisions(canvas, SheetRevisions({"opening:2/readings": new}, ()), is_plan=False)
    clouds = [e for e in canvas.doc.modelspace() if e.dxf.layer == layers.REVISION and e.dxftype() == "LWPOLYLINE"]
    assert len(clouds) == 1, "one cloud, in one piece"
    assert clouds[0].closed
    xs, ys = zip(*clouds[0].get_points("xy"), strict=True)
    round_it = Rect(min(xs), min(ys), max(xs), max(ys))
    inside = [rect for rect in texts if round_it.holds(rect)]
    assert len(inside) == 7, "number, three lines, two lines and the reading of one row"
    assert not [rect for rect in texts if rect not in inside and rect.overlaps(round_it)]


def _said(design: Design, findings: Sequence[Finding], test: DoorTest, sheet: str) -> dict[str, set[str]]:
    """What all sheets of door 2 say, drawn on the size asked for."""
    info = design.site.info.model_copy(update={"sheet_size": sheet})
    made = replace(design, site=design.site.model_copy(update={"info": info}))
    found: dict[str, set[str]] = {}
    for one in plan_door_sheets(made, made.door["2"], findings, test=test):
        for name, lines in sheet_content(one.draw(), is_plan=False).items():
            found.setdefault(name, set()).update(lines)
    return found


def test_a_detail_that_is_laid_out_anew_says_the_same(checked_sample: Callable[[str], Checked]) -> None:
    """On one large sheet or on two small ones: tables are wider, notes break elsewhere, the elevation is drawn larger."""
    checked = checked_sample("first-look")
    test = door_tests(checked.design)["2"]
    small, large = (_said(checked.design, checked.findings, test, size) for size in ("", "ISO A1"))
    pointer = {name for name in small if name.endswith("/notes")}  # on two sheets a note names the other
    assert len(small) > 20
    for name, lines in large.items():
        assert lines == small[name] if name not in pointer else lines < small[name], name
    assert set(small) == set(large)


def _wired(netlist: Netlist, style: Style) -> SheetContent:
    canvas = Canvas("T-1", sheet_size("A1"))
    draw_wiring(canvas, lay_out(netlist, style, 400.0), (20.0, 20.0), "opening:1")
    return sheet_content(canvas, is_plan=False)


def test_conductors_without_room_for_their_gauge_are_not_revised_but_those_of_another_gauge_are(
    checked_sample: Callable[[str], Checked],
) -> None:
    netlist = checked_sample("first-look").design.door["1"].wiring.netlist
    assert netlist is not None
    crowded = Style(with_gauge=False, share_lanes=True)
    roomy, narrow = _wired(netlist, Style()), _wired(netlist, crowded)
    assert roomy == narrow
    thicker = next(c for c in netlist.conductors if c.cable and c.gauge != "14 AWG")
    made = tuple(replace(c, gauge="14 AWG") if c is thicker else c for c in netlist.conductors)
    other = replace(netlist, conductors=made)
    changed = {name for name, lines in _wired(other, crowded).items() if lines != narrow[name]}
    assert changed == {f"opening:1/conductor/{thicker.ref}"}


def test_a_free_spot_overlaps_what_a_rectangle_overlaps() -> None:
    """Edges that meet, within a millionth of a millimetre, and corners: as `Rect.overlaps` has it, one by one."""
    steps = (0.0, 1.0, 1.0 + 5e-7, 1.0 + 2e-6, 2.0)
    rects = [
        Rect(x0, y0, x1, y1) for x0 in steps for x1 in steps if x0 < x1 for y0 in (0.0, 1.0) for y1 in steps if y0 < y1
    ]
    for rect in rects:
        for other in rects:
            assert _overlaps_any(rect, np.array([other])) == rect.overlaps(other), (rect, other)
    assert _overlaps_any(rects[0], np.array([Rect(9, 9, 10, 10), rects[0]]))
    assert not _overlaps_any(rects[0], np.array([]).reshape(-1, 4))
