"""The order in which a person counts, and what is counted with its noun."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

Counting = tuple[tuple[int, int, str], ...]
_DIGITS: Final = re.compile(r"(\d+)")


@lru_cache(maxsize=2**16)
def counting_order(text: str) -> Counting:
    """A sorting key: 2 before 10, letters after numbers.

    Examples:
        >>> sorted(["10", "9", "A10", "A9"], key=counting_order)
        ['9', '10', 'A9', 'A10']
    """
    parts = (part for part in _DIGITS.split(text) if part)
    return (*((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in parts), (2, 0, text))


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    Examples:
        >>> counted(1, "door"), counted(3, "door"), counted(2, "supply", "supplies")
        ('1 door', '3 doors', '2 supplies')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
