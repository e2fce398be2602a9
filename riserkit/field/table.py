"""Tables to work by: rows with boxes to tick and room to write; on a telephone each row is a card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Final, Literal

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.text import block_height_mm, shorten, text_width_mm, wrap
from riserkit.drawings.prints.pen import PagePen
from riserkit.drawings.setting.table import Table, TableColumn, lay_out
from riserkit.field.blocks import TICK_MM, PagePiece, PaperHeading, put_lines, put_tick, shaded
from riserkit.field.form import PaperForm

_PAD_MM: Final = 1.3
_BLANK_MM: Final = 26.0
_WRITING_MM: Final = 8.5
_TICKED_MM: Final = 6.4
NO_BOX: Final = "–"
"""In a column of boxes to tick: nothing is to be ticked here."""
_LEAD: Final = 1.12
_LINES: Final = 24
"""Lines of a cell that stand on one page together; a longer one goes on in a row of its own."""


@dataclass(frozen=True, slots=True)
class WorkColumn:
    """One column.

    Args:
        header: its name.
        kind: `text`; `tick`, a box to tick before the text of the cell; `blank`, room to write, before the unit in the cell.
        leads: on a card it stands in the first line, without its name.
        max_mm: greatest width on paper.
    """

    header: str
    kind: Literal["text", "tick", "blank"] = "text"
    leads: bool = False
    max_mm: float = 60.0


@dataclass(frozen=True)
class WorkTable:
    """A table under a heading; nothing at all without rows.

    Args:
        title: its heading.
        columns: left to right.
        rows: as many cells each as there are columns.
    """

    title: str
    columns: tuple[WorkColumn, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def to_read(self) -> WorkTable:
        """The same with nothing to tick or to write: a column of boxes alone, or of room to write, is left out."""
        kept = [
            n for n, column in enumerate(self.columns)
            if column.kind != "blank" and (column.kind == "text" or any(row[n] for row in self.rows))
        ]  # fmt: skip
        columns = tuple(replace(self.columns[n], kind="text") for n in kept)
        return replace(self, columns=columns, rows=tuple(tuple(row[n] for n in kept) for row in self.rows))

    def words(self) -> Iterator[str]:
        """Title and cells."""
        yield self.title
        for row in self.rows:
            yield from row

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """Heading, header and rows; the header stands again on each page."""
        if not self.rows:
            return
        if self.title:
            yield from PaperHeading(self.title).pieces(form)
        widths = None if form.is_narrow else _widths(self, form)
        if widths is None:
            for row in self.rows:
                yield from _card(self.columns, row, form)
            return
        header = _header(self.columns, widths, form)
        yield header
        header = _continued(self.title, header, form)
        for row in self.rows:
            yield from _row(self.columns, row, widths, form, header)


def _widths(table: WorkTable, form: PaperForm) -> tuple[float, ...] | None:
    """Widths of the columns, filling the room; None where they cannot be so narrow."""
    cells = tuple(
        tuple(_asked_text(column, cell) for column, cell in zip(table.columns, row, strict=True)) for row in table.rows
    )
    columns = tuple(TableColumn(c.header, _BLANK_MM if c.kind == "blank" else None, c.max_mm) for c in table.columns)
    try:
        found = lay_out(Table("", columns, cells), width_mm=form.room_mm, text_mm=form.text_mm).widths_mm
    except SheetError:
        return None
    # what is over is shared among the columns of text by their widths
    spare = form.room_mm - sum(found)
    text = sum(w for w, c in zip(found, table.columns, strict=True) if c.kind == "text") or sum(found)
    only_text = any(c.kind == "text" for c in table.columns)
    return tuple(
        w + (spare * w / text if c.kind == "text" or not only_text else 0.0)
        for w, c in zip(found, table.columns, strict=True)
    )


def _asked_text(column: WorkColumn, cell: str) -> str:
    # a box to tick is as wide as three capitals
    return f"MMM {cell}".rstrip() if column.kind == "tick" else cell


def _header(columns: Sequence[WorkColumn], widths: Sequence[float], form: PaperForm) -> PagePiece:
    cells = [wrap(c.header, w - 2 * _PAD_MM, form.text_mm) for c, w in zip(columns, widths, strict=True)]
    height = block_height_mm(max(map(len, cells)), form.text_mm) + 2 * _PAD_MM + 0.8

    def draw(pen: PagePen, x: float, y: float) -> None:
        shaded(pen, Rect(x, y - height, x + sum(widths), y))
        _rules(pen, widths, x, y, height, 0.35)
        at = x
        for lines, width in zip(cells, widths, strict=True):
            put_lines(pen, lines, at + _PAD_MM, y - _PAD_MM, form.text_mm)
            at += width

    return PagePiece(height, draw, keeps_next=True)


def _continued(title: str, header: PagePiece, form: PaperForm) -> PagePiece:
    """The header as it stands again on the next page, under the title."""
    if not title:
        return header
    above = 2.4 * form.text_mm

    def draw(pen: PagePen, x: float, y: float) -> None:
        put_lines(pen, (shorten(f"{title}, continued", form.room_mm, form.text_mm),), x, y - 1.0, form.text_mm)
        header.draw(pen, x, y - above)

    return PagePiece(header.height_mm + above, draw)


def _row(
    columns: Sequence[WorkColumn], row: Sequence[str], widths: Sequence[float], form: PaperForm, header: PagePiece
) -> Iterator[PagePiece]:
    """A row, in as many pieces as its longest cell needs."""
    cells = [_cell_lines(c, cell, w, form) for c, cell, w in zip(columns, row, widths, strict=True)]
    longest = max(len(lines) for lines in cells)
    for start in range(0, max(1, longest), _LINES):
        part = [lines[start : start + _LINES] for lines in cells]
        yield _row_piece(columns, part, widths, form, header, first=start == 0)


def _cell_lines(column: WorkColumn, cell: str, width: float, form: PaperForm) -> tuple[str, ...]:
    taken = TICK_MM + 1.6 if column.kind == "tick" else 0.0
    return wrap(cell, width - 2 * _PAD_MM - taken, form.text_mm) if cell.strip() else ()


def _row_piece(
    columns: Sequence[WorkColumn],
    cells: Sequence[Sequence[str]],
    widths: Sequence[float],
    form: PaperForm,
    header: PagePiece,
    *,
    first: bool,
) -> PagePiece:
    kinds = {column.kind for column in columns} if first else set()
    least = _WRITING_MM if "blank" in kinds else _TICKED_MM if "tick" in kinds else 0.0
    height = max(least, block_height_mm(max(map(len, cells), default=1), form.text_mm) + 2 * _PAD_MM + 0.8)

    def draw(pen: PagePen, x: float, y: float) -> None:
        _rules(pen, widths, x, y, height, 0.18)
        at = x
        for column, lines, width in zip(columns, cells, widths, strict=True):
            free = (height - block_height_mm(max(1, len(lines)), form.text_mm)) / 2
            left = at + _PAD_MM
            if column.kind == "tick" and first and list(lines) != [NO_BOX]:
                put_tick(pen, left, y - free, form.text_mm)
                left += TICK_MM + 1.6
            if column.kind == "blank":
                # a unit stands at the right end of the room to write in
                for line in lines:
                    pen.text(line, (at + width - _PAD_MM, y - free - form.text_mm), form.text_mm, "right")
            else:
                put_lines(pen, lines, left, y - free, form.text_mm)
            at += width

    return PagePiece(height, draw, repeated=header)


def _rules(pen: PagePen, widths: Sequence[float], x: float, y: float, height: float, width_mm: float) -> None:
    pen.rect(Rect(x, y - height, x + sum(widths), y), width_mm)
    edge = x
    for width in widths[:-1]:
        edge += width
        pen.line((edge, y - height), (edge, y), 0.18)


def _card(columns: Sequence[WorkColumn], row: Sequence[str], form: PaperForm) -> Iterator[PagePiece]:
    """A row as a card: what leads in its first line, then each value after its name, then what is ticked or written.

    A box to tick that leads stands before the first line.
    """
    pairs = list(zip(columns, row, strict=True))
    lead = "  ".join(cell for column, cell in pairs if column.leads and cell)
    ticked = any(column.leads and column.kind == "tick" for column in columns)
    plain = [
        f"{column.header}: {cell}" for column, cell in pairs if column.kind == "text" and not column.leads and cell
    ]
    inner = form.room_mm - 2 * _PAD_MM
    large = _LEAD * form.text_mm
    heads = wrap(lead, inner - (TICK_MM + 2.0 if ticked else 0.0), large) if lead else ()
    lines = [line for text in plain for line in wrap(text, inner, form.text_mm)]
    below = [(c, cell) for c, cell in pairs if c.kind != "text" and not c.leads and cell != NO_BOX]
    parts = list(zip_longest(*[iter(lines)] * _LINES, fillvalue=None)) or [()]
    for n, part in enumerate(parts):
        body = [line for line in part if line is not None]
        last = below if n == len(parts) - 1 else []
        yield _card_piece(form, heads if n == 0 else (), body, last, ticked=ticked and n == 0)


def _card_piece(
    form: PaperForm,
    heads: Sequence[str],
    lines: Sequence[str],
    below: Sequence[tuple[WorkColumn, str]],
    *,
    ticked: bool,
) -> PagePiece:
    large = _LEAD * form.text_mm
    inner = form.room_mm - 2 * _PAD_MM
    marks = [(c, cell, _mark_lines(c, cell, inner, form)) for c, cell in below]
    heights = [
        _WRITING_MM if c.kind == "blank" else max(_TICKED_MM, block_height_mm(len(text), form.text_mm) + 3.0)
        for c, _, text in marks
    ]
    top = block_height_mm(len(heads), large) + (1.6 if heads and (lines or below) else 0.0)
    middle = block_height_mm(len(lines), form.text_mm) + (1.4 if lines and below else 0.0)
    height = 2 * _PAD_MM + top + middle + sum(heights) + 1.0

    def draw(pen: PagePen, x: float, y: float) -> None:
        pen.rect(Rect(x, y - height, x + form.room_mm, y))
        indent = TICK_MM + 2.0 if ticked else 0.0
        if ticked:
            put_tick(pen, x + _PAD_MM, y - _PAD_MM - 0.3, large)
        put_lines(pen, heads, x + _PAD_MM + indent, y - _PAD_MM - 0.3, large)
        put_lines(pen, lines, x + _PAD_MM, y - _PAD_MM - 0.3 - top, form.text_mm)
        at = y - _PAD_MM - 0.3 - top - middle
        for (column, cell, text), tall in zip(marks, heights, strict=True):
            if column.kind == "tick":
                put_tick(pen, x + _PAD_MM, at - 1.5, form.text_mm)
                put_lines(pen, text, x + _PAD_MM + TICK_MM + 2.0, at - 1.5, form.text_mm)
            else:
                _write_in(pen, column.header, cell, x + _PAD_MM, at, form)
            at -= tall

    return PagePiece(height + 1.6, draw)


def _mark_lines(column: WorkColumn, cell: str, inner: float, form: PaperForm) -> tuple[str, ...]:
    return wrap(f"{column.header}: {cell}" if cell else column.header, inner - TICK_MM - 2.0, form.text_mm)


def _write_in(pen: PagePen, header: str, unit: str, x: float, y: float, form: PaperForm) -> None:
    base = y - _WRITING_MM + 3.0
    left = x + text_width_mm(header, form.text_mm) + 2.0
    pen.text(header, (x, base), form.text_mm)
    pen.rect(Rect(left, base - 2.2, left + _BLANK_MM, base + _WRITING_MM - 3.6))
    pen.text(unit, (left + _BLANK_MM + 1.5, base), form.text_mm)
