"""Faults that show where wires are landed: whoever holds the landing list beside a device sees them without a meter.

What is seen is which wire is in which terminal, whether one is missing, and whether there is a link that the list does not have. A
cable is labelled at both ends and its wires differ in colour, so an exchange shows; the leads of a device are seen from end to end.
A wire that is open may be off its terminal, or broken where nobody sees it. A poor joint, a short in a cable and a dead part do
not show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.circuits.errors import CircuitError
from riserkit.circuits.miswirings import Miswiring, MiswiringKind, miswired
from riserkit.circuits.netlist import Conductor, ElementKind, Netlist
from riserkit.troubleshooting.changes import Touching, Way, Wired

_NAMED_CONTACTS: Final = ("NO", "NC")


@dataclass(frozen=True, slots=True)
class OtherLandings:
    """Terminals, `component.terminal`, at which a fault has wires otherwise than listed.

    Args:
        surely: whoever looks there sees it.
        perhaps: he may see it or not.
    """

    surely: frozenset[str] = frozenset()
    perhaps: frozenset[str] = frozenset()

    def at(self, place: str) -> tuple[frozenset[str], frozenset[str]]:
        """Those of a device or of one terminal: for sure, and for sure or perhaps."""
        here, may = (
            frozenset(name for name in names if place in (name, name.partition(".")[0]))
            for names in (self.surely, self.surely | self.perhaps)
        )
        return here, may


def landing_places(netlist: Netlist) -> dict[str, tuple[str, ...]]:
    """Devices at which wires are landed, each with all its terminals: a wire may be in one that should have none."""
    landed = {end.component for c in netlist.conductors for end in (c.a, c.b)}
    return {c.ref: tuple(f"{c.ref}.{t.name}" for t in c.terminals) for c in netlist.components if c.ref in landed}


def other_landings(netlist: Netlist, way: Way) -> OtherLandings:
    """Where faults show that are there together.

    Args:
        netlist: the door's, as designed.
        way: its faults.
    """
    surely, perhaps = set[str](), set[str]()
    for change in way:
        if isinstance(change, Wired):
            sure, may = _wired_otherwise(netlist, change.miswiring)
            surely |= sure
            perhaps |= may
        elif isinstance(change, Touching) and _is_contact(netlist, change.a, change.b):
            perhaps |= {change.a, change.b}  # it sticks, or a link bypasses it
    return OtherLandings(frozenset(surely), frozenset(perhaps - surely))


def landing_words(shown: OtherLandings) -> str:
    """What whoever holds the landing list beside the door sees of a fault.

    Examples:
        >>> landing_words(OtherLandings(frozenset({"K1.C", "K1.NO"})))
        'Without a meter: the wires at K1.C, K1.NO are not as listed.'
        >>> landing_words(OtherLandings(perhaps=frozenset({"B1.1", "B1.2"})))
        'Without a meter: a wire off its terminal or a link may be seen at B1.1, B1.2, or nothing.'
        >>> landing_words(OtherLandings())
        'Without a meter: nothing; every wire is where the landing list has it.'
    """
    if shown.surely:
        return f"Without a meter: the wires at {', '.join(sorted(shown.surely))} are not as listed."
    if shown.perhaps:
        return f"Without a meter: a wire off its terminal or a link may be seen at {', '.join(sorted(shown.perhaps))}, or nothing."
    return "Without a meter: nothing; every wire is where the landing list has it."


def _wired_otherwise(netlist: Netlist, m: Miswiring) -> tuple[set[str], set[str]]:
    """Terminals where it surely shows, and where perhaps."""
    named = [c for c in netlist.conductors if c.ref in m.subjects]
    surely, perhaps = set[str](), set[str]()
    match m.kind:
        case MiswiringKind.OPEN:
            perhaps = _ends(named[0])
        case MiswiringKind.LEAD_MISSING:
            surely = _ends(named[0])
        case MiswiringKind.EXCHANGED | MiswiringKind.REVERSED:
            alike = named[0].cable and len({(c.cable, c.colour) for c in named}) == 1
            surely, perhaps = (set(), set(m.ends)) if alike else (set(m.ends), set())
            if m.kind is MiswiringKind.REVERSED:  # its leads may be followed from where they are landed
                perhaps |= set().union(*map(_ends, named)) - surely
        case MiswiringKind.LINK_LEFT_IN:
            surely = set(m.subjects)
        case MiswiringKind.WRONG_CONTACT:
            surely, perhaps = _on_wrong_contact(netlist, m)
    return surely, perhaps


def _on_wrong_contact(netlist: Netlist, m: Miswiring) -> tuple[set[str], set[str]]:
    try:
        wrong = {c.ref: c for c in miswired(netlist, m).conductors}
    except CircuitError:
        return set(), set()
    if moved := {end for c in netlist.conductors if wrong[c.ref] != c for end in _ends(c) ^ _ends(wrong[c.ref])}:
        return moved, set()
    # A netlist without the other contact has no terminal for it. Where its own are marked NO and NC it shows at them; else it
    # may be a device of the other kind, which nobody sees.
    ref, element = m.subjects[0].partition(".")[0], netlist.element(m.subjects[0])
    ends = {f"{ref}.{end}" for end in (element.a, element.b)}
    named = {f"{ref}.{end}" for end in (element.a, element.b) if end.upper().endswith(_NAMED_CONTACTS)}
    return named, ends - named


def _ends(conductor: Conductor) -> set[str]:
    return {str(conductor.a), str(conductor.b)}


def _is_contact(netlist: Netlist, a: str, b: str) -> bool:
    """Whether a contact has these terminals, where a link may be."""
    ref = a.partition(".")[0]
    if "._" in a or "._" in b:
        return False
    return any(
        e.kind is ElementKind.CONTACT and {f"{ref}.{e.a}", f"{ref}.{e.b}"} == {a, b}
        for c in netlist.components
        if c.ref == ref
        for e in c.elements
    )
