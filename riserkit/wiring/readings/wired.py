"""A circuit that was wired otherwise than meant: how that is said, and what becomes of its messages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.circuits.netlist import Component, Conductor, Netlist
from riserkit.wiring.roles import DeviceRole, ElementRole


def wire_words(conductor: Conductor) -> str:
    """`RD wire of W2, K1.L+ to Y1.+`; of no cable `link K2.V+ to K2.C` at one device, `lead R1.K to Y1.+` between two."""
    if conductor.cable:
        colour = f"{conductor.colour} wire" if conductor.colour else "wire"
        return f"{colour} of {conductor.cable}, {conductor.a} to {conductor.b}"
    kind = "link" if conductor.a.component == conductor.b.component else "lead"
    colour = f"{conductor.colour} " if conductor.colour else ""
    return f"{colour}{kind} {conductor.a} to {conductor.b}"


def in_words(netlist: Netlist, miswiring: Miswiring) -> str:
    """A miswiring as a foreman says it, such as `RD wire of W2, K1.L+ to Y1.+, broken or not connected`."""
    m, by_ref = miswiring, {c.ref: c for c in netlist.conductors}
    named = [by_ref[subject] for subject in m.subjects if subject in by_ref]
    match m.kind:
        case MiswiringKind.OPEN:
            words = f"{wire_words(named[0])}, broken or not connected"
        case MiswiringKind.LEAD_MISSING:
            words = f"{wire_words(named[0])} missing"
        case MiswiringKind.POOR_JOINT:
            words = f"poor joint of {m.r_ohm:g} Ω in {wire_words(named[0])}"
        case MiswiringKind.REVERSED:
            words = f"{m.ends[0].partition('.')[0]} reversed: its leads exchanged at {' and '.join(m.ends)}"
        case MiswiringKind.EXCHANGED:
            words = f"{_exchanged_words(named)} exchanged at {' and '.join(m.ends)}"
        case MiswiringKind.LINK_LEFT_IN:
            words = f"link {' to '.join(m.subjects)} left in"
        case _:
            words = _contact_in_words(netlist, m)
    return words


def _exchanged_words(conductors: Sequence[Conductor]) -> str:
    """`wires of W2 and W3`, `wire of W5 and link K2.V+ to K2.C`: a terminal may have two leads, so each is told by its ends."""
    leads = [wire_words(c) for c in conductors if not c.cable]
    cables = dict.fromkeys(c.cable for c in conductors if c.cable)
    if not leads:
        return f"wires of {' and '.join(cables)}"
    return " and ".join((*(f"wire of {cable}" for cable in cables), *leads))


def _contact_in_words(netlist: Netlist, miswiring: Miswiring) -> str:
    ref, contact = miswiring.subjects[0].partition(".")[0], netlist.element(miswiring.subjects[0])
    if miswiring.kind is MiswiringKind.BYPASSED:
        return f"bypassed at {ref}.{contact.a} {ref}.{contact.b}"
    # a relay that is energised at rest has its contacts the other way round: what is marked counts
    marked = [name for name in ("NC", "NO") if any(end.endswith(name) for end in (contact.a, contact.b))]
    closed = marked[0] == "NC" if marked else contact.normally_closed
    meant, other = ("NC", "NO") if closed else ("NO", "NC")
    return f"{other} used for {meant} at {ref}, {contact.a} to {contact.b}"


def without_message(wrong: Netlist, lost: Sequence[str]) -> Netlist:
    """A module whose link is broken gets no message: its command moves nothing."""
    deaf = {t.partition(".")[0] for t in lost}

    def hearing(component: Component) -> Component:
        if component.ref not in deaf or component.role != DeviceRole.RELAY_MODULE:
            return component
        still = (replace(e, control="") if e.role == ElementRole.MODULE_MESSAGE else e for e in component.elements)
        return replace(component, elements=tuple(still))

    return replace(wrong, components=tuple(map(hearing, wrong.components))) if deaf else wrong


def change_in_words(netlist: Netlist, change: str) -> str:
    """What of a door's behaviour changes, as a foreman says it.

    Args:
        netlist: as meant.
        change: one of `all_changes`.
    """
    what, _, name = change.partition(" ")
    if what == "input":
        return f"what input {netlist.ends(name)[0]} reads"
    said = {
        "lock": f"when lock {name} holds",
        "supply": f"the supply of {name.partition('.')[0]}",
        "suppressor": f"what {name} is across",
        "overload": "a source is overloaded",
        "no": "the circuit has no steady state",
    }
    return said.get(what, change)
