"""Where a cable leaves the pathways: the nearest point of the nearest tray or conduit of a level."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import shapely

from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.model.site import Site
from riserkit.network.spots import Spot

FloatArray = npt.NDArray[np.float64]
TAPPED: Final = frozenset({PathwayKind.TRAY, PathwayKind.CONDUIT})


@dataclass(frozen=True, slots=True)
class Tap:
    """A point of the pathways.

    Args:
        spot: the point.
        segment: the segment it is on; empty when it is at a node, the end of a riser or sleeve.
        node: that node; empty on a segment.
        fraction: how far along the segment, 0 at `from_node`, 1 at `to_node`.
        drop_m: from the point to the end that taps here: rectilinear in plan, and the difference in height.
        beside_m: of this, what lies beside the pathway in plan.
    """

    spot: Spot
    segment: str
    node: str
    fraction: float
    drop_m: float
    beside_m: float = 0.0


@dataclass(frozen=True, slots=True)
class _Stretch:
    segment: str
    node: str
    start: Spot
    end: Spot


class TapFinder:
    """Finds taps level by level.

    Trays and conduits that lie in the level are tapped along their whole length. Sleeves and risers are not, except
    that on a level which has neither tray nor conduit cables come out at their ends.
    """

    def __init__(self, site: Site, spots: Mapping[str, Spot]) -> None:
        """Index the pathways of `site`; `spots` has every pathway node by id."""
        self._levels = {
            level: _LevelIndex(candidates) for level, candidates in _candidates(site, spots).items() if candidates
        }

    def taps(self, level: str, ends: Sequence[Spot]) -> list[Tap] | None:
        """The tap of each end on this level; None when the level has no pathways at all."""
        index = self._levels.get(level)
        return None if index is None else index.taps(ends)


def _candidates(site: Site, spots: Mapping[str, Spot]) -> dict[str, list[_Stretch]]:
    found: dict[str, list[_Stretch]] = {level.id: [] for level in site.levels}
    shafts: dict[str, set[str]] = {level.id: set() for level in site.levels}
    # Sorted, so that of two pathways equally near the same one is taken whatever the order of the input.
    for segment in sorted(site.pathway_segments, key=lambda s: s.id):
        start, end = spots[segment.from_node], spots[segment.to_node]
        if segment.kind in TAPPED and start.level == end.level:
            found[start.level].append(_Stretch(segment.id, "", start, end))
        else:
            _add_ends(shafts, segment, start, end)
    for level, nodes in shafts.items():
        if not found[level]:
            found[level] = [_Stretch("", node, spots[node], spots[node]) for node in sorted(nodes)]
    return found


def _add_ends(shafts: dict[str, set[str]], segment: PathwaySegment, start: Spot, end: Spot) -> None:
    shafts[start.level].add(segment.from_node)
    shafts[end.level].add(segment.to_node)


class _LevelIndex:
    def __init__(self, candidates: Sequence[_Stretch]) -> None:
        self._candidates = candidates
        self._start = np.array([(c.start.x_m, c.start.y_m) for c in candidates], dtype=np.float64)
        self._end = np.array([(c.end.x_m, c.end.y_m) for c in candidates], dtype=np.float64)
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([self._start, self._end], axis=1)))

    def taps(self, ends: Sequence[Spot]) -> list[Tap]:
        if not ends:
            return []
        points = np.array([(end.x_m, end.y_m) for end in ends], dtype=np.float64)
        chosen = self._nearest(points)
        fractions = _fractions(points, self._start[chosen], self._end[chosen])
        return [
            _tap(self._candidates[int(index)], float(fraction), end)
            for index, fraction, end in zip(chosen, fractions, ends, strict=True)
        ]

    def _nearest(self, points: FloatArray) -> npt.NDArray[np.int64]:
        pairs: Any = self._tree.query_nearest(shapely.points(points), all_matches=True)
        chosen = np.full(len(points), len(self._candidates), dtype=np.int64)
        np.minimum.at(chosen, pairs[0], pairs[1])
        return chosen


def _fractions(points: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """Foot of the perpendicular from each point (n, 2) on its segment, as a fraction (n,) held within 0 to 1."""
    along = end - start
    square = np.einsum("ij,ij->i", along, along)
    dot = np.einsum("ij,ij->i", points - start, along)
    fraction: FloatArray = np.clip(dot / np.where(square > 0, square, 1.0), 0.0, 1.0)
    return fraction


def _tap(candidate: _Stretch, fraction: float, end: Spot) -> Tap:
    a, b = candidate.start, candidate.end
    spot = Spot(
        _between(a.x_m, b.x_m, fraction),
        _between(a.y_m, b.y_m, fraction),
        _between(a.z_m, b.z_m, fraction),
        a.level,
        a.ceiling_z_m,
        a.building,
    )
    beside_m = abs(spot.x_m - end.x_m) + abs(spot.y_m - end.y_m)
    return Tap(spot, candidate.segment, candidate.node, fraction, rectilinear_m(spot, end), beside_m)


def _between(a: float, b: float, fraction: float) -> float:
    return a + (b - a) * fraction


def rectilinear_m(a: Spot, b: Spot) -> float:
    """Distance along the three axes."""
    return math.fsum((abs(a.x_m - b.x_m), abs(a.y_m - b.y_m), abs(a.z_m - b.z_m)))


def straight_m(a: Spot, b: Spot) -> float:
    """Distance through the air."""
    return math.dist((a.x_m, a.y_m, a.z_m), (b.x_m, b.y_m, b.z_m))
