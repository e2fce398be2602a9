"""One channel between two columns: the order of lanes that crosses least, and which lanes may share a line.

A piece runs from one pin to another, each on the left or right edge of the channel, along a horizontal, a vertical
lane of its own, and a horizontal. With lanes in an order, how often two pieces cross depends on no other piece; the
least total is a linear ordering problem, solved exactly while it is small.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

CLASH_COST: Final = 1000
"""Two conductors on one horizontal line: worse than any count of crossings."""
_EXACT_UP_TO: Final = 9
_SHARE_GAP: Final = 2


class ChannelPin(NamedTuple):
    """An end of a piece on an edge of the channel; `at` counts grid steps downward."""

    left: bool
    at: int


class ChannelPiece(NamedTuple):
    """What one conductor does in one channel."""

    wire: int
    cable: str
    a: ChannelPin
    b: ChannelPin

    @property
    def low(self) -> int:
        """Least offset."""
        return min(self.a.at, self.b.at)

    @property
    def high(self) -> int:
        """Greatest offset."""
        return max(self.a.at, self.b.at)

    @property
    def is_straight(self) -> bool:
        """It runs across without a lane."""
        return self.a.at == self.b.at


Costs = npt.NDArray[np.int64]


def crossing_costs(pieces: Sequence[ChannelPiece]) -> Costs:
    """`costs[i, j]`: crossings of pieces i and j when i's lane is to the left of j's, clashes counted dear."""
    if not pieces:
        return np.zeros((0, 0), dtype=np.int64)
    at = np.array([(piece.a.at, piece.b.at) for piece in pieces])
    is_left = np.array([(piece.a.left, piece.b.left) for piece in pieces])
    # pins of the other edge go where nothing reaches; those of left and right apart, so that they never clash
    pins_left = np.where(is_left, at, -1)[None, :, :]
    pins_right = np.where(is_left, -2, at)[None, :, :]
    low, high = at.min(axis=1)[:, None, None], at.max(axis=1)[:, None, None]
    # left pins of j pass i's vertical; right pins of i pass j's vertical
    passes_left = ((pins_left > low) & (pins_left < high)).sum(axis=2)
    passes_right = ((pins_right > low) & (pins_right < high)).sum(axis=2)
    clash = (pins_right[0][:, None, :, None] == pins_left[0][None, :, None, :]).any(axis=(2, 3))
    costs: Costs = passes_left + passes_right.T + CLASH_COST * clash
    np.fill_diagonal(costs, 0)
    return costs


def _span(at: int, is_left: bool, to: int, to_left: bool) -> tuple[int, int, int, int, int, int]:
    """Low and high, then the pins on the left, on the right, and second ones there of a piece that turns back.

    What is not there is -1 on the left and -2 on the right, where nothing reaches and nothing is alike.
    """
    low, high = (at, to) if at < to else (to, at)
    if is_left != to_left:
        return (low, high, at, to, -1, -2) if is_left else (low, high, to, at, -1, -2)
    return (low, high, at, -2, to, -2) if is_left else (low, high, -1, at, -1, to)


def fewest_crossings(pieces: Sequence[tuple[int, bool, int, bool]], most: float) -> int:
    """A bound from below on the crossings of any order of one channel, exact for most; given up as soon as it reaches `most`.

    Args:
        pieces: for both ends of each, its offset and whether it is on the left edge.
        most: a count not worth going beyond.
    """
    spans = sorted([_span(*piece) for piece in pieces])
    total = 0
    for n, (low, high, left, right, left_2, right_2) in enumerate(spans):
        for low_b, high_b, left_b, right_b, left_2_b, right_2_b in spans[n + 1 :]:
            if low_b > high:
                break  # sorted by where they begin: none of the others reaches this one
            before = (low < left_b < high) + (low_b < right < high_b)
            after = (low_b < left < high_b) + (low < right_b < high)
            if left_2 >= 0 or right_2 >= 0 or left_2_b >= 0 or right_2_b >= 0:
                before += (low < left_2_b < high) + (low_b < right_2 < high_b)
                after += (low_b < left_2 < high_b) + (low < right_2_b < high)
                if right in (left_b, left_2_b) or right_2 in (left_b, left_2_b):
                    before += CLASH_COST
                if right_b in (left, left_2) or right_2_b in (left, left_2):
                    after += CLASH_COST
            else:
                if right == left_b:
                    before += CLASH_COST
                if right_b == left:
                    after += CLASH_COST
            total += before if before < after else after
        if total >= most:
            return total
    return total


def lane_order(pieces: Sequence[ChannelPiece], costs: Costs) -> tuple[int, ...]:
    """The pieces that need a lane, from left to right, so that they cross least; one cable's stand together if free."""
    movable = [n for n, piece in enumerate(pieces) if not piece.is_straight]
    start = sorted(movable, key=lambda n: (_slant(pieces[n]), pieces[n].wire))
    table = costs.tolist()
    order = _exact(start, table) if len(start) <= _EXACT_UP_TO else _improved(start, table)
    return tuple(_grouped(order, table, pieces))


def _slant(piece: ChannelPiece) -> tuple[int, int]:
    """Where a lane would stand by itself: U-turns at their own edge, the rest as their ends rise or fall."""
    if piece.a.left and piece.b.left:
        return -1, piece.high - piece.low
    if not (piece.a.left or piece.b.left):
        return 1, piece.low - piece.high
    left, right = (piece.a, piece.b) if piece.a.left else (piece.b, piece.a)
    return 0, (-left.at if right.at > left.at else left.at)


def _exact(items: list[int], table: list[list[int]]) -> list[int]:
    """Held-Karp over subsets: the cheapest way to have placed a set of lanes from the left."""
    count = len(items)
    cost = [0] * (1 << count)
    last = [-1] * (1 << count)
    for subset in range(1, 1 << count):
        members = [k for k in range(count) if subset >> k & 1]
        options = []
        for k in members:
            rest = subset ^ (1 << k)
            add = sum(table[items[m]][items[k]] for m in members if m != k)
            options.append((cost[rest] + add, -k))
        cost[subset], negative = min(options)
        last[subset] = -negative
    order: list[int] = []
    subset = (1 << count) - 1
    while subset:
        order.append(items[last[subset]])
        subset ^= 1 << last[subset]
    return order[::-1]


def _improved(items: list[int], table: list[list[int]]) -> list[int]:
    """Move single lanes to their best place until nothing gains."""
    order = list(items)
    improved = True
    while improved:
        improved = False
        for item in items:
            old = order.index(item)
            rest = order[:old] + order[old + 1 :]
            before = sum(table[item][other] for other in rest)
            totals = [before]
            for other in rest:
                before += table[other][item] - table[item][other]
                totals.append(before)
            best = min(range(len(totals)), key=lambda n, t=totals, o=old: (t[n], abs(n - o)))  # type: ignore[misc]
            if totals[best] < totals[old]:
                order = [*rest[:best], item, *rest[best:]]
                improved = True
    return order


def _grouped(order: list[int], table: list[list[int]], pieces: Sequence[ChannelPiece]) -> list[int]:
    """Bring lanes of one cable together where that costs no crossing."""
    result = list(order)
    changed = True
    while changed:
        changed = False
        for n in range(len(result) - 1):
            i, j = result[n], result[n + 1]
            if table[j][i] <= table[i][j] and _together(result, n, pieces):
                result[n], result[n + 1] = j, i
                changed = True
    return result


def _together(order: Sequence[int], n: int, pieces: Sequence[ChannelPiece]) -> bool:
    """Swapping places n and n + 1 makes more neighbours of one cable."""
    around = [pieces[k].cable for k in order[max(0, n - 1) : n + 3]]
    swapped = list(around)
    at = 1 if n else 0
    swapped[at], swapped[at + 1] = swapped[at + 1], swapped[at]
    return _neighbours(swapped) > _neighbours(around)


def _neighbours(cables: Sequence[str]) -> int:
    return sum(1 for a, b in pairwise(cables) if a and a == b)


def tracks(order: Sequence[int], pieces: Sequence[ChannelPiece], *, share: bool) -> dict[int, int]:
    """The vertical line of each lane, counted from the left. Shared lines keep lanes apart that would meet."""
    placed: dict[int, int] = {}
    for n, item in enumerate(order):
        if not share:
            placed[item] = n
            continue
        placed[item] = max((placed[m] + 1 for m in order[:n] if _meet(pieces[m], pieces[item])), default=0)
    return placed


def _meet(one: ChannelPiece, other: ChannelPiece) -> bool:
    return one.low - _SHARE_GAP < other.high and other.low - _SHARE_GAP < one.high
