"""The netlist that a single fault leaves: for whoever measures at it, as at a circuit that was wired so."""

from __future__ import annotations

from dataclasses import replace

from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.faults import R_SHORT_OHM, Fault, FaultKind
from riserkit.circuits.miswirings import with_link
from riserkit.circuits.netlist import Element, Netlist


def faulted(netlist: Netlist, fault: Fault) -> Netlist:
    """The netlist with a fault in it.

    Raises:
        UnknownControlError: the fault names something that the netlist has not, or is no single fault of a circuit.
    """
    match fault.kind:
        case FaultKind.CONDUCTOR_OPEN:
            kept = tuple(c for c in netlist.conductors if c.ref not in fault.subjects)
            if len(kept) == len(netlist.conductors):
                raise UnknownControlError(fault.subjects[0], "no such conductor")
            return replace(netlist, conductors=kept)
        case FaultKind.CONDUCTORS_SHORTED | FaultKind.CONDUCTOR_EARTHED if fault.join is not None:
            return with_link(netlist, *fault.join, R_SHORT_OHM)
        case FaultKind.CONTACT_WELDED:
            return _with_element(netlist, fault.subjects[0], closed=True)
        case FaultKind.CONTACT_OPEN:
            return _with_element(netlist, fault.subjects[0], closed=False)
        case FaultKind.SUPPLY_DEAD:
            return _with_element(netlist, fault.subjects[0], closed=None)
    raise UnknownControlError(fault.subjects[0], f"{fault.kind} is no single fault of a circuit")


def _with_element(netlist: Netlist, name: str, *, closed: bool | None) -> Netlist:
    """The netlist with a contact that never moves, or without an element."""
    element, ref = netlist.element(name), name.partition(".")[0]

    def changed(each: Element) -> tuple[Element, ...]:
        if each is not element:
            return (each,)
        return () if closed is None else (replace(each, control="", normally_closed=closed),)

    components = tuple(
        replace(c, elements=tuple(e for each in c.elements for e in changed(each))) if c.ref == ref else c
        for c in netlist.components
    )
    return replace(netlist, components=components)
