"""The order of a column's trunks beside each other, so that their lines cross as little as can be found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations


@dataclass(frozen=True, slots=True)
class Trunk:
    """A closet's own cables: the height they start from, if its closet is there, and those of its spines."""

    closet: str
    port: float | None
    spines: tuple[float, ...]

    @property
    def span(self) -> tuple[float, float]:
        """Lowest and highest point of its upright line."""
        ends = (*self.spines, *(() if self.port is None else (self.port,)))
        return min(ends), max(ends)


def order_trunks(trunks: Sequence[Trunk], lanes: Mapping[str, int], most: int) -> dict[str, int]:
    """Lanes, 0 the one nearest to the openings.

    Args:
        trunks: of one column.
        lanes: to begin with.
        most: lanes there is room for.

    Returns:
        lanes with no more crossings than those given; found by exchanging two at a time.
    """
    order = sorted(trunks, key=lambda trunk: (lanes[trunk.closet], trunk.closet))
    best = {trunk.closet: lanes[trunk.closet] for trunk in trunks}
    least = count_crossings(trunks, best)
    improved = least > 0
    while improved:
        improved = False
        for i, j in combinations(range(len(order)), 2):
            order[i], order[j] = order[j], order[i]
            tried = _packed(order)
            crossed = count_crossings(trunks, tried) if max(tried.values()) < most else least
            if crossed < least:
                best, least, improved = tried, crossed, True
            else:
                order[i], order[j] = order[j], order[i]
    return best


def count_crossings(trunks: Sequence[Trunk], lanes: Mapping[str, int]) -> int:
    """How often lines of different trunks cross: spines those nearer to the openings, starts those nearer to the closets."""
    count = 0
    for a in trunks:
        low, high = a.span
        for b in trunks:
            if lanes[b.closet] > lanes[a.closet]:
                count += sum(low < y < high for y in b.spines)
            elif lanes[b.closet] < lanes[a.closet] and b.port is not None:
                count += low < b.port < high
    return count


def _packed(order: Sequence[Trunk]) -> dict[str, int]:
    """Each in the lane nearest to the openings that keeps the order among those beside each other."""
    lanes: dict[str, int] = {}
    for n, trunk in enumerate(order):
        low, high = trunk.span
        beside = [lanes[t.closet] for t in order[:n] if t.span[0] <= high and low <= t.span[1]]
        lanes[trunk.closet] = max(beside, default=-1) + 1
    return lanes
