"""The topology graph: what hangs on what, and whom no data reaches."""

from __future__ import annotations

import pytest

from riserkit.model.power import Supply, Switch
from riserkit.network.plan import plan_network
from riserkit.network.topology import cables_of, link

from .sites import changed, closet, door, run, site

ONE = site(
    closets=(closet("C1", 0, 0), closet("C2", 0, 0, "U", fed_from="C1")),
    switches=(Switch(id="S1", closet="C1", ports=1),),
    supplies=(Supply(id="P1", part="supply-24-4", closet="C1"), Supply(id="P2", part="supply-24-4", opening="D2")),
    openings=(door("D1", 5, 0, supply="P1"), door("D2", 6, 0, supply="P2"), door("D3", 5, 0, "U")),
)


def test_every_thing_is_a_node_and_every_cable_on_an_edge() -> None:
    graph = plan_network(ONE).topology
    kinds = {tuple(sorted((a, b))): link(edge).kind for a, b, edge in graph.edges(data=True)}
    assert kinds == {
        (("closet", "C1"), ("closet", "C2")): "backbone",
        (("closet", "C1"), ("switch", "S1")): "located",
        (("closet", "C1"), ("supply", "P1")): "located",
        (("opening", "D2"), ("supply", "P2")): "located",
        (("opening", "D1"), ("supply", "P1")): "feeds",
        (("opening", "D1"), ("switch", "S1")): "horizontal",
        (("closet", "C1"), ("opening", "D2")): "horizontal",
        (("closet", "C2"), ("opening", "D3")): "horizontal",
    }
    assert link(graph.edges[("switch", "S1"), ("opening", "D1")]).port == 1


def test_edges_hold_the_labelled_cables_in_the_order_of_the_input() -> None:
    plan = plan_network(changed(ONE, runs=(run("R1", "C1", "C2", 9), run("R2", "C2", "C1", 9))))
    assert tuple(cables_of(plan.topology, "backbone")) == plan.backbone
    assert len(plan.backbone) == 2
    assert tuple(cables_of(plan.topology, "horizontal")) == tuple(plan.horizontal.values())
    assert all(cable.label for cable in (*plan.backbone, *plan.horizontal.values()))


def test_cable_types_come_from_the_run_then_the_opening_then_the_site() -> None:
    doors = (door("D1", 5, 0, horizontal_cable="cat6a"), door("D2", 5, 0, horizontal_cable="cat6a"), door("D3", 5, 0))
    runs = (run("R1", "C1", "D1", cable_type="cat5e"), run("R2", "D2", "C1"))
    plan = plan_network(changed(ONE, openings=doors, runs=runs, supplies=()))
    found = {mark: (cable.cable_type, cable.run_id) for mark, cable in plan.horizontal.items()}
    assert found == {"D1": ("cat5e", "R1"), "D2": ("cat6a", "R2"), "D3": ("cat6", "")}


@pytest.mark.parametrize("order", [1, -1])
def test_the_type_that_only_one_of_two_rows_names_is_kept(order: int) -> None:
    runs = (run("R1", "C1", "D1", 30, cable_type="cat5e"), run("R2", "D1", "C1", 33, basis="measured"))[::order]
    cable = plan_network(changed(ONE, openings=(door("D1", 5, 0),), runs=runs, supplies=())).horizontal["D1"]
    assert (cable.cable_type, cable.run_id, cable.route.length_m if cable.route else None) == ("cat5e", "R2", 33)


def test_backbone_types_come_from_the_run_then_the_closet_fed_then_the_site() -> None:
    closets = (closet("C1", 0, 0), closet("C2", 5, 0, fed_from="C1", backbone_cable="cat6a"), closet("C3", 9, 0))
    runs = (run("R3", "C3", "C2", 20), run("R4", "C1", "C3", 20, cable_type="cat6"))
    plan = plan_network(changed(ONE, closets=closets, runs=runs))
    assert [(c.subject, c.cable_type) for c in plan.backbone] == [
        ("C1>C2", "cat6a"),
        ("C2>C3", "om4-12"),
        ("C1>C3", "cat6"),
    ]
