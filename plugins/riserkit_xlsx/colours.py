"""What a list says by colour alone, such as red rows beside a key that calls red deleted: asked or told, as colours are not read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit_xlsx.blocks import ListBlock
from riserkit_xlsx.grid import Grid, address

_MOST_ROWS: Final = 12
_FEW: Final = 1 / 3
"""Of more rows than these a colour is every second row's, or the table's own."""


def said_by_colour(grid: Grid, block: ListBlock) -> Iterator[tuple[str, bool]]:
    """What is to be told of each colour of a table's rows, and whether a key says what it means.

    Args:
        grid: the sheet.
        block: the table.
    """
    rows_of: dict[str, list[int]] = {}
    beside: dict[str, list[tuple[int, int]]] = {}
    # a key below the rows is one text beside its colour
    inside = {row for row in block.rows if len({text for text in grid.rows[row] if text}) > 1}
    for (row, column), colour in sorted(grid.colours.items()):
        if row in inside and column in block.headings:
            if row not in (rows := rows_of.setdefault(colour, [])):
                rows.append(row)
        elif row != block.header_row:
            beside.setdefault(colour, []).append((row, column))
    for colour, rows in rows_of.items():
        keys = [
            (cell, words)
            for cell in beside.get(colour, ())
            if (words := grid.get(*cell) or grid.get(cell[0], cell[1] + 1))
        ]
        named = f"{', '.join(map(str, rows[:_MOST_ROWS]))}{', ...' if len(rows) > _MOST_ROWS else ''}"
        if keys and len(rows) < len(block.rows):
            at, words = keys[0]
            yield f"rows in the colour that {address(*at)} calls {words[:60]!r}: {named}; colours are not read", True
        elif len(rows) <= _FEW * len(block.rows):
            yield (
                f"rows with cells in a colour of their own: {named}; no words say what it means, and it is not read",
                False,
            )
