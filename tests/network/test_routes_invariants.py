"""What must hold of routes on any site."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from riserkit.model.site import Site
from riserkit.network.routes import Router
from riserkit.network.spots import closet_spot, opening_spot
from riserkit.network.taps import straight_m

from .sites import changed, closet, door, node, run, site, tray

# Whole numbers, so that taps on nodes, stretches of no length and equally near pathways come up often.
COORDINATES = st.integers(-20, 20)
LEVELS = st.sampled_from(["G", "U"])


@st.composite
def sites(draw: st.DrawFn, with_runs: bool = False, stated: bool = False) -> Site:
    places = draw(st.lists(st.tuples(COORDINATES, COORDINATES, LEVELS), min_size=2, max_size=8, unique=True))
    nodes = [node(f"N{i}", x, y, level) for i, (x, y, level) in enumerate(places)]
    pairs = [(a, b) for a in range(len(nodes)) for b in range(a)]
    edges = draw(st.lists(st.sampled_from(pairs), max_size=12, unique=True))
    lengths = st.one_of(st.none(), st.integers(1, 90)) if stated else st.none()
    segments = [
        tray(f"T{i}", f"N{a}", f"N{b}", draw(lengths), draw(st.sampled_from(["tray", "conduit", "riser"])))
        for i, (a, b) in enumerate(edges)
    ]
    spots = st.tuples(COORDINATES, COORDINATES, LEVELS)
    closets = [closet(f"C{i}", *draw(spots)) for i in range(3)]
    doors = [door(f"D{i}", *draw(spots)) for i in range(3)]
    runs = [run("R", "C0", "D1", draw(st.integers(1, 99)))] if with_runs and draw(st.booleans()) else []
    return site(pathway_nodes=nodes, pathway_segments=segments, closets=closets, openings=doors, runs=runs)


@given(sites(stated=True))
def test_a_backbone_is_as_long_back_as_there(one: Site) -> None:
    router = Router.of(one)
    there, back = router.backbone("C0", "C1"), router.backbone("C1", "C0")
    assert (there is None) == (back is None)
    if there is not None and back is not None:
        assert there.length_m == pytest.approx(back.length_m)
        assert there.basis is back.basis


@given(sites(stated=True))
def test_no_detour_over_a_third_closet_is_shorter(one: Site) -> None:
    router = Router.of(one)
    direct, first, second = (router.backbone(*pair) for pair in (("C0", "C2"), ("C0", "C1"), ("C1", "C2")))
    assume(first is not None and second is not None)
    assert direct is not None
    assert first is not None
    assert second is not None
    # Where one level has pathways, however far off, and another has none, a way along them is set against one straight along the walls.
    if len({(route.basis, route.off_pathway_m == route.drop_m) for route in (direct, first, second)}) == 1:
        assert direct.length_m <= first.length_m + second.length_m + 1e-9


@given(sites())
def test_no_route_is_shorter_than_the_way_through_the_air(one: Site) -> None:
    router = Router.of(one)
    for each in one.closets:
        for mark, route in ((o.mark, router.route(each.id, o.mark)) for o in one.openings):
            if route is not None:
                air_m = straight_m(closet_spot(one, each), opening_spot(one, one.opening[mark]))
                assert route.length_m >= air_m - 1e-9


@given(sites(with_runs=True, stated=True))
def test_the_columns_say_what_single_routes_say(one: Site) -> None:
    router = Router.of(one)
    for each in one.closets:
        routes = [router.route(each.id, opening.mark) for opening in one.openings]
        singly_m = [math.inf if route is None else route.length_m for route in routes]
        np.testing.assert_allclose(router.lengths_m(each.id), singly_m, rtol=1e-12)


@given(sites(with_runs=True, stated=True), st.randoms(use_true_random=False))
def test_the_order_of_the_input_changes_nothing(one: Site, random: Random) -> None:
    tables = ("pathway_nodes", "pathway_segments", "closets", "openings")
    shuffled = {name: tuple(sorted(getattr(one, name), key=lambda _: random.random())) for name in tables}
    first, second = Router.of(one), Router.of(changed(one, **shuffled))
    for each in one.closets:
        for opening in one.openings:
            assert first.route(each.id, opening.mark) == second.route(each.id, opening.mark)


@given(sites())
@settings(max_examples=50)
def test_taps_lie_where_shapely_puts_the_nearest_point(one: Site) -> None:
    router = Router.of(one)
    places = {n.id: (n.x_m, n.y_m) for n in one.pathway_nodes}
    levels = {n.id: n.level for n in one.pathway_nodes}
    for each in one.closets:
        lines = [
            shapely.LineString([places[s.from_node], places[s.to_node]])
            for s in one.pathway_segments
            if s.kind != "riser" and levels[s.from_node] == levels[s.to_node] == each.level
        ]
        tap = router.pathways.closet_taps.get(each.id)
        if lines:
            assert tap is not None
            at = shapely.Point(each.x_m, each.y_m)
            nearest_m = min(at.distance(line) for line in lines)
            assert at.distance(shapely.Point(tap.spot.x_m, tap.spot.y_m)) == pytest.approx(nearest_m, abs=1e-9)
            assert min(line.distance(shapely.Point(tap.spot.x_m, tap.spot.y_m)) for line in lines) < 1e-9
