"""A circuit that was wired otherwise than meant: how that is said, and what becomes of its messages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.circuits.netlist import Component, Netlist
from riserkit.wiring.roles import DeviceRole, ElementRole


def in_words(netlist: Netlist, miswiring: Miswiring) -> str:
    """A miswiring as a foreman says it, such as `wire K2.NO to M1.+ not connected`."""
    ends = {c.ref: f"{c.a} to {c.b}" for c in netlist.conductors}
    named = " and ".join(ends.get(s, s) for s in miswiring.subjects)
    match miswiring.kind:
        case MiswiringKind.EXCHANGED | MiswiringKind.REVERSED:
            return f"wires {named} exchanged at {' and '.join(miswiring.ends)}"
        case MiswiringKind.LINK_LEFT_IN:
            return f"link {' to '.join(miswiring.subjects)} left in"
        case MiswiringKind.BYPASSED | MiswiringKind.WRONG_CONTACT:
            ref = miswiring.subjects[0].partition(".")[0]
            contact = netlist.element(miswiring.subjects[0])
            return f"{miswiring.kind} at {ref}.{contact.a} {ref}.{contact.b}"
        case MiswiringKind.POOR_JOINT:
            return f"poor joint of {miswiring.r_ohm:g} Ω in wire {named}"
    return f"wire {named} {miswiring.kind}"


def without_message(wrong: Netlist, lost: Sequence[str]) -> Netlist:
    """A module whose link is broken gets no message: its command moves nothing."""
    deaf = {t.partition(".")[0] for t in lost}

    def hearing(component: Component) -> Component:
        if component.ref not in deaf or component.role != DeviceRole.RELAY_MODULE:
            return component
        still = (replace(e, control="") if e.role == ElementRole.MODULE_MESSAGE else e for e in component.elements)
        return replace(component, elements=tuple(still))

    return replace(wrong, components=tuple(map(hearing, wrong.components)))


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
