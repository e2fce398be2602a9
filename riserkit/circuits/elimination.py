"""Node elimination with one order for many circuits of one structure.

A nodal system is reduced node by node (star to mesh): a node with conductances g_j to its neighbours is replaced
by conductances g_i g_j / Σg between them, and its injected current is shared out in proportion to g_j. Only
additions, products and quotients of conductances occur, so no digits cancel, whether a joint has a
microohm or a megohm. A door's circuit is nearly a tree; the order is found once. Nodes that are no neighbours are
eliminated together, a level at a time, each operation over all of them and over all rows (cases) of the batch.

Nodes at which nothing changes while a batch is solved come first: they are eliminated once, and only the rest again
and again.

A node whose conductances are all exactly zero when its turn comes is the last of an island without a path to the
reference: it becomes that island's own 0 V.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]

_ADRIFT_OHM = 1e9  # only gives the voltage of a node with no way out for its current the right sign
_FEW = 3  # nodes with so few neighbours go together with those that have the fewest

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Additions:
    """What is added to rows: every row is read and written once, however much is added to it.

    Attributes:
        rows: each once, those to which most is added first.
        places: of what is added: the first to every row, then the second to those that get one, and so on.
        counts: how many rows get a first, a second and so on.
    """

    rows: IntArray
    places: IntArray
    counts: tuple[int, ...]

    def add(self, to: FloatArray, what: FloatArray) -> None:
        """Add to rows, in the order of the places; `what` has been taken at these already."""
        if not self.counts:
            return
        sums, start = to.take(self.rows, axis=0), 0
        for count in self.counts:
            some = sums[:count]
            np.add(some, what[start : start + count], out=some)
            start += count
        to[self.rows] = sums


@dataclass(frozen=True, slots=True)
class Tier:
    """Elimination of nodes that are no neighbours of each other.

    Its rows of the system are blocks of one row a node: the conductances to their first neighbours, to their second and
    so on, zero where a node has fewer; then, if current can arrive here, the currents injected.

    Attributes:
        nodes: shape (nodes,).
        degree: most neighbours of a node.
        start: its first row in the system.
        stop: the row after its last.
        fed: whether current can arrive.
        ends: what lies at the other end of each of its rows, as a row of the voltages, shape (stop - start,).
        fill: what is added to later rows, its places being those of products.
        of, by: the product of which of its rows with which of its shares each of these is.
    """

    nodes: IntArray
    degree: int
    start: int
    stop: int
    fed: bool
    ends: IntArray
    fill: Additions
    of: IntArray
    by: IntArray


@dataclass(frozen=True, slots=True)
class EliminationPlan:
    """The order for one structure.

    The voltages have a row a node and two more: one of 0 V for the reference and for neighbours that are none, one of 1 by
    which injected currents are carried along.

    Attributes:
        n_nodes: number of nodes.
        reference: the node at 0 V; it is never eliminated.
        still: levels of the nodes at which nothing changes while a batch is solved.
        moving: the other levels; their rows are counted from the first of them.
        n_still: rows of the system that belong to `still`.
        n_rows: rows of the whole system.
        edge_of: row of the conductance between two nodes (low, high).
        inject_of: row of the current injected into a node, for nodes that can be fed.
    """

    n_nodes: int
    reference: int
    still: tuple[Tier, ...]
    moving: tuple[Tier, ...]
    n_still: int
    n_rows: int
    edge_of: dict[Pair, int]
    inject_of: dict[int, int]

    @property
    def order(self) -> tuple[int, ...]:
        """Nodes in the order of their elimination."""
        return tuple(int(node) for level in (*self.still, *self.moving) for node in level.nodes)

    def voltages(self, rows: int, at_reference: float = 0.0) -> FloatArray:
        """Voltages to be filled in by `back`, shape (nodes + 2, rows)."""
        v = np.zeros((self.n_nodes + 2, rows))
        v[self.reference] = v[-2] = at_reference
        v[-1] = 1.0
        return v


@dataclass(frozen=True, slots=True)
class Eliminated:
    """What is left of levels that were eliminated.

    Attributes:
        shares: for each level its rows over the sum of each node's conductances.
        negative: rows in which a pivot was negative: past the point of maximum power of a constant-power load.
        adrift: node whose current has no way out, or -1, shape (rows,).
    """

    shares: list[FloatArray]
    negative: BoolArray
    adrift: IntArray


def _pair(a: int, b: int) -> Pair:
    return (a, b) if a < b else (b, a)


def plan_of(
    n_nodes: int,
    pairs: Iterable[Pair],
    reference: int,
    fed: Iterable[int],
    moving: Iterable[int] = (),
    last: Iterable[int] = (),
) -> EliminationPlan:
    """Find an order of elimination, fewest neighbours first.

    Args:
        n_nodes: number of nodes.
        pairs: node pairs with an element between them.
        reference: the node at 0 V; it is never eliminated.
        fed: nodes into which an element can inject current.
        moving: nodes at which something changes while a batch is solved.
        last: those among them that are kept to the end, so that they become the reference of an island of their own.
    """
    near: list[set[int]] = [set() for _ in range(n_nodes)]
    for a, b in pairs:
        if a != b:
            near[a].add(b)
            near[b].add(a)
    late = set(last)
    early = set(moving) | late
    todo = {k for k in range(n_nodes) if near[k] and k != reference}
    still = _levels(todo - early, near)
    rest = _levels(todo & early - late, near) + _levels(todo & late, near)
    return _laid_out(n_nodes, reference, still, rest, set(fed))


_Stars = list[tuple[int, list[int]]]
"""Nodes that go together, each with its neighbours when its turn comes."""


def _levels(todo: set[int], near: list[set[int]]) -> list[_Stars]:
    """Sort nodes into levels; their neighbours become neighbours of each other."""
    levels: list[_Stars] = []
    left = set(todo)
    while left:
        waiting = sorted((len(near[k]), k) for k in left)
        most = max(waiting[0][0], _FEW)
        blocked: set[int] = set()
        stars: _Stars = []
        for count, node in waiting:
            if count > most:
                break
            if node not in blocked:
                stars.append((node, sorted(near[node])))
                blocked |= near[node]
        for node, around in stars:
            for k in around:
                near[k].update(around)
                near[k] -= {k, node}
        left.difference_update(node for node, _ in stars)
        levels.append(stars)
    return levels


def _laid_out(
    n_nodes: int, reference: int, still: list[_Stars], rest: list[_Stars], carries: set[int]
) -> EliminationPlan:
    """Give every conductance and current its row."""
    edge_of: dict[Pair, int] = {}
    inject_of: dict[int, int] = {}
    shapes: list[tuple[int, int, bool]] = []
    n_still = row = 0
    for number, stars in enumerate((*still, *rest)):
        if number == len(still):
            n_still = row
        degree = max(len(around) for _, around in stars)
        fed = not carries.isdisjoint(node for node, _ in stars)
        shapes.append((row, degree, fed))
        for i, (node, around) in enumerate(stars):
            for p, k in enumerate(around):
                edge_of[_pair(node, k)] = row + p * len(stars) + i
            if fed:
                inject_of[node] = row + degree * len(stars) + i
                carries.update(around)
        row += (degree + fed) * len(stars)
    if not rest:
        n_still = row

    def level(stars: _Stars, shape: tuple[int, int, bool], base: int) -> Tier:
        start, degree, fed = shape
        count = len(stars)
        ends = np.full((degree + fed, count), n_nodes)
        if fed:
            ends[degree] = n_nodes + 1
        into: list[int] = []
        of: list[tuple[int, int]] = []
        for i, (_, around) in enumerate(stars):
            ends[: len(around), i] = around
            for q, b in enumerate(around):
                for p, a in enumerate(around[:q]):
                    into.append(edge_of[a, b])
                    of.append((p * count + i, q * count + i))
                if fed and b != reference:
                    into.append(inject_of[b])
                    of.append((degree * count + i, q * count + i))
        fill = additions([row - base for row in into])
        products = np.array(of, dtype=np.int64).reshape(-1, 2)[fill.places]
        nodes = np.array([node for node, _ in stars])
        stop = start + (degree + fed) * count
        return Tier(nodes, degree, start - base, stop - base, fed, ends.reshape(-1), fill, *products.T.copy())

    made = [
        level(stars, shape, 0 if number < len(still) else n_still)
        for number, (stars, shape) in enumerate(zip((*still, *rest), shapes, strict=True))
    ]
    return EliminationPlan(
        n_nodes, reference, tuple(made[: len(still)]), tuple(made[len(still) :]), n_still, row, edge_of, inject_of
    )


def additions(into: Sequence[int]) -> Additions:
    """Additions to rows: of each in the order given.

    Examples:
        >>> found = additions([7, 4, 7])
        >>> found.rows.tolist(), found.places.tolist(), found.counts
        ([7, 4], [0, 1, 2], (2, 1))
    """
    of_row: dict[int, list[int]] = {}
    for place, row in enumerate(into):
        of_row.setdefault(row, []).append(place)
    rows = sorted(of_row, key=lambda row: -len(of_row[row]))
    most = len(of_row[rows[0]]) if rows else 0
    layers = [[of_row[row][depth] for row in rows if len(of_row[row]) > depth] for depth in range(most)]
    places = [place for layer in layers for place in layer]
    return Additions(np.array(rows, dtype=np.int64), np.array(places, dtype=np.int64), tuple(map(len, layers)))


def eliminate(levels: Sequence[Tier], system: FloatArray, slack_a: FloatArray | float) -> Eliminated:
    """Eliminate levels; what becomes of the rest of the system is found in its rows.

    Args:
        levels: whose rows are counted from the first of the system.
        system: conductances in siemens and injected currents in amperes, shape (rows of the system, rows).
        slack_a: current that counts as rounding, for all or of shape (rows,).
    """
    rows = system.shape[1]
    found = Eliminated([], np.zeros(rows, dtype=np.bool_), np.full(rows, -1, dtype=np.int64))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for level in levels:
            block, count = system[level.start : level.stop], level.nodes.size
            total = np.add.reduce(block[: level.degree * count].reshape(level.degree, count, rows), axis=0)
            inverse = 1.0 / total
            positive = np.minimum.reduce(total, axis=None, initial=np.inf) > 0.0
            if not positive:
                inverse[total == 0.0] = 0.0
                np.logical_or(found.negative, ~np.logical_and.reduce(total >= 0.0, axis=0), out=found.negative)
            share = (block.reshape(level.degree + level.fed, count, rows) * inverse).reshape(block.shape)
            products = block.take(level.of, axis=0)
            products *= share.take(level.by, axis=0)
            level.fill.add(system, products)
            if level.fed and not positive:
                current_a = block[-count:]
                lost = (total == 0.0) & (np.abs(current_a) > slack_a)
                share[-count:][lost] = current_a[lost] * _ADRIFT_OHM
                some = np.logical_or.reduce(lost, axis=0)
                found.adrift[some] = level.nodes[lost.argmax(axis=0)[some]]
            found.shares.append(share)
    return found


def back(levels: Sequence[Tier], shares: Sequence[FloatArray], v: FloatArray) -> None:
    """Voltages of the nodes of levels, from those of the nodes eliminated after them."""
    for level, share in zip(reversed(levels), reversed(shares), strict=True):
        parts = share * v.take(level.ends, axis=0)
        v[level.nodes] = np.add.reduce(parts.reshape(-1, level.nodes.size, v.shape[1]), axis=0)
