"""Shortest ways over the pathways from one closet to everywhere."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import networkx as nx
import numpy as np
import numpy.typing as npt

from riserkit.network.pathways import Anchor, NodeKey, Pathways, stretch_length_m
from riserkit.network.taps import FloatArray


@dataclass(frozen=True, slots=True)
class Reach:
    """One closet's shortest distances, m nodes in the graph.

    Args:
        distance_m: (m + 1,) from the closet's tap, infinite when there is no way; the last is for no node (-1).
        previous: (m,) number of the node before, -1 at the tap and where there is no way.
    """

    distance_m: FloatArray
    previous: npt.NDArray[np.int64]

    @classmethod
    def of(cls, pathways: Pathways, closet: str, number: Mapping[NodeKey, int]) -> Reach:
        """Run Dijkstra once from a closet; a closet that taps nothing reaches nothing."""
        distance_m = np.full(len(number) + 1, math.inf)
        previous = np.full(len(number), -1, dtype=np.int64)
        source: NodeKey = ("tap", closet)
        if source in number:
            before, found = nx.dijkstra_predecessor_and_distance(pathways.graph, source, weight=stretch_length_m)
            for node, found_m in found.items():
                distance_m[number[node]] = found_m
                # Of equally short ways the first found is kept: later ones, and any back to the source, may lead around
                # a stretch of no length.
                previous[number[node]] = number[before[node][0]] if node != source else -1
        return cls(distance_m, previous)

    def nearest(self, anchors: Iterable[Anchor], number: Mapping[NodeKey, int]) -> tuple[float, Anchor] | None:
        """Distance over the better of some anchors, and that anchor; None when none can be reached."""
        ways = [(float(self.distance_m[number[a.node]]) + a.offset_m, a) for a in anchors]
        best = min(ways, key=lambda way: way[0], default=None)
        return None if best is None or math.isinf(best[0]) else best

    def way(self, node: int) -> list[int]:
        """Numbers of the nodes from the closet's tap to a node that it reaches."""
        back = [node]
        while self.previous[back[-1]] >= 0:
            back.append(int(self.previous[back[-1]]))
        return back[::-1]
