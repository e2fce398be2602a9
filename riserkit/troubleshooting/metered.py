"""What a real meter shows at a solved circuit: its own resistance joins what no current joins, and draws a little.

Parts of a circuit that no current joins drift apart until something between them conducts: a meter across a broken wire shows
the supply where a load is beyond the break, and nothing where nothing is. How much of a voltage the meter leaves is worked out
once for all cases in which the same branches conduct.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Cases
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.segments import V_RAMP_V
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import I_LEANING_A
from riserkit.circuits.topology import Topology
from riserkit.circuits.values import ALPHA_CU_PER_K, R_FLOOR_OHM
from riserkit.troubleshooting.connected import PartArray, alike, parts_of
from riserkit.wiring.readings.meter import Measurement

METER_OHM: Final = 10e6
"""Input resistance on volts DC of a handheld digital meter (common practice, no source)."""

_FIRM_OHM: Final = 1100.0
"""What is joined by less is one to a meter: it leaves all but 0.01 %."""
_AT_A_TIME: Final = 500
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
            [_as_bytes(part[wanted]), _as_bytes(joined[wanted]), np.packbits(idle, axis=0), *lines.told]
        )
        rows = np.ascontiguousarray(told.T)
        first, place = alike(rows)
        in_order = np.argsort(place, kind="stable")
        pattern, drift = np.zeros(solution.count, dtype=np.int64), np.zeros(solution.count, dtype=np.int64)
        own = part[nodes][:, first]
        pattern[:] = self._patterns(own, joined[:, first], lines.take(first))[place]
        for n in np.flatnonzero(idle[:, first].any(axis=0)).tolist():
            k, here = first[n], in_order[slice(*np.searchsorted(place[in_order], (n, n + 1)))]
            bridges, parts = np.flatnonzero(idle[:, k]).tolist(), list(dict.fromkeys(own[:, n].tolist()))
            drift[here] = self._drift_rows(circuit, cases, solution, joined[:, k], parts, bridges, here)
        return pattern, drift

    def _patterns(self, own: PartArray, joined: PartArray, lines: _WeakLines) -> IntArray:
        """The place of each case's pattern, shape (cases,); `own` is the part that each terminal is in."""
        networks = _Networks.of(own, joined, lines)
        parts = np.ascontiguousarray(networks.part.T)
        shares: list[tuple[FloatArray, FloatArray]] = [(np.empty(0), np.empty(0))] * len(parts)
        for here in networks.alike():
            found = networks.shares(here)
            for k, share, rounded in zip(here.tolist(), found, np.round(found, 6), strict=True):
                shares[k] = share, rounded
        # numbered as they come first
        return np.array([self._keep(part, *both) for part, both in zip(parts, shares, strict=True)], dtype=np.int64)

    def _keep(self, part: IntArray, share: FloatArray, rounded: FloatArray) -> int:
        key = part.tobytes() + rounded.tobytes()
        if key not in self._place:
            self._place[key] = len(self.found)
            self.found.append(MeterPattern(part.copy(), share.copy()))
        return self._place[key]

    def _drift_rows(
        self, circuit: Circuit, cases: Cases, solution: Solution, joined: PartArray, parts: list[int], bridges: list[int],
        here: IntArray,
    ) -> IntArray:  # fmt: skip
        """How far the islands may drift, every island by the part of its first terminal; `parts` are of the terminals."""
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
        of_part = [island[int(joined[n])] for n in parts]
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

    a: PartArray
    b: PartArray
    g: FloatArray

    def take(self, cases: IntArray) -> _WeakLines:
        """Those of some cases."""
        return _WeakLines(self.a[:, cases], self.b[:, cases], self.g[:, cases])

    @property
    def told(self) -> tuple[np.ndarray, ...]:
        """All of it as bytes, a column a case."""
        some = np.ascontiguousarray(self.g.astype(np.float32).T).view(np.uint8).reshape(self.g.shape[1], -1).T
        return _as_bytes(self.a), _as_bytes(self.b), some


def _as_bytes(nodes: npt.NDArray[np.integer[Any]]) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """Numbers of nodes, a column a case, as bytes: two a number, for a circuit may have more than 256 nodes.

    Examples:
        >>> _as_bytes(np.array([[1, 257]])).tolist()
        [[1, 1], [0, 1]]
    """
    wide = np.ascontiguousarray(nodes.astype("<u2").T).view(np.uint8)
    return wide.reshape(nodes.shape[1], -1).T


def _lines(topology: Topology, weak: FloatArray, part: PartArray) -> _WeakLines:
    some = np.flatnonzero(np.logical_or.reduce(weak != 0.0, axis=1)).tolist()
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
    warm = 1.0 + ALPHA_CU_PER_K * (cases.conductor_c - T_REFERENCE_C)
    wires_ohm = circuit.params[circuit.params.shape[0] - len(topology.conductors) :].take(column, axis=1) * warm
    g[len(topology.elements) :] = 1.0 / np.maximum(wires_ohm, R_FLOOR_OHM)
    return g


def _idle(circuit: Circuit, cases: Cases, solution: Solution, joined: PartArray) -> BoolArray:
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
    island: PartArray
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


@dataclass(frozen=True, slots=True)
class _Networks:
    """The parts that terminals of several cases are in, and what is between them; each case counts its parts anew.

    Attributes:
        part: of each terminal, by the first terminal in it, shape (terminals, cases).
        count: parts that have a terminal, which come first, shape (cases,).
        size: all parts that count, shape (cases,).
        island: of each part, shape (parts at most, cases).
        a, b, g: ends and conductance of the lines between parts, shape (lines, cases).
    """

    part: IntArray
    count: IntArray
    size: IntArray
    island: IntArray
    a: IntArray
    b: IntArray
    g: FloatArray

    @classmethod
    def of(cls, own: PartArray, joined: PartArray, lines: _WeakLines) -> _Networks:
        """Count the parts of each case: those of terminals in their order, then other ends of lines."""
        nodes, cases = joined.shape
        every = np.arange(cases)
        place, size = np.full((nodes, cases), -1), np.zeros(cases, dtype=np.int64)
        island = np.zeros((min(nodes, len(own) + 2 * len(lines.g)), cases), dtype=np.int64)

        def counted(of: PartArray, here: IntArray) -> None:
            new = here[place[of[here], here] < 0]
            place[of[new], new] = size[new]
            island[size[new], new] = joined[of[new], new]
            size[new] += 1

        for row in own:
            counted(row, every)
        count = size.copy()
        for a, b, g in zip(lines.a, lines.b, lines.g, strict=True):
            there = np.flatnonzero(g)
            counted(a, there)
            counted(b, there)
        there_too = lines.g != 0.0
        a, b = (np.where(there_too, place[end, every], 0) for end in (lines.a, lines.b))
        return cls(place[own, every], count, size, island, a, b, lines.g)

    def alike(self) -> Iterator[IntArray]:
        """Places of the cases with as many parts, some at a time."""
        kind = self.size * (int(self.size.max(initial=0)) + 1) + self.count
        order = np.argsort(kind, kind="stable")
        for here in np.split(order, np.flatnonzero(np.diff(kind[order])) + 1):
            yield from (here[start : start + _AT_A_TIME] for start in range(0, len(here), _AT_A_TIME))

    def shares(self, here: IntArray) -> FloatArray:
        """What a meter leaves of the voltage between two parts that have a terminal, shape (cases, parts, parts)."""
        size, count, cases = int(self.size[here[0]]), int(self.count[here[0]]), np.arange(len(here))
        island = self.island[:size, here].T
        same = island[:, :, None] == island[:, None, :]
        together = same[:, :count, :count]
        g = self.g[:, here]
        if not g.any():
            return np.where(together, 1.0, 0.0)
        laplacian = np.zeros((len(here), size, size))
        for a, b, siemens in zip(self.a[:, here], self.b[:, here], g, strict=True):
            laplacian[cases, a, a] += siemens
            laplacian[cases, b, b] += siemens
            laplacian[cases, a, b] -= siemens
            laplacian[cases, b, a] -= siemens
        # one node of each island is held: no current flows there, and what is between two nodes stays as it is
        first = same.argmax(axis=2) == np.arange(size)
        laplacian[:, np.arange(size), np.arange(size)] += first
        z = np.linalg.inv(laplacian)
        own = np.diagonal(z, axis1=1, axis2=2)
        # the resistance between two nodes of a network (D. J. Klein and M. Randic 1993)
        between = np.maximum(own[:, :, None] + own[:, None, :] - z - z.transpose(0, 2, 1), 0.0)[:, :count, :count]
        return np.where(together, METER_OHM / (METER_OHM + between), 0.0)
