"""QR codes (ISO/IEC 18004): the squares of a symbol, to be filled black."""

from __future__ import annotations

from functools import lru_cache

import segno

from riserkit.drawings.dxf.boxes import Rect

QUIET: int = 4
"""Modules of white that a symbol needs on every side (ISO/IEC 18004)."""


@lru_cache(maxsize=4096)
def _dark(text: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Modules on a side, and the dark ones as runs: row from the top, first column, column after the last."""
    rows = [list(row) for row in segno.make(text, error="m", micro=False, boost_error=False, encoding="utf-8").matrix]
    runs = []
    for n, row in enumerate(rows):
        start = -1
        for column, dark in enumerate([*row, 0]):
            if dark and start < 0:
                start = column
            elif not dark and start >= 0:
                runs.append((n, start, column))
                start = -1
    return len(rows), tuple(runs)


def qr_squares(text: str, x: float, y: float, side_mm: float) -> tuple[Rect, ...]:
    """The dark parts of a symbol whose square, quiet zone included, has its lower left corner at x, y.

    Args:
        text: what it says, UTF-8.
        x: of the corner, millimetres.
        y: of the corner, millimetres.
        side_mm: of the square.
    """
    count, runs = _dark(text)
    module = side_mm / (count + 2 * QUIET)
    left, top = x + QUIET * module, y + side_mm - QUIET * module
    return tuple(
        Rect(left + a * module, top - (row + 1) * module, left + b * module, top - row * module) for row, a, b in runs
    )
