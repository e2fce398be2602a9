"""States, faults and acts in a fitter's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Conductor, Netlist
from riserkit.wiring.roles import ElementRole, StateRole

_CONTACTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        ElementRole.LOCK_OUTPUT: "lock output of the {kind}",
        ElementRole.LOCK_OUTPUT_FEED: "feed of the lock output in the {kind}",
        ElementRole.LOCK_OUTPUT_SUPPLY: "lock output supply of the {kind}",
        ElementRole.OUTPUT_COMMAND: "lock output command in the {kind}",
        ElementRole.OUTPUT_NO: "contact {a}-{b} of the {kind}",
        ElementRole.OUTPUT_NC: "contact {a}-{b} of the {kind}",
        ElementRole.AUXILIARY_FEED: "feed of the auxiliary output in the {kind}",
        ElementRole.AUXILIARY_SUPPLY: "auxiliary supply of the {kind}",
        ElementRole.DOOR_INPUT: "door input of the {kind}",
        ElementRole.REQUEST_INPUT: "REX/AUX input of the {kind}",
        ElementRole.MODULE_MESSAGE: "command in {kind} {ref}",
        ElementRole.MODULE_GATE: "trigger in {kind} {ref}",
        ElementRole.MODULE_NO: "contact {a}-{b} of {kind} {ref}",
        ElementRole.MODULE_NC: "contact {a}-{b} of {kind} {ref}",
        ElementRole.RELEASE_POLE: "power pole of {kind} {ref}",
        ElementRole.RELEASE_SIGNAL: "input pole of {kind} {ref}",
        ElementRole.SENSOR_CONTACT: "input contact of {kind} {ref}",
        ElementRole.SENSOR_POLE: "power pole of {kind} {ref}",
        ElementRole.SENSOR_DETECTOR: "detector of {kind} {ref}",
        ElementRole.AUXILIARY_CONTACT: "{kind} {ref}",
        ElementRole.FIRE_CONTACT: "{kind} {ref}",
        ElementRole.DOOR_CONTACT: "{kind} {ref}",
        ElementRole.LATCH_CONTACT: "latch contact of {kind} {ref}",
        ElementRole.BOND_CONTACT: "bond contact of {kind} {ref}",
        ElementRole.MAINS_FEED: "mains feed of {kind} {ref}",
        ElementRole.BATTERY_FEED: "battery feed of {kind} {ref}",
        ElementRole.SUPPLY_OUTPUT: "{kind} {ref}",
        ElementRole.TRIGGERED_OUTPUT: "switch of {kind} {ref}",
        ElementRole.SPLITTER_FEED: "feed of {kind} {ref}",
        ElementRole.SPLITTER_OUTPUT: "{kind} {ref}",
    }
)
_PHRASES: Final[Mapping[FaultKind, str]] = MappingProxyType(
    {
        FaultKind.CONDUCTOR_OPEN: "{} open",
        FaultKind.CONDUCTOR_EARTHED: "{} earthed",
        FaultKind.CONTACT_WELDED: "{} stuck closed",
        FaultKind.CONTACT_OPEN: "{} stuck open",
        FaultKind.SUPPLY_DEAD: "{} dead",
        FaultKind.CUT: "cut {}",
    }
)


def state_words(netlist: Netlist, state: State, release_value: bool) -> str:
    """What is on in a state, and what the controller commands where one does.

    Examples:
        `REX active, controller locks`
    """
    commands = netlist.states(StateRole.COMMAND)
    words = [outside_words(netlist, name) for name, on in state.items() if on and name not in commands]
    for name in commands:
        if name in state:
            words.append(f"controller {'releases' if state[name] == release_value else 'locks'}")
    return ", ".join(words) or "all at rest"


_AT_EACH: Final = frozenset({StateRole.RELEASE_PRESSED, StateRole.MOTION})


def outside_words(netlist: Netlist, name: str) -> str:
    """An outside state while it is on; of several of one kind, from the second on with the device it is done to.

    Of two bars, one on each leaf, both are named.

    Examples:
        `manual release pressed`, `second leaf open`
    """
    role = netlist.role_of_state(name)
    place = netlist.states(role).index(name) if role else 0
    if not place and not (role in _AT_EACH and len(netlist.states(role)) > 1):
        return str(role) if role else f"{name} on"
    return "second leaf open" if role == StateRole.DOOR_OPEN else f"{role} at {name.partition('.')[0]}"


def element_words(netlist: Netlist, name: str) -> str:
    """An element `component.element` by what it does and the device it is in; its name where it has no role."""
    element, component = netlist.element(name), netlist.component(name.partition(".")[0])
    words = _CONTACTS.get(element.role)
    if words is None:
        return name
    return words.format(kind=component.role or component.title, ref=component.ref, a=element.a, b=element.b)


def conductor_words(conductor: Conductor) -> str:
    """`RD of W3, K1.A+ to B2.+`; a lead in no cable has no colour of a cable's."""
    colour = f"{conductor.colour} of {conductor.cable}" if conductor.cable else f"lead {conductor.ref}"
    return f"{colour}, {conductor.a} to {conductor.b}"


def current_words(netlist: Netlist, path: Mapping[str, bool]) -> str:
    """The way of a current in a fitter's words; empty for none.

    Args:
        netlist: the circuit.
        path: designations of conductors from plus to minus, each with whether its current runs from its `a` to its `b`.

    Examples:
        `from K1.L+ over 8 (BK of W4) to M1.+, over 9 (BN of W4) to K1.L-`
    """
    conductors = {c.ref: c for c in netlist.conductors}
    legs: list[str] = []
    for ref, along in path.items():
        one = conductors[ref]
        start, end = (one.a, one.b) if along else (one.b, one.a)
        what = f"{one.colour} of {one.cable}" if one.cable else "lead"
        legs.append(f"{'' if legs else f'from {start} '}over {ref} ({what}) to {end}")
    return ", ".join(legs)


def fault_words(netlist: Netlist, faults: Sequence[Fault]) -> str:
    """What is at fault or what is done, in one phrase; `no fault` for none."""
    return " and ".join(_one(netlist, fault) for fault in faults) or "no fault"


def plain_words(netlist: Netlist, faults: Sequence[Fault]) -> str:
    """The same by terminals alone, without colours and cables: alike for doors that are wired alike."""
    return " and ".join(_plain(netlist, fault) for fault in faults) or "no fault"


def _plain(netlist: Netlist, fault: Fault) -> str:
    conductors = {c.ref: c for c in netlist.conductors}
    if fault.kind is FaultKind.CONDUCTORS_SHORTED:
        return f"{' and '.join(_far(conductors[ref]) for ref in fault.subjects)} shorted"
    if fault.kind in _PHRASES:
        name = fault.subjects[0]
        what = f"conductor {_far(conductors[name])}" if name in conductors else element_words(netlist, name)
        return _PHRASES[fault.kind].format(what)
    return _linked(fault, fault.subjects)


def _one(netlist: Netlist, fault: Fault) -> str:
    conductors = {c.ref: c for c in netlist.conductors}
    if fault.kind is FaultKind.CONDUCTORS_SHORTED:
        one, two = (conductors[ref] for ref in fault.subjects)
        return f"{one.colour} and {two.colour} of {one.cable} shorted ({_far(one)} and {_far(two)})"
    if fault.kind in _PHRASES:
        name = fault.subjects[0]
        wire = name in conductors
        what = f"conductor {conductor_words(conductors[name])}," if wire else element_words(netlist, name)
        return _PHRASES[fault.kind].format(what).removesuffix(",")
    return _link_words(netlist, fault)


def _far(conductor: Conductor) -> str:
    return f"{conductor.a} to {conductor.b}"


def _link_words(netlist: Netlist, fault: Fault) -> str:
    return _linked(fault, [_point(netlist, name) for name in fault.subjects])


def _linked(fault: Fault, points: Sequence[str]) -> str:
    if not fault.foreign_v:
        return f"connect {points[0]} to {points[1]}"
    plus, minus = points if fault.foreign_v > 0 else points[::-1]
    return f"apply {abs(fault.foreign_v):g} V, plus on {plus}, minus on {minus}"


def _point(netlist: Netlist, name: str) -> str:
    """A terminal with the colours landed there."""
    colours = [f"{c.colour} of {c.cable}" for c in netlist.conductors if c.cable and name in (str(c.a), str(c.b))]
    return f"{name} ({', '.join(colours)})" if colours else name
