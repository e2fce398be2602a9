"""What is said around a table: the words above it, and the storey that a sheet's name or title gives its doors."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

from riserkit.importing.names import level_named
from riserkit_xlsx.blocks import ListBlock
from riserkit_xlsx.grid import Grid

_STOREY: Final = re.compile(
    r"\b(?:levels?|floors?|stor(?:e?y|ies|eys)|geschoss|stockwerk|etage|étage|niveau|planta|piso|piano)\b",
    re.IGNORECASE,
)
_SEVERAL: Final = re.compile(
    r"\d+\s*(?:[-–&+,/]|and|to|thru|through|und|et|y)\s*\d+|\b(?:levels|floors|stor(?:ies|eys))\b", re.IGNORECASE
)
_NO_STOREY: Final = re.compile(r"\b(?:issue|rev(?:ision)?|draft|version|submittal|addendum|copy)\b", re.IGNORECASE)
_MOST_CHARS_OF_A_NAME: Final = 12
_HEAD_ROWS: Final = 2


def words_above(grid: Grid, block: ListBlock, used: Collection[int]) -> Iterator[tuple[int, str]]:
    """By row what stands above a table's headings and is neither a heading nor of another table.

    Args:
        grid: the sheet.
        block: the table.
        used: numbers of the rows that tables of the sheet take.
    """
    above = max((row for row in used if row < block.header_row), default=0)
    heads = {block.header_row - n for n in range(1, _HEAD_ROWS + 1)}
    headings = [f"{heading} " for heading in block.headings.values()]
    for row in sorted(grid.rows):
        if not above < row < block.header_row:
            continue
        texts = list(dict.fromkeys(text for text in grid.rows[row] if text))
        # A row of groups right above the headings is read with them, and stands in them.
        is_head = row in heads and len(texts) > 1 and any(h.startswith(f"{text} ") for h in headings for text in texts)
        if texts and not is_head:
            yield row, ", ".join(texts)


def storey_of_sheet(grid: Grid, titles: Collection[str], *, is_file: bool) -> tuple[str, str]:
    """The level of all doors of a sheet and what says so: its name, or else a title above the table; empty for none.

    Args:
        grid: the sheet.
        titles: what stands above the table.
        is_file: whether the sheet's name is that of a file.

    Examples:
        >>> storey_of_sheet(Grid("Level 2", {}), [], is_file=False), storey_of_sheet(Grid("Levels 2-4", {}), [], is_file=False)
        (('Level 2', "the sheet's name 'Level 2'"), ('', ''))
        >>> storey_of_sheet(Grid("Sheet1", {}), ["Door list - ground floor"], is_file=False)
        ('Ground floor', "the title 'Door list - ground floor'")
    """
    name = grid.name.rpartition(".")[0] if is_file else grid.name
    if (_STOREY.search(name) or len(name) <= _MOST_CHARS_OF_A_NAME) and (level := _one(name)):
        return level, f"the {'file' if is_file else 'sheet'}'s name {grid.name!r}"
    found = {level: text for text in titles if _STOREY.search(text) and (level := _one(text))}
    if len(found) == 1:
        level, text = next(iter(found.items()))
        return level, f"the title {text[:60]!r}"
    return "", ""


def _one(text: str) -> str:
    return "" if _SEVERAL.search(text) or _NO_STOREY.search(text) else level_named(text)
