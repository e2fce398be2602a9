"""Which closet, switch and port an opening gets."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from riserkit.model.place import Level
from riserkit.model.power import Switch
from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.network.placement import place
from riserkit.network.plan import plan_network
from riserkit.network.routes import Router

from .sites import changed, closet, door, node, run, site, tray

# C1 at x = 0, C2 at x = 40, no pathways: a door is sent to the nearer one.
CLOSETS = (closet("C1", 0, 0), closet("C2", 40, 0))


def switch(name: str, at: str = "C1", ports: int = 4, **more: object) -> Switch:
    return Switch.model_validate({"id": name, "closet": at, "ports": ports, **more})


def two_closets(**tables: object) -> Site:
    return site(**{"closets": CLOSETS, "switches": (switch("S1"), switch("S2", "C2"))} | tables)


def seats(one: Site, needed: Mapping[str, int] | None = None) -> dict[str, str]:
    """Mark to `closet/switch:port`."""
    placements, _ = place(one, Router.of(one), needed or {})
    return {mark: f"{p.closet}/{p.switch}:{p.port}" for mark, p in placements.items()}


def test_a_door_goes_to_the_nearest_closet_and_the_lowest_free_port() -> None:
    one = two_closets(openings=(door("D1", 30, 0), door("D2", 10, 0), door("D3", 12, 0)))
    assert seats(one) == {"D1": "C2/S2:1", "D2": "C1/S1:1", "D3": "C1/S1:2"}


def test_of_two_closets_equally_near_the_first_by_id_is_taken() -> None:
    assert seats(two_closets(closets=CLOSETS[::-1], openings=(door("D1", 20, 0),))) == {"D1": "C1/S1:1"}


def test_another_floor_is_taken_when_its_route_is_shorter() -> None:
    """9 m in plan on the floor itself; straight below it is 4 m."""
    closets = (closet("C1", 9, 0, "U"), closet("C2", 0, 0, "G"))
    assert seats(two_closets(closets=closets, openings=(door("D1", 0, 0, "U"),))) == {"D1": "C2/S2:1"}


@pytest.mark.parametrize(
    ("stated", "seat"),
    [
        ({"closet": "C2"}, "C2/S2:1"),
        ({"switch": "S2"}, "C2/S2:1"),
        ({"switch": "S2", "port": 3}, "C2/S2:3"),
        ({"switch": "S2", "closet": "C1"}, "C2/S2:1"),
    ],
)
def test_what_the_user_states_wins_and_a_switch_over_a_closet(stated: dict[str, object], seat: str) -> None:
    assert seats(two_closets(openings=(door("D1", 1, 0, **stated),))) == {"D1": seat}


def test_a_stated_port_is_kept_free_for_its_door() -> None:
    one = two_closets(openings=(door("D1", 1, 0), door("D2", 1, 0), door("D3", 1, 0, switch="S1", port=1)))
    assert seats(one) == {"D1": "C1/S1:2", "D2": "C1/S1:3", "D3": "C1/S1:1"}


def test_a_run_on_record_says_which_closet_a_door_goes_to() -> None:
    runs = (run("R1", "D1", "C2", 35, basis="measured"),)
    assert seats(two_closets(openings=(door("D1", 1, 0),), runs=runs)) == {"D1": "C2/S2:1"}


def test_uplink_ports_feed_no_door() -> None:
    one = two_closets(switches=(switch("S1", uplink_ports=3),), openings=(door("D1", 1, 0), door("D2", 1, 0)))
    assert seats(one) == {"D1": "C1/S1:1", "D2": "C1/:0"}


def test_a_full_closet_passes_doors_on_within_reach_only() -> None:
    """From x = 0 to C2: 40 m and 3.6 m of drops; to a closet at x = 88, 91.6 m and so past 90 m."""
    doors = tuple(door(f"D{i}", 0, 0) for i in range(6))
    assert seats(two_closets(openings=doors))["D4"] == "C2/S2:1"
    far = (closet("C1", 0, 0), closet("C2", 88, 0))
    assert seats(two_closets(closets=far, openings=doors))["D4"] == "C1/:0"


@pytest.mark.parametrize(("x_m", "seat"), [(90, "C2/S2:1"), (90.001, "C1/:0")])
def test_reach_is_ninety_metres_inclusive(x_m: float, seat: str) -> None:
    """Ceilings at rack and controller height, so that the route is as long as the closet is far."""
    low = (Level(id="G", elevation_m=0, ceiling_m=1.2),)
    doors = tuple(door(f"D{i}", 0, 0) for i in range(5))
    one = two_closets(levels=low, closets=(closet("C1", 0, 0), closet("C2", x_m, 0)), openings=doors)
    assert seats(one)["D4"] == seat


def test_the_nearest_closet_is_taken_however_far_it_is() -> None:
    assert seats(two_closets(openings=(door("D1", 500, 0),))) == {"D1": "C2/S2:1"}


def test_a_port_of_a_class_high_enough_is_sought() -> None:
    """Ports 1-2 class 4, 3 class 6. Class 0 grants what class 3 does."""
    one = two_closets(
        switches=(switch("S1", port_classes="1-2:4 3:6", poe_class=0), switch("S2", "C2", poe_class=8)),
        openings=tuple(door(f"D{i}", 0, 0) for i in range(4)),
    )
    needed = {"D0": 6, "D1": 6, "D2": 3, "D3": 3}
    assert seats(one, needed) == {"D0": "C1/S1:3", "D1": "C2/S2:1", "D2": "C1/S1:1", "D3": "C1/S1:2"}
    assert seats(one, {"D0": 0, "D1": 0, "D2": 0, "D3": 3})["D3"] == "C1/S1:4"


def test_where_no_class_is_high_enough_the_nearest_free_port_shows_it() -> None:
    one = two_closets(openings=(door("D1", 0, 0),))
    placements, _ = place(one, Router.of(one), {"D1": 6})
    assert (placements["D1"].switch, placements["D1"].port, placements["D1"].poe_class) == ("S1", 1, 4)


def test_a_door_that_no_closet_reaches_is_named_and_a_stated_one_is_placed() -> None:
    one = two_closets(
        pathway_nodes=(node("A", 0, 0), node("B", 9, 0), node("E", 30, 5, "U"), node("F", 40, 5, "U")),
        pathway_segments=(tray("T", "A", "B"), tray("S", "E", "F")),
        openings=(door("D1", 35, 5, "U"), door("D2", 35, 5, "U", closet="C2")),
    )
    placements, missing = place(one, Router.of(one))
    assert (missing, list(placements)) == (("D1",), ["D2"])
    plan = plan_network(one)
    assert (plan.not_placed, plan.horizontal["D2"].route) == (("D1",), None)


def test_without_any_closet_nothing_is_placed() -> None:
    assert place(site(openings=(door("D1", 0, 0),)), Router.of(site(openings=(door("D1", 0, 0),))))[1] == ("D1",)


def test_a_port_on_record_holds_when_doors_come_and_go() -> None:
    doors = tuple(door(f"D{i}", 0, 0) for i in range(3))
    one = two_closets(openings=doors)
    issued = plan_network(one).labels.issued
    later = changed(one, openings=(door("NEW", 0, 0), *doors[::-1][:2]), issued_labels=issued)
    # D0 has gone; its port is not given away while another is free.
    assert seats(later) == {"NEW": "C1/S1:4", "D2": "C1/S1:3", "D1": "C1/S1:2"}


def test_the_port_of_a_door_that_is_gone_is_given_out_last() -> None:
    doors = tuple(door(f"D{i}", 0, 0, closet="C1") for i in range(4))
    one = two_closets(openings=doors)
    later = changed(one, openings=(*doors[1:], door("NEW", 0, 0)), issued_labels=plan_network(one).labels.issued)
    assert seats(later)["NEW"] == "C1/S1:1"


@pytest.mark.parametrize(
    ("stated", "seat"),
    [({}, "C1/S1:3"), ({"closet": "C2"}, "C2/S2:1"), ({"switch": "S1"}, "C1/S1:3"), ({"switch": "S2"}, "C2/S2:1")],
)
def test_a_port_on_record_yields_only_to_what_the_user_states(stated: dict[str, object], seat: str) -> None:
    record = (IssuedLabel(kind="port", subject="D1", label="1A.R1-A:03"),)
    assert seats(two_closets(openings=(door("D1", 0, 0, **stated),), issued_labels=record)) == {"D1": seat}


def test_a_record_of_a_port_that_is_not_there_is_passed_over() -> None:
    record = (IssuedLabel(kind="port", subject="D1", label="9Z.R1-A:03"),)
    assert seats(two_closets(openings=(door("D1", 0, 0),), issued_labels=record)) == {"D1": "C1/S1:1"}
