"""What can fail in a circuit, and what a stranger can do to the part of it within his reach.

Both change a circuit in the same few ways: a conductor or an element out, a contact stuck, two nodes joined, a
voltage put between two nodes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

import numpy as np

from riserkit.circuits.cases import Effects
from riserkit.circuits.circuit import circuit_of
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.topology import Branch, Topology

R_SHORT_OHM = 0.01
"""Resistance of a short or a join: small against any conductor, and no smaller than a good clip."""

R_FOREIGN_OHM = 0.1
"""Resistance of a foreign source: a battery of the kind one carries (common practice, no source)."""

FOREIGN_V = (12.0, -12.0, 24.0, -24.0)
"""Voltages a stranger brings, either way round."""


class FaultKind(StrEnum):
    """What happened."""

    CONDUCTOR_OPEN = "conductor open"
    CONDUCTORS_SHORTED = "conductors shorted"
    CONDUCTOR_EARTHED = "conductor to earth"
    CONTACT_WELDED = "contact welded"
    CONTACT_OPEN = "contact failed open"
    SUPPLY_DEAD = "supply dead"
    CUT = "cut"
    JOINED = "joined"
    FED = "fed"


_TAKES_OUT = frozenset({FaultKind.CONDUCTOR_OPEN, FaultKind.CUT, FaultKind.CONTACT_OPEN, FaultKind.SUPPLY_DEAD})


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault or one act.

    Args:
        kind: what happened.
        subjects: to what: conductors, contacts or supplies by name; nodes for a join or a feed.
        join: the two nodes connected, if any; a foreign source has its plus at the first.
        foreign_v: voltage of the foreign source, 0 for a plain connection.
    """

    kind: FaultKind
    subjects: tuple[str, ...]
    join: tuple[str, str] | None = None
    foreign_v: float = 0.0

    def __str__(self) -> str:
        """`W2.1 and W2.2: conductors shorted`."""
        volts = f" with {abs(self.foreign_v):g} V" if self.foreign_v else ""
        plus = f", plus at {self.subjects[0 if self.foreign_v > 0.0 else 1]}" if self.foreign_v else ""
        return f"{' and '.join(self.subjects)}: {self.kind}{volts}{plus}"


def single_faults(netlist: Netlist) -> tuple[Fault, ...]:
    """Every single fault of a circuit: conductors, contacts, supplies, in the netlist's order.

    Raises:
        CircuitError: the netlist is ill-posed.
    """
    topology = circuit_of(netlist).topology
    return (
        *(Fault(FaultKind.CONDUCTOR_OPEN, (c.name,)) for c in topology.conductors),
        *_shorts(topology),
        *_earths(topology),
        *(Fault(FaultKind.CONTACT_WELDED, (n,)) for n in _names(topology, ElementKind.CONTACT)),
        *(Fault(FaultKind.CONTACT_OPEN, (n,)) for n in _names(topology, ElementKind.CONTACT)),
        *(Fault(FaultKind.SUPPLY_DEAD, (n,)) for n in _names(topology, ElementKind.SOURCE)),
    )


def _names(topology: Topology, kind: ElementKind) -> tuple[str, ...]:
    return tuple(topology.elements[k].name for k in topology.of_kind(kind))


def _shorts(topology: Topology) -> Iterator[Fault]:
    """Pairs of conductors of one cable, joined at the end they share a component at, or else at their first ends."""
    for one, two in combinations(topology.conductors, 2):
        if one.cable and one.cable == two.cable:
            a, b = _near_ends(topology, one, two)
            yield Fault(FaultKind.CONDUCTORS_SHORTED, (one.name, two.name), (a, b))


def _near_ends(topology: Topology, one: Branch, two: Branch) -> tuple[str, str]:
    nodes = topology.nodes
    for a in (one.a, one.b):
        for b in (two.a, two.b):
            if nodes[a].partition(".")[0] == nodes[b].partition(".")[0]:
                return nodes[a], nodes[b]
    return nodes[one.a], nodes[two.a]


def _earths(topology: Topology) -> Iterator[Fault]:
    reference = topology.nodes[topology.reference]
    for conductor in topology.conductors:
        end = conductor.b if conductor.a == topology.reference else conductor.a
        yield Fault(FaultKind.CONDUCTOR_EARTHED, (conductor.name,), (topology.nodes[end], reference))


def tamper_acts(
    netlist: Netlist, terminals: Iterable[str], conductors: Iterable[str], at_once: int = 2
) -> tuple[tuple[Fault, ...], ...]:
    """Every act, and every two acts together, on what is accessible.

    Points that conductors make one are tried once; a conductor that is cut gives two points, one on either side.

    Args:
        netlist: the circuit.
        terminals: `component.terminal` accessible.
        conductors: designations of conductors accessible; those landed at a terminal accessible count too.
        at_once: 1 or 2 acts at a time.

    Returns:
        Acts alone first, then in pairs.

    Raises:
        UnknownNodeError: no such terminal.
        UnknownControlError: no such conductor, or neither one nor two acts at once.
    """
    if at_once not in {1, 2}:
        raise UnknownControlError("at_once", f"is {at_once}, must be 1 or 2")
    topology = circuit_of(netlist).topology
    points = {topology.node(name) for name in terminals}
    reach = {topology.conductor(ref) for ref in conductors}
    reach |= {k for k, c in enumerate(topology.conductors) if c.a in points or c.b in points}
    points |= {end for k in reach for end in (topology.conductors[k].a, topology.conductors[k].b)}
    cuts = [Fault(FaultKind.CUT, (topology.conductors[k].name,)) for k in sorted(reach)]
    links = _links(topology, _distinct(topology, points, None))
    acts: list[tuple[Fault, ...]] = [(act,) for act in (*cuts, *links)]
    if at_once == 2:
        acts += combinations(cuts, 2)
        for k, cut in zip(sorted(reach), cuts, strict=True):
            acts += [(cut, link) for link in _links(topology, _distinct(topology, points, k))]
        acts += [(one, two) for one, two in combinations(links, 2) if one.join != two.join]
    return tuple(acts)


def _distinct(topology: Topology, points: set[int], cut: int | None) -> list[int]:
    """One point of each set that the conductors left make one."""
    root = list(range(len(topology.nodes)))

    def find(k: int) -> int:
        while root[k] != k:
            k = root[k]
        return k

    for k, conductor in enumerate(topology.conductors):
        if k != cut:
            root[find(conductor.a)] = find(conductor.b)
    first: dict[int, int] = {}
    for point in sorted(points):
        first.setdefault(find(point), point)
    return sorted(first.values())


def _links(topology: Topology, points: Sequence[int]) -> list[Fault]:
    names = [topology.nodes[k] for k in points]
    links = []
    for pair in combinations(names, 2):
        links.append(Fault(FaultKind.JOINED, pair, pair))
        links += [Fault(FaultKind.FED, pair, pair, volt) for volt in FOREIGN_V]
    return links


def effects_of(topology: Topology, faults: Sequence[Fault]) -> tuple[Topology, Effects]:
    """Spell out faults as tables for the solver; row 0 of each does nothing, row k + 1 is fault k.

    Returns:
        The structure with a place for every join that occurs, and the tables.

    Raises:
        UnknownControlError, UnknownNodeError: a fault names something that this structure has not.
    """
    pairs: dict[tuple[int, int], int] = {}
    for fault in faults:
        if fault.join is not None:
            a, b = (topology.node(name) for name in fault.join)
            pairs.setdefault((min(a, b), max(a, b)), len(pairs))
    count, n_elements = len(faults) + 1, len(topology.elements)
    off = np.zeros((count, n_elements + len(topology.conductors)), dtype=np.bool_)
    on = np.zeros((count, n_elements), dtype=np.bool_)
    join_g, join_a = np.zeros((count, len(pairs))), np.zeros((count, len(pairs)))
    for row, fault in enumerate(faults, start=1):
        if fault.kind in _TAKES_OUT:
            off[row, _branch(topology, fault)] = True
        elif fault.kind is FaultKind.CONTACT_WELDED:
            on[row, topology.element(fault.subjects[0])] = True
        elif fault.join is not None:
            a, b = (topology.node(name) for name in fault.join)
            place = pairs[min(a, b), max(a, b)]
            g = 1.0 / (R_FOREIGN_OHM if fault.foreign_v else R_SHORT_OHM)
            join_g[row, place] = g
            join_a[row, place] = (-fault.foreign_v if a < b else fault.foreign_v) * g
    fed = [node for fault in faults if fault.foreign_v and fault.join for node in map(topology.node, fault.join)]
    return topology.with_joins(pairs, fed), Effects(off, on, join_g, join_a)


def _branch(topology: Topology, fault: Fault) -> int:
    name = fault.subjects[0]
    if fault.kind in {FaultKind.CONDUCTOR_OPEN, FaultKind.CUT}:
        return len(topology.elements) + topology.conductor(name)
    return topology.element(name)
