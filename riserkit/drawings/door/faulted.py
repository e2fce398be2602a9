"""What of a counterexample stands out in the wiring: words at the conductors at fault, devices, the way of the current."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType
from typing import Final

from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Conductor, Netlist
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.drawings.wiring.marks import FaultSign, Marks
from riserkit.proofs.values import TAMPER, Counterexample, Property
from riserkit.wiring.roles import DeviceRole, StateRole

ACTS: Final = frozenset({FaultKind.CUT, FaultKind.JOINED, FaultKind.FED})
_DEVICE: Final = frozenset({FaultKind.CONTACT_WELDED, FaultKind.CONTACT_OPEN, FaultKind.SUPPLY_DEAD})
_BROKEN: Final = MappingProxyType({FaultKind.CONDUCTOR_OPEN: "OPEN HERE", FaultKind.CUT: "CUT HERE"})


def from_outside(one: Property) -> bool:
    """Whether the case is an act from the unsecured side rather than something that fails."""
    return one.name == TAMPER


def marks_of(netlist: Netlist, one: Property, example: Counterexample) -> Marks:
    """What of a case stands out in the wiring."""
    signs: dict[str, FaultSign] = {}
    for fault in example.faults:
        for ref, sign in _signs(netlist, example, fault):
            signs.setdefault(ref, sign)
    if from_outside(one) and any(example.state.get(name) for name in netlist.states(StateRole.NETWORK_POWER_LOST)):
        ports = {c.ref for c in netlist.devices(DeviceRole.NETWORK_PORT)}
        signs |= {c.ref: FaultSign("UNPLUGGED", True) for c in netlist.conductors if ports & set(_components(c))}
    devices = frozenset(f.subjects[0].partition(".")[0] for f in example.faults if f.kind in _DEVICE)
    return Marks(MappingProxyType(signs), frozenset(example.path), frozenset(example.backward), devices)


def _signs(netlist: Netlist, example: Counterexample, fault: Fault) -> Iterator[tuple[str, FaultSign]]:
    if fault.kind in _BROKEN:
        yield fault.subjects[0], FaultSign(_BROKEN[fault.kind], True)
    elif fault.kind is FaultKind.CONDUCTOR_EARTHED:
        yield fault.subjects[0], FaultSign("EARTHED HERE")
    elif fault.kind is FaultKind.CONDUCTORS_SHORTED:
        one, two = fault.subjects
        yield one, FaultSign(f"SHORTED TO {two}")
        yield two, FaultSign(f"SHORTED TO {one}")
    elif fault.kind in ACTS:
        one, two = fault.subjects
        for point, other in ((one, two), (two, one)):
            yield from _at_point(netlist, example, point, _point_word(fault, point, other))


def _point_word(fault: Fault, point: str, other: str) -> str:
    if not fault.foreign_v:
        return f"JOINED TO {other.replace('.', ' ')}"
    plus = (point == fault.subjects[0]) == (fault.foreign_v > 0)
    return f"{'PLUS' if plus else 'MINUS'} OF {abs(fault.foreign_v):g} V FED HERE"


def _at_point(netlist: Netlist, example: Counterexample, point: str, word: str) -> Iterator[tuple[str, FaultSign]]:
    """The sign at one conductor of those landed on a point; at one that carries the lock's current if any does."""
    landed = [c for c in netlist.conductors if point in (str(c.a), str(c.b))]
    landed.sort(key=lambda c: c.ref not in example.path)
    yield from ((c.ref, FaultSign(word, near="a" if point == str(c.a) else "b")) for c in landed[:1])


def _components(conductor: Conductor) -> tuple[str, str]:
    return conductor.a.component, conductor.b.component


def marked_table(netlist: Netlist, one: Property, example: Counterexample) -> Table:
    """Conductors at fault or handled, then those of the current in its order; acts say where each is accessible."""
    conductors = {c.ref: c for c in netlist.conductors}
    signs = marks_of(netlist, one, example).faulted
    told = list(dict.fromkeys((*signs, *example.affected)))
    order = {ref: k for k, ref in enumerate(example.path, start=1)}
    rows = []
    for ref in (*told, *(r for r in example.path if r not in told)):
        c = conductors[ref]
        start, end = (c.b, c.a) if ref in example.backward else (c.a, c.b)
        words = [signs[ref].word] if ref in signs else ["handled with it"] if ref in told else []
        words += [f"current, {order[ref]}"] if ref in order else []
        reach = (_reach(netlist, c),) if from_outside(one) else ()
        rows.append((ref, f"{start.component} {start.terminal}", f"{end.component} {end.terminal}", c.cable or "lead",
                     c.colour, *reach, "; ".join(words)))  # fmt: skip
    names = ["No.", "From", "To", "Cable", "Colour", *(["Accessible"] if from_outside(one) else []), "Marked"]
    return Table("Marked conductors", columns_of(names), tuple(rows))


def _reach(netlist: Netlist, conductor: Conductor) -> str:
    """Where a conductor is accessible from the unsecured side; a dash where it is not."""
    exposed = [ref for ref in _components(conductor) if netlist.component(ref).exposed]
    if exposed:
        return f"behind {exposed[0]}"
    cables = {c.ref for c in netlist.cables if c.exposed}
    return f"along {conductor.cable}" if conductor.cable in cables else "-"
