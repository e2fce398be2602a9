"""States, faults and acts in a fitter's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Conductor, Netlist

STATE_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "B1.open": "door open",
        "B4.open": "second leaf open",
        "B2.motion": "REX active",
        "B2.active": "auxiliary contact active",
        "G1.mains_lost": "mains lost",
        "G1.battery_lost": "battery lost",
        "K3.alarm": "fire alarm",
        "N1.power_lost": "no power on the data cable",
        "S1.pressed": "manual release pressed",
    }
)
"""Outside states of a door's circuit while they are on; the controller's command is put into words by what it wants."""

_CONTACTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "K1.output": "lock output of the controller",
        "K2.message": "command in relay module K2",
        "K2.gate": "trigger in relay module K2",
        "K2.no": "contact C-NO of relay module K2",
        "K2.nc": "contact C-NC of relay module K2",
        "S1.break": "power pole of manual release S1",
        "S1.tell": "input pole of manual release S1",
        "B2.contact": "input contact of REX sensor B2",
        "B2.break": "power pole of REX sensor B2",
        "B2.sense": "detector of REX sensor B2",
        "K3.contact": "fire alarm relay K3",
        "B1.contact": "door position switch B1",
        "B4.contact": "door position switch B4",
        "G1.mains": "mains feed of supply G1",
        "G1.battery": "battery feed of supply G1",
        "K1.lock_feed": "feed of the lock output in the controller",
        "K1.auxiliary_feed": "feed of the auxiliary output in the controller",
        "T1.feed": "feed of splitter T1",
        "G1.switch": "switch of supply G1",
        "K1.lock_rail": "lock output supply of the controller",
        "K1.auxiliary_rail": "auxiliary supply of the controller",
        "K1.input_d": "door input of the controller",
        "K1.input_r": "second input of the controller",
        "G1.output": "lock supply G1",
        "T1.output": "splitter T1",
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


def state_words(state: State, release_value: bool | None) -> str:
    """What is on in a state, and what the controller commands; `None`: there is no command.

    Examples:
        >>> state_words({"B2.motion": True, "K1.output": False}, True)
        'REX active, controller commands lock'
    """
    words = [STATE_WORDS.get(name, f"{name} on") for name in sorted(state) if state[name] and name != "K1.output"]
    if release_value is not None and "K1.output" in state:
        wants = "release" if state["K1.output"] == release_value else "lock"
        words.append(f"controller commands {wants}")
    return ", ".join(words) or "all at rest"


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
    """What is at fault or what is done, in one phrase; `nothing at fault` for none."""
    return " and ".join(_one(netlist, fault) for fault in faults) or "nothing at fault"


def plain_words(netlist: Netlist, faults: Sequence[Fault]) -> str:
    """The same by terminals alone, without colours and cables: alike for doors that are wired alike."""
    return " and ".join(_plain(netlist, fault) for fault in faults) or "nothing at fault"


def _plain(netlist: Netlist, fault: Fault) -> str:
    conductors = {c.ref: c for c in netlist.conductors}
    if fault.kind is FaultKind.CONDUCTORS_SHORTED:
        return f"{' and '.join(_far(conductors[ref]) for ref in fault.subjects)} shorted"
    if fault.kind in _PHRASES:
        name = fault.subjects[0]
        what = f"conductor {_far(conductors[name])}" if name in conductors else _CONTACTS.get(name, name)
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
        what = f"conductor {conductor_words(conductors[name])}," if wire else _CONTACTS.get(name, name)
        return _PHRASES[fault.kind].format(what).removesuffix(",")
    return _link_words(netlist, fault)


def _far(conductor: Conductor) -> str:
    return f"{conductor.a} to {conductor.b}"


def _link_words(netlist: Netlist, fault: Fault) -> str:
    return _linked(fault, [_point(netlist, name) for name in fault.subjects])


def _linked(fault: Fault, points: Sequence[str]) -> str:
    if not fault.foreign_v:
        return f"join {points[0]} with {points[1]}"
    plus, minus = points if fault.foreign_v > 0 else points[::-1]
    return f"put {abs(fault.foreign_v):g} V, plus on {plus}, minus on {minus}"


def _point(netlist: Netlist, name: str) -> str:
    """A terminal with the colours landed there."""
    colours = [f"{c.colour} of {c.cable}" for c in netlist.conductors if c.cable and name in (str(c.a), str(c.b))]
    return f"{name} ({', '.join(colours)})" if colours else name
