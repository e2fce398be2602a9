"""Shortest ways over pathways against scipy.sparse.csgraph.dijkstra, an independent implementation.

The graph is built here a second time and in another way: every end, openings too, becomes a node of its own where shapely
projects it on its nearest segment, and each segment is cut at all of them.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.model.opening import Opening
from riserkit.model.place import Closet, Level, PathwayNode
from riserkit.model.site import Site
from riserkit.network.routes import Router

HEIGHTS = {"L0": 0.0, "L1": 4.0, "L2": 9.0}
CEILING_M = 3.0
TAPPED = (PathwayKind.TRAY, PathwayKind.CONDUIT)


def random_site(seed: int) -> Site:
    """Three levels of 12 nodes, trays between random pairs, some with a stated length, and a few risers."""
    rng = np.random.default_rng(seed)

    def spot() -> dict[str, float]:
        x_m, y_m = rng.uniform(0, 100, 2)
        return {"x_m": float(x_m), "y_m": float(y_m)}

    nodes = [PathwayNode(id=f"{level}N{i}", level=level, **spot()) for level in HEIGHTS for i in range(12)]
    pairs = {(*sorted(rng.choice(12, 2, replace=False)), level) for level in HEIGHTS for _ in range(14)}
    segments = [
        PathwaySegment(
            id=f"{level}T{a}-{b}", from_node=f"{level}N{a}", to_node=f"{level}N{b}",
            kind=PathwayKind(str(rng.choice(["tray", "conduit"]))),
            length_m=float(rng.uniform(100, 200)) if rng.random() < 0.3 else None,
        )
        for a, b, level in sorted(pairs)
    ]  # fmt: skip
    segments += [
        PathwaySegment(id=f"R{i}", from_node=f"L{i % 2}N{i}", to_node=f"L{i % 2 + 1}N{i + 3}", kind=PathwayKind.RISER)
        for i in range(3)
    ]
    levels = [Level(id=name, elevation_m=height_m, ceiling_m=CEILING_M) for name, height_m in HEIGHTS.items()]
    closets = [Closet(id=f"C{i}", level=f"L{i % 3}", **spot()) for i in range(5)]
    openings = [Opening(mark=f"D{i}", level=f"L{i % 3}", **spot()) for i in range(40)]
    return Site(
        levels=tuple(levels), pathway_nodes=tuple(nodes), pathway_segments=tuple(segments), closets=tuple(closets),
        openings=tuple(openings),
    )  # fmt: skip


def distances_m(site: Site) -> dict[tuple[str, str], float]:
    """Distance along pathways between the taps of each closet and each other end."""
    at = {n.id: np.array([n.x_m, n.y_m, HEIGHTS[n.level] + CEILING_M]) for n in site.pathway_nodes}
    level_of = {n.id: n.level for n in site.pathway_nodes}
    ends = [(c.id, c.level, c.x_m, c.y_m) for c in site.closets]
    ends += [(o.mark, o.level, o.x_m, o.y_m) for o in site.openings]
    cuts: dict[str, list[tuple[float, str]]] = {
        s.id: [(0.0, s.from_node), (1.0, s.to_node)] for s in site.pathway_segments
    }
    for name, level, x_m, y_m in ends:
        point = shapely.Point(x_m, y_m)
        lines = {
            s.id: shapely.LineString([at[s.from_node][:2], at[s.to_node][:2]])
            for s in site.pathway_segments
            if s.kind in TAPPED and level_of[s.from_node] == level
        }
        nearest = min(lines, key=lambda segment, p=point, of=lines: of[segment].distance(p))
        cuts[nearest].append((shapely.line_locate_point(lines[nearest], point, normalized=True), name))
    rows: list[tuple[str, str, float]] = []
    for segment in site.pathway_segments:
        whole_m = segment.length_m or float(np.linalg.norm(at[segment.from_node] - at[segment.to_node]))
        rows += [(a, b, (g - f) * whole_m) for (f, a), (g, b) in pairwise(sorted(cuts[segment.id]))]
    return _solved(rows, [c.id for c in site.closets], [name for name, *_ in ends])


def _solved(rows: list[tuple[str, str, float]], sources: list[str], ends: list[str]) -> dict[tuple[str, str], float]:
    names = sorted({name for a, b, _ in rows for name in (a, b)} | set(ends))
    number = {name: i for i, name in enumerate(names)}
    weights = [length_m for *_, length_m in rows]
    matrix = coo_matrix((weights, ([number[a] for a, *_ in rows], [number[b] for _, b, _ in rows])), (len(names),) * 2)
    solved = dijkstra(matrix.tocsr(), directed=False, indices=[number[s] for s in sources])
    return {(s, e): float(solved[i, number[e]]) for i, s in enumerate(sources) for e in ends}


@pytest.mark.parametrize("seed", range(12))
def test_routes_are_as_short_as_scipy_finds_them(seed: int) -> None:
    """Relative tolerance 1e-9: both add the same few dozen doubles, in another order."""
    site = random_site(seed)
    router, expected_m = Router.of(site), distances_m(site)
    found = 0
    for closet in site.closets:
        for opening in site.openings:
            route = router.route(closet.id, opening.mark)
            assert (route is None) == math.isinf(expected_m[closet.id, opening.mark])
            if route is not None:
                assert route.path_m == pytest.approx(expected_m[closet.id, opening.mark], rel=1e-9, abs=1e-9)
                found += 1
        for other in site.closets:
            route = router.backbone(closet.id, other.id)
            if closet is not other:
                assert (route is None) == math.isinf(expected_m[closet.id, other.id])
            if route is not None:
                assert route.path_m == pytest.approx(expected_m[closet.id, other.id], rel=1e-9, abs=1e-9)
    assert found > 40


@pytest.mark.parametrize("seed", range(12))
def test_the_segments_named_make_up_the_way(seed: int) -> None:
    """The whole segments in the middle of a route are shorter than it, and it is no longer than all that it names."""
    site = random_site(seed)
    router = Router.of(site)
    at = {n.id: np.array([n.x_m, n.y_m, HEIGHTS[n.level] + CEILING_M]) for n in site.pathway_nodes}
    whole_m = {
        s.id: s.length_m or float(np.linalg.norm(at[s.from_node] - at[s.to_node])) for s in site.pathway_segments
    }
    for opening in site.openings:
        for route in filter(None, (router.route(closet.id, opening.mark) for closet in site.closets)):
            lengths_m = [whole_m[segment] for segment in route.segments]
            assert sum(lengths_m[1:-1]) <= route.path_m + 1e-9
            assert route.path_m <= sum(lengths_m) + 1e-9
