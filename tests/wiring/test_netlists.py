"""Every arrangement lands its conductors as the trade does (common practice, no source), no more and no fewer."""

from __future__ import annotations

from typing import Any

import networkx as nx
import pytest

from riserkit.circuits.netlist import ElementKind, Netlist

DIODE = {"R1.K M1.+", "R1.A M1.-"}
SUPPRESSOR = {"R1.1 M1.+", "R1.2 M1.-"}
CONTACT = {"K1.DOOR B1.1", "B1.2 K1.IC"}
SENSOR = {"K1.A+ B2.+", "K1.A- B2.-", "K1.REQ B2.NO", "K1.IC B2.C"}
MODULE = {"K1.A+ K2.V+", "K1.A- K2.V-", "K1.LKA K2.LKA", "K1.LKB K2.LKB"}
TELLS = {"K1.REQ X1.REQ", "K1.IC X1.IC", "X1.REQ S1.23", "X1.IC S1.24"}

JOINS = {
    "direct": {"K1.L+ M1.+", "M1.- K1.L-"} | DIODE,
    "direct-with-peripherals": {"K1.L+ M1.+", "M1.- K1.L-"} | DIODE | CONTACT | SENSOR,
    "relay-module": {"K2.V+ K2.C", "K2.NO M1.+", "M1.- K2.V-"} | DIODE | CONTACT | SENSOR | MODULE,
    "relay-by-voltage": {"K1.A+ K2.V+", "K1.A- K2.V-", "K1.L+ K2.T+", "K1.L- K2.T-", "K2.V+ K2.C", "K2.NO M1.+",
                         "M1.- K2.V-"} | DIODE | CONTACT | SENSOR,
    "relay-external-supply": {"G1.S+ K2.C", "G1.S- X1.0V", "K2.NC B2.2C", "B2.2NC X1.1", "X1.1 S1.11", "S1.12 X1.2",
                              "X1.2 K3.C", "K3.NC X1.3", "X1.3 M1.+", "M1.- X1.0V"} | TELLS | SUPPRESSOR | CONTACT | SENSOR | MODULE,
    "controller-contact": {"G1.S+ X1.SUP", "G1.S- X1.0V", "X1.SUP K1.C", "K1.NC X1.IN", "X1.IN B2.2C", "B2.2NC X1.1",
                           "X1.1 S1.11", "S1.12 X1.2", "X1.2 K3.C", "K3.NC X1.3", "X1.3 M1.+",
                           "M1.- X1.0V"} | TELLS | SUPPRESSOR | CONTACT | SENSOR,
    "dry-trigger": {"K2.C G1.TRA", "K2.NO G1.TRB", "G1.O+ X3.+", "X3.- G1.O-", "X3.+ M1.+", "M1.- X3.-"} | CONTACT | SENSOR | MODULE,
    "splitter-magnet": {"T1.JOUT K1.J", "T1.P+ K2.V+", "T1.P- K2.V-", "K2.V+ K2.C", "K2.V+ K1.A+", "K2.V- K1.A-",
                        "K2.LKA K1.LKA", "K2.LKB K1.LKB", "K2.NC B2.2C", "B2.2NC X1.1", "X1.1 S1.11", "S1.12 X1.2",
                        "X1.2 K3.C", "K3.NC X1.3", "X1.3 M1.+", "M1.- K2.V-", "K2.V+ B2.+", "B2.- K2.V-",
                        "K1.REQ B2.NO", "K1.IC B2.C"} | TELLS | SUPPRESSOR | CONTACT,
}  # fmt: skip


@pytest.mark.parametrize("name", JOINS)
def test_conductors_join_what_the_trade_joins(doors: Any, name: str) -> None:
    assert doors.joins(doors.circuit(name).netlist) == JOINS[name]


@pytest.mark.parametrize("name", JOINS)
def test_every_conductor_of_every_cable_is_landed_once_or_listed_as_spare(doors: Any, name: str) -> None:
    netlist = doors.circuit(name).netlist
    for cable in netlist.cables:
        landed = [c.colour for c in netlist.conductors if c.cable == cable.ref]
        spare = [s.colour for s in netlist.spares if s.cable == cable.ref]
        assert landed == ["4PR"] if landed == ["4PR"] else sorted(landed + spare) == sorted(cable.colours)
    terminals = {(c.ref, t.name) for c in netlist.components for t in c.terminals}
    assert {(end.component, end.terminal) for c in netlist.conductors for end in (c.a, c.b)} <= terminals


def test_spares_are_what_a_wider_cable_leaves(doors: Any) -> None:
    netlist = doors.circuit("direct", {**doors.bare, "lock": "strike-12-secure", "lock_cable": "18-4"}).netlist
    lock = next(c for c in netlist.cables if c.role == "lock")
    assert [(s.cable, s.colour) for s in netlist.spares] == [(lock.ref, colour) for colour in lock.colours[2:]]
    assert len(lock.colours) == 4


def test_colours_follow_the_cable_that_was_bought(doors: Any) -> None:
    bought = {"id": "odd", "kind": "control", "conductors": 3, "gauge": "18 AWG", "colours": "WH GY PK"}
    netlist = doors.circuit("direct", {**doors.served["direct"], "lock_cable": "odd"}, cable_types=[bought]).netlist
    lock = next(c for c in netlist.cables if c.role == "lock")
    assert [c.colour for c in netlist.conductors if c.cable == lock.ref] == ["WH", "GY"]
    assert [s.colour for s in netlist.spares] == ["PK"]


@pytest.mark.parametrize(("lock", "contact"), [("strike-24-secure", "NO"), ("strike-24-safe", "NC")])
def test_fail_secure_hangs_on_no_and_fail_safe_on_nc(doors: Any, lock: str, contact: str) -> None:
    netlist = doors.circuit("relay-external-supply", {**doors.usual, "lock": lock}).netlist
    assert f"K2.{contact} M1.+" in doors.joins(netlist)
    assert not any(f"K2.{({'NO', 'NC'} - {contact}).pop()}" in join for join in doors.joins(netlist))


def test_a_fail_safe_device_with_its_own_supply_is_triggered_by_nc(doors: Any) -> None:
    part = {"id": "safe", "kind": "electrified-latch", "action": "fail-safe", "rated_v": 24, "hold_a": 0.3,
            "own_supply": True}  # fmt: skip
    circuit = doors.circuit("dry-trigger", {**doors.usual, "lock": "safe"}, parts=[part])
    assert "K2.NC G1.TRB" in doors.joins(circuit.netlist)
    assert circuit.powered == {"K1.output": False}


def test_release_and_fire_relay_break_an_own_supplys_feed_too(doors: Any) -> None:
    part = {"id": "safe", "kind": "electrified-latch", "action": "fail-safe", "rated_v": 24, "hold_a": 0.3,
            "own_supply": True}  # fmt: skip
    opening = {**doors.usual, "lock": "safe", "release": "release-30", "fire_alarm_release": True}
    joins = doors.joins(doors.circuit("dry-trigger", opening, parts=[part]).netlist)
    series = {
        "X1.IN S1.11",
        "S1.12 X1.1",
        "X1.1 K3.C",
        "K3.NC X1.2",
        "X1.2 X3.+",
        "X3.- X1.0V",
        "X3.+ M1.+",
        "M1.- X3.-",
    }
    assert series | {"G1.O+ X1.IN", "X1.0V G1.O-"} <= joins


@pytest.mark.parametrize("name", ["direct", "relay-external-supply"])
def test_a_diodes_cathode_stands_at_plus(doors: Any, name: str) -> None:
    netlist = doors.circuit(name, {**doors.usual, "lock": "strike-24-secure"}).netlist
    diode = netlist.component("R1").elements[0]
    assert (diode.kind, diode.a, diode.b) == (ElementKind.DIODE, "A", "K")
    assert {"R1.K M1.+", "R1.A M1.-"} <= doors.joins(netlist)


def test_a_lock_with_its_suppressor_inside_gets_no_other(doors: Any) -> None:
    part = {"id": "own", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.2,
            "suppressor_fitted": True}  # fmt: skip
    netlist = doors.circuit("direct", {**doors.bare, "lock": "own"}, parts=[part]).netlist
    assert {c.ref for c in netlist.components} == {"N1", "K1", "M1"}


@pytest.mark.parametrize(("name", "source"), [
    ("direct", "K1.lock_rail"), ("relay-module", "K1.auxiliary_rail"), ("relay-by-voltage", "K1.auxiliary_rail"),
    ("relay-external-supply", "G1.output"), ("dry-trigger", "G1.output"), ("splitter-magnet", "T1.output"),
    ("controller-contact", "G1.output"),
])  # fmt: skip
def test_the_source_of_lock_current_is_named(doors: Any, name: str, source: str) -> None:
    circuit = doors.circuit(name)
    ref, element = circuit.lock_source.split(".")
    assert circuit.lock_source == source
    assert any(e.name == element and e.kind is ElementKind.SOURCE for e in circuit.netlist.component(ref).elements)


def conducting(netlist: Netlist) -> nx.Graph:
    """Terminals joined by a conductor or by any element, contacts open or closed alike."""
    graph = nx.Graph((str(c.a), str(c.b)) for c in netlist.conductors)
    graph.add_edges_from((f"{c.ref}.{e.a}", f"{c.ref}.{e.b}") for c in netlist.components for e in c.elements)
    return graph


@pytest.mark.parametrize("name", ["relay-external-supply", "controller-contact", "dry-trigger"])
def test_no_two_supplies_are_joined(doors: Any, name: str) -> None:
    minus = "G1.O-" if name == "dry-trigger" else "G1.S-"
    graph = conducting(doors.circuit(name).netlist)
    assert nx.has_path(graph, minus, "M1.-")
    assert not nx.has_path(graph, minus, "K1.A-")


def test_a_factory_link_is_taken_out_before_an_outside_supply_is_landed(doors: Any) -> None:
    circuit = doors.circuit("relay-external-supply")
    assert "K2.V+ K2.C" not in doors.joins(circuit.netlist)
    assert any("Take the supply-to-common link" in note for note in circuit.notes)
    without = {"id": "bare", "kind": "relay", "command": "authenticated", "coil_a": 0.06, "contact_a": 3}
    opening = {**doors.served["relay-external-supply"], "relay": "bare"}
    notes = doors.circuit("relay-external-supply", opening, parts=[without]).notes
    assert not any("supply-to-common link" in note for note in notes)


@pytest.mark.parametrize(
    ("relay", "note"), [("relay-auth", "Leave the supply-to-common link"), ("bare", "Land a jumper")]
)
def test_the_crew_is_told_what_feeds_the_modules_common(doors: Any, relay: str, note: str) -> None:
    bare = {"id": "bare", "kind": "relay", "command": "authenticated", "coil_a": 0.06, "contact_a": 3}
    circuit = doors.circuit("relay-module", {**doors.strike, "relay": relay}, parts=[bare])
    assert "K2.V+ K2.C" in doors.joins(circuit.netlist)
    assert any(note in text for text in circuit.notes)


@pytest.mark.parametrize("name", ["direct-with-peripherals", "relay-module", "relay-by-voltage", "dry-trigger"])
def test_the_second_input_may_be_auxiliary(doors: Any, name: str) -> None:
    opening = {**doors.served[name], "rex": "", "rex_aux_input": "auxiliary"}
    joins = doors.joins(doors.circuit(name, opening).netlist)
    assert {"K1.REQ B2.1", "K1.IC B2.2"} <= joins
    assert not any("B2.NO" in join or "B2.+" in join for join in joins)


def test_an_auxiliary_input_is_not_the_releases(doors: Any) -> None:
    opening = {**doors.served["splitter-magnet"], "rex": "", "rex_aux_input": "auxiliary"}
    joins = doors.joins(doors.circuit("splitter-magnet", opening).netlist)
    assert {"K2.NC S1.11", "S1.12 X1.1"} <= joins
    assert not any("S1.23" in join for join in joins)


def test_an_unpowered_rex_takes_two_conductors(doors: Any) -> None:
    netlist = doors.circuit("direct-with-peripherals", {**doors.strike, "rex": "rex-button"}).netlist
    assert {"K1.REQ B2.NO", "K1.IC B2.C"} <= doors.joins(netlist)
    assert len(netlist.spares) == 2


def test_contacts_of_two_leaves_stand_in_series(doors: Any) -> None:
    netlist = doors.circuit("direct-with-peripherals", {**doors.strike, "lock_count": 2, "type": "double"}).netlist
    assert {"K1.DOOR B1.1", "B1.2 X2.1", "X2.1 B4.1", "B4.2 K1.IC"} <= doors.joins(netlist)
    assert {"K1.L+ M1.+", "M1.- K1.L-", "K1.L+ M2.+", "M2.- K1.L-", "R2.K M2.+", "R2.A M2.-"} <= doors.joins(netlist)


def test_two_readers_hang_on_bus_and_auxiliary_output(doors: Any) -> None:
    opening = {**doors.strike, "rex": "", "reader_in": "reader-out", "reader_out": "reader-out"}
    circuit = doors.circuit("direct-with-peripherals", opening)
    for ref in ("B3", "B5"):
        assert {f"K1.A+ {ref}.+", f"K1.A- {ref}.-", f"K1.BUSA {ref}.BUSA", f"K1.BUSB {ref}.BUSB"} <= doors.joins(
            circuit.netlist
        )
    assert circuit.netlist.component("B5").exposed
    assert not circuit.netlist.component("B3").exposed


def test_what_is_in_reach_behind_the_controller_is_marked(doors: Any) -> None:
    inside = {**doors.served["relay-by-voltage"], "controller_at": "secured"}
    assert not any(c.exposed for c in doors.circuit("relay-by-voltage", inside).netlist.cables)
    circuit = doors.circuit("relay-by-voltage")
    exposed = {c.role for c in circuit.netlist.cables if c.exposed}
    assert exposed == {"contact", "rex", "relay"}
    assert "trigger wires" in circuit.reachable_release
    assert doors.circuit("relay-module").reachable_release == ""


def test_with_a_release_at_the_output_the_cable_to_the_junction_box_is_in_reach_and_the_lock_s_is_not(
    doors: Any,
) -> None:
    netlist = doors.circuit("direct-with-peripherals", doors.magnet).netlist
    chain = {"K1.L+ X1.IN", "X1.IN B2.2C", "B2.2NC X1.1", "X1.1 S1.11", "S1.12 X1.2", "X1.2 M1.+", "M1.- X1.0V"}
    assert chain | {"X1.0V K1.L-"} <= doors.joins(netlist)
    assert {c.role for c in netlist.cables if c.exposed} == {"contact", "rex", "box", "request"}


@pytest.mark.parametrize(
    "change",
    [
        {"egress": "hardware-release", "release": "release-30"},
        {"rex_aux_input": "auxiliary", "rex": ""},
        {"rex": "one-pole"},
        {"rex": "stays"},
        {"rex": "rex-button"},
    ],
)
def test_only_a_sensor_released_door_with_a_two_pole_sensor_has_it_in_the_feed(doors: Any, change: Any) -> None:
    """A sensor that stays put when it loses its supply, or that has one pole, is left out of the lock's feed."""
    sensor = {"kind": "rex-sensor", "rated_v": 12, "draw_a": 0.02}
    parts = [
        {"id": "one-pole", "releases_on_loss": True, "poles": 1, **sensor},
        {"id": "stays", "releases_on_loss": False, "poles": 2, **sensor},
    ]
    netlist = doors.circuit("splitter-magnet", {**doors.magnet, **change}, parts=parts).netlist
    joins = doors.joins(netlist)
    assert "K2.NC S1.11" in joins
    assert not any("B2.2C" in join for join in joins)
    assert "rex_feed" not in {c.role for c in netlist.cables}


def test_a_sensor_takes_its_supply_where_the_lock_does_if_it_stands_that_voltage(doors: Any) -> None:
    """Fed from the secured side it goes on working, and cannot be starved from outside."""
    twelve = doors.joins(doors.circuit("relay-external-supply", doors.magnet).netlist)
    assert {"K2.C B2.+", "B2.- X1.0V"} <= twelve
    twenty_four = doors.joins(doors.circuit("relay-external-supply").netlist)
    assert {"K1.A+ B2.+", "K1.A- B2.-"} <= twenty_four
