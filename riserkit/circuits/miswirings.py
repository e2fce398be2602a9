"""What goes wrong where wires are landed: each miswiring makes another netlist of the one that was meant.

It knows conductors, terminals, contacts and links, and nothing of what the circuit is for. What a miswired circuit does, and
which measurement shows it, is asked of the netlist made here like of any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations
from math import isfinite

from riserkit.circuits.errors import CircuitValueError, UnknownControlError
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist

LINK_OHM = 0.01
"""Resistance of a link, a jumper or two wires under one screw (common practice, no source)."""

LINK = "link"
"""Designation of the conductor that a bypass or a link left in adds; a number follows where it is taken."""


class MiswiringKind(StrEnum):
    """What was done wrong."""

    OPEN = "not connected"
    LEAD_MISSING = "lead missing"
    EXCHANGED = "exchanged"
    REVERSED = "reversed"
    WRONG_CONTACT = "wrong contact"
    BYPASSED = "bypassed"
    LINK_LEFT_IN = "link left in"
    POOR_JOINT = "poor joint"


@dataclass(frozen=True, slots=True)
class Miswiring:
    """One miswiring.

    Args:
        kind: what was done.
        subjects: to what. Of conductors their designations: one for `OPEN`, `LEAD_MISSING` and `POOR_JOINT`, two for
            `EXCHANGED` and `REVERSED`. Of contacts `component.element`. Of a link its two terminals.
        ends: for an exchange, the terminals at which the two conductors are meant to land, `component.terminal`, in the
            order of `subjects`; each is at the other's.
        r_ohm: for a poor joint, what it adds to its conductor's resistance; 0 or more.
    """

    kind: MiswiringKind
    subjects: tuple[str, ...]
    ends: tuple[str, ...] = ()
    r_ohm: float = 0.0


def single_miswirings(netlist: Netlist, links: Iterable[tuple[str, str]] = ()) -> tuple[Miswiring, ...]:
    """Every single miswiring of a circuit but poor joints, which are as many as there are resistances.

    Args:
        netlist: the circuit as meant.
        links: pairs of terminals, `component.terminal`, that a device is delivered with a link between. Where the circuit
            has that link, it may be missing; where it has not, it may have been left in.
    """
    return (
        *_opens(netlist),
        *_exchanges(netlist),
        *_contacts(netlist, MiswiringKind.WRONG_CONTACT),
        *_contacts(netlist, MiswiringKind.BYPASSED),
        *(Miswiring(MiswiringKind.LINK_LEFT_IN, pair) for pair in links if not _linked(netlist, pair)),
    )


def miswired(netlist: Netlist, miswiring: Miswiring) -> Netlist:
    """The netlist as it was wired.

    Raises:
        UnknownControlError: the miswiring names a conductor, contact or terminal that the netlist has not.
        CircuitValueError: a poor joint of no or of a negative resistance.
    """
    match miswiring.kind:
        case MiswiringKind.OPEN | MiswiringKind.LEAD_MISSING:
            gone = _conductor(netlist, miswiring.subjects[0])
            return replace(netlist, conductors=tuple(c for c in netlist.conductors if c is not gone))
        case MiswiringKind.EXCHANGED | MiswiringKind.REVERSED:
            return _exchanged(netlist, miswiring)
        case MiswiringKind.WRONG_CONTACT:
            return _on_wrong_contact(netlist, miswiring.subjects[0])
        case MiswiringKind.BYPASSED:
            return with_link(netlist, *_ends(netlist, miswiring.subjects[0]))
        case MiswiringKind.LINK_LEFT_IN:
            one, two = miswiring.subjects
            return with_link(netlist, one, two)
        case MiswiringKind.POOR_JOINT:
            return _with_joint(netlist, miswiring)


def with_link(netlist: Netlist, a: str, b: str, r_ohm: float = LINK_OHM) -> Netlist:
    """The netlist with a link between two terminals, `component.terminal`.

    Raises:
        UnknownControlError: there is no such terminal.
    """
    ends = [_landing(netlist, name) for name in (a, b)]
    taken = {c.ref for c in netlist.conductors}
    ref = next(name for name in (LINK, *(f"{LINK}{n}" for n in range(2, len(taken) + 3))) if name not in taken)
    link = Conductor(ref, ends[0], ends[1], "", "", r_ohm, note=LINK)
    return replace(netlist, conductors=(*netlist.conductors, link))


def _opens(netlist: Netlist) -> Iterator[Miswiring]:
    for c in netlist.conductors:
        yield Miswiring(MiswiringKind.OPEN if c.cable else MiswiringKind.LEAD_MISSING, (c.ref,))


def _exchanges(netlist: Netlist) -> Iterator[Miswiring]:
    """Two conductors that land on different terminals of one component, in each other's place there."""
    for component in netlist.components:
        landed = [(c, end) for c in netlist.conductors for end in (c.a, c.b) if end.component == component.ref]
        kind = MiswiringKind.REVERSED if _polar(component) else MiswiringKind.EXCHANGED
        for (one, here), (two, there) in combinations(landed, 2):
            if one is not two and here != there:
                yield Miswiring(kind, (one.ref, two.ref), (str(here), str(there)))


def _polar(component: Component) -> bool:
    """Nothing but a diode."""
    return len(component.elements) == 1 and component.elements[0].kind is ElementKind.DIODE


def _contacts(netlist: Netlist, kind: MiswiringKind) -> Iterator[Miswiring]:
    """Contacts that have a conductor at both ends."""
    landed = {str(end) for c in netlist.conductors for end in (c.a, c.b)}
    for component in netlist.components:
        for element in component.elements:
            ends = {f"{component.ref}.{element.a}", f"{component.ref}.{element.b}"}
            if element.kind is ElementKind.CONTACT and ends <= landed:
                yield Miswiring(kind, (f"{component.ref}.{element.name}",))


def _linked(netlist: Netlist, pair: tuple[str, str]) -> bool:
    return any({str(c.a), str(c.b)} == set(pair) for c in netlist.conductors)


def _exchanged(netlist: Netlist, miswiring: Miswiring) -> Netlist:
    one, two = (_conductor(netlist, ref) for ref in miswiring.subjects)
    here, there = (_end_at(c, end) for c, end in zip((one, two), miswiring.ends, strict=True))
    swapped = {one.ref: _moved(one, here, there), two.ref: _moved(two, there, here)}
    return replace(netlist, conductors=tuple(swapped.get(c.ref, c) for c in netlist.conductors))


def _end_at(conductor: Conductor, terminal: str) -> Landing:
    for end in (conductor.a, conductor.b):
        if str(end) == terminal:
            return end
    raise UnknownControlError(conductor.ref, f"lands at {conductor.a} and {conductor.b}, not at {terminal}")


def _moved(conductor: Conductor, old: Landing, new: Landing) -> Conductor:
    return replace(conductor, a=new) if conductor.a == old else replace(conductor, b=new)


def _on_wrong_contact(netlist: Netlist, name: str) -> Netlist:
    """Its conductors on the other contact of the pair.

    Devices have their contacts in pairs, one that opens and one that closes, though a netlist may name only the one that is
    used; then the other takes its place.
    """
    component, element = _element(netlist, name)
    for other in component.elements:
        common = {element.a, element.b} & {other.a, other.b}
        pair = other.kind is ElementKind.CONTACT and other.control == element.control
        if pair and other.normally_closed != element.normally_closed and len(common) == 1:
            (ours,), (theirs,) = {element.a, element.b} - common, {other.a, other.b} - common
            old, new = Landing(component.ref, ours), Landing(component.ref, theirs)
            moved = tuple(_moved(c, old, new) if old in (c.a, c.b) else c for c in netlist.conductors)
            return replace(netlist, conductors=moved)
    flipped = replace(element, normally_closed=not element.normally_closed)
    elements = tuple(flipped if e is element else e for e in component.elements)
    changed = replace(component, elements=elements)
    return replace(netlist, components=tuple(changed if c is component else c for c in netlist.components))


def _with_joint(netlist: Netlist, miswiring: Miswiring) -> Netlist:
    if not (isfinite(miswiring.r_ohm) and miswiring.r_ohm > 0.0):
        raise CircuitValueError(miswiring.subjects[0], f"a poor joint of {miswiring.r_ohm:g} Ω; state more than 0")
    poor = _conductor(netlist, miswiring.subjects[0])
    worse = replace(poor, r20_ohm=poor.r20_ohm + miswiring.r_ohm)
    return replace(netlist, conductors=tuple(worse if c is poor else c for c in netlist.conductors))


def _conductor(netlist: Netlist, ref: str) -> Conductor:
    for conductor in netlist.conductors:
        if conductor.ref == ref:
            return conductor
    raise UnknownControlError(ref, "no such conductor")


def _element(netlist: Netlist, name: str) -> tuple[Component, Element]:
    ref, _, own = name.partition(".")
    for component in netlist.components:
        for element in component.elements if component.ref == ref else ():
            if element.name == own:
                return component, element
    raise UnknownControlError(name, "no such element")


def _ends(netlist: Netlist, name: str) -> tuple[str, str]:
    component, element = _element(netlist, name)
    return f"{component.ref}.{element.a}", f"{component.ref}.{element.b}"


def _landing(netlist: Netlist, name: str) -> Landing:
    ref, _, terminal = name.partition(".")
    if any(c.ref == ref and any(t.name == terminal for t in c.terminals) for c in netlist.components):
        return Landing(ref, terminal)
    raise UnknownControlError(name, "no such terminal")
