"""The order in which people look marks up: numbers in them count as numbers."""

from __future__ import annotations

import re

_PIECES = re.compile(r"[0-9]+|[^0-9]+")


def natural_order(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key to sort by: words and numbers in turn, numbers before words.

    Examples:
        >>> sorted(["10", "101A", "2", "B1", "101"], key=natural_order)
        ['2', '10', '101', '101A', 'B1']
    """
    pieces = _PIECES.findall(text)
    return tuple((0, int(piece[:18]), piece[18:]) if piece.isdecimal() else (1, 0, piece) for piece in pieces)
