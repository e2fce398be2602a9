"""Every single fault that a door may have, each with the netlist it makes and how often it is met.

How often is common practice, no source: what is landed by hand at the door fails oftener than what a factory made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise
from math import log
from typing import Final

from riserkit.circuits.errors import CircuitError
from riserkit.circuits.faults import FaultKind, single_faults
from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Netlist
from riserkit.troubleshooting.changes import (
    SUPPLY_ROLES,
    FaultChange,
    OtherVoltage,
    SetOtherwise,
    Touching,
    Way,
    Wired,
    Without,
)
from riserkit.troubleshooting.controller import fed_over_cable, unpowered
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.ends import signal_pairs
from riserkit.wiring.readings.shown import door_miswirings
from riserkit.wiring.readings.wired import in_words, wire_words
from riserkit.wiring.roles import FEEDS, DeviceRole, ElementRole

JOINT_OHM: Final = (0.5, 3.0, 20.0, 120.0, 800.0, 5e3, 4e4, 1e6)
"""VoltageEnd of the ranges in which a poor joint's resistance is looked for first."""

_JOINT_WEIGHT: Final = 4.0
_OUTPUTS: Final = (*SUPPLY_ROLES, ElementRole.LOCK_OUTPUT_SUPPLY, ElementRole.AUXILIARY_SUPPLY)
_LOADS: Final = frozenset({ElementKind.CURRENT_LOAD, ElementKind.POWER_LOAD})


class SuspectKind(StrEnum):
    """What kind of fault it is."""

    BROKEN = "wire open"
    POOR_JOINT = "poor joint"
    EXCHANGED = "wires exchanged"
    REVERSED = "polarity reversed"
    WRONG_CONTACT = "wrong contact"
    STUCK = "contact stuck"
    LINK = "link left in"
    SHORT = "wires shorted"
    EARTHED = "wire earthed"
    SUPPLY = "supply"
    DEVICE = "device"
    SETTING = "setting"
    OTHER_PART = "another part"


@dataclass(frozen=True, slots=True)
class Suspect:
    """One fault, or several together.

    Args:
        kind: of the fault; of several the first one's.
        words: as a foreman says it.
        blames: conductors and `component.element` that are at fault.
        ways: the changes that make the netlist; two for the ends of a range of resistance, else one.
        weight: how often it is met beside the others.
        joint_ohm: for a poor joint, the range that its resistance is in.
        dead: designations of devices that do nothing whatever their supply.
        other_action: locks that are free with their voltage where they are to be locked, and the other way round.
        unsure: locks that may do as their voltage says or not.
    """

    kind: SuspectKind
    words: str
    blames: frozenset[str]
    ways: tuple[Way, ...]
    weight: float
    joint_ohm: tuple[float, float] | None = None
    dead: frozenset[str] = frozenset()
    other_action: frozenset[str] = frozenset()
    unsure: frozenset[str] = frozenset()

    def with_(self, other: Suspect) -> Suspect:
        """Both faults together, which is rarer than either."""
        ways = tuple((*one, *two) for one in self.ways for two in other.ways)
        words = f"{self.words}; and {other.words}"
        weight = self.weight * other.weight / 1000.0
        joint = self.joint_ohm or other.joint_ohm
        return Suspect(
            self.kind, words, self.blames | other.blames, ways, weight, joint, self.dead | other.dead,
            self.other_action | other.other_action, self.unsure | other.unsure,
        )  # fmt: skip


def single_suspects(circuit: DoorCircuit) -> tuple[Suspect, ...]:
    """Every single fault of a door, a poor joint once for each range of its resistance.

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    return (
        *_wired(circuit),
        *(
            joint
            for c in circuit.netlist.conductors
            if not _of_network(circuit.netlist, c)
            for joint in joints(c, JOINT_OHM)
        ),
        *_touching(circuit.netlist),
        *_parts(circuit.netlist),
        *_without_power(circuit),
        *_set_otherwise(circuit),
    )


def _of_network(netlist: Netlist, conductor: Conductor) -> bool:
    """The four pairs from the closet, or from a splitter to the controller: one conductor of the netlist, intact or not."""
    roles = {netlist.component(end.component).role for end in (conductor.a, conductor.b)}
    if DeviceRole.NETWORK_PORT in roles:
        return True
    return DeviceRole.SPLITTER in roles and (str(conductor.a), str(conductor.b)) in signal_pairs(netlist)


def _without_power(circuit: DoorCircuit) -> Iterator[Suspect]:
    """A controller that its PoE cable feeds, dead, and the switch port that feeds it, as broken as the cable itself may be."""
    netlist = circuit.netlist
    fed = fed_over_cable(netlist)
    refs = {name.partition(".")[0] for name in fed}
    for component in netlist.devices(DeviceRole.CONTROLLER):
        if component.ref not in refs:
            continue
        change = Without(unpowered(circuit).names | fed)
        dead = frozenset({component.ref})
        own = frozenset(name for name in fed if name.startswith(f"{component.ref}."))
        yield Suspect(SuspectKind.DEVICE, f"{component.ref} dead", own, ((change,),), 1.5, dead=dead)
        for port in netlist.devices(DeviceRole.NETWORK_PORT):
            words = f"no power from the switch port, {port.ref}: switched off, or its power used up"
            yield Suspect(SuspectKind.SUPPLY, words, frozenset({port.ref}), ((change,),), 1.5, dead=dead)


def _set_otherwise(circuit: DoorCircuit) -> Iterator[Suspect]:
    """A controller set for a lock of the other action."""
    if not circuit.command:
        return
    now, then = ("off", "on") if circuit.locked_state.get(circuit.command, False) else ("on", "off")
    ref = circuit.command.partition(".")[0]
    words = f"{ref} set the other way round: its output {now} while locked, {then} while released"
    yield _one(SuspectKind.SETTING, words, circuit.command, SetOtherwise(circuit.command), 2.0)


def joints(conductor: Conductor, ends_ohm: tuple[float, ...]) -> Iterator[Suspect]:
    """A poor joint in one conductor, once for each range between neighbouring resistances."""
    where = wire_words(conductor)
    for low, high in pairwise(ends_ohm):
        ways = tuple((Wired(Miswiring(MiswiringKind.POOR_JOINT, (conductor.ref,), r_ohm=r)),) for r in (low, high))
        weight = _JOINT_WEIGHT * log(high / low) / log(JOINT_OHM[-1] / JOINT_OHM[0])
        yield Suspect(
            SuspectKind.POOR_JOINT, f"poor joint in {where}", frozenset({conductor.ref}), ways, weight, (low, high)
        )


_WEIGHTS: Final = {
    MiswiringKind.OPEN: (SuspectKind.BROKEN, 4.0),
    MiswiringKind.LEAD_MISSING: (SuspectKind.BROKEN, 3.0),
    MiswiringKind.EXCHANGED: (SuspectKind.EXCHANGED, 3.0),
    MiswiringKind.REVERSED: (SuspectKind.REVERSED, 3.0),
    MiswiringKind.WRONG_CONTACT: (SuspectKind.WRONG_CONTACT, 3.0),
    MiswiringKind.BYPASSED: (SuspectKind.STUCK, 1.0),
    MiswiringKind.LINK_LEFT_IN: (SuspectKind.LINK, 3.0),
}
_FAR_APART: Final = 0.3
"""Wires of two cables are exchanged less often than those of one."""


def _share_of_pairs(netlist: Netlist, m: Miswiring) -> float:
    """Of the weight of an exchange: a device with many wires has many pairs, and a fitter exchanges few of them."""
    ref = m.ends[0].partition(".")[0]
    landed = sum(ref == end.component for c in netlist.conductors for end in (c.a, c.b))
    return min(1.0, 2.0 / (landed - 1))


def _wired(circuit: DoorCircuit) -> Iterator[Suspect]:
    netlist = circuit.netlist
    by_ref = {c.ref: c for c in netlist.conductors}
    every = door_miswirings(circuit)
    reversed_ = {frozenset(m.subjects) for m in every if m.kind is MiswiringKind.REVERSED}
    for m in every:
        if m.ends and any(_of_network(netlist, by_ref[s]) for s in m.subjects):
            continue  # a plug goes into no terminal
        kind, weight = _WEIGHTS[m.kind]
        if m.kind is MiswiringKind.BYPASSED:
            continue  # as a contact that sticks, below
        if m.kind is MiswiringKind.EXCHANGED and frozenset(m.subjects) in reversed_:
            continue  # both leads of a diode, at its other end: it is reversed
        if m.kind is MiswiringKind.EXCHANGED:
            weight *= _share_of_pairs(netlist, m)
        named = [by_ref[s] for s in m.subjects if s in by_ref]
        if len({c.cable for c in named}) > 1:
            weight *= _FAR_APART
        words = in_words(netlist, m)
        if len(named) == 1 and _of_network(netlist, named[0]):
            one = named[0]
            ports = {c.ref for c in netlist.devices(DeviceRole.NETWORK_PORT)}
            which = "PoE" if ports & {one.a.component, one.b.component} else "network"
            words = f"{which} cable {one.cable}, {one.a} to {one.b}, broken or not plugged in"
        yield Suspect(kind, words, frozenset(m.subjects), ((Wired(m),),), weight)


def _touching(netlist: Netlist) -> Iterator[Suspect]:
    by_ref = {c.ref: c for c in netlist.conductors}
    for fault in single_faults(netlist):
        if fault.join is None or fault.join[0] == fault.join[1]:
            continue
        if any(_of_network(netlist, by_ref[subject]) for subject in fault.subjects):
            continue
        cables = " and ".join(dict.fromkeys(by_ref[s].cable or s for s in fault.subjects))
        if fault.kind is FaultKind.CONDUCTORS_SHORTED:
            words, kind, weight = f"wires of {cables} shorted, {' to '.join(fault.join)}", SuspectKind.SHORT, 2.0
        else:
            where = wire_words(by_ref[fault.subjects[0]])
            words, kind, weight = f"{where}, touching earth", SuspectKind.EARTHED, 1.0
        yield Suspect(kind, words, frozenset(fault.subjects), ((Touching(*fault.join),),), weight)


_STAYS: Final[Mapping[str, tuple[str, str]]] = {
    ElementRole.LOCK_OUTPUT: ("lock output of {} stays on", "lock output of {} stays off"),
    ElementRole.TRIGGERED_OUTPUT: ("output of {} stays on", "output of {} stays off"),
    ElementRole.OUTPUT_COMMAND: ("relay of {} energised all the time", "relay of {} never energised"),
    ElementRole.MODULE_MESSAGE: ("{} energised whatever its message", "{} does not act on its message"),
    ElementRole.MODULE_GATE: ("{} energised whatever its trigger", "{} does not act on its trigger"),
}
"""What a switch inside a device does that sticks closed, and that stays open: nobody sees a contact there."""

_UNFED: Final = {
    ElementRole.MAINS_FEED: "no mains at {}",
    ElementRole.BATTERY_FEED: "battery of {} dead or not connected",
    ElementRole.SPLITTER_FEED: "{} gets no power from its PoE cable",
}
"""What stands for power being there and is not; the outputs of a controller are told as its sources."""

_NO_OUTPUT: Final = {
    ElementRole.LOCK_OUTPUT_SUPPLY: "lock output of {} dead",
    ElementRole.AUXILIARY_SUPPLY: "auxiliary output of {} dead",
    ElementRole.SUPPLY_OUTPUT: "{} gives no voltage",
    ElementRole.SPLITTER_OUTPUT: "{} gives no voltage",
}
_COILS: Final[Mapping[str, str]] = {
    ElementRole.MODULE_TRIGGER: "trigger input of {}",
    ElementRole.TRIGGER_INPUT: "trigger input of {}",
    ElementRole.SENSOR_RELAY: "relay coil of {}",
    ElementRole.OUTPUT_COIL: "relay coil of {}",
}


def _parts(netlist: Netlist) -> Iterator[Suspect]:
    """What fails inside devices."""
    for component in netlist.components:
        ref = component.ref
        for element in component.elements:
            name = f"{ref}.{element.name}"
            ends = " to ".join(end for end in (element.a, element.b) if not end.startswith("_"))
            match element.kind:
                case ElementKind.CONTACT if _touched(component, element.a, element.b):
                    yield from _sticking(component, element, ends)
                case ElementKind.SOURCE if element.role in _OUTPUTS:
                    text = _NO_OUTPUT[ElementRole(element.role)].format(ref)
                    if element.role == ElementRole.LOCK_OUTPUT_SUPPLY and _has(component, ElementRole.OUTPUT_COIL):
                        text = f"relay of {ref} gets no power inside it"
                    yield _one(SuspectKind.SUPPLY, text, name, Without(frozenset({name})), 2.0)
                    if element.role in SUPPLY_ROLES:
                        yield from _other_voltage(component, name, element.values["v_nominal_v"])
                case ElementKind.SOURCE:
                    text = f"input of {ref} at {ends} dead"
                    yield _one(SuspectKind.DEVICE, text, name, Without(frozenset({name})), 0.5)
                case ElementKind.COIL:
                    text = _COILS.get(element.role, "coil of {}").format(ref)
                    # a lock or relay whose coil is open has its voltage and does nothing
                    moves = element.role in (ElementRole.LOCK_COIL, ElementRole.MODULE_COIL)
                    dead = frozenset({ref}) if moves else frozenset()
                    change = Without(frozenset({name}))
                    yield replace(_one(SuspectKind.DEVICE, f"{text} open", name, change, 1.5), dead=dead)
                    if not element.a.startswith("_") and not element.b.startswith("_"):
                        touching = Touching(f"{ref}.{element.a}", f"{ref}.{element.b}")
                        yield _one(SuspectKind.DEVICE, f"{text} shorted", name, touching, 0.7)
                case ElementKind.DIODE | ElementKind.SUPPRESSOR:
                    touching = Touching(f"{ref}.{element.a}", f"{ref}.{element.b}")
                    yield _one(SuspectKind.DEVICE, f"{ref} shorted", name, touching, 1.0)
        if loads := frozenset(f"{ref}.{e.name}" for e in component.elements if e.kind in _LOADS):
            yield Suspect(
                SuspectKind.DEVICE,
                f"{ref} dead: draws nothing",
                loads,
                ((Without(loads),),),
                1.5,
                dead=frozenset({ref}),
            )


def _has(component: Component, role: ElementRole) -> bool:
    return any(e.role == role for e in component.elements)


def _sticking(component: Component, element: Element, ends: str) -> Iterator[Suspect]:
    """A contact that sticks closed or stays open. One that stands for power being there is there or not."""
    ref, name = component.ref, f"{component.ref}.{element.name}"
    missing = Without(frozenset({name}))
    if element.role in FEEDS:
        if text := _UNFED.get(ElementRole(element.role)):
            yield _one(SuspectKind.SUPPLY, text.format(ref), name, missing, 1.0)
        return
    closed, open_ = (f"contact of {ref} at {ends}, {how}" for how in ("stuck closed or bypassed", "stays open"))
    if element.role == ElementRole.SENSOR_DETECTOR:
        closed, open_ = f"{ref} detects somebody all the time", f"{ref} detects nobody"
        if element.normally_closed:
            closed, open_ = open_, closed
    elif element.role in _STAYS:
        closed, open_ = (words.format(ref) for words in _STAYS[element.role])
    touching = Touching(f"{ref}.{element.a}", f"{ref}.{element.b}")
    yield _one(SuspectKind.STUCK, closed, name, touching, 1.0)
    yield _one(SuspectKind.STUCK, open_, name, missing, 1.0)


def _touched(component: Component, *ends: str) -> bool:
    """A contact with a terminal of the device at one end at least: those between inner nodes stand for power, not for a contact."""
    return component.role != DeviceRole.NETWORK_PORT and any(not end.startswith("_") for end in ends)


def _one(kind: SuspectKind, words: str, name: str, change: FaultChange, weight: float) -> Suspect:
    return Suspect(kind, words, frozenset({name}), ((change,),), weight)


def _other_voltage(component: Component, name: str, nominal_v: float) -> Iterator[Suspect]:
    """12 V set or delivered for 24 V, and the other way round."""
    factor = 2.0 if nominal_v < 18.0 else 0.5
    words = f"{component.ref} gives {nominal_v * factor:.0f} V in place of {nominal_v:.0f} V"
    yield _one(SuspectKind.SUPPLY, words, name, OtherVoltage(name, factor), 1.5)


def netlist_of(circuit: DoorCircuit, way: Way) -> Netlist | None:
    """The door's netlist with faults; None where they cannot be there together."""
    netlist = circuit.netlist
    try:
        for change in way:
            netlist = change(netlist)
    except (CircuitError, KeyError):
        return None
    return netlist
