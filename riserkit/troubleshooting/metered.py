"""What a real meter shows at a solved circuit: its own resistance joins what no current joins, and draws a little.

Parts of a circuit that no current joins drift apart until something between them conducts: a meter across a broken wire shows
the supply where a load is beyond the break, and nothing where nothing is. How much of a voltage the meter leaves is worked out
once for all cases in which the same branches conduct.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from riserkit.circuits.cases import Cases
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.segments import V_RAMP_V
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import I_LEANING_A
from riserkit.circuits.topology import Topology
from riserkit.circuits.values import R_FLOOR_OHM
from riserkit.wiring.readings.meter import Measurement

METER_OHM: Final = 10e6
"""Input resistance on volts DC of a handheld digital meter (common practice, no source)."""

_FIRM_OHM: Final = 1100.0
"""What is joined by less is one to a meter: it leaves all but 0.01 %."""
_BENT: Final = (ElementKind.DIODE, ElementKind.SUPPRESSOR, ElementKind.CURRENT_LOAD)


@dataclass(frozen=True, slots=True)
class MeterPattern:
    """One pattern of branches that conduct.

    Attributes:
        part: part of the circuit that each terminal is in, shape (terminals,): joined by what conducts well.
        share: what the meter leaves of the voltage between two parts, shape (parts, parts); 0 where no current joins them.
    """

    part: IntArray
    share: FloatArray


Drift = dict[tuple[int, int], float]
"""By two parts that no current joins: how far the first may rise above the second, from where the solver has them, before
something between conducts; without an entry, as far as it likes. In volts."""


def reading_v(pattern: MeterPattern, drift: Drift, plus: int, minus: int, v: FloatArray) -> float:
    """What a meter shows between two terminals, by place, with voltages as solved.

    Examples:
        >>> apart = MeterPattern(np.array([0, 1]), np.eye(2))
        >>> reading_v(apart, {}, 0, 1, np.array([12.0, 0.0]))
        0.0
        >>> reading_v(apart, {(1, 0): 2.0}, 0, 1, np.array([12.0, 0.0]))
        10.0
    """
    a, b = int(pattern.part[plus]), int(pattern.part[minus])
    across = float(v[plus] - v[minus])
    if share := float(pattern.share[a, b]):
        return across * share
    # the parts drift by what would make the meter show nothing, as far as they can
    return across + min(max(-across, -drift.get((b, a), np.inf)), drift.get((a, b), np.inf)) + 0.0


@dataclass(frozen=True)
class Patterns:
    """All patterns met so far, for one set of terminals."""

    terminals: tuple[str, ...]
    found: list[MeterPattern] = field(default_factory=list)
    drifts: list[Drift] = field(default_factory=lambda: [{}])
    _place: dict[bytes, int] = field(default_factory=dict)
    _drift_place: dict[tuple[object, ...], int] = field(default_factory=lambda: {(): 0})

    def rows(self, circuit: Circuit, cases: Cases, solution: Solution) -> tuple[IntArray, IntArray]:
        """The pattern of each case, and its drifts, both of shape (cases,)."""
        topology = circuit.topology
        g = conductances(circuit, cases, solution)
        firm = g > 1.0 / _FIRM_OHM
        part, joined = parts_of(topology, firm), parts_of(topology, g > 0.0)
        lines = _lines(topology, np.where(firm, 0.0, g), part)
        idle = _idle(circuit, cases, solution, joined)
        nodes = [topology.node(name) for name in self.terminals]
        bridged = [
            n
            for k in np.flatnonzero(idle.any(axis=1)).tolist()
            for n in (topology.elements[k].a, topology.elements[k].b)
        ]
        wanted = [*nodes, *bridged]
        told = np.concatenate(
            [part[wanted].astype(np.uint8), joined[wanted].astype(np.uint8), np.packbits(idle, axis=0), *lines.told]
        )
        rows = np.ascontiguousarray(told.T)
        _, first, place = np.unique(rows.view(f"V{rows.shape[1]}").ravel(), return_index=True, return_inverse=True)
        in_order = np.argsort(place.ravel(), kind="stable")
        pattern, drift = np.zeros(solution.count, dtype=np.int64), np.zeros(solution.count, dtype=np.int64)
        for k, here in zip(first, np.split(in_order, np.cumsum(np.bincount(place.ravel()))[:-1]), strict=True):
            whole = _Whole(part[:, k], joined[:, k], nodes, lines.of(k))
            pattern[here] = self._keep(whole.pattern())
            bridges = np.flatnonzero(idle[:, k]).tolist()
            if bridges:
                drift[here] = self._drift_rows(circuit, cases, solution, joined[:, k], whole, bridges, here)
        return pattern, drift

    def _keep(self, pattern: MeterPattern) -> int:
        key = pattern.part.tobytes() + np.round(pattern.share, 6).tobytes()
        if key not in self._place:
            self._place[key] = len(self.found)
            self.found.append(pattern)
        return self._place[key]

    def _drift_rows(
        self, circuit: Circuit, cases: Cases, solution: Solution, joined: IntArray, whole: _Whole, bridges: list[int],
        here: IntArray,
    ) -> IntArray:  # fmt: skip
        """How far the islands may drift, every island by the part of its first terminal."""
        topology = circuit.topology
        island = {int(n): k for k, n in enumerate(dict.fromkeys(joined.tolist()))}
        room = np.full((len(island), len(island), len(here)), np.inf)
        for e in bridges:
            branch = topology.elements[e]
            a, b = island[int(joined[branch.a])], island[int(joined[branch.b])]
            across = solution.v[branch.a, here] - solution.v[branch.b, here]
            most = circuit.params[branch.offset, cases.column[here]]
            if branch.kind is ElementKind.CURRENT_LOAD:
                most = np.zeros(len(here))
            room[a, b] = np.minimum(room[a, b], most - across)
            if branch.kind is ElementKind.SUPPRESSOR:
                room[b, a] = np.minimum(room[b, a], most + across)
        for via in range(len(island)):
            if np.isfinite(room[:, via]).any() and np.isfinite(room[via]).any():
                room = np.minimum(room, room[:, via : via + 1] + room[via : via + 1])
        of_part = [island[int(joined[n])] for n in whole.first]
        found = np.round(room[np.ix_(of_part, of_part)], 4)
        apart = np.not_equal.outer(of_part, of_part)
        return np.array([self._keep_drift(found[:, :, k], apart) for k in range(len(here))])

    def _keep_drift(self, room: FloatArray, apart: BoolArray) -> int:
        drift = {(int(a), int(b)): float(room[a, b]) for a, b in np.argwhere(apart & np.isfinite(room))}
        key = tuple(drift.items())
        if key not in self._drift_place:
            self._drift_place[key] = len(self.drifts)
            self.drifts.append(drift)
        return self._drift_place[key]


@dataclass(frozen=True, slots=True)
class _WeakLines:
    """Conductances between parts that are not firm: ends and siemens, shape (lines, cases) each; 0 where they are one part."""

    a: IntArray
    b: IntArray
    g: FloatArray

    @property
    def told(self) -> tuple[np.ndarray, ...]:
        """All of it as bytes, a column a case."""
        some = np.ascontiguousarray(self.g.astype(np.float32).T).view(np.uint8).reshape(self.g.shape[1], -1).T
        return self.a.astype(np.uint8), self.b.astype(np.uint8), some

    def of(self, case: int) -> list[tuple[int, int, float]]:
        """Those of one case that are there."""
        found = zip(self.a[:, case].tolist(), self.b[:, case].tolist(), self.g[:, case].tolist(), strict=True)
        return [line for line in found if line[2]]


def _lines(topology: Topology, weak: FloatArray, part: IntArray) -> _WeakLines:
    some = np.flatnonzero(weak.any(axis=1)).tolist()
    ends = ([topology.branches[k].a for k in some], [topology.branches[k].b for k in some])
    a, b = part[ends[0]], part[ends[1]]
    g = np.where(a != b, weak[some], 0.0)
    return _WeakLines(np.where(g > 0.0, a, 0), np.where(g > 0.0, b, 0), g)


def conductances(circuit: Circuit, cases: Cases, solution: Solution) -> FloatArray:
    """Conductance of each element and conductor about its working point, in siemens, shape (branches, cases)."""
    topology, column = circuit.topology, cases.column
    g = np.zeros((len(topology.elements) + len(topology.conductors), solution.count))
    for k, branch in enumerate(topology.elements):
        p = circuit.params[branch.offset : branch.offset + 5, column]
        on, a = solution.gate[k], solution.a[k]
        flows = on & (np.abs(a) > I_LEANING_A)
        match branch.kind:
            case ElementKind.SOURCE:
                free = ~(np.isfinite(p[4]) & (-a >= p[4] * (1.0 - 1e-9)))
                g[k] = np.where(on & free, 1.0 / np.maximum(p[3], R_FLOOR_OHM), 0.0)
            case ElementKind.DIODE | ElementKind.SUPPRESSOR:
                g[k] = np.where(flows, 1.0 / np.maximum(p[1], R_FLOOR_OHM), 0.0)
            case ElementKind.CURRENT_LOAD:
                ramp_v = np.maximum(p[1], V_RAMP_V)
                across = solution.v[branch.a] - solution.v[branch.b]
                g[k] = np.where(flows & (across < ramp_v), p[0] / ramp_v, 0.0)
            case ElementKind.POWER_LOAD:
                pass  # what it takes hardly changes with what a meter draws
            case _:
                g[k] = np.where(on, 1.0 / np.maximum(p[0], R_FLOOR_OHM), 0.0)
    for k, branch in enumerate(topology.conductors, start=len(topology.elements)):
        g[k] = 1.0 / np.maximum(circuit.params[branch.offset, column], R_FLOOR_OHM)
    return g


def _idle(circuit: Circuit, cases: Cases, solution: Solution, joined: IntArray) -> BoolArray:
    """Elements between islands that pass nothing now and would at another voltage, shape (elements, cases)."""
    idle = np.zeros((len(circuit.topology.elements), solution.count), dtype=np.bool_)
    for k, branch in enumerate(circuit.topology.elements):
        if branch.kind in _BENT:
            able = circuit.params[branch.offset, cases.column] > 0.0
            idle[k] = solution.gate[k] & able & (np.abs(solution.a[k]) <= I_LEANING_A)
            idle[k] &= joined[branch.a] != joined[branch.b]
    return idle


@dataclass(frozen=True)
class Joined:
    """What current joins in solved cases: between two parts that nothing joins a meter shows nothing.

    Attributes:
        island: part that each node is in, shape (nodes, cases).
        bridged: something between two parts may conduct once a meter ties them, shape (cases,).
    """

    topology: Topology
    island: IntArray
    bridged: BoolArray

    @classmethod
    def of(cls, circuit: Circuit, cases: Cases, solution: Solution) -> Joined:
        """Of the cases of a solution."""
        topology = circuit.topology
        island = parts_of(topology, conductances(circuit, cases, solution) > 0.0)
        bridged = np.logical_or.reduce(_idle(circuit, cases, solution, island), axis=0)
        for k in topology.of_kind(ElementKind.POWER_LOAD):
            branch = topology.elements[k]
            bridged |= (circuit.params[branch.offset, cases.column] > 0.0) & (island[branch.a] != island[branch.b])
        return cls(topology, island, bridged)

    def range_v(self, asked: Sequence[Measurement], cases: slice, volts: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest voltage that a meter may show where so much is solved; all of shape (readings, cases)."""
        node = self.topology.node
        a, b = [node(one.plus) for one in asked], [node(one.minus) for one in asked]
        apart = self.island[a, cases] != self.island[b, cases]
        apart[[k for k, one in enumerate(asked) if one.less]] = False
        loose = apart & self.bridged[cases]
        low, high = (np.where(loose, end(volts, 0.0), np.where(apart, 0.0, volts)) for end in (np.minimum, np.maximum))
        return low, high


def parts_of(topology: Topology, firm: BoolArray) -> IntArray:
    """The part that each node is in, by its first node, shape (nodes, cases).

    Many cases have the same branches that conduct: the parts of each such pattern are worked out once.
    """
    told = np.ascontiguousarray(np.packbits(firm, axis=0).T)
    _, first, pattern = np.unique(told.view(f"V{told.shape[1]}").ravel(), return_index=True, return_inverse=True)
    return _parts_of(topology, firm[:, first])[:, pattern]


def _parts_of(topology: Topology, firm: BoolArray) -> IntArray:
    """What conducts in all cases is joined once; the parts are then put together by what conducts in some."""
    branches = topology.branches
    always = firm.all(axis=1)
    whole = _joined_up(len(topology.nodes), [(branches[k].a, branches[k].b) for k in np.flatnonzero(always).tolist()])
    part = np.repeat(whole[:, None], firm.shape[1], axis=1)
    some = [
        k for k in np.flatnonzero(firm.any(axis=1) & ~always).tolist() if whole[branches[k].a] != whole[branches[k].b]
    ]
    lines = [(whole[branches[k].a], whole[branches[k].b], np.flatnonzero(firm[k])) for k in some]
    while lines:
        before = part.copy()
        for a, b, cases in lines:
            part[a, cases] = part[b, cases] = np.minimum(part[a, cases], part[b, cases])
        if np.array_equal(before, part):
            break
        lines.reverse()
    joined: IntArray = part[whole]
    return joined


def _joined_up(count: int, lines: Sequence[tuple[int, int]]) -> IntArray:
    """The first node of the part that each node is in, shape (nodes,)."""
    first, changed = list(range(count)), True
    while changed:
        changed = False
        for a, b in lines:
            least = min(first[a], first[b])
            if first[a] != least or first[b] != least:
                first[a] = first[b] = least
                changed = True
    return np.array(first, dtype=np.int64)


class _Whole:
    """The parts that terminals of one case are in, and what is between them."""

    def __init__(self, part: IntArray, joined: IntArray, nodes: list[int], lines: list[tuple[int, int, float]]) -> None:
        own = part[nodes].tolist()
        self.first = list(dict.fromkeys(own))
        self._own = [self.first.index(k) for k in own]
        others = [k for line in lines for k in line[:2] if k not in self.first]
        self._every = [*self.first, *dict.fromkeys(others)]
        self._island = joined[self._every]
        self._lines = lines

    def pattern(self) -> MeterPattern:
        """What a meter at these terminals leaves."""
        count = len(self.first)
        together = np.equal.outer(self._island[:count], self._island[:count])
        if not self._lines:
            return MeterPattern(np.array(self._own), np.where(together, 1.0, 0.0))
        laplacian = np.zeros((len(self._every), len(self._every)))
        for a, b, g in self._lines:
            m, n = self._every.index(a), self._every.index(b)
            laplacian[[m, n, m, n], [m, n, n, m]] += np.array([g, g, -g, -g])
        # one node of each island is held: no current flows there, and what is between two nodes stays as it is
        _, held = np.unique(self._island, return_index=True)
        laplacian[held, held] += 1.0
        z = np.linalg.inv(laplacian)
        # the resistance between two nodes of a network (D. J. Klein and M. Randic 1993)
        between = np.maximum(np.add.outer(np.diag(z), np.diag(z)) - z - z.T, 0.0)[:count, :count]
        return MeterPattern(np.array(self._own), np.where(together, METER_OHM / (METER_OHM + between), 0.0))
