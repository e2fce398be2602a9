"""Where a sheet has room for a note that comes late: a grid over the paper, with what is drawn entered in it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.legibility.values import SheetShapes

_STEP_MM: Final = 2.0
_AIR_MM: Final = 2.0
_OFF_MM: Final = (0.0, 3.0, 6.0)
"""How far beside a thing something small may stand, near it first."""


class FreeRoom:
    """Free room on a sheet.

    Args:
        sheet: as plotted.
        frame: nothing may leave it.
    """

    def __init__(self, sheet: SheetShapes, frame: Rect) -> None:
        self._frame = frame.inset(_AIR_MM)
        columns = max(1, math.floor(self._frame.width / _STEP_MM))
        rows = max(1, math.floor(self._frame.height / _STEP_MM))
        self._taken = np.zeros((rows, columns), dtype=bool)
        for letter in sheet.letters:
            self.take(around(letter.corners))
        for stroke in sheet.strokes:
            if stroke.is_area:
                self.take(around(stroke.points))
            else:
                for point in _along(stroke.points):
                    self.take(_box(point, (0.0, 0.0)))

    def take(self, box: Rect) -> None:
        """Enter something drawn."""
        x0, y0, x1, y1 = self._cells(box)
        self._taken[max(y0, 0) : max(y1, 0), max(x0, 0) : max(x1, 0)] = True

    def _cells(self, box: Rect) -> tuple[int, int, int, int]:
        left, bottom = self._frame.x0, self._frame.y0
        return (
            math.floor((box.x0 - left) / _STEP_MM), math.floor((box.y0 - bottom) / _STEP_MM),
            math.floor((box.x1 - left) / _STEP_MM) + 1, math.floor((box.y1 - bottom) / _STEP_MM) + 1,
        )  # fmt: skip

    def largest(self, sizes: Sequence[tuple[float, float]]) -> tuple[float, float, Point]:
        """Width, height and lower left corner of the first of some sizes that is free somewhere, the upper right first.

        Where none is, the one that covers least.
        """
        found = [(self._least(width, height), width, height) for width, height in sizes]
        (_, at), width, height = min(found, key=lambda each: each[0][0])
        return width, height, at

    def _least(self, width: float, height: float) -> tuple[int, Point]:
        """How many taken cells the best place of a size covers, and where that is."""
        rows, columns = self._taken.shape
        across, up = min(math.ceil(width / _STEP_MM) + 1, columns), min(math.ceil(height / _STEP_MM) + 1, rows)
        total = np.zeros((rows + 1, columns + 1), dtype=int)
        total[1:, 1:] = self._taken.cumsum(0).cumsum(1)
        covered = total[up:, across:] - total[:-up, across:] - total[up:, :-across] + total[:-up, :-across]
        flipped = covered[::-1, ::-1]
        row, column = divmod(int(flipped.argmin()), flipped.shape[1])
        row, column = covered.shape[0] - 1 - row, covered.shape[1] - 1 - column
        at = self._frame.x0 + column * _STEP_MM + 1, self._frame.y0 + row * _STEP_MM + 1
        return int(covered[row, column]), at

    def beside(self, box: Rect, size: tuple[float, float]) -> Point:
        """Lower left corner for something small beside a box, where that is free."""
        width, height = size
        ways = []
        for off in _OFF_MM:
            x0, y0, x1, y1 = box.inset(-off)
            (x, y), left, below = box.center, x0 - width, y0 - height
            ways += [
                (x1, y1), (left, y1), (x1, below), (left, below),
                (x1, y - height / 2), (left, y - height / 2), (x, y1), (x, below),
            ]  # fmt: skip
        inside = [at for at in ways if self._frame.holds(_box(at, size))]
        return min(inside or ways[:1], key=lambda at: self._covered(_box(at, size)))

    def _covered(self, box: Rect) -> int:
        x0, y0, x1, y1 = self._cells(box)
        return int(self._taken[max(y0, 0) : max(y1, 0), max(x0, 0) : max(x1, 0)].sum())


def _box(at: Point, size: tuple[float, float]) -> Rect:
    return Rect(at[0], at[1], at[0] + size[0], at[1] + size[1])


def _along(points: Sequence[Point]) -> Iterator[Point]:
    """Points along a line, one in each cell at least."""
    yield from points[:1]
    for one, other in pairwise(points):
        steps = max(1, math.ceil(math.dist(one, other) / _STEP_MM * 2))
        for n in range(1, steps + 1):
            yield one[0] + (other[0] - one[0]) * n / steps, one[1] + (other[1] - one[1]) * n / steps
