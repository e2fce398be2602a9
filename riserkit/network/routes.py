"""Routes of cables: shortest ways over the pathways, or as the user states them, or a rectilinear estimate.

A cable runs from a closet's rack to the nearest point of the nearest pathway of its level, along pathways by the
shortest way, off them at the point nearest to the opening, and down to the controller. How a length is known, best first:

1. a run of the site with a length (measured before stated) wins, whichever way round it is written;
2. routed, when the opening's level has pathways; None when the closet cannot be reached over them. Where either end lies
   farther beside the pathways than common practice allows, the same length is only an estimate;
3. estimated, when the opening's level has none: rectilinear at ceiling height and down at both ends, within a building.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import networkx as nx
import numpy as np
import numpy.typing as npt

from riserkit.model.cabling import LengthBasis, Run
from riserkit.model.site import Site
from riserkit.network.ends import End, OpeningEnds
from riserkit.network.estimate import estimated_length_m, estimated_lengths_m
from riserkit.network.pathways import Anchor, NodeKey, Pathways, stretch_length_m
from riserkit.network.spots import Spot, closet_spot
from riserkit.network.stated import StatedRuns, surest
from riserkit.network.taps import FloatArray
from riserkit.network.values import Route
from riserkit.standards.cabling import BESIDE_PATHWAY_MAX

PlanPoint = tuple[float, float, str]
# Sums of decimals: a nanometre beyond the limit is the limit.
_ROUNDING_M = 1e-9


@dataclass(frozen=True, slots=True)
class _Path:
    basis: LengthBasis
    path_m: float
    drop_m: float
    segments: tuple[str, ...] = ()
    off_pathway_m: float = 0.0
    on_pathways: bool = True


@dataclass(frozen=True, eq=False)
class Router:
    """All routes of a site. What has been worked out is remembered, so one router serves a whole build.

    Args:
        site: the site.
        pathways: its pathway graph.
        runs: the user's runs by their ends.
    """

    site: Site
    pathways: Pathways
    runs: StatedRuns
    _reached: dict[str, Reach] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, site: Site) -> Router:
        """A router for a site. Ids and marks asked of it must be the site's, KeyError otherwise."""
        return cls(site, Pathways.of(site), StatedRuns.of(site))

    @property
    def graph(self) -> nx.Graph[NodeKey]:
        """The pathway graph, frozen; see `Pathways`."""
        return self.pathways.graph

    def route(self, closet_id: str, mark: str) -> Route | None:
        """The route between a closet and an opening; None when there is no way."""
        run = surest(self.runs.between(closet_id, mark))
        return self._route((closet_id, mark), self._horizontal_path(closet_id, mark), self.horizontal_slack_m, run)

    def routed(self, closet_id: str, mark: str) -> Route | None:
        """The same as if the site stated no run between them, to set a measured length against."""
        return self._route((closet_id, mark), self._horizontal_path(closet_id, mark), self.horizontal_slack_m, None)

    def backbone(self, closet_a: str, closet_b: str, run: Run | None = None) -> Route | None:
        """The route between two closets; None when there is no way, and from a closet to itself.

        Args:
            closet_a: from here.
            closet_b: to here.
            run: take the length of this one of the runs between them rather than the best known.
        """
        if closet_a == closet_b:
            return None
        stated = surest(self.runs.between_closets(closet_a, closet_b) if run is None else (run,))
        return self._route((closet_a, closet_b), self._backbone_path(closet_a, closet_b), self.backbone_slack_m, stated)

    def lengths_m(self, closet_id: str) -> FloatArray:
        """Length of the route from a closet to each opening, shape (openings,); infinite when there is none."""
        reach, ends = self._reach(closet_id), self._openings
        tap = self.pathways.closet_taps.get(closet_id)
        path_m = np.min(reach.distance_m[ends.near] + ends.offset_m, axis=1, initial=np.inf)
        lengths_m: FloatArray = path_m + ends.drop_m + (tap.drop_m if tap else 0.0)
        estimated_m = estimated_lengths_m(self._closets[closet_id].spot, ends.spots)
        lengths_m = np.where(ends.untapped, estimated_m, lengths_m)
        lengths_m += self.horizontal_slack_m
        for mark, stated_m in self._stated_lengths.get(closet_id, ()):
            lengths_m[ends.row[mark]] = stated_m
        return lengths_m

    def points(self, closet_id: str, mark: str) -> tuple[PlanPoint, ...]:
        """The way in plan from closet to opening, corners of the drops included; empty when there is none."""
        way = self._horizontal_path(closet_id, mark)
        if way is None:
            return ()
        start, end = self._closets[closet_id], self._openings.ends[mark]
        return _plan_points([start.spot, *self._between(closet_id, end), end.spot])

    @property
    def horizontal_slack_m(self) -> float:
        """Slack and service loop at the closet, slack at the door."""
        info = self.site.info
        return info.closet_slack_m + info.service_loop_m + info.door_slack_m

    @property
    def backbone_slack_m(self) -> float:
        """Slack and service loop at both closets."""
        return 2 * (self.site.info.closet_slack_m + self.site.info.service_loop_m)

    @cached_property
    def _number(self) -> Mapping[NodeKey, int]:
        return {node: number for number, node in enumerate(self.pathways.spots)}

    @cached_property
    def _nodes(self) -> tuple[NodeKey, ...]:
        return tuple(self.pathways.spots)

    @cached_property
    def _openings(self) -> OpeningEnds:
        return OpeningEnds.of(self.site, self.pathways, self._number)

    @cached_property
    def _closets(self) -> Mapping[str, End]:
        return {closet.id: self._closet_end(closet.id) for closet in self.site.closets}

    def _closet_end(self, closet_id: str) -> End:
        tap = self.pathways.closet_taps.get(closet_id)
        anchors = (Anchor(("tap", closet_id), 0.0),) if tap else ()
        return End(closet_spot(self.site, self.site.closet[closet_id]), tap, anchors)

    @cached_property
    def _stated_lengths(self) -> Mapping[str, list[tuple[str, float]]]:
        found: dict[str, list[tuple[str, float]]] = {}
        for (closet, mark), runs in self.runs.horizontal.items():
            run = surest(runs)
            if run is not None and run.length_m is not None:
                found.setdefault(closet, []).append((mark, run.length_m))
        return found

    def _reach(self, closet_id: str) -> Reach:
        if closet_id not in self._reached:
            self._reached[closet_id] = Reach.of(self.pathways, closet_id, self._number)
        return self._reached[closet_id]

    def _horizontal_path(self, closet_id: str, mark: str) -> _Path | None:
        start, end = self._closets[closet_id], self._openings.ends[mark]
        if end.tap is None:
            return self._estimate(start.spot, end.spot)
        return self._routed_path(closet_id, end)

    def _backbone_path(self, closet_a: str, closet_b: str) -> _Path | None:
        start, end = self._closets[closet_a], self._closets[closet_b]
        if start.tap is None or end.tap is None:
            return self._estimate(start.spot, end.spot)
        return self._routed_path(closet_a, end)

    def _routed_path(self, closet_id: str, end: End) -> _Path | None:
        start_tap = self.pathways.closet_taps.get(closet_id)
        best = self._reach(closet_id).nearest(end.anchors, self._number)
        if best is None or start_tap is None or end.tap is None:
            return None
        path_m, anchor = best
        segments = self._segments(closet_id, anchor, end.tap.segment)
        beside_m = (start_tap.beside_m, end.tap.beside_m)
        basis = LengthBasis.ESTIMATED if max(beside_m) > BESIDE_PATHWAY_MAX.value + _ROUNDING_M else LengthBasis.ROUTED
        return _Path(basis, path_m, start_tap.drop_m + end.tap.drop_m, segments, sum(beside_m))

    def _segments(self, closet_id: str, anchor: Anchor, last: str) -> tuple[str, ...]:
        nodes = [self._nodes[n] for n in self._reach(closet_id).way(self._number[anchor.node])]
        stretches = [self.pathways.stretch(a, b) for a, b in pairwise(nodes)]
        used = [s.segment for s in stretches if s.length_m > 0] + ([last] if anchor.offset_m > 0 else [])
        return tuple(name for i, name in enumerate(used) if i == 0 or name != used[i - 1])

    def _between(self, closet_id: str, end: End) -> list[Spot]:
        """Spots along the pathways from the closet's tap to that of the other end."""
        best = self._reach(closet_id).nearest(end.anchors, self._number)
        if best is None or end.tap is None:
            return []
        nodes = self._reach(closet_id).way(self._number[best[1].node])
        return [*(self.pathways.spots[self._nodes[n]] for n in nodes), end.tap.spot]

    def _estimate(self, a: Spot, b: Spot) -> _Path | None:
        length_m = estimated_length_m(a, b)
        return (
            None if length_m is None else _Path(LengthBasis.ESTIMATED, 0.0, length_m, (), length_m, on_pathways=False)
        )

    def _route(self, ends: tuple[str, str], way: _Path | None, slack_m: float, run: Run | None) -> Route | None:
        if run is not None and run.length_m is not None:
            basis = LengthBasis(run.basis)
            if way is None or not way.on_pathways:
                return Route(*ends, run.length_m, basis)
            return Route(*ends, run.length_m, basis, way.path_m, way.drop_m, 0.0, way.segments, (), way.off_pathway_m)
        if way is None:
            return None
        length_m = way.path_m + way.drop_m + slack_m
        return Route(
            *ends, length_m, way.basis, way.path_m, way.drop_m, slack_m, way.segments, off_pathway_m=way.off_pathway_m
        )


def _plan_points(spots: list[Spot]) -> tuple[PlanPoint, ...]:
    """The spots in plan; the first and the last leg, which are drops, turn a right angle."""
    start, end = spots[0], spots[-1]
    middle = [spot.plan for spot in spots[1:-1]]
    # An estimate has no pathway between its ends: it goes over at the first end's level and changes level last.
    last = _corner(end, spots[-2]) if middle else (end.x_m, end.y_m, start.level)
    points = [start.plan, _corner(start, spots[1]), *middle, last, end.plan]
    return tuple(point for i, point in enumerate(points) if i == 0 or point != points[i - 1])


def _corner(end: Spot, tap: Spot) -> PlanPoint:
    return (tap.x_m, end.y_m, end.level)


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
