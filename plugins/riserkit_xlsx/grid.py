"""A sheet as text: what stands in its cells, which are merged, hidden or in error. All list formats become this."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

MOST_ROWS: Final = 200_000
MOST_COLUMNS: Final = 400
BEYOND: Final = f"beyond row {MOST_ROWS} or column {MOST_COLUMNS}"


@dataclass(slots=True)
class Grid:
    """One sheet, or one text table.

    Args of note:
        rows: by row number, counted from 1 as a spreadsheet shows it, the texts of its cells; rows without any are absent.
        spans: by (row, column) the number of rows and columns of a merged cell.
        errors: by (row, column) what stands there in place of a value: an error, or a formula without one.
        struck: by (row, column) cells whose text is struck out.
        struck_words: by (row, column) words of a cell that are struck out beside others that hold; they are not in `rows`.
        comments: by (row, column) what is written beside a cell.
        links: other things of the workbook that were left alone, in words.
        colours: by (row, column) the colour that a cell is filled with.
        beyond: rows and cells that say something and lie beyond what is read.
    """

    name: str
    rows: dict[int, list[str]]
    spans: Mapping[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    errors: Mapping[tuple[int, int], str] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    is_hidden: bool = False
    struck: frozenset[tuple[int, int]] = frozenset()
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
    links: Sequence[str] = ()
    beyond: int = 0
    struck_words: Mapping[tuple[int, int], str] = field(default_factory=dict)
    colours: Mapping[tuple[int, int], str] = field(default_factory=dict)

    def get(self, row: int, column: int) -> str:
        """What a cell says; empty for nothing."""
        cells = self.rows.get(row)
        return cells[column] if cells is not None and column < len(cells) else ""

    def is_struck(self, row: int) -> bool:
        """Whether all that a row says is struck out."""
        said = {(row, column) for column, text in enumerate(self.rows.get(row, ())) if text}
        return bool(said) and said <= self.struck

    def filled(self) -> None:
        """Write what stands in a merged cell into all that it covers."""
        for (row, column), (tall, wide) in self.spans.items():
            text = self.get(row, column)
            if not text:
                continue
            for r in range(row, row + tall):
                if r not in self.rows:
                    # a merged cell may reach below the last row; no row is made of that alone
                    continue
                cells = self.rows[r]
                cells.extend([""] * (min(column + wide, MOST_COLUMNS) - len(cells)))
                for c in range(column, min(column + wide, MOST_COLUMNS)):
                    if not cells[c]:
                        cells[c] = text


def column_name(index: int) -> str:
    """A column's letters as a spreadsheet shows them.

    Examples:
        >>> column_name(0), column_name(25), column_name(26)
        ('A', 'Z', 'AA')
    """
    name, index = "", index + 1
    while index:
        index, rest = divmod(index - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def address(row: int, column: int) -> str:
    """A cell's address, such as F12."""
    return f"{column_name(column)}{row}"
