"""Node elimination with one order for many circuits of one structure.

A nodal system is reduced node by node (star to mesh): a node with conductances g_j to its neighbours is replaced
by conductances g_i g_j / Σg between them, and its injected current is shared out in proportion to g_j. Only
additions, products and quotients of conductances occur, so no digits cancel, whether a joint has a
microohm or a megohm. A door's circuit is nearly a tree; the order is found once and every step is then one
numpy operation over all rows (cases) of the batch.

A node whose conductances are all exactly zero when its turn comes is the last of an island without a path to the
reference: it becomes that island's own 0 V.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]

_ADRIFT_OHM = 1e9  # only gives the voltage of a node with no way out for its current the right sign


@dataclass(frozen=True, slots=True)
class Step:
    """Elimination of one node.

    `fill` holds (edge between neighbours i and j, position i, position j). `fed`: current can arrive here.
    """

    node: int
    neighbours: tuple[int, ...]
    edges: tuple[int, ...]
    fill: tuple[tuple[int, int, int], ...]
    fed: bool


@dataclass(frozen=True, slots=True)
class EliminationPlan:
    """The order for one structure: `edge_of` maps a node pair (low, high) to its row in the edge array."""

    n_nodes: int
    reference: int
    edge_of: dict[tuple[int, int], int]
    n_edges: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Nodes:
    """One linear solution.

    Attributes:
        v: node voltages, shape (nodes, rows).
        negative: rows in which a pivot was negative: past the point of maximum power of a constant-power load.
        adrift: node whose current has no way out, or -1, shape (rows,).
    """

    v: FloatArray
    negative: BoolArray
    adrift: IntArray


def _pair(a: int, b: int) -> tuple[int, int]:
    return (a, b) if a < b else (b, a)


def plan_of(
    n_nodes: int,
    pairs: Iterable[tuple[int, int]],
    reference: int,
    fed: Iterable[int],
    last: Iterable[int] = (),
) -> EliminationPlan:
    """Find an order of elimination, fewest neighbours first.

    Args:
        n_nodes: number of nodes.
        pairs: node pairs with an element between them.
        reference: the node at 0 V; it is never eliminated.
        fed: nodes into which an element can inject current.
        last: nodes to be kept to the end, so that they become the reference of an island of their own.
    """
    near: list[set[int]] = [set() for _ in range(n_nodes)]
    edge_of: dict[tuple[int, int], int] = {}
    for a, b in pairs:
        if a != b:
            near[a].add(b)
            near[b].add(a)
            edge_of.setdefault(_pair(a, b), len(edge_of))
    carries = set(fed)
    late = set(last)
    todo = {k for k in range(n_nodes) if near[k] and k != reference}
    # Entries go stale as neighbours come and go; one that counts them rightly is on the heap for every node still to do.
    waiting = [(k in late, len(near[k]), k) for k in todo]
    heapify(waiting)
    steps = []
    while todo:
        _, count, node = heappop(waiting)
        if node not in todo or count != len(near[node]):
            continue
        todo.remove(node)
        around = tuple(sorted(near[node]))
        edges = tuple(edge_of[_pair(node, k)] for k in around)
        fill = _join(around, near, edge_of)
        for k in around:
            near[k].discard(node)
            heappush(waiting, (k in late, len(near[k]), k))
        if node in carries:
            carries.update(around)
        steps.append(Step(node, around, edges, fill, node in carries))
    return EliminationPlan(n_nodes, reference, edge_of, len(edge_of), tuple(steps))


def _join(
    around: Sequence[int], near: list[set[int]], edge_of: dict[tuple[int, int], int]
) -> tuple[tuple[int, int, int], ...]:
    """Make every two neighbours of an eliminated node neighbours of each other."""
    fill = []
    for i, a in enumerate(around):
        for j in range(i + 1, len(around)):
            b = around[j]
            near[a].add(b)
            near[b].add(a)
            fill.append((edge_of.setdefault(_pair(a, b), len(edge_of)), i, j))
    return tuple(fill)


def solve_nodes(plan: EliminationPlan, edge_g: FloatArray, inject_a: FloatArray, slack_a: FloatArray) -> Nodes:
    """Solve the nodal equations of every row. Both arrays are used up.

    Args:
        plan: the order.
        edge_g: conductance of each edge in siemens, shape (plan.n_edges, rows).
        inject_a: current injected into each node in amperes, shape (nodes, rows).
        slack_a: current that counts as rounding, shape (rows,).
    """
    g, inject = list(edge_g), list(inject_a)
    rows = slack_a.shape[0]
    negative = np.zeros(rows, dtype=np.bool_)
    adrift = np.full(rows, -1, dtype=np.int64)
    shares: list[list[FloatArray]] = []
    parts: list[FloatArray | None] = []
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for step in plan.steps:
            total = _total(g, step.edges, rows)
            inverse = 1.0 / total
            last = None if total.min() > 0.0 else total == 0.0
            if last is not None:
                inverse[last] = 0.0
                negative |= ~(total >= 0.0)
            share = [g[edge] * inverse for edge in step.edges]
            for edge, i, j in step.fill:
                g[edge] += g[step.edges[i]] * share[j]
            part = None
            if step.fed:
                here = inject[step.node]
                for k, w in zip(step.neighbours, share, strict=True):
                    inject[k] += w * here
                part = here * inverse
                if last is not None:
                    lost = last & (np.abs(here) > slack_a)
                    part[lost] = here[lost] * _ADRIFT_OHM
                    adrift[lost] = step.node
            shares.append(share)
            parts.append(part)
        return Nodes(_back(plan, shares, parts, rows), negative, adrift)


def _total(g: list[FloatArray], edges: tuple[int, ...], rows: int) -> FloatArray:
    """Sum of conductances at a node; zero at the last node of an island."""
    if not edges:
        return np.zeros(rows)
    if len(edges) == 1:
        return g[edges[0]]
    total = np.add(g[edges[0]], g[edges[1]])
    for edge in edges[2:]:
        total += g[edge]
    return total


def _back(
    plan: EliminationPlan,
    shares: list[list[FloatArray]],
    parts: list[FloatArray | None],
    rows: int,
    at_reference: float = 0.0,
) -> FloatArray:
    """Voltages from the last node eliminated back to the first."""
    v = np.zeros((plan.n_nodes, rows))
    v[plan.reference] = at_reference
    for step, share, part in zip(reversed(plan.steps), reversed(shares), reversed(parts), strict=True):
        here = v[step.node]
        if part is not None:
            here += part
        for k, w in zip(step.neighbours, share, strict=True):
            if k != plan.reference or at_reference:
                here += w * v[k]
    return v


def anchored(plan: EliminationPlan, edge_g: FloatArray) -> BoolArray:
    """Which nodes have a conducting path to the reference, shape (nodes, rows).

    With 1 V on the reference and no source, whatever is connected to it takes part of that volt.
    """
    g = list((edge_g != 0.0).astype(np.float64))
    shares = []
    with np.errstate(divide="ignore"):
        for step in plan.steps:
            total = _total(g, step.edges, edge_g.shape[1])
            inverse = np.where(total > 0.0, 1.0 / total, 0.0)
            share = [g[edge] * inverse for edge in step.edges]
            for edge, i, j in step.fill:
                g[edge] += g[step.edges[i]] * share[j]
            shares.append(share)
    return _back(plan, shares, [None] * len(shares), edge_g.shape[1], 1.0) > 0.5
