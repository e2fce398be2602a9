"""Tables: columns as wide as their text asks, cells wrapped, split where the room ends. Nothing overflows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import zip_longest
from typing import Final, Literal

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import LINE_PITCH, block_height_mm, fit_text, text_width_mm

PADDING_MM: Final = 1.2
SLACK: Final = 1.08
"""Columns are so much wider than the text measured, for programs that lack the font."""
MAX_CELL_LINES: Final = 24
_MOST_TITLE_LINES: Final = 4
_MOST_WORD_MM: Final = 40.0
_TITLE: Final = 1.4  # height of a title over that of the cells, one step of ISO 3098
TITLE_SHARE: Final = 0.92
"""Of the table's width, what a title takes at most."""

Align = Literal["left", "center", "right"]


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column. `width_mm` None takes the width of its text, up to `max_width_mm`."""

    header: str
    width_mm: float | None = None
    max_width_mm: float = 80.0
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a sheet before it is laid out.

    Args:
        title: above it in larger letters, wrapped to its width; none when empty.
        columns: left to right.
        rows: cells as the user wrote them, as many as there are columns.
        subjects: what each row is about, kept with its texts; none when empty.
        held: which rows are about an opening on HOLD; none when empty.
        name: its identity, such as `openings`.
        keys: what each row is known by when the table is drawn anew; its first cell when empty.
    """

    title: str
    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    subjects: tuple[str, ...] = ()
    held: tuple[bool, ...] = ()
    name: str = ""
    keys: tuple[str, ...] = ()

    @property
    def headers(self) -> tuple[str, ...]:
        """Headers of its columns."""
        return tuple(column.header for column in self.columns)

    def after(self, count: int, title: str) -> Table:
        """What is left of it after so many rows, under another title."""
        return replace(
            self, title=title, rows=self.rows[count:], subjects=self.subjects[count:], held=self.held[count:],
            keys=self.keys[count:],
        )  # fmt: skip


def columns_of(headers: Sequence[str], widths_mm: Sequence[float | None] = ()) -> tuple[TableColumn, ...]:
    """Columns by their headers, as wide as given or as their text asks."""
    return tuple(map(TableColumn, headers, widths_mm or (None,) * len(headers)))


@dataclass(frozen=True, slots=True)
class TableRow:
    """Cells, each as its lines of text, and the row's height; whether it is about an opening on HOLD; what it is known by."""

    cells: tuple[tuple[str, ...], ...]
    height_mm: float
    subject: str = ""
    held: bool = False
    key: str = "header"


@dataclass(frozen=True)
class LaidOutTable:
    """A table laid out, or as many of its rows as the height has room for; `rest` counts the others."""

    columns: tuple[TableColumn, ...]
    widths_mm: tuple[float, ...]
    header: TableRow
    rows: tuple[TableRow, ...]
    height_text_mm: float
    title: str = ""
    name: str = ""
    rest: int = 0

    @property
    def width_mm(self) -> float:
        """Outer width."""
        return sum(self.widths_mm)

    @property
    def title_lines(self) -> tuple[str, ...]:
        """The title as wide as the table."""
        return _title_lines(self.title, self.width_mm, self.height_text_mm)

    @property
    def title_height_mm(self) -> float:
        """Room of the title above the table, 0 without one."""
        return _title_height(self.title_lines, self.height_text_mm)

    @property
    def height_mm(self) -> float:
        """Outer height with title and header."""
        return self.title_height_mm + self.header.height_mm + sum(row.height_mm for row in self.rows)

    def draw(self, canvas: Canvas, top_left: Point, layer: str = layers.SCHEDULE) -> Rect:
        """Draw it with its upper left corner at a point; returns the box it covers.

        Coordinates are millimetres of paper: draw on the paper, or in a model seen at 1:1.
        """
        x, top = top_left
        if self.title:
            letters = self.height_text_mm * _TITLE
            with canvas.part(f"{self.called}/title"):
                canvas.lines(self.title_lines, (x, top - letters * 1.3), letters, "left", layer)
        y = top - self.title_height_mm
        box = Rect(x, top - self.height_mm, x + self.width_mm, top)
        with canvas.part(f"{self.called}/frame"):
            canvas.rect(Rect(x, box.y0, box.x1, y), Pen(layer, 0.50))
        _draw_rules(canvas, self, (x, y), layer)
        met: Counter[str] = Counter()
        for row in (self.header, *self.rows):
            met[row.key] += 1
            again = f" {met[row.key]}" if met[row.key] > 1 else ""
            # what a row says is picked as one, under a name that stays with it; a table without one is part of the frame
            with canvas.group(f"{self.called}/{row.key}{again}") if self.title else nullcontext():
                self._draw_row(canvas, row, (x, y), layer)
            y -= row.height_mm
        return box

    @property
    def called(self) -> str:
        """Its title without what changes: counts after a colon, and whether it goes on."""
        return self.title.partition(":")[0].removesuffix(" (continued)").removesuffix(", continued")

    def _draw_row(self, canvas: Canvas, row: TableRow, top_left: Point, layer: str) -> None:
        with canvas.subject(row.subject) if row.subject else nullcontext(), canvas.wholes.row():
            self._draw_cells(canvas, row, top_left, layer)

    def _draw_cells(self, canvas: Canvas, row: TableRow, top_left: Point, layer: str) -> None:
        x, y = top_left
        for column, width, lines in zip(self.columns, self.widths_mm, row.cells, strict=True):
            free = row.height_mm - block_height_mm(len(lines), self.height_text_mm)
            at = (_cell_x(column.align, x, width), y - free / 2)
            anchor = _ANCHORS[column.align]
            with canvas.part(f"{self.called}/{row.key}/{column.header}"):
                canvas.lines(lines, at, self.height_text_mm, anchor, layer)
            x += width


_ANCHORS: Final[dict[Align, Literal["top_left", "top_center", "top_right"]]] = {
    "left": "top_left",
    "center": "top_center",
    "right": "top_right",
}


def _cell_x(align: Align, x: float, width_mm: float) -> float:
    return {"left": x + PADDING_MM, "center": x + width_mm / 2, "right": x + width_mm - PADDING_MM}[align]


def _draw_rules(canvas: Canvas, table: LaidOutTable, top_left: Point, layer: str) -> None:
    x, y = top_left
    bottom = y - table.header.height_mm - sum(row.height_mm for row in table.rows)
    thin, edge = Pen(layer, 0.18), x
    for column, width in zip(table.columns[:-1], table.widths_mm, strict=False):
        edge += width
        with canvas.part(f"{table.called}/right of {column.header}"):
            canvas.line((edge, bottom), (edge, y), thin)
    over = (table.header, *table.rows)[: len(table.rows)]
    for n, row in enumerate(over):
        y -= row.height_mm
        with canvas.part(f"{table.called}/under {row.key}"):
            canvas.line((x, y), (x + table.width_mm, y), Pen(layer, 0.35) if n == 0 else thin)


def lay_out(table: Table, *, width_mm: float, height_mm: float = float("inf"), text_mm: float = 2.5) -> LaidOutTable:
    """Lay a table out in a room.

    Args:
        table: what it says.
        width_mm: greatest outer width; free columns give way in proportion when the text asks more.
        height_mm: greatest outer height; its `rest` counts the rows that it has no room for.
        text_mm: height of lettering.

    Returns:
        the table, without rows when not even one has room.

    Raises:
        SheetError: a row has another number of cells, or the columns cannot be as narrow as the width asks.
    """
    columns = table.columns
    # Of columns with widths only the rows that have room are looked at: a long table is laid out once for each of its sheets.
    if any(column.width_mm is None for column in columns):
        for n, cells in enumerate(table.rows, 1):
            _check_cells(n, cells, columns)
    widths = _column_widths(columns, table.rows, width_mm, text_mm)
    lines = _lines([column.header for column in columns], widths, text_mm)
    header = TableRow(lines, _row_height_mm(lines, text_mm))
    left = height_mm - header.height_mm - _title_height(_title_lines(table.title, sum(widths), text_mm), text_mm)
    placed: list[TableRow] = []
    rows = zip_longest(table.rows, table.subjects, table.held, table.keys)
    for n, (cells, subject, held, key) in enumerate(rows, 1):
        _check_cells(n, cells, columns)
        lines = _lines(cells, widths, text_mm)
        height_mm = _row_height_mm(lines, text_mm)
        if height_mm > left + 1e-9:
            break
        left -= height_mm
        placed.append(TableRow(lines, height_mm, subject or "", bool(held), cells[0] if key is None else key))
    return LaidOutTable(
        columns, widths, header, tuple(placed), text_mm, table.title, table.name, len(table.rows) - len(placed)
    )


def _check_cells(n: int, cells: Sequence[str], columns: Sequence[TableColumn]) -> None:
    if len(cells) != len(columns):
        raise SheetError(f"row {n} has {len(cells)} cells for {len(columns)} columns")


def _title_lines(title: str, width_mm: float, text_mm: float) -> tuple[str, ...]:
    letters_mm = text_mm * _TITLE
    room_mm = width_mm * TITLE_SHARE
    return fit_text(title, room_mm, letters_mm, letters_mm, _MOST_TITLE_LINES).lines if title else ()


def _title_height(lines: Sequence[str], text_mm: float) -> float:
    return text_mm * _TITLE * (1.9 + LINE_PITCH * (len(lines) - 1)) if lines else 0.0


def _lines(cells: Sequence[str], widths: Sequence[float], text_mm: float) -> tuple[tuple[str, ...], ...]:
    return tuple([_cell_lines(cell, width, text_mm) for cell, width in zip(cells, widths, strict=True)])


def _row_height_mm(lines: Sequence[Sequence[str]], text_mm: float) -> float:
    height = block_height_mm(max(map(len, lines)), text_mm)
    return height + 2 * PADDING_MM + text_mm * (LINE_PITCH - 1) / 2


@lru_cache(maxsize=32768)
def _cell_lines(cell: str, width_mm: float, text_mm: float) -> tuple[str, ...]:
    room = (width_mm - 2 * PADDING_MM) / SLACK
    if not cell.strip():
        return ("",)
    # a cell longer than this would fill the sheet alone: cut, with an ellipsis to say so
    return fit_text(cell, room, text_mm, text_mm, MAX_CELL_LINES).lines


def _column_widths(
    columns: Sequence[TableColumn], rows: Sequence[Sequence[str]], width_mm: float, text_mm: float
) -> tuple[float, ...]:
    asked = [_asked_mm(column, (row[n] for row in rows), text_mm) for n, column in enumerate(columns)]
    over = sum(asked) - width_mm
    if over <= 0:
        return tuple(asked)
    least = [_least_mm(column, want, text_mm) for column, want in zip(columns, asked, strict=True)]
    whole = [
        max(a, min(b, _word_mm({row[n] for row in rows}, text_mm)))
        for n, (a, b) in enumerate(zip(least, asked, strict=True))
    ]
    # words stay whole where the room allows it
    least = whole if sum(whole) <= width_mm else least
    spare = sum(asked) - sum(least)
    if over > spare + 1e-9:
        names = ", ".join(column.header for column in columns)
        raise SheetError(f"the columns {names} need {sum(least):.0f} mm at least, the room has {width_mm:.0f} mm")
    share = over / spare
    return tuple(want - (want - low) * share for want, low in zip(asked, least, strict=True))


def _asked_mm(column: TableColumn, cells: Iterable[str], text_mm: float) -> float:
    if column.width_mm is not None:
        return column.width_mm
    widest = max(
        (text_width_mm(line, text_mm) for cell in {column.header, *cells} for line in cell.splitlines()), default=0.0
    )
    return min(widest * SLACK + 2 * PADDING_MM + 0.2, column.max_width_mm)


def _least_mm(column: TableColumn, asked_mm: float, text_mm: float) -> float:
    """A free column gives way down to its header's longest word, or eight letters."""
    if column.width_mm is not None:
        return asked_mm
    words = [text_width_mm(word, text_mm) for word in column.header.split()]
    room = max([*words, text_width_mm("MMMM", text_mm)])
    return min(asked_mm, room * SLACK + 2 * PADDING_MM + 0.2)


def _word_mm(cells: Iterable[str], text_mm: float) -> float:
    """What the longest word of a column asks, up to a limit."""
    longest = max((text_width_mm(word, text_mm) for cell in cells for word in cell.split()), default=0.0)
    return min(longest * SLACK + 2 * PADDING_MM + 0.2, _MOST_WORD_MM)
