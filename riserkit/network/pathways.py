"""The pathway network as a graph, cut where closets tap it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Literal

import networkx as nx

from riserkit.model.cabling import PathwaySegment
from riserkit.model.site import Site
from riserkit.network.spots import Spot, closet_spot, node_spot
from riserkit.network.taps import Tap, TapFinder, straight_m

# ("node", pathway node id) or ("tap", closet id)
NodeKey = tuple[Literal["node", "tap"], str]


@dataclass(frozen=True, slots=True)
class Stretch:
    """An edge of the graph: a segment, or the part of one between two taps."""

    segment: str
    length_m: float


@dataclass(frozen=True, slots=True)
class Anchor:
    """A node of the graph and the distance to it along a pathway."""

    node: NodeKey
    offset_m: float


@dataclass(frozen=True, slots=True)
class _Cuts:
    """A segment with the nodes along it, by rising fraction."""

    length_m: float
    fractions: tuple[float, ...]
    nodes: tuple[NodeKey, ...]


@dataclass(frozen=True)
class Pathways:
    """Pathway nodes and segments as an undirected graph.

    Closets' taps are nodes of it. Openings' taps are not, as they are many: their distance follows from those of the
    two neighbouring nodes on the segment (`anchors`), which comes to the same.

    Args:
        graph: frozen; each edge holds a `Stretch` under `stretch`.
        spots: where each of its nodes is.
        closet_taps: by closet id; a closet on a level without pathways is absent.
        finder: finds taps for openings.
    """

    graph: nx.Graph[NodeKey]
    spots: Mapping[NodeKey, Spot]
    closet_taps: Mapping[str, Tap]
    finder: TapFinder
    _cuts: Mapping[str, _Cuts]

    @classmethod
    def of(cls, site: Site) -> Pathways:
        """The pathways of a site."""
        nodes = {node.id: node_spot(site, node) for node in sorted(site.pathway_nodes, key=lambda n: n.id)}
        finder = TapFinder(site, nodes)
        taps = _closet_taps(site, finder)
        cuts = {s.id: _cut(s, nodes, taps) for s in sorted(site.pathway_segments, key=lambda s: s.id)}
        spots: dict[NodeKey, Spot] = {("node", name): spot for name, spot in nodes.items()}
        spots |= {("tap", closet): tap.spot for closet, tap in taps.items()}
        graph = _graph(spots, cuts, taps)
        return cls(graph, MappingProxyType(spots), MappingProxyType(taps), finder, MappingProxyType(cuts))

    def anchors(self, tap: Tap) -> tuple[Anchor, ...]:
        """The nodes between which a tap lies, one when it is at a node."""
        if tap.node:
            return (Anchor(("node", tap.node), 0.0),)
        cuts = self._cuts[tap.segment]
        after = min(bisect_right(cuts.fractions, tap.fraction), len(cuts.nodes) - 1)
        low, high = cuts.fractions[after - 1], cuts.fractions[after]
        return (
            Anchor(cuts.nodes[after - 1], (tap.fraction - low) * cuts.length_m),
            Anchor(cuts.nodes[after], (high - tap.fraction) * cuts.length_m),
        )

    def length_m(self, segment: str) -> float:
        """Of a whole segment, as stated or between its nodes."""
        return self._cuts[segment].length_m

    def stretch(self, a: NodeKey, b: NodeKey) -> Stretch:
        """The edge between two neighbouring nodes."""
        return _stretch(self.graph.edges[a, b])


def stretch_length_m(_a: NodeKey, _b: NodeKey, edge: Mapping[str, Any]) -> float:
    """Weight of an edge for shortest paths; an edge without its length is an error, never a length of 1."""
    return _stretch(edge).length_m


def _stretch(edge: Mapping[str, Any]) -> Stretch:
    stretch: Stretch = edge["stretch"]
    return stretch


def _closet_taps(site: Site, finder: TapFinder) -> dict[str, Tap]:
    taps: dict[str, Tap] = {}
    for closet in sorted(site.closets, key=lambda c: c.id):
        for tap in finder.taps(closet.level, [closet_spot(site, closet)]) or ():
            taps[closet.id] = tap
    return taps


def _cut(segment: PathwaySegment, nodes: Mapping[str, Spot], taps: Mapping[str, Tap]) -> _Cuts:
    length_m = segment.length_m
    if length_m is None:
        length_m = straight_m(nodes[segment.from_node], nodes[segment.to_node])
    inner: list[tuple[float, NodeKey]] = [
        (tap.fraction, ("tap", closet)) for closet, tap in taps.items() if tap.segment == segment.id
    ]
    inner.sort()
    cuts: list[tuple[float, NodeKey]] = [(0.0, ("node", segment.from_node)), *inner, (1.0, ("node", segment.to_node))]
    return _Cuts(length_m, tuple(fraction for fraction, _ in cuts), tuple(node for _, node in cuts))


def _graph(spots: Mapping[NodeKey, Spot], cuts: Mapping[str, _Cuts], taps: Mapping[str, Tap]) -> nx.Graph[NodeKey]:
    graph: nx.Graph[NodeKey] = nx.Graph()
    graph.add_nodes_from(spots)
    for segment, a, b, length_m in _edges(cuts, taps):
        if not graph.has_edge(a, b) or _stretch(graph.edges[a, b]).length_m > length_m:
            graph.add_edge(a, b, stretch=Stretch(segment, length_m))
    frozen: nx.Graph[NodeKey] = nx.freeze(graph)
    return frozen


def _edges(cuts: Mapping[str, _Cuts], taps: Mapping[str, Tap]) -> Iterator[tuple[str, NodeKey, NodeKey, float]]:
    for segment, cut in cuts.items():
        marks: Sequence[tuple[float, NodeKey]] = list(zip(cut.fractions, cut.nodes, strict=True))
        for (low, a), (high, b) in pairwise(marks):
            yield segment, a, b, (high - low) * cut.length_m
    for closet, tap in taps.items():
        if tap.node:
            yield "", ("tap", closet), ("node", tap.node), 0.0
