"""A table as data, and as CSV that a spreadsheet opens without taking a cell for a formula."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import Final

Cell = str | int | float | None

# A spreadsheet takes a cell that begins with one of these for a formula; an apostrophe before it keeps it text.
# Some do so for the full-width signs as well, and after a space.
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
_SIGNIFICANT_DIGITS: Final = 6


@dataclass(frozen=True, slots=True)
class ReportTable:
    """Rows under column names; `name` is that of its file, `held` which rows are about an opening on HOLD, none if empty."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    held: tuple[bool, ...] = ()


def drawn_text(cell: Cell) -> str:
    """A cell as it is drawn: numbers to six significant digits."""
    if cell is None:
        return ""
    return f"{cell:.{_SIGNIFICANT_DIGITS}g}" if isinstance(cell, float) else str(cell)


def cell_text(cell: Cell) -> str:
    """A cell as it is written to a file: text is guarded against being taken for a formula."""
    if not isinstance(cell, str):
        return drawn_text(cell)
    # most cells begin with a letter or a digit, which is no formula
    is_formula = not cell[:1].isalnum() and cell.lstrip(" ").startswith(_FORMULA_STARTS)
    return f"'{cell}" if is_formula else cell


def to_csv(table: ReportTable) -> str:
    """The table as CSV (RFC 4180), with a header row."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(table.columns)
    writer.writerows(map(_row_text, table.rows))
    return out.getvalue()


def _row_text(row: tuple[Cell, ...]) -> list[Cell]:
    """As `cell_text` has its cells; what the library writes as that does is left to it, for a set has half a million cells."""
    return [
        cell_text(cell) if isinstance(cell, float) or (isinstance(cell, str) and not cell[:1].isalnum()) else cell
        for cell in row
    ]
