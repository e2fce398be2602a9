"""Tables of hardware sets: one row a set with its devices in columns, one row an item, or a heading and items below it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from riserkit.importing.facts import At, HardwareSet
from riserkit.importing.names import folded_name
from riserkit_xlsx.blocks import ListBlock, set_column
from riserkit_xlsx.columns import Item, fail_mode_in_column, items_of, of_the_lock, voltage_of
from riserkit_xlsx.grid import Grid
from riserkit_xlsx.headings import is_column_of_items, is_count_heading, is_item_heading, meaning_of
from riserkit_xlsx.several import counted

_HEADING = re.compile(
    r"(?:hardware|hdw|hw|ironmongery)? ?(?:set|group|heading)(?=[\s\d.:#\-])\s*(?:(?:no\b\.?|number|#)?\s*[:#\-]?\s*)"
    r"(?!(?:matrix|schedule|list|legend|table|index|notes?|key|descriptions?)\b)"
    r"(?P<name>[A-Za-z0-9][\w.\-]{0,15})(?P<title>\s*(?:[-–—:,]\s+|\().*)?",
    re.IGNORECASE,
)
_LEAST_ITEMS: Final = 2


def sets_of(grid: Grid, block: ListBlock) -> Iterator[HardwareSet]:
    """The sets of a table that has a column for the set's name; a blank name is that of the row above."""
    column = set_column(block)
    if column is None:
        return
    items: dict[str, list[tuple[str, str]]] = {}
    first: dict[str, int] = {}
    name = ""
    for row in block.rows:
        cells = {c: grid.get(row, c) for c in block.headings}
        name = cells.get(column, "") or name
        if not name:
            continue
        first.setdefault(name, row)
        described = [c for c, heading in block.headings.items() if is_item_heading(heading)]
        if described:
            text = ", ".join(cells[c] for c in described if cells[c])
            more = [f"{block.headings[c]} {t}" for c, t in cells.items()
                    if t and c != column and c not in described and not is_count_heading(block.headings[c])]  # fmt: skip
            pieces = next((cells[c] for c, heading in block.headings.items() if is_count_heading(heading)), "")
            if text:
                words = f"{text} ({', '.join(more)})" if more else text
                items.setdefault(name, []).append(("", f"2 x {words}" if counted(pieces) == 2 else words))
        else:
            items.setdefault(name, []).extend(_in_columns(block, {c: t for c, t in cells.items() if t and c != column}))
    for one, found in items.items():
        yield HardwareSet(At("", f"sheet {grid.name}, row {first[one]}"), one, tuple(found))


def _in_columns(block: ListBlock, cells: Mapping[int, str]) -> tuple[Item, ...]:
    """The devices of a row with a column for each; what columns of voltage and fail mode say is said of the lock."""
    meanings = {c: meaning_of(block.headings[c]) for c in cells}
    said = {meaning: cells[c] for c, meaning in meanings.items()}
    of_lock = {
        "voltage": voltage_of(said.get("voltage", "")),
        "fail_mode": fail_mode_in_column(said.get("fail_mode", "")),
    }
    # a cell of these columns that is not understood is told as any item is
    kept = [
        item
        for c, text in cells.items()
        if not of_lock.get(meanings[c])
        for item in items_of(meanings[c], block.headings[c], text)
    ]
    return of_the_lock(kept, of_lock["voltage"], of_lock["fail_mode"])


def headed_sets(grid: Grid, used: set[int], known: Collection[str] = ()) -> Iterator[HardwareSet]:
    """Sets under headings such as `Hardware Set 03`, `SET: 2 - pairs`, each item a row below; of rows that no table uses.

    Args:
        grid: the sheet.
        used: numbers of rows that are of tables.
        known: sets that doors of the list name; such a name alone in a row heads a set too.
    """
    name, at, items = "", 0, list[tuple[str, str]]()
    named = {folded_name(one): one for one in known if folded_name(one)}
    for row in sorted(grid.rows):
        texts = [text for text in dict.fromkeys(grid.rows[row]) if text]
        found = _heading(texts, named)
        if row in used and not found:
            if name and len(items) >= _LEAST_ITEMS:
                yield HardwareSet(At("", f"sheet {grid.name}, row {at}"), name, tuple(items))
            name, items = "", []
        elif found:
            if name and items:
                yield HardwareSet(At("", f"sheet {grid.name}, row {at}"), name, tuple(items))
            name, at, items = found[0], row, [("", found[1])] if found[1] else []
        elif name and texts and not _is_of_columns(texts):
            words = [text for text in texts if not re.fullmatch(r"[\d.]+|ea(?:ch)?\.?|pr|set", text, re.IGNORECASE)]
            if words and meaning_of(words[0]) != "mark":
                said = ", ".join(words)
                items.append(("", f"2 x {said}" if counted(texts[0]) == 2 else said))
    if name and items:
        yield HardwareSet(At("", f"sheet {grid.name}, row {at}"), name, tuple(items))


def _heading(texts: Sequence[str], named: Mapping[str, str]) -> tuple[str, str] | None:
    """The name of a set that a row heads, and what else its heading says."""
    if len(texts) != 1:
        return None
    if name := named.get(folded_name(texts[0])):
        return name, ""
    return set_headed(texts[0])


def set_headed(text: str) -> tuple[str, str] | None:
    """The name of the set that words head, and what else they say; None where they head none.

    Examples:
        >>> set_headed("Hardware Set 03 - pairs"), set_headed("SET: 2"), set_headed("HW Group A")
        (('03', 'pairs'), ('2', ''), ('A', ''))
        >>> set_headed("HARDWARE SETS"), set_headed("Hardware set matrix"), set_headed("Settings")
        (None, None, None)
    """
    found = _HEADING.fullmatch(text)
    return (found["name"], (found["title"] or "").strip(" -–—:,()")) if found else None


def _is_of_columns(texts: Sequence[str]) -> bool:
    """Whether a row only names the columns below it, such as `Qty, Unit, Item`."""
    return len(texts) > 1 and all(is_column_of_items(text) for text in texts)
