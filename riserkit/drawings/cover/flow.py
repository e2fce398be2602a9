"""Blocks of a cover sheet set into columns, from sheet to sheet: boxes whole, tables split where a column ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.setting.legend import LegendBox, LegendEntry, NotesBox, lay_out_legend, lay_out_notes
from riserkit.drawings.setting.sheet import GAP_MM, SheetFrame
from riserkit.drawings.setting.table import LaidOutTable, Table, columns_of, lay_out

COLUMN_MM: Final = 180.0
_GUTTER_MM: Final = 5.0
_LEAST_TABLE_MM: Final = 24.0


@dataclass(frozen=True, slots=True)
class Notes:
    """Numbered notes under a title; `first` is the number of the first one."""

    title: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Legend:
    """Samples and their meaning under a title."""

    title: str
    entries: tuple[LegendEntry, ...]


Block = Table | Notes | Legend
"""The widths of a table's columns are shares of the sheet's column."""


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    """A block laid out, and where."""

    item: LaidOutTable | NotesBox | LegendBox
    subject: str
    box: Rect

    def draw(self, canvas: Canvas) -> None:
        """Draw it."""
        with canvas.subject(self.subject):
            self.item.draw(canvas, (self.box.x0, self.box.y1))


def room_columns(frame: SheetFrame, top_mm: float) -> tuple[Rect, ...]:
    """Columns of one sheet, left to right; the last one ends above the title block.

    Args:
        frame: of the sheet.
        top_mm: room left above the columns.
    """
    inner, corner = frame.frame.inset(GAP_MM + 2), frame.corner
    top = inner.y1 - top_mm
    last = Rect(corner.x1 - COLUMN_MM, corner.y1 + GAP_MM, corner.x1 - GAP_MM - 2, top)
    room = last.x0 - _GUTTER_MM - inner.x0
    count = max(int((room + _GUTTER_MM) / (COLUMN_MM - GAP_MM + _GUTTER_MM)), 0)
    width = (room - (count - 1) * _GUTTER_MM) / count if count else 0.0
    lefts = [inner.x0 + n * (width + _GUTTER_MM) for n in range(count)]
    return (*(Rect(x, inner.y0, x + width, top) for x in lefts), last)


def flow(blocks: Sequence[Block], frame: SheetFrame, first_top_mm: float) -> tuple[tuple[PlacedBlock, ...], ...]:
    """Blocks in order on as many sheets as they take.

    Args:
        blocks: see there; empty ones must be left out.
        frame: all sheets have it.
        first_top_mm: room above the columns of the first sheet, for the heading.

    Raises:
        SheetError: a box is higher than a whole column.
    """
    waiting, pages, top_mm = list(blocks), [], first_top_mm
    while waiting:
        before = len(waiting), _size(waiting[0])
        page = tuple(_fill(waiting, room_columns(frame, top_mm)))
        if not page and (len(waiting), _size(waiting[0])) == before:
            raise SheetError(f"{waiting[0].title!r} is higher than a sheet of {frame.size.name}; ask for a larger one")
        pages.append(page)
        top_mm = 0.0
    return tuple(pages)


def _size(block: Block) -> int:
    return len(block.rows if isinstance(block, Table) else block.notes if isinstance(block, Notes) else block.entries)


def _fill(waiting: list[Block], columns: Sequence[Rect]) -> Iterator[PlacedBlock]:
    """Take blocks from the list while there is room."""
    for column in columns:
        y = column.y1
        while waiting:
            placed, rest = _laid_out(waiting[0], column._replace(y1=y), whole=y == column.y1)
            if placed is None:
                break
            yield placed
            y = placed.box.y0 - _GUTTER_MM
            waiting[:1] = [rest] if rest is not None else []
            if rest is not None:
                break


def _laid_out(block: Block, room: Rect, *, whole: bool) -> tuple[PlacedBlock | None, Block | None]:
    """A block, or as much of it as the room holds, and what is left."""
    if isinstance(block, Table):
        return _table(block, room)
    if isinstance(block, Notes):
        notes = lay_out_notes(block.notes, room.width, title=block.title)
        one_column = (tuple(note for column in notes.columns for note in column),)
        box: NotesBox | LegendBox = replace(notes, columns=one_column, text_mm=2.5)
    else:
        box = lay_out_legend(block.entries, room.width, title=block.title)
    if box.height_mm > room.height:
        return _part(block, room, whole=whole)
    area = Rect(room.x0, room.y1 - box.height_mm, room.x1, room.y1)
    return PlacedBlock(box, "sheet:notes" if isinstance(block, Notes) else "sheet:legend", area), None


def _part(block: Notes | Legend, room: Rect, *, whole: bool) -> tuple[PlacedBlock | None, Block | None]:
    """Where a whole column is too low for a legend: half of it, and half again. Notes keep their numbers together."""
    if not whole or isinstance(block, Notes) or len(block.entries) < 2:
        return None, None
    half = len(block.entries) // 2
    placed, rest = _laid_out(replace(block, entries=block.entries[:half]), room, whole=True)
    if placed is None:
        return None, None
    left = block.entries[half:] if rest is None else (*_entries(rest), *block.entries[half:])
    return placed, Legend(_continued(block.title), left)


def _entries(block: Block) -> tuple[LegendEntry, ...]:
    return block.entries if isinstance(block, Legend) else ()


def _continued(title: str) -> str:
    return title if title.endswith("(continued)") else f"{title} (continued)"


def _table(asked: Table, room: Rect) -> tuple[PlacedBlock | None, Block | None]:
    if room.height < _LEAST_TABLE_MM:
        return None, None
    shares = [column.width_mm or 1.0 for column in asked.columns]
    widths = [room.width * share / sum(shares) for share in shares]
    columns = columns_of(asked.headers, widths)
    table = lay_out(replace(asked, columns=columns), width_mm=room.width + 1e-6, height_mm=room.height)
    if not table.rows:
        return None, None
    box = Rect(room.x0, room.y1 - table.height_mm, room.x1, room.y1)
    placed = PlacedBlock(table, "sheet:tables", box)
    return placed, asked.after(len(table.rows), _continued(asked.title)) if table.rest else None
