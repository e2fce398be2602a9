"""Rows of a list that stand for several doors, or may: `119, 120`, `116 to 118`, `121 A/B`, a quantity of 3."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from riserkit.importing.facts import DocumentNote, DoorFact

_PARTED: Final = re.compile(r"\s*(?:,|;|&|\+|\band\b|\bund\b|\bet\b|\by\b)\s*", re.IGNORECASE)
_MARK: Final = re.compile(r"[A-Za-z]{0,4}[ .\-]?\d{1,5}(?:[.\-]\d{1,4})?[A-Za-z]?")
_NUMBERED: Final = re.compile(r"(?P<before>.*?)(?P<number>\d+)")
_BETWEEN: Final = re.compile(r"\s*(?:(?P<word>\bto\b|\bthru\b|\bthrough\b|\bbis\b|\.\.+|…)|[-–—])\s*", re.IGNORECASE)
_LETTERS: Final = re.compile(r"(?P<stem>.*\d)[ \-]?(?P<one>[A-Z])\s*[/,&+]\s*(?P<other>[A-Z])", re.IGNORECASE)
_SLASHED: Final = re.compile(r"(?P<one>[^/]*\d[^/]*)/(?P<other>[^/]*\d[^/]*)")
_MOST: Final = 60
_NUMBERS: Final = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_COUNT: Final = re.compile(
    rf"(?P<word>{'|'.join(_NUMBERS)})?\s*\(?(?:(?P<digits>\d{{1,3}})(?:\.0*)?)?\)?\s*(?:no|nos|ea|each|pcs?|off|x)?\.?",
    re.IGNORECASE,
)
_DECIMAL: Final = re.compile(r"(\d+),(\d+)")


def counted(text: str) -> int | None:
    """How many a cell of quantities says; None where it is no number.

    Examples:
        >>> [counted(text) for text in ("2", "two", "Two (2)", "2.0", "1 ea", "", "some")]
        [2, 2, 2, 2, 1, None, None]
    """
    found = _COUNT.fullmatch(text.strip())
    if found is None or not (found["word"] or found["digits"]):
        return None
    return int(found["digits"]) if found["digits"] else _NUMBERS.index(found["word"].casefold()) + 1


def marks_of_row(mark: str, pieces: int | None = None) -> tuple[tuple[str, ...], bool]:
    """The doors that a row's mark names, and whether that they are several is only likely.

    Args:
        mark: as it stands in the row.
        pieces: how many doors the row says that it stands for, where it does.

    Examples:
        >>> marks_of_row("119, 120"), marks_of_row("D08 to D10"), marks_of_row("116-118", 3)
        ((('119', '120'), False), (('D08', 'D09', 'D10'), False), (('116', '117', '118'), False))
        >>> marks_of_row("116-118"), marks_of_row("1-101"), marks_of_row("121 A/B"), marks_of_row("101A")
        ((('116', '117', '118'), True), (('1-101',), False), (('121A', '121B'), True), (('101A',), False))
        >>> marks_of_row("101,102"), marks_of_row("1,01")
        ((('101', '102'), False), (('1', '01'), True))
    """
    text = " ".join(mark.split())
    if letters := _LETTERS.fullmatch(text):
        return (f"{letters['stem']}{letters['one']}", f"{letters['stem']}{letters['other']}"), True
    parts = tuple(_PARTED.split(text))
    if (decimal := _DECIMAL.fullmatch(text)) and len(decimal[1]) != len(decimal[2]):
        return parts, True  # `1,01` is as likely one door's, with a comma for the dot
    if len(parts) > 1 and all(_MARK.fullmatch(part) for part in parts):
        return parts, False
    run = _run(text)
    if run:
        found, is_said = run
        return found, not (is_said or pieces == len(found))
    slashed = _SLASHED.fullmatch(text)
    if slashed and all(_MARK.fullmatch(part.strip()) for part in slashed.groups()):
        return tuple(part.strip() for part in slashed.groups()), True
    return (mark,), False


def doors_of_row(door: DoorFact, notes: list[DocumentNote], pieces: int | None = None) -> Iterator[DoorFact]:
    """The doors that a row stands for, all alike; where that is only likely it is one, and asked.

    Args:
        door: as read from the row.
        notes: what is asked and inferred is added to them.
        pieces: how many doors the row says that it stands for, where it does.
    """
    marks, is_likely = marks_of_row(door.mark, pieces)
    if len(marks) > 1 and not is_likely:
        notes.append(DocumentNote("inferred", door.at, f"{door.mark!r} stands for {len(marks)} doors alike: {', '.join(marks)}",
                                  "give each a row of its own if they differ"))  # fmt: skip
        for mark in marks:
            yield replace(door, mark=mark)
        return
    if is_likely:
        shown = ", ".join(marks[:4]) + (", ..." if len(marks) > 4 else "")
        notes.append(DocumentNote("question", door.at, f"{door.mark!r} may be one door, or {len(marks)} ({shown}); it is read as one",
                                  "give each door a row of its own, or one mark to the one door"))  # fmt: skip
    elif pieces is not None and pieces > 1:
        notes.append(DocumentNote("question", door.at, f"the row of {door.mark!r} stands for {pieces} doors; it is read as one",
                                  "give each door a row and a mark of its own"))  # fmt: skip
    yield door


def _run(text: str) -> tuple[tuple[str, ...], bool] | None:
    """The marks from one to another, and whether a word says that all between are meant."""
    for between in _BETWEEN.finditer(text):
        one, other = (_NUMBERED.fullmatch(part) for part in (text[: between.start()], text[between.end() :]))
        if one is None or other is None or other["before"] not in ("", one["before"]):
            continue
        low, high, wide = int(one["number"]), int(other["number"]), len(one["number"])
        if len(other["number"]) == wide and low < high <= low + _MOST:
            return tuple(f"{one['before']}{n:0{wide}d}" for n in range(low, high + 1)), bool(between["word"])
    return None
