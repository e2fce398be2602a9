"""Routes against lengths worked out by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from riserkit.model.cabling import LengthBasis
from riserkit.model.info import SiteInfo
from riserkit.model.place import Building, Level
from riserkit.model.site import Site
from riserkit.network.routes import Router

from .sites import DOWN_M, chain, changed, closet, door, node, route_between, run, site, sure, tray

LINE = {"pathway_nodes": chain((0, 10, 30)), "pathway_segments": (tray("T1", "N0", "N1"), tray("T2", "N1", "N2"))}


def shaft(**more: object) -> Site:
    """A tray on each of two levels and a riser between them at x = 0."""
    tables: dict[str, object] = {
        "closets": (closet("C1", 4, 0),),
        "pathway_nodes": (*chain((0, 10)), *chain((0, 10), "U", "M")),
        "pathway_segments": (tray("T", "N0", "N1"), tray("R", "N0", "M0", kind="riser"), tray("S", "M0", "M1")),
        "openings": (door("D1", 5, 0, "U"),),
    }
    return site(**tables | more)


def test_a_route_taps_at_the_nearest_points_and_drops_at_right_angles() -> None:
    """Closet 2 m beside x = 3, door 5 m beside x = 17: 14 m of tray, 2 + 5 m in plan, 1.8 m down at each end."""
    route = route_between(site(closets=(closet("C1", 3, 2),), openings=(door("D1", 17, -5),), **LINE))
    assert route.path_m == pytest.approx(14)
    assert route.drop_m == pytest.approx(2 + 5 + 2 * DOWN_M)
    assert route.length_m == pytest.approx(14 + 7 + 3.6)
    assert (route.basis, route.segments, route.slack_m) == (LengthBasis.ROUTED, ("T1", "T2"), 0)


def test_slack_and_service_loop_are_left_at_both_ends() -> None:
    info = SiteInfo(closet_slack_m=3, service_loop_m=1.5, door_slack_m=1)
    closets = (closet("C1", 3, 0), closet("C2", 9, 0))
    router = Router.of(site(info=info, closets=closets, openings=(door("D1", 7, 0),), **LINE))
    route, backbone = sure(router.route("C1", "D1")), sure(router.backbone("C1", "C2"))
    assert (route.slack_m, route.length_m) == (5.5, pytest.approx(4 + 3.6 + 5.5))
    assert (backbone.slack_m, backbone.length_m) == (9, pytest.approx(6 + 3.6 + 9))


def test_a_drop_to_the_end_of_a_tray_is_rectilinear() -> None:
    """The door lies 3 m past the tray's end and 4 m beside it: 7 m, not the 5 m through the air."""
    route = route_between(site(closets=(closet("C1", 0, 0),), openings=(door("D1", 33, 4),), **LINE))
    assert (route.path_m, route.drop_m) == (pytest.approx(30), pytest.approx(7 + 2 * DOWN_M))


@pytest.mark.parametrize(
    ("closet_y_m", "door_y_m", "basis", "off_m"),
    [(2, 5, "routed", 7), (2, 5.01, "estimated", 7.01), (5.01, 0, "estimated", 5.01), (1, 55, "estimated", 56)],
)
def test_far_beside_the_pathways_a_length_is_only_estimated(
    closet_y_m: float, door_y_m: float, basis: str, off_m: float
) -> None:
    """Of the last, 20 m of tray and 56 m beside it; 5 m at either end is what common practice takes for routed."""
    closets, doors = (closet("C1", 0, closet_y_m),), (door("D1", 20, door_y_m),)
    route = route_between(site(closets=closets, openings=doors, **LINE))
    assert (route.basis.value, route.off_pathway_m) == (basis, pytest.approx(off_m))
    assert route.length_m == pytest.approx(20 + off_m + 2 * DOWN_M)
    assert route.segments == ("T1", "T2")


def test_a_stated_length_far_from_the_pathways_keeps_its_way() -> None:
    one = site(closets=(closet("C1", 0, 0),), openings=(door("D1", 20, 55),), runs=(run("R", "C1", "D1", 70),), **LINE)
    route = route_between(one)
    assert (route.basis, route.segments, route.off_pathway_m) == (LengthBasis.STATED, ("T1", "T2"), pytest.approx(55))


def test_a_stated_length_is_shared_out_in_proportion() -> None:
    """10 m between the nodes, 20 m of conduit: from x = 2 to x = 7 there are 10 m of it, not 5 m."""
    one = site(
        closets=(closet("C1", 2, 0),),
        openings=(door("D1", 7, 0),),
        pathway_nodes=chain((0, 10)),
        pathway_segments=(tray("T", "N0", "N1", 20, "conduit"),),
    )
    assert route_between(one).path_m == pytest.approx(10)


@pytest.mark.parametrize(("x_m", "path_m"), [(1, 3), (4, 0), (6, 2), (9, 5)])
def test_a_door_on_a_segment_cut_by_two_closets(x_m: float, path_m: float) -> None:
    closets = (closet("C1", 4, 0), closet("C2", 8, 0))
    one = site(
        closets=closets,
        openings=(door("D1", x_m, 0),),
        pathway_nodes=chain((0, 10)),
        pathway_segments=(tray("T", "N0", "N1"),),
    )
    route = route_between(one)
    assert route.path_m == pytest.approx(path_m)
    assert route.segments == (("T",) if path_m else ())


def test_a_shorter_way_around_is_taken() -> None:
    """The straight tray states 50 m; around by N9 it is 6 + 8 m."""
    one = site(
        closets=(closet("C1", -1, 0),),
        openings=(door("D1", 7, 8),),
        pathway_nodes=(node("A", -1, 0), node("N0", 0, 0), node("N9", 6, 0), node("B", 6, 8), node("E", 7, 8)),
        pathway_segments=(
            tray("A0", "A", "N0"), tray("S", "N0", "B", 50), tray("P", "N0", "N9"), tray("Q", "N9", "B"),
            tray("E0", "B", "E"),
        ),
    )  # fmt: skip
    route = route_between(one)
    assert route.path_m == pytest.approx(1 + 6 + 8 + 1)
    assert route.segments == ("A0", "P", "Q", "E0")


def test_risers_go_by_elevation() -> None:
    """4 m of tray, 4 m of riser (0 + 3 to 4 + 3 m), 5 m of tray."""
    route = route_between(shaft())
    assert route.path_m == pytest.approx(4 + 4 + 5)
    assert route.segments == ("T", "R", "S")


def test_a_node_stands_at_its_stated_height_else_at_the_ceiling() -> None:
    """A tray that falls from 3 m to 2 m over 10 m; the door at half way drops from 2.5 m."""
    one = site(
        closets=(closet("C1", 0, 0),),
        openings=(door("D1", 5, 0),),
        pathway_nodes=(node("N0", 0, 0), node("N1", 10, 0, height_m=2.0)),
        pathway_segments=(tray("T", "N0", "N1"),),
    )
    route = route_between(one)
    assert route.path_m == pytest.approx(math.hypot(10, 1) / 2)
    assert route.drop_m == pytest.approx(1.8 + 1.3)


def test_sleeves_and_risers_are_not_tapped_along_their_length() -> None:
    """The sleeve passes the door; the cable still leaves at the end of the tray."""
    one = site(
        closets=(closet("C1", 0, 0),),
        openings=(door("D1", 15, 1),),
        pathway_nodes=chain((0, 10, 20)),
        pathway_segments=(tray("T", "N0", "N1"), tray("S", "N1", "N2", kind="sleeve")),
    )
    route = route_between(one)
    assert (route.path_m, route.drop_m) == (pytest.approx(10), pytest.approx(5 + 1 + 2 * DOWN_M))


def test_where_a_level_has_only_a_riser_cables_come_out_at_its_end() -> None:
    one = shaft(pathway_segments=(tray("T", "N0", "N1"), tray("R", "N0", "M0", kind="riser")))
    route = route_between(one)
    assert (route.path_m, route.drop_m) == (pytest.approx(4 + 4), pytest.approx(5 + 2 * DOWN_M))
    assert (route.basis, route.segments) == (LengthBasis.ROUTED, ("T", "R"))


def test_pathways_that_do_not_meet_leave_a_door_unreachable_however_near() -> None:
    one = shaft(pathway_segments=(tray("T", "N0", "N1"), tray("S", "M0", "M1")))
    router = Router.of(one)
    assert router.route("C1", "D1") is None
    assert math.isinf(router.lengths_m("C1")[0])
    assert router.points("C1", "D1") == ()


def test_without_pathways_the_length_is_estimated_along_the_axes() -> None:
    """|3| + |4| in plan, 4 m up between the ceilings, 1.8 m down at each end."""
    one = site(closets=(closet("C1", 1, 1),), openings=(door("D1", 4, 5, "U"), door("D2", 4, 5)))
    route = route_between(one)
    assert route.length_m == pytest.approx(3 + 4 + 4 + 2 * DOWN_M)
    assert (route.basis, route.path_m, route.segments) == (LengthBasis.ESTIMATED, 0, ())
    assert route_between(one, mark="D2").length_m == pytest.approx(3 + 4 + 2 * DOWN_M)


def test_a_level_without_pathways_is_estimated_though_others_have_them() -> None:
    one = site(closets=(closet("C1", 3, 0),), openings=(door("D1", 5, 0, "U"),), **LINE)
    assert route_between(one).basis is LengthBasis.ESTIMATED


def test_nobody_estimates_a_way_between_buildings() -> None:
    levels = (Level(id="G", building="X", elevation_m=0), Level(id="U", building="Y", elevation_m=0))
    buildings = (Building(id="X"), Building(id="Y"))
    closets = (closet("C1", 0, 0), closet("C2", 9, 0, "U"))
    one = site(buildings=buildings, levels=levels, closets=closets, openings=(door("D1", 5, 0, "U"),))
    router = Router.of(one)
    assert router.route("C1", "D1") is None
    assert router.backbone("C1", "C2") is None
    assert router.route("C2", "D1") is not None
    stated = Router.of(changed(one, runs=(run("R1", "D1", "C1", 70), run("R2", "C2", "C1", 300))))
    assert (sure(stated.route("C1", "D1")).length_m, sure(stated.backbone("C1", "C2")).length_m) == (70, 300)


def test_buildings_are_reached_over_pathways_between_them() -> None:
    levels = (Level(id="G", building="X", elevation_m=0), Level(id="U", building="Y", elevation_m=4))
    one = shaft(buildings=(Building(id="X"), Building(id="Y")), levels=levels)
    assert route_between(one).path_m == pytest.approx(4 + 4 + 5)


@pytest.mark.parametrize("ends", [("C1", "D1"), ("D1", "C1"), ("C1", "D1/controller"), ("D1/controller", "C1")])
@pytest.mark.parametrize("basis", ["stated", "measured"])
def test_a_run_with_a_length_wins_whichever_way_round(ends: tuple[str, str], basis: str) -> None:
    one = shaft(runs=(run("R1", *ends, 61.5, basis=basis),))
    route = route_between(one)
    assert (route.length_m, route.basis.value) == (61.5, basis)
    assert (route.segments, route.slack_m) == (("T", "R", "S"), 0)
    assert sure(Router.of(one).routed("C1", "D1")).length_m == pytest.approx(13 + 2 * DOWN_M)
    assert Router.of(one).lengths_m("C1").tolist() == [61.5]


def test_a_measured_length_wins_over_a_stated_one_and_the_first_of_two() -> None:
    runs = (run("A", "C1", "D1", 50), run("B", "C1", "D1", 60, basis="measured"), run("C", "C1", "D1", 70))
    assert route_between(shaft(runs=runs)).length_m == 60
    assert route_between(shaft(runs=(runs[0], runs[2]))).length_m == 50


def test_runs_without_length_or_between_devices_leave_routes_alone() -> None:
    runs = (run("A", "C1", "D1"), run("B", "D1", "D1/lock", 3), run("C", "C1", "D1/lock", 4))
    assert route_between(shaft(runs=runs)).basis is LengthBasis.ROUTED


def test_points_follow_the_way_and_add_up_to_its_length_in_plan() -> None:
    one = site(closets=(closet("C1", 3, 2),), openings=(door("D1", 33, -5),), **LINE)
    points = Router.of(one).points("C1", "D1")
    assert points[0] == (3, 2, "G")
    assert points[-1] == (33, -5, "G")
    assert (10, 0, "G") in points
    plan_m = sum(math.dist(a[:2], b[:2]) for a, b in pairwise(points))
    assert plan_m + 2 * DOWN_M == pytest.approx(route_between(one).length_m)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(points))


def test_points_of_an_estimate_turn_once_and_change_level_last() -> None:
    one = site(closets=(closet("C1", 1, 1),), openings=(door("D1", 4, 5, "U"),))
    assert Router.of(one).points("C1", "D1") == ((1, 1, "G"), (4, 1, "G"), (4, 5, "G"), (4, 5, "U"))


def test_a_backbone_goes_over_the_riser_and_not_to_itself() -> None:
    one = shaft(closets=(closet("C1", 4, 1), closet("C2", 2, 0, "U")))
    router = Router.of(one)
    route = sure(router.backbone("C1", "C2"))
    assert (route.path_m, route.drop_m) == (pytest.approx(4 + 4 + 2), pytest.approx(1 + 2 * DOWN_M))
    assert router.backbone("C1", "C1") is None


def test_the_graph_cannot_be_changed_and_unknown_names_are_refused() -> None:
    router = Router.of(shaft())
    with pytest.raises(Exception, match=r"[Ff]rozen"):
        router.graph.add_node(("node", "X"))
    with pytest.raises(KeyError):
        router.route("C1", "nowhere")


@pytest.mark.parametrize(("closet_x_m", "door_x_m", "segments"), [(10, 25, ("T2",)), (25, 10, ("T2",)), (10, 10, ())])
def test_a_segment_that_a_route_only_touches_is_not_named(
    closet_x_m: float, door_x_m: float, segments: tuple[str, ...]
) -> None:
    """Both trays meet at x = 10; the cable that leaves there for the second runs nowhere in the first."""
    one = site(closets=(closet("C1", closet_x_m, 0),), openings=(door("D1", door_x_m, 0),), **LINE)
    assert route_between(one).segments == segments


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_trays_equally_near_the_first_by_id_is_taken(order: int) -> None:
    one = site(
        closets=(closet("C1", 0, 0),),
        openings=(door("D1", 5, 0),),
        pathway_nodes=(node("A", 0, 1), node("B", 9, 1), node("E", 0, -1), node("F", 9, -1), node("G", 0, 0.5)),
        pathway_segments=(tray("T1", "A", "B"), tray("T2", "E", "F"), tray("T3", "A", "G"), tray("T4", "G", "E"))[::order],
    )  # fmt: skip
    assert route_between(one).segments == ("T4", "T3", "T1")


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_ways_equally_long_the_same_is_taken_whatever_the_order(order: int) -> None:
    """A square of trays, from one corner to the opposite one."""
    one = site(
        closets=(closet("C1", -5, 0),),
        openings=(door("D1", 15, 10),),
        pathway_nodes=(
            node("Z", -5, 0), node("A", 0, 0), node("B", 10, 0), node("C", 0, 10), node("D", 10, 10), node("Y", 15, 10),
        ),
        pathway_segments=(
            tray("S0", "Z", "A"), tray("T1", "A", "B"), tray("T2", "B", "D"), tray("T3", "A", "C"),
            tray("T4", "C", "D"), tray("U0", "D", "Y"),
        )[::order],
    )  # fmt: skip
    assert route_between(one).segments == ("S0", "T1", "T2", "U0")


def test_on_a_site_of_one_building_levels_need_not_name_it() -> None:
    levels = (Level(id="G", building="X", elevation_m=0), Level(id="U", elevation_m=4))
    one = site(
        buildings=(Building(id="X"),), levels=levels, closets=(closet("C1", 0, 0),), openings=(door("D1", 5, 0, "U"),)
    )
    assert route_between(one).length_m == pytest.approx(5 + 4 + 2 * DOWN_M)
