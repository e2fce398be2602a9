"""The sheet: frame, centring marks, zones, title block, revisions, the standing caution, and the room that is left.

Frame after ISO 5457: 20 mm binding edge on the left, 10 mm on the other sides, frame line 0.7 mm, centring marks,
fields of 50 mm from the sheet's middle, letters downward without I and O, numbers to the right (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import block_height_mm, wrap
from riserkit.drawings.dxf.title_block import (
    HEIGHT_MM,
    TITLE_BLOCK_NAME,
    WIDTH_MM,
    TitleBlock,
    field_rooms,
    field_values,
)
from riserkit.drawings.setting.table import LaidOutTable, Table, columns_of, lay_out
from riserkit.standards.sheets import MARGIN_LEFT_MM, MARGIN_OTHER_MM, PaperSize

ZONE_MM: Final = 50.0
ZONE_BORDER_MM: Final = 5.0
ZONE_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
MARK_MM: Final = 5.0
"""Centring marks reach so far inside the frame (ISO 5457, from memory)."""
GAP_MM: Final = 4.0
CAUTION_HEIGHT_MM: Final = 2.5

STANDING_CAUTION: Final = (
    "Life-safety functions are verified on site before use. The local code, the authority having jurisdiction and "
    "licensed practice govern. Wiring to the mains only by persons licensed for it."
)

_REVISION_STEP_MM: Final = 17.0
"""The heading and two revisions of one line; each further step takes three."""


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One line of the revision table; `sheets` are those that it changed, none for a revision of the whole set."""

    index: str
    date: str
    description: str
    by: str = ""
    sheets: frozenset[str] = frozenset()


@dataclass(frozen=True)
class SheetFrame:
    """Geometry of one sheet, in millimetres from its lower left corner."""

    size: PaperSize
    title: TitleBlock
    revisions: tuple[RevisionLine, ...] = ()
    caution: str = STANDING_CAUTION

    @property
    def sheet(self) -> Rect:
        """The trimmed sheet."""
        return Rect(0, 0, self.size.width_mm, self.size.height_mm)

    @property
    def frame(self) -> Rect:
        """The frame line; everything drawn stays inside."""
        return Rect(
            MARGIN_LEFT_MM, MARGIN_OTHER_MM, self.size.width_mm - MARGIN_OTHER_MM, self.size.height_mm - MARGIN_OTHER_MM
        )

    @property
    def title_block(self) -> Rect:
        """Lower right corner of the frame."""
        x1, y0 = self.frame.x1, self.frame.y0
        return Rect(x1 - WIDTH_MM, y0, x1, y0 + HEIGHT_MM)

    @property
    def caution_box(self) -> Rect:
        """Above the title block, as high as the caution needs."""
        lines = len(self.caution_lines)
        height = block_height_mm(lines, CAUTION_HEIGHT_MM) + 4.0 if lines else 0.0
        block = self.title_block
        return Rect(block.x0, block.y1, block.x1, block.y1 + height)

    @property
    def caution_lines(self) -> tuple[str, ...]:
        """The caution, wrapped; a tenth of the width is left for programs without the font."""
        return wrap(self.caution, (WIDTH_MM - 4) * 0.9, CAUTION_HEIGHT_MM) if self.caution.strip() else ()

    @property
    def revision_box(self) -> Rect:
        """Above the caution; of no height when there are no revisions."""
        # As high as all of them need, on every sheet: the same room is left, whichever of them changed it. In steps: one
        # revision more leaves what the sheets show where it was.
        table = self._revision_table(self.revisions)
        box = self.caution_box
        steps = math.ceil(table.height_mm / _REVISION_STEP_MM) if table else 0
        return Rect(box.x0, box.y1, box.x1, box.y1 + steps * _REVISION_STEP_MM)

    @property
    def corner(self) -> Rect:
        """Title block, caution and revisions together: what is taken of the lower right corner."""
        return Rect(self.title_block.x0, self.title_block.y0, self.title_block.x1, self.revision_box.y1)

    @property
    def inner(self) -> Rect:
        """Inside the frame, clear of its centring marks."""
        return self.frame.inset(MARK_MM + 1)

    @property
    def content(self) -> Rect:
        """The whole width above the corner."""
        return self.inner._replace(y0=self.corner.y1 + GAP_MM)

    @property
    def own_revisions(self) -> tuple[RevisionLine, ...]:
        """Those that changed this sheet."""
        return tuple(r for r in self.revisions if not r.sheets or self.title.number in r.sheets)

    def _revision_table(self, revisions: Sequence[RevisionLine]) -> LaidOutTable | None:
        if not revisions:
            return None
        columns = columns_of(("Rev.", "Date", "Description", "By"), (16, 28, 100, 36))
        newest_first = tuple((r.index, r.date, r.description, r.by) for r in reversed(revisions))
        return lay_out(Table("", columns, newest_first), width_mm=WIDTH_MM)

    def draw(self, canvas: Canvas) -> None:
        """Draw all of it on the canvas's paper."""
        with canvas.paper():
            _draw_frame(canvas, self)
            _draw_zones(canvas, self)
            values = field_values(self.title)
            canvas.insert(
                TITLE_BLOCK_NAME,
                (self.title_block.x0, self.title_block.y0),
                values,
                layer=layers.TITLE_BLOCK,
                fit_mm=field_rooms(self.title),
            )
            _draw_caution(canvas, self)
            table, box = self._revision_table(self.own_revisions), self.caution_box
            if table is not None:
                table.draw(canvas, (box.x0, box.y1 + table.height_mm), layer=layers.TITLE_BLOCK)


def zone_count(frame_mm: float) -> int:
    """Fields along one side of the frame: the even number nearest to fields of 50 mm (ISO 5457, from memory)."""
    return 2 * max(1, round(frame_mm / ZONE_MM / 2))


def zone_edges(low: float, high: float, middle: float) -> tuple[float, ...]:
    """Edges of the fields along one side: 50 mm apart from the sheet's middle, the outer fields take the rest."""
    half = zone_count(high - low) // 2
    inner = [middle + n * ZONE_MM for n in range(1 - half, half)]
    return (low, *inner, high)


def _edges(frame: SheetFrame) -> tuple[tuple[float, ...], tuple[float, ...]]:
    inner, (middle_x, middle_y) = frame.frame, frame.sheet.center
    return zone_edges(inner.x0, inner.x1, middle_x), zone_edges(inner.y0, inner.y1, middle_y)


def _draw_frame(canvas: Canvas, frame: SheetFrame) -> None:
    inner, (x, y) = frame.frame, frame.sheet.center
    canvas.rect(inner, Pen(layers.TITLE_BLOCK, 0.70))
    canvas.rect(inner.inset(-ZONE_BORDER_MM), Pen(layers.TITLE_BLOCK, 0.35))
    mark, out, corner = Pen(layers.TITLE_BLOCK, 0.70), ZONE_BORDER_MM, frame.corner
    # a mark stops at the frame line where the title block is
    below = 0.0 if corner.x0 < x else MARK_MM
    right = 0.0 if corner.y1 > y else MARK_MM
    canvas.line((x, inner.y0 - out), (x, inner.y0 + below), mark)
    canvas.line((x, inner.y1 + out), (x, inner.y1 - MARK_MM), mark)
    canvas.line((inner.x0 - out, y), (inner.x0 + MARK_MM, y), mark)
    canvas.line((inner.x1 + out, y), (inner.x1 - right, y), mark)


def _draw_zones(canvas: Canvas, frame: SheetFrame) -> None:
    inner, (xs, ys) = frame.frame, _edges(frame)
    tick, half = Pen(layers.TITLE_BLOCK, 0.35), ZONE_BORDER_MM / 2
    rows = [ZONE_LETTERS[n] for n in range(len(ys) - 1)]
    for low, high, n in zip(xs, xs[1:], range(1, len(xs)), strict=False):
        for y, outer in ((inner.y1, inner.y1 + ZONE_BORDER_MM), (inner.y0, inner.y0 - ZONE_BORDER_MM)):
            _zone_name(canvas, str(n), ((low + high) / 2, (y + outer) / 2))
            if n > 1:
                canvas.line((low, y), (low, outer), tick)
    for low, high, letter in zip(ys, ys[1:], reversed(rows), strict=False):
        for x, outer in ((inner.x0, inner.x0 - ZONE_BORDER_MM), (inner.x1, inner.x1 + ZONE_BORDER_MM)):
            _zone_name(canvas, letter, (min(x, outer) + half, (low + high) / 2))
            if low > ys[0]:
                canvas.line((x, low), (outer, low), tick)


def _zone_name(canvas: Canvas, name: str, at: tuple[float, float]) -> None:
    canvas.text(name, at, 2.5, "middle", layers.TITLE_BLOCK)


def _draw_caution(canvas: Canvas, frame: SheetFrame) -> None:
    if not frame.caution_lines:
        return
    box = frame.caution_box
    canvas.rect(box, Pen(layers.TITLE_BLOCK, 0.50))
    text = "\n".join(frame.caution_lines)
    canvas.paragraph(text, (box.x0 + 2, box.y1 - 2), (WIDTH_MM - 4) * 0.9, CAUTION_HEIGHT_MM, layers.NOTE)
