"""Where lines of a riser cross: the level one goes over the other in an arc."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from riserkit.drawings.riser.places import NetLine

_SLACK = 1e-6


class Bridges:
    """Upright lines by where they stand, to be asked for those that a level line crosses."""

    def __init__(self, wires: Sequence[NetLine]) -> None:
        uprights = sorted(
            (start[0], min(start[1], end[1]), max(start[1], end[1]), wire.net)
            for wire in wires
            for start, end in pairwise(wire.points)
            if start[0] == end[0] and start[1] != end[1]
        )
        self._xs = [x for x, *_ in uprights]
        self._uprights = uprights

    def along(self, wire: NetLine, y: float, x0: float, x1: float) -> Iterator[float]:
        """Where the level line of a wire from x0 to x1 crosses upright lines of other nets, left to right."""
        last = None
        for x, low, high, net in self._uprights[bisect_left(self._xs, x0) : bisect_right(self._xs, x1)]:
            if net != wire.net and low + _SLACK < y < high - _SLACK and x != last:
                last = x
                yield x


def crossings(wires: Sequence[NetLine]) -> int:
    """How often lines of different nets cross."""
    bridges = Bridges(wires)
    return sum(
        1
        for wire in wires
        for start, end in pairwise(wire.points)
        if start[1] == end[1]
        for _ in bridges.along(wire, start[1], *sorted((start[0], end[0])))
    )
