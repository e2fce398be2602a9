"""A cloud goes round the whole of a table's row: it is drawn through no line of a cell that has several."""

from __future__ import annotations

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.revisions.clouds import draw_revisions
from riserkit.drawings.revisions.content import model_lines
from riserkit.drawings.revisions.values import SheetRevisions

ROWS = (300.0, 284.0)
"""Heights of the middle lines of two rows, each with a cell of three lines, 4 mm apart, and one of two."""


def _sheet(reading: str) -> Canvas:
    canvas = Canvas("T-1", sheet_size("A1"))
    with canvas.subject("opening:2/readings"):
        for n, y in enumerate(ROWS):
            canvas.text(f"{n}", (20, y), 2.5)
            for line, words in enumerate(("controller locks, lock", "energised; mains on,", "battery charged")):
                canvas.text(words, (40, y + 4 - 4 * line), 2.5)
            for line, words in enumerate(("module contact", "C to NO")):
                canvas.text(words, (90, y + 2 - 4 * line), 2.5)
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
