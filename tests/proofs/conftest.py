"""Doors' circuits to prove: one sound sensor-released door built by hand, holes to be put into it, and shipped ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pytest

from riserkit.circuits.netlist import (
    Component,
    Conductor,
    Element,
    ElementKind,
    Landing,
    Netlist,
    OutsideState,
    Terminal,
)
from riserkit.proofs.behaviour import single_circuit
from riserkit.proofs.prove import prove
from riserkit.proofs.values import Outcome, TopologyProof
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

CONTACT = {"r_closed_ohm": 0.05}


def contact(name: str, a: str, b: str, control: str, closed: bool = False) -> Element:
    return Element(name, ElementKind.CONTACT, a, b, CONTACT, control, closed)


def source(name: str, plus: str, minus: str, volts: float, **more: float) -> Element:
    values = {"v_nominal_v": volts, "v_low_v": 0.95 * volts, "v_high_v": 1.05 * volts, "r_ohm": 0.02, **more}
    return Element(name, ElementKind.SOURCE, plus, minus, values)


def coil(name: str, a: str, b: str, r_ohm: float, pull_in_v: float = 8.4, drop_out_v: float = 1.2) -> Element:
    values = {"r_ohm": r_ohm, "v_pull_in_v": pull_in_v, "v_drop_out_v": drop_out_v}
    return Element(name, ElementKind.COIL, a, b, values)


DEVICES = {
    "N1": DeviceRole.NETWORK_PORT, "K1": DeviceRole.CONTROLLER, "K2": DeviceRole.RELAY_MODULE, "K3": DeviceRole.FIRE_RELAY,
    "G1": DeviceRole.SUPPLY, "B2": DeviceRole.REX_SENSOR, "S1": DeviceRole.MANUAL_RELEASE, "M1": DeviceRole.LOCK,
    "M2": DeviceRole.LOCK, "X1": DeviceRole.JUNCTION_BOX,
}  # fmt: skip
ELEMENTS = {
    "M1.coil": ElementRole.LOCK_COIL, "M2.coil": ElementRole.LOCK_COIL, "K1.input_d": ElementRole.DOOR_INPUT,
    "K1.input_r": ElementRole.REQUEST_INPUT, "K1.auxiliary_rail": ElementRole.AUXILIARY_SUPPLY,
    "K1.auxiliary_feed": ElementRole.AUXILIARY_FEED, "K1.output": ElementRole.LOCK_OUTPUT,
    "K1.own_load": ElementRole.CONTROLLER_LOAD, "K2.message": ElementRole.MODULE_MESSAGE,
    "K2.relay": ElementRole.MODULE_COIL, "K2.no": ElementRole.MODULE_NO, "K2.nc": ElementRole.MODULE_NC,
    "G1.output": ElementRole.SUPPLY_OUTPUT, "G1.mains": ElementRole.MAINS_FEED, "G1.battery": ElementRole.BATTERY_FEED,
    "B2.sense": ElementRole.SENSOR_DETECTOR, "B2.relay": ElementRole.SENSOR_RELAY, "B2.supply": ElementRole.SENSOR_LOAD,
    "B2.contact": ElementRole.SENSOR_CONTACT, "B2.break": ElementRole.SENSOR_POLE, "S1.break": ElementRole.RELEASE_POLE,
    "S1.tell": ElementRole.RELEASE_SIGNAL, "K3.contact": ElementRole.FIRE_CONTACT,
}  # fmt: skip
STATES = {
    "N1": {"power_lost": StateRole.NETWORK_POWER_LOST}, "K1": {"output": StateRole.COMMAND},
    "G1": {"mains_lost": StateRole.MAINS_LOST, "battery_lost": StateRole.BATTERY_LOST},
    "B2": {"motion": StateRole.MOTION, "active": StateRole.AUXILIARY_ACTIVE}, "K3": {"alarm": StateRole.FIRE_ALARM},
    "S1": {"pressed": StateRole.RELEASE_PRESSED},
}  # fmt: skip


def part(ref: str, terminals: str, *elements: Element, exposed: bool = False) -> Component:
    """A device with the roles that such a designation has in these tests."""
    with_roles = tuple(replace(e, role=ELEMENTS.get(f"{ref}.{e.name}", "")) for e in elements)
    states = tuple(OutsideState(name, role) for name, role in STATES.get(ref, {}).items())
    named = tuple(Terminal(t) for t in terminals.split())
    return Component(
        ref, ref, named, with_roles, exposed=exposed, place="here", role=DEVICES.get(ref, ""), states=states
    )


def parts() -> dict[str, Component]:
    """Controller K1 on the network, module K2, supply G1, sensor B2 with two poles, release S1, alarm K3, magnet M1."""
    pull_up = {"r_ohm": 4700.0}
    made = (
        part("N1", "J"),
        part(
            "K1", "J A+ A- D R IC",
            source("input_d", "D", "IC", 3.3, **pull_up), source("input_r", "R", "IC", 3.3, **pull_up),
            source("auxiliary_rail", "_aux", "A-", 12.0, i_limit_a=0.7),
            contact("auxiliary_feed", "_aux", "A+", "N1.power_lost", True),
            Element("bond", ElementKind.RESISTOR, "A-", "IC", {"r_ohm": 0.01}),
        ),
        part(
            "K2", "V+ V- C NO NC",
            contact("message", "V+", "_told", "K1.output"), coil("relay", "_told", "V-", 200.0),
            contact("no", "C", "NO", "K2.relay"), contact("nc", "C", "NC", "K2.relay", True),
        ),
        part("G1", "S+ S-", source("output", "_s", "S-", 12.0), contact("mains", "_s", "S+", "G1.mains_lost", True)),
        part(
            "B2", "+ - C NO C2 NC2",
            contact("sense", "+", "_held", "B2.motion", True), coil("relay", "_held", "-", 480.0),
            contact("contact", "C", "NO", "B2.relay", True), contact("break", "C2", "NC2", "B2.relay"),
        ),
        part("S1", "11 12 23 24", contact("break", "11", "12", "S1.pressed", True), contact("tell", "23", "24", "S1.pressed")),
        part("K3", "C NC", contact("contact", "C", "NC", "K3.alarm", True)),
        part("X1", "1 2 3 0"),
        part("M1", "+ -", coil("coil", "+", "-", 24.0, 8.4, 0.6)),
    )  # fmt: skip
    return {component.ref: component for component in made}


SOUND = (
    ("W1", "N1.J", "K1.J"),
    ("W2", "K1.A+", "K2.V+"), ("W2", "K1.A-", "K2.V-"),
    ("W3", "G1.S+", "K2.C"), ("W3", "G1.S-", "X1.0"),
    ("W4", "K1.R", "B2.NO"), ("W4", "K1.IC", "B2.C"),
    ("W5", "K2.NC", "B2.C2"), ("W5", "B2.NC2", "X1.1"), ("W5", "K2.C", "B2.+"), ("W5", "B2.-", "X1.0"),
    ("W6", "X1.1", "S1.11"), ("W6", "S1.12", "X1.2"), ("W6", "K1.R", "S1.23"), ("W6", "K1.IC", "S1.24"),
    ("W7", "X1.2", "K3.C"), ("W7", "K3.NC", "X1.3"),
    ("W8", "X1.3", "M1.+"), ("W8", "M1.-", "X1.0"),
)  # fmt: skip


def circuit(wires: tuple[tuple[str, str, str], ...] = SOUND, *more: Component, **swapped: Component) -> DoorCircuit:
    """A door wired so; components may be added, or swapped by designation."""
    used = {end.partition(".")[0] for _, a, b in wires for end in (a, b)}
    components = tuple(swapped.get(ref, c) for ref, c in parts().items() if ref in used) + more
    conductors = tuple(
        Conductor(str(k), Landing(*a.split(".")), Landing(*b.split(".")), "RD", "18 AWG", 0.2, cable)
        for k, (cable, a, b) in enumerate(wires, start=1)
    )
    netlist = Netlist(components, (), conductors, (), "K1.IC" if "K1" in used else "G1.S-")
    return DoorCircuit(
        netlist, {"K1.output": False}, {"K1.output": True}, ("M1",), fail_safe=True, supply="G1.output", relay="K2"
    )


def rewired(*changes: tuple[str, str]) -> tuple[tuple[str, str, str], ...]:
    """The sound wires with some of them, each written `K2.NC B2.C2`, landed otherwise or, for an empty text, left out."""
    new = dict(changes)
    assert set(new) <= {f"{a} {b}" for _, a, b in SOUND}
    wires = [(cable, *new.get(f"{a} {b}", f"{a} {b}").split()) for cable, a, b in SOUND]
    return tuple(wire for wire in wires if len(wire) == 3)


def outcomes(proof: TopologyProof) -> Mapping[str, Outcome]:
    return {p.name: p.outcome for p in proof.properties}


def failing(proof: TopologyProof, *leave_out: str) -> set[str]:
    """Properties that fail; what is said of fail-safe doors' faults is left out, they have some in every circuit."""
    return {p.name for p in proof.properties if p.outcome is Outcome.FAIL} - {
        "fault-leaves-unlocked",
        "undetected-fault",
    }


@dataclass(frozen=True)
class Lab:
    """What tests prove with."""

    contact = staticmethod(contact)
    source = staticmethod(source)
    coil = staticmethod(coil)
    part = staticmethod(part)
    parts = staticmethod(parts)
    circuit = staticmethod(circuit)
    rewired = staticmethod(rewired)
    outcomes = staticmethod(outcomes)
    failing = staticmethod(failing)
    sound = SOUND

    @staticmethod
    def prove(wired: DoorCircuit, fail_safe: bool = True) -> TopologyProof:
        return prove(single_circuit(wired), fail_safe)

    @staticmethod
    def exposed(wired: DoorCircuit, *refs: str) -> DoorCircuit:
        """The same with these devices on the unsecured side."""
        netlist = wired.netlist
        components = tuple(replace(c, exposed=c.ref in refs or c.exposed) for c in netlist.components)
        return replace(wired, netlist=replace(netlist, components=components))


@pytest.fixture(scope="session")
def lab() -> Lab:
    return Lab()
