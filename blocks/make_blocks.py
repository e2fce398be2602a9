"""Draw the shipped blocks again: `python blocks/make_blocks.py`. The same bytes come out each time.

Shapes read in black and white: outlines 0.35 mm, inner strokes 0.25 mm, and letters. Contacts, coil, diode and
battery after IEC 60617, drawn from memory of the published standard on its 2.5 mm grid.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.document import TEXT_STYLE, new_document, to_bytes, write_whole
from riserkit.drawings.dxf.lettering import ALIGNMENT, LEAST_IMPERIAL_MM, Anchor
from riserkit.drawings.dxf.symbols import ELEVATION_SYMBOLS, PLAN_SYMBOLS, SYMBOLS
from riserkit.drawings.dxf.title_block import (
    FIELDS,
    HEIGHT_MM,
    TITLE_BLOCK_NAME,
    WIDTH_MM,
)

Point = tuple[float, float]
OUTLINE: Final = 35
STROKE: Final = 25
THIN: Final = 18


class Sketch:
    """One block being drawn. Lines stand on layer 0, so that they take the layer of the inserted block."""

    def __init__(self) -> None:
        self.doc = new_document()
        self.space: Any = self.doc.modelspace()

    def line(self, *points: Point, weight: int = OUTLINE, closed: bool = False) -> None:
        """A line through points."""
        self.space.add_lwpolyline(points, close=closed, dxfattribs={"layer": "0", "lineweight": weight})

    def box(self, x0: float, y0: float, x1: float, y1: float, weight: int = OUTLINE) -> None:
        """An upright rectangle."""
        self.line((x0, y0), (x1, y0), (x1, y1), (x0, y1), weight=weight, closed=True)

    def circle(self, x: float, y: float, radius: float, weight: int = OUTLINE) -> None:
        """A circle."""
        self.space.add_circle((x, y), radius, dxfattribs={"layer": "0", "lineweight": weight})

    def arc(self, center: Point, radius: float, start: float, end: float, weight: int = STROKE) -> None:
        """An arc."""
        self.space.add_arc(center, radius, start, end, dxfattribs={"layer": "0", "lineweight": weight})

    def fill(self, *points: Point) -> None:
        """A filled polygon."""
        hatch = self.space.add_hatch(color=256, dxfattribs={"layer": "0"})
        hatch.paths.add_polyline_path(points, is_closed=True)

    def text(self, text: str, x: float, y: float, height: float = 2.5, anchor: Anchor = "middle") -> None:
        """Fixed letters."""
        self.space.add_text(text, dxfattribs={**_placed(x, y, height, anchor), "layer": "0"})

    def attribute(
        self, tag: str, x: float, y: float, height: float = 2.5, anchor: Anchor = "middle", *, unseen: bool = False
    ) -> None:
        """An attribute to fill in; an unseen one is read in a list of blocks, not on paper."""
        made = self.space.add_attdef(
            tag, (x, y), "", dxfattribs={**_placed(x, y, height, anchor), "layer": layers.IDENT}
        )
        made.is_invisible = unseen


def _placed(x: float, y: float, height: float, anchor: Anchor) -> dict[str, Any]:
    halign, valign = ALIGNMENT[anchor]
    place = {"style": TEXT_STYLE, "height": height, "halign": halign, "valign": valign, "insert": (x, y)}
    return place if (halign, valign) == (0, 0) else {**place, "align_point": (x, y)}


# -- riser ------------------------------------------------------------------------------------------------------


def _closet(s: Sketch) -> None:
    s.box(-20, -7, 20, 7, weight=50)
    s.line((-20, 0), (20, 0), weight=THIN)
    s.attribute("REF", 0, 3.5, 3.5)
    s.attribute("TITLE", 0, -3.5)


def _switch(s: Sketch) -> None:
    s.box(-20, -6, 20, 6)
    s.line((-10, -6), (-10, 6), weight=THIN)
    s.text("SW", -15, 2.6, 3.5)
    for n in range(4):
        s.box(-18.6 + 2 * n, -4, -17.4 + 2 * n, -2.4, weight=THIN)
    s.attribute("REF", 5, 3.6)
    s.attribute("PORTS", 5, 0)
    s.attribute("LABEL", 5, -3.6)


def _opening_single(s: Sketch) -> None:
    s.line((-4, -12), (-4, 0), (4, 0), (4, -12), weight=50)
    s.box(-3, -12, 3, -1, weight=STROKE)
    s.circle(2, -6.8, 0.5, weight=STROKE)
    s.attribute("MARK", 0, -15.5, 2.5)


def _opening_double(s: Sketch) -> None:
    s.line((-6, -12), (-6, 0), (6, 0), (6, -12), weight=50)
    s.box(-5, -12, 0, -1, weight=STROKE)
    s.box(0, -12, 5, -1, weight=STROKE)
    s.circle(-0.9, -6.8, 0.5, weight=STROKE)
    s.circle(0.9, -6.8, 0.5, weight=STROKE)
    s.attribute("MARK", 0, -15.5, 2.5)


def _opening_gate(s: Sketch) -> None:
    s.line((-6, -12), (-6, 0), weight=70)
    s.line((6, -12), (6, 0), weight=70)
    s.line((-6, -2), (6, -2), weight=STROKE)
    s.line((-6, -10), (6, -10), weight=STROKE)
    for x in (-4, -2, 0, 2, 4):
        s.line((x, -10), (x, -2), weight=STROKE)
    s.line((-6, 0), (6, 0), weight=THIN)
    s.line((-6, -12), (6, -12), weight=THIN)
    s.attribute("MARK", 0, -15.5, 2.5)


def _supply(s: Sketch) -> None:
    s.box(-12, -6, 12, 6)
    s.line((-9, 3.6), (-4, 3.6), weight=STROKE)
    for x in (-9, -7, -5):
        s.line((x, 2.2), (x + 1, 2.2), weight=STROKE)
    s.attribute("REF", 3.5, 2.9)
    s.attribute("LABEL", 0, -2.6)


# -- devices ----------------------------------------------------------------------------------------------------


def _contact_no(s: Sketch) -> None:
    s.line((0, 5), (0, 2.5), weight=STROKE)
    s.line((0, -5), (0, -2.5), (-2.5, 2.5), weight=STROKE)
    s.attribute("REF", -4, 0, anchor="middle_right")


def _contact_nc(s: Sketch) -> None:
    s.line((0, 5), (0, 2.5), (2.4, 2.5), weight=STROKE)
    s.line((0, -5), (0, -2.5), (2.25, 3.2), weight=STROKE)
    s.attribute("REF", -2, 0, anchor="middle_right")


def _coil(s: Sketch) -> None:
    s.line((0, 5), (0, 2.5), weight=STROKE)
    s.line((0, -5), (0, -2.5), weight=STROKE)
    s.box(-5, -2.5, 5, 2.5)
    s.attribute("REF", 0, 0)


def _diode(s: Sketch) -> None:
    s.line((0, 5), (0, -5), weight=STROKE)
    s.line((-2.5, -2.2), (2.5, -2.2), (0, 2.2), closed=True)
    s.line((-2.5, 2.2), (2.5, 2.2), weight=50)
    s.attribute("REF", 4, 0, anchor="middle_left")


def _suppressor(s: Sketch) -> None:
    s.line((0, 5), (0, 3.5), weight=STROKE)
    s.line((0, -5), (0, -3.5), weight=STROKE)
    s.box(-1.4, -3.5, 1.4, 3.5)
    s.line((-3, -3.4), (-3, -2), (3, 2), weight=STROKE)
    s.attribute("REF", 4, 0, anchor="middle_left")


def _battery(s: Sketch) -> None:
    s.line((0, 5), (0, 1.1), weight=STROKE)
    s.line((0, -5), (0, -1.1), weight=STROKE)
    s.line((-4, 1.1), (4, 1.1), weight=STROKE)
    s.line((-2, -1.1), (2, -1.1), weight=50)
    s.attribute("REF", 5, 0, anchor="middle_left")


def _elevation(s: Sketch, name: str) -> None:
    symbol = SYMBOLS[name]
    s.box(*symbol.body)
    s.text(symbol.letters, 0, 0)
    s.attribute("REF", symbol.body.x1 + 1, 0, anchor="middle_left")


# -- plan -------------------------------------------------------------------------------------------------------


def _in_plan(s: Sketch) -> None:
    s.attribute("REF", 0, 0)
    s.attribute("MARK", 0, 0, unseen=True)


def _plan_controller(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5, weight=50)
    s.box(-3.4, -1.9, 3.4, 1.9, weight=THIN)


def _plan_reader(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5)
    for x in (-3.5, 3.5):
        s.line((x, -2.5), (x, 2.5), weight=THIN)


def _plan_lock(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5)
    s.fill((-4, -2.5), (4, -2.5), (4, -1.7), (-4, -1.7))


def _plan_contact(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5)
    for x in (-4.0, 3.4):
        s.fill((x, -2.5), (x + 0.6, -2.5), (x + 0.6, 2.5), (x, 2.5))


def _plan_rex(s: Sketch) -> None:
    s.line((-4, -2.5), (4, -2.5), (4, 0), (3, 2.5), (-3, 2.5), (-4, 0), closed=True)


def _plan_button(s: Sketch) -> None:
    s.line((-4, 0), (-3, -2.5), (3, -2.5), (4, 0), (3, 2.5), (-3, 2.5), closed=True)


def _plan_transfer(s: Sketch) -> None:
    s.line((-4, -2.5), (4, -2.5), (4, 2.5), (-2.5, 2.5), (-4, 1), closed=True)


def _plan_junction_box(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5, weight=THIN)
    for x, y in ((-4, -2.5), (4, -2.5), (4, 2.5), (-4, 2.5)):
        s.line((x - math.copysign(1.0, x), y), (x, y - math.copysign(1.0, y)), weight=THIN)


def _plan_box(s: Sketch) -> None:
    s.box(-4, -2.5, 4, 2.5, weight=THIN)


# -- annotation -------------------------------------------------------------------------------------------------


def _north_arrow(s: Sketch) -> None:
    s.circle(0, 0, 6, weight=STROKE)
    s.line((0, 6), (3, -5), (0, -3), (-3, -5), weight=STROKE, closed=True)
    s.fill((0, 6), (0, -3), (-3, -5))
    s.text("N", 0, 8, 2.5)


def _revision_delta(s: Sketch) -> None:
    s.line((-3.5, -2.02), (3.5, -2.02), (0, 4.04), closed=True)
    s.attribute("REV", 0, 0)


def _title_block(s: Sketch) -> None:
    s.box(0, 0, WIDTH_MM, HEIGHT_MM, weight=50)
    for field in FIELDS:
        x0, _, _, y1 = field.cell
        if field.caption:
            s.box(*field.cell, weight=THIN)
            s.text(field.caption, x0 + 1.5, y1 - 1.0, LEAST_IMPERIAL_MM, "top_left")
        s.attribute(field.tag, field.text_x, field.text_y, field.height_mm, "left")
    s.line((62, 11), (WIDTH_MM, 11), weight=THIN)


def _wiring_device(s: Sketch) -> None:
    s.fill((0, 0), (1.2, 0), (0, -1.2))
    for n, tag in enumerate(("REF", "TITLE", "PLACE")):
        s.attribute(tag, 0, -4.0 * n, anchor="left", unseen=True)


DRAW: Final[dict[str, Callable[[Sketch], None]]] = {
    f.__name__.removeprefix("_"): f
    for f in (
        _closet,
        _switch,
        _opening_single,
        _opening_double,
        _opening_gate,
        _supply,
        _contact_no,
        _contact_nc,
        _coil,
        _diode,
        _suppressor,
        _battery,
        _plan_controller,
        _plan_reader,
        _plan_lock,
        _plan_contact,
        _plan_rex,
        _plan_button,
        _plan_transfer,
        _plan_junction_box,
        _plan_box,
        _north_arrow,
        _revision_delta,
        _wiring_device,
        _title_block,
    )
}


def sketch(name: str) -> Sketch:
    """One block, drawn."""
    made = Sketch()
    if name in {symbol.name for symbol in ELEVATION_SYMBOLS}:
        _elevation(made, name)
        return made
    if name in {symbol.name for symbol in PLAN_SYMBOLS}:
        _in_plan(made)
    DRAW[name](made)
    return made


def make_blocks(folder: Path, names: Sequence[str] = (*SYMBOLS, TITLE_BLOCK_NAME)) -> None:
    """Write the blocks into a folder, one DXF file each."""
    for name in names:
        write_whole(folder / f"{name}.dxf", to_bytes(sketch(name).doc))


if __name__ == "__main__":
    make_blocks(Path(__file__).parent)
