"""Hardware sets as a matrix: a column for each set, a row for each item, and a tick, a number or words where a set has it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.facts import At, HardwareSet
from riserkit.importing.hardware import is_nothing, is_yes, speaks_of_hardware
from riserkit.importing.hardware_sets import folded_set
from riserkit_xlsx.columns import Item
from riserkit_xlsx.grid import Grid
from riserkit_xlsx.headings import is_column_of_items, meaning_of
from riserkit_xlsx.sets import set_headed
from riserkit_xlsx.several import counted

_LEAST_SETS: Final = 2
_TICK: Final = re.compile(r"[•●■▪◆○*✔✓☑√]+|\d{1,2}")


@dataclass(frozen=True, slots=True)
class SetMatrix:
    """A matrix of sets.

    Args of note:
        header_row: the row that names the sets.
        rows: numbers of the rows of items below it.
    """

    header_row: int
    rows: tuple[int, ...]
    sets: tuple[HardwareSet, ...]


def matrices_of(grid: Grid, named: Collection[str]) -> Iterator[SetMatrix]:
    """The matrices of a sheet, from the top down.

    Args:
        grid: the sheet, with its merged cells filled.
        named: the sets that doors of the list name.
    """
    known = {key for name in named if (key := folded_set(name))}
    numbers = sorted(grid.rows)
    end = 0
    for place, number in enumerate(numbers):
        if number <= end or not (columns := _columns(grid.rows[number], known)):
            continue
        rows = tuple(_rows(grid, numbers[place + 1 :], columns, known))
        items = [(row, _words(grid, row, number, columns)) for row in rows]
        if any(speaks_of_hardware(words) for _, words in items) and any(
            grid.get(row, c) for row in rows for c in columns
        ):
            at = At("", f"sheet {grid.name}, row {number}")
            yield SetMatrix(number, rows, tuple(
                HardwareSet(at, name, tuple(_items(grid, items, column))) for column, name in columns.items()
            ))  # fmt: skip
            end = rows[-1]


def _columns(cells: Sequence[str], known: Collection[str]) -> Mapping[int, str]:
    """By column the set that a heading names; empty where the row heads no matrix: beside sets it says only what items are."""
    if cells and any(ch.isdigit() for ch in cells[0]):
        return {}  # as of nearly every row, which begins with a door's mark
    found: dict[int, str] = {}
    for column, text in enumerate(cells):
        if not text or (not found and (is_column_of_items(text) or meaning_of(text))):
            continue
        headed = set_headed(text)
        if headed is not None and any(ch.isdigit() for ch in headed[0]):
            found[column] = headed[0]
        elif folded_set(text) in known:
            found[column] = text
        elif found and not is_column_of_items(text):
            return {}
    first = min(found, default=0)
    before = [text for text in cells[:first] if text]
    is_head = not before or any(is_column_of_items(text) or meaning_of(text) == "set" for text in before)
    distinct = len({folded_set(name) for name in found.values()}) == len(found)
    return found if len(found) >= _LEAST_SETS and first and distinct and is_head else {}


def _rows(grid: Grid, numbers: Sequence[int], columns: Mapping[int, str], known: Collection[str]) -> Iterator[int]:
    """The rows below the sets' names that tick, count or describe; one without words for an item, or of other sets, ends them."""
    first = min(columns)
    for row in numbers:
        cells = grid.rows[row]
        words = [text for text in cells[:first] if text]
        if not words or _columns(cells, known) or not any(ch.isalpha() for text in words for ch in text):
            return
        yield row


def _words(grid: Grid, row: int, header_row: int, columns: Mapping[int, str]) -> str:
    """What a row says of its item, beside the columns of sets; a number before it is the row's own."""
    texts = [
        text
        for column, text in enumerate(grid.rows[row])
        if text and column not in columns and not text.strip(".").isdigit() and not is_nothing(text)
    ]
    return ", ".join(dict.fromkeys(texts))


def _items(grid: Grid, items: Sequence[tuple[int, str]], column: int) -> Iterator[Item]:
    """What a set has."""
    for row, words in items:
        text = grid.get(row, column)
        # a heading of items that is merged across the sets is no item
        if not words or is_nothing(text) or text == words:
            continue
        if is_yes(text) or _TICK.fullmatch(text):
            yield "", f"2 x {words}" if counted(text) == 2 else words
        else:
            yield "", f"{words}, {text}"
