"""Readings that no circuit can give together: voltages round a loop add up to zero, whatever is at fault."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import networkx as nx


@dataclass(frozen=True, slots=True)
class VoltageBetween:
    """The first place is this much above the second: anything from `low` to `high`, in one unit throughout."""

    first: str
    second: str
    low: float
    high: float


def contradiction(differences: Sequence[VoltageBetween]) -> tuple[int, ...]:
    """Differences that cannot all hold: their places in the sequence; empty where none contradict.

    They are found as a circle of negative length in the graph of difference constraints (R. Bellman 1958; L. R. Ford 1956).

    Examples:
        >>> rows = [VoltageBetween("a", "b", 11.9, 12.1), VoltageBetween("b", "c", -0.1, 0.1), VoltageBetween("a", "c", 2.9, 3.1)]
        >>> contradiction(rows)
        (0, 1, 2)
        >>> contradiction(rows[:2])
        ()
    """
    graph: nx.DiGraph[object] = nx.DiGraph()
    for place, d in enumerate(differences):
        # x(first) - x(second) <= high, x(second) - x(first) <= -low
        for tail, head, bound in ((d.second, d.first, d.high), (d.first, d.second, -d.low)):
            if bound == float("inf"):
                continue
            if not graph.has_edge(tail, head) or bound < graph.edges[tail, head]["weight"]:
                graph.add_edge(tail, head, weight=bound, place=place)
    start = "", "start"
    graph.add_weighted_edges_from((start, node, 0.0) for node in [start, *graph])
    try:
        circle = nx.find_negative_cycle(graph, start)
    except nx.NetworkXError:
        return ()
    pairs = pairwise(circle)
    return tuple(sorted({graph.edges[tail, head]["place"] for tail, head in pairs}))
