"""Numbers of sheets: once issued, a number keeps its subject, and is never given to another.

Sheets of openings need none of this, for the mark is in their identification.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from riserkit.model.site import Site
from riserkit.standards.sheets import numbered_sheet_id

SHEET: Final = "sheet"
"""Kind of a sheet's line in the record of issued labels."""


def sheet_numbers(site: Site, kind: str, subjects: Sequence[str], first: int) -> tuple[int, ...]:
    """A number for each subject: the one on record, else the next that no sheet of this kind ever had.

    Args:
        site: with its record of issued labels.
        kind: the digit of the type of sheet, as in `numbered_sheet_id`.
        subjects: what the sheets show, each once, in order.
        first: the least number.
    """
    issued = {label.subject: label.label for label in site.issued_labels if label.kind == SHEET}
    numbers = {text: number for text in issued.values() if (number := _number(kind, text)) is not None}
    free = max([first - 1, *(n for n in numbers.values() if n >= first)])
    found = []
    for subject in subjects:
        known = numbers.get(issued.get(subject, ""))
        if known is None or known < first:
            free += 1
            known = free
        found.append(known)
    return tuple(found)


def _number(kind: str, label: str) -> int | None:
    """The number in an identification of this kind; None in any other."""
    digits = label.removeprefix(f"T-{kind}")
    if not (digits.isascii() and digits.isdecimal()):
        return None
    number = int(digits)
    return number if numbered_sheet_id(kind, number) == label else None
