"""Cutting stock: given lengths cut from reels of one length, with as few reels as can be.

Lengths are whole numbers, so that nothing is lost to rounding. How few reels can do is bounded from below by Martello and
Toth's L2 ("Knapsack Problems", 1990, section 8.3) and by the dual feasible functions of Fekete and Schepers (2001; both from
memory, held against exhaustive search by the tests). Where a heuristic meets the bound the plan is exact. Else branch and
bound goes on for so many nodes, and says when it stops before it is done.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

MOST_NODES: Final = 200_000
"""Of branch and bound, in place of a time that a slow machine would reach earlier."""
_MOST_PARTS: Final = 12

Reel = tuple[int, ...]
"""The cuts from one reel, by their places in the list of lengths, the longest first."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """How lengths are cut.

    Args:
        reels: what is cut from each new reel, the fullest first.
        bound: no plan does with fewer new reels than this.
        exact: this one cannot be bettered.
        begun: what is cut from each reel that was begun, as they were given.
    """

    reels: tuple[Reel, ...]
    bound: int
    exact: bool
    begun: tuple[Reel, ...] = ()


def cut(lengths: Sequence[int], reel: int, most_nodes: int = MOST_NODES, begun: Sequence[int] = ()) -> Cutting:
    """Cut lengths from reels, with as few new ones as can be.

    Args:
        lengths: whole numbers from 1 to the reel's.
        reel: length of a new one.
        most_nodes: of branch and bound.
        begun: what is left on reels that have been cut from, at most `reel` each.

    Raises:
        ValueError: a length that no new reel holds, or a reel begun that is longer than a new one.

    Examples:
        >>> cut([60, 50, 40, 30, 20], 100).reels
        ((0, 2), (1, 3, 4))
        >>> cut([60, 50, 40, 30, 20], 100, begun=[55, 50])
        Cutting(reels=((0, 2),), bound=1, exact=True, begun=((3, 4), (1,)))
    """
    if any(not 0 < length <= reel for length in lengths):
        raise ValueError(f"every length must be from 1 to {reel}")
    if any(not 0 <= left <= reel for left in begun):
        raise ValueError(f"what is left on a reel must be from 0 to {reel}")
    if not lengths:
        return Cutting((), 0, exact=True, begun=((),) * len(begun))
    order = sorted(range(len(lengths)), key=lambda n: (-lengths[n], n))
    sizes = [lengths[n] for n in order]
    # the shortest first, so that odd ends are used up
    rank = sorted(range(len(begun)), key=lambda k: (begun[k], k))
    rooms = [begun[k] for k in rank]
    bound = len(begun) + lower_bound(sizes, reel, begun)
    plans = (_first_fit(sizes, reel, rooms), _best_fit(sizes, reel, rooms), _fullest(sizes, reel, rooms))
    best, exact = min(plans, key=len), True
    if len(best) > bound:
        # a node takes as long as there are pieces
        nodes = min(most_nodes, 60 * most_nodes // len(sizes))
        found, exact = _branch_and_bound(sizes, reel, bound, best, nodes, rooms)
        bound = len(found) if exact else bound
        best = found
    cuts = [tuple(order[k] for k in bin_) for bin_ in best]
    used = dict(zip(rank, cuts, strict=False))
    reels = sorted(cuts[len(begun) :], key=lambda cuts: (-_sum(cuts, lengths), cuts))
    return Cutting(tuple(reels), bound - len(begun), exact, tuple(used[k] for k in range(len(begun))))


def lower_bound(sizes: Sequence[int], reel: int, begun: Sequence[int] = ()) -> int:
    """New reels that no plan can do without.

    A reel begun is a new one with a piece in it already, as long as what is gone.
    """
    pieces = sorted((*sizes, *(reel - left for left in begun if left < reel)), reverse=True)
    most = max(_by_threshold(pieces, reel), *(_by_parts(pieces, reel, parts) for parts in range(1, _MOST_PARTS)))
    return max(0, most - len(begun))


def _by_parts(sizes: Sequence[int], reel: int, parts: int) -> int:
    """A length counts as so many whole parts of a reel as go into it, a part more making the reel; a whole number exactly.

    At most `parts` lengths over 1 / (parts + 1) of a reel come out of one.
    """
    counted, whole = 0, parts * reel
    for size in sizes:
        times, rest = divmod((parts + 1) * size, reel)
        counted += times * reel if rest else parts * size
    return -(-counted // whole)


def _by_threshold(sizes: Sequence[int], reel: int) -> int:
    """L2: for each threshold, reels that the long ones need, and those that the middling ones need beyond the room left."""
    most = -(-sum(sizes) // reel)
    for least in {0, *(size for size in sizes if 2 * size <= reel)}:
        alone = [s for s in sizes if s > reel - least]
        large = [s for s in sizes if reel - least >= s and 2 * s > reel]
        middle = sum(s for s in sizes if 2 * s <= reel and s >= least)
        room = len(large) * reel - sum(large)
        most = max(most, len(alone) + len(large) + max(0, -(-(middle - room) // reel)))
    return most


def _sum(cuts: Reel, lengths: Sequence[int]) -> int:
    return sum(lengths[n] for n in cuts)


def _first_fit(sizes: Sequence[int], reel: int, begun: Sequence[int]) -> list[list[int]]:
    bins: list[list[int]] = [[] for _ in begun]
    left = list(begun)
    for n, size in enumerate(sizes):
        place = next((k for k, room in enumerate(left) if room >= size), None)
        _put(bins, left, place, n, reel, size)
    return bins


def _best_fit(sizes: Sequence[int], reel: int, begun: Sequence[int]) -> list[list[int]]:
    bins: list[list[int]] = [[] for _ in begun]
    left = list(begun)
    for n, size in enumerate(sizes):
        fitting = [(room, k) for k, room in enumerate(left) if room >= size]
        _put(bins, left, min(fitting)[1] if fitting else None, n, reel, size)
    return bins


def _fullest(sizes: Sequence[int], reel: int, begun: Sequence[int]) -> list[list[int]]:
    """From each reel begun what uses it up best; from each new one the longest piece left too."""
    left = list(range(len(sizes)))
    bins = []
    for room in begun:
        chosen = set(_filling([n for n in left if sizes[n] <= room], sizes, room))
        bins.append([n for n in left if n in chosen])
        left = [n for n in left if n not in chosen]
    while left:
        first, *others = left
        chosen = {first, *_filling(others, sizes, reel - sizes[first])}
        bins.append([n for n in left if n in chosen])
        left = [n for n in left if n not in chosen]
    return bins


def _filling(others: Sequence[int], sizes: Sequence[int], room: int) -> list[int]:
    """Pieces that fill a room best. Sums that can be reached are the bits of a whole number."""
    reach, mask = [1], (1 << (room + 1)) - 1
    for n in others:
        reach.append(reach[-1] | (reach[-1] << sizes[n]) & mask)
        if reach[-1] >> room:
            break
    total, found = reach[-1].bit_length() - 1, []
    for k in range(len(reach) - 1, 0, -1):
        if not reach[k - 1] >> total & 1:
            found.append(others[k - 1])
            total -= sizes[others[k - 1]]
    return found


def _put(bins: list[list[int]], left: list[int], place: int | None, n: int, reel: int, size: int) -> None:
    if place is None:
        bins.append([])
        left.append(reel)
        place = len(bins) - 1
    bins[place].append(n)
    left[place] -= size


def _branch_and_bound(
    sizes: Sequence[int], reel: int, bound: int, best: list[list[int]], most_nodes: int, begun: Sequence[int]
) -> tuple[list[list[int]], bool]:
    """A plan with fewer reels than `best` where there is one; whether all there are were looked at."""
    search = _BranchAndBound(sizes, reel, bound, best, most_nodes, begun)
    search.go()
    return search.best, search.done


class _BranchAndBound:
    """Depth first, the longest piece first, into each reel with another room, then into a new one."""

    def __init__(
        self, sizes: Sequence[int], reel: int, bound: int, best: list[list[int]], most_nodes: int, begun: Sequence[int]
    ) -> None:
        self.sizes, self.reel, self.bound, self.begun = sizes, reel, bound, begun
        self.best, self.nodes = best, most_nodes
        self.after = [0] * (len(sizes) + 1)
        for n in range(len(sizes) - 1, -1, -1):
            self.after[n] = self.after[n + 1] + sizes[n]

    @property
    def done(self) -> bool:
        """Nothing was left out for lack of nodes."""
        return self.nodes > 0 or len(self.best) == self.bound

    def go(self) -> None:
        """Search, without recursion: a thousand pieces are as deep as that."""
        bins: list[list[int]] = [[] for _ in self.begun]
        left = list(self.begun)
        stack = [(0, iter(self._places(0, left)))]
        while stack and self.nodes > 0 and len(self.best) > self.bound:
            n, places = stack[-1]
            place = next(places, None)
            if place is None:
                stack.pop()
                if stack:
                    self._take_back(bins, left, n - 1)
                continue
            self.nodes -= 1
            _put(bins, left, place if place < len(bins) else None, n, self.reel, self.sizes[n])
            if n + 1 == len(self.sizes):
                if len(bins) < len(self.best):
                    self.best = [list(one) for one in bins]
                self._take_back(bins, left, n)
            elif self._may_win(left, n + 1):
                stack.append((n + 1, iter(self._places(n + 1, left))))
            else:
                self._take_back(bins, left, n)

    def _places(self, n: int, left: Sequence[int]) -> list[int]:
        """Reels worth a try: one of each room, the tightest first, then a new one."""
        size = self.sizes[n]
        rooms: dict[int, int] = {}
        for k, room in enumerate(left):
            if room >= size:
                rooms.setdefault(room, k)
        found = [rooms[room] for room in sorted(rooms)]
        # a piece that fills a reel to the end is nowhere better
        if found and left[found[0]] == size:
            return found[:1]
        return [*found, len(left)] if len(left) + 1 < len(self.best) else found

    def _may_win(self, left: Sequence[int], n: int) -> bool:
        short = self.sizes[-1]
        usable = sum(room for room in left if room >= short)
        more = max(0, -(-(self.after[n] - usable) // self.reel))
        return len(left) + more < len(self.best)

    def _take_back(self, bins: list[list[int]], left: list[int], n: int) -> None:
        place = next(k for k in range(len(bins)) if bins[k] and bins[k][-1] == n)
        bins[place].pop()
        left[place] += self.sizes[n]
        if not bins[place] and place >= len(self.begun):
            bins.pop(place)
            left.pop(place)
