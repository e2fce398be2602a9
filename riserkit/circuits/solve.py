"""DC solution of many circuits of one structure at once.

Nodal analysis; each source as a current beside a conductance, so that a source needs a resistance: one stated
without gets a microohm (`values.R_FLOOR_OHM`). Constant-power loads settle on the upper, stable root.
Coils pull in at `v_pull_in_v` and hold down to `v_drop_out_v`, whatever the polarity.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, State, plain_cases
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.errors import CircuitValueError
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.rows import Spelt, rows_of
from riserkit.circuits.settle import OSCILLATES, RUNNING, Position, Solver
from riserkit.circuits.solution import Solution, joined
from riserkit.circuits.topology import Topology
from riserkit.circuits.values import COPPER_MELTS_C

CHUNK_ROWS = 2048
"""Cases solved at a time: enough to make numpy's overhead small, few enough to stay in the processor's cache."""

I_LEANING_A = 1e-11
"""A diode, limit or load that carries less than this only leans on its threshold and ties no island to another."""

I_SHORTED_A = 1e5
"""A source without stated resistance or limit that gives more than this is shorted by something without resistance."""


def solve(
    netlist: Netlist,
    state: State | None = None,
    level: SourceLevel = SourceLevel.NOMINAL,
    conductor_c: float = T_REFERENCE_C,
    energised: bool = False,
) -> Solution:
    """Solve one netlist in one state.

    Args:
        netlist: the circuit.
        state: outside states that are on; those not named are at rest.
        level: which of the sources' voltages.
        conductor_c: conductor temperature in °C.
        energised: coils start powered instead of at rest.

    Raises:
        CircuitError: the netlist is ill-posed, or has no sound solution; the subclass and the text say why and where.
    """
    circuit = circuit_of(netlist)
    cases = plain_cases(circuit, (state or {},), level, conductor_c, energised)
    return solve_cases(circuit, cases).demand_sound()


def solve_cases(circuit: Circuit, cases: Cases) -> Solution:
    """Solve cases; trouble in one of them is marked in the solution and stops none of the others.

    Raises:
        CircuitValueError: a temperature is not one.
    """
    return joined(list(solve_parts(circuit, cases)))


def solve_parts(circuit: Circuit, cases: Cases) -> Iterator[Solution]:
    """As `solve_cases`, a few thousand cases at a time, for those who keep only a little of each.

    Raises:
        CircuitValueError: a temperature is not one.
    """
    odd = cases.conductor_c[~((cases.conductor_c > -200.0) & (cases.conductor_c < COPPER_MELTS_C))]
    if len(odd):
        raise CircuitValueError("conductor_c", f"{odd[0]:g} °C is no temperature of a conductor")
    solver = Solver(circuit.topology)
    for start in range(0, max(cases.count, 1), CHUNK_ROWS):
        part = cases.part(start, start + CHUNK_ROWS)
        yield _solve_part(solver, circuit, part)


def _solve_part(solver: Solver, circuit: Circuit, cases: Cases) -> Solution:
    spelt, first = rows_of(circuit, cases)
    rows = spelt.rows
    at = solver.start(rows, first, cases.energised)
    settled: list[tuple[IntArray, Position, FloatArray, IntArray]] = []
    open_rows = np.arange(cases.count)
    while open_rows.size or not settled:
        gate = solver.gate(rows, at)
        nodes = solver.linear(rows, at, gate)
        done = solver.advance(rows, at, gate, nodes)
        if done.all():
            settled.append((open_rows, at, nodes.v, nodes.adrift))
            break
        if done.any():
            ready, left = np.flatnonzero(done), np.flatnonzero(~done)
            settled.append((open_rows[ready], at.take(ready), nodes.v.take(ready, axis=1), nodes.adrift[ready]))
            rows, at, open_rows = rows.take(left), at.take(left), open_rows[left]
    at, v, adrift = _in_order(settled)
    return _Finish(solver, spelt, at, *solver.whole(spelt, v, adrift)).solution(circuit, cases.column)


def _in_order(settled: list[tuple[IntArray, Position, FloatArray, IntArray]]) -> tuple[Position, FloatArray, IntArray]:
    """Rows that have settled at different times, in the order of their cases."""
    if len(settled) == 1:
        return settled[0][1:]
    order, positions, volts, adrift = zip(*settled, strict=True)
    back = np.argsort(np.concatenate(order))
    return (
        Position.joined(positions).take(back),
        np.concatenate(volts, axis=1).take(back, axis=1),
        np.concatenate(adrift).take(back),
    )


@dataclass(slots=True)
class _Finish:
    """Branch currents of rows that have settled."""

    solver: Solver
    spelt: Spelt
    at: Position
    v: FloatArray
    adrift: IntArray

    def solution(self, circuit: Circuit, column: IntArray) -> Solution:
        topology = circuit.topology
        gate = self.spelt.gates(topology, self.at.coil)
        g, a = self._currents(topology, gate)
        endless = self.at.trouble == OSCILLATES
        coil_v = np.abs(self.solver.across(self.v, topology.movers))
        return Solution(
            topology=topology,
            v=self.v,
            a=a,
            coil=self.at.coil,
            coil_low_v=np.where(endless, np.minimum(self.at.coil_low_v, coil_v), coil_v),
            coil_high_v=np.where(endless, np.maximum(self.at.coil_high_v, coil_v), coil_v),
            gate=gate,
            conducts=g,
            load=self.at.load,
            trouble=self.at.trouble,
            culprit=self.at.culprit,
            adrift=self.adrift,
            shorted=_shorted(circuit, column, a),
        )

    def _currents(self, topology: Topology, gate: BoolArray) -> tuple[BoolArray, FloatArray]:
        """Which branches conduct, and the current of each."""
        solver, spelt, rows = self.solver, self.spelt, self.spelt.rows
        n_elements, n_sound = len(topology.elements), len(topology.branches) - len(topology.joins)
        g = spelt.fixed_g.copy()
        g[:n_elements] *= gate
        across = solver.across(self.v, tuple(range(len(topology.branches))))
        a = g * across
        conducts = g != 0.0
        if spelt.fed:
            a[[n_sound + k for k in spelt.fed]] += spelt.join_a
        if solver.segmented:
            which = list(solver.segmented)
            slope, c = rows.segments.at(self.at.segment)
            a[which] = (slope * across[which] + c) * gate[which]
            conducts[which] = np.abs(a[which]) > I_LEANING_A
            sources = list(topology.of_kind(ElementKind.SOURCE))
            conducts[sources] = gate[sources]
        if solver.power:
            which = list(solver.power)
            on = self.at.load == RUNNING
            a[which] = np.where(on, rows.p_w / np.where(on, across[which], 1.0), 0.0)
            conducts[which] = on
        return conducts, a


def _shorted(circuit: Circuit, column: IntArray, a: FloatArray) -> IntArray:
    """Sources that state neither resistance nor limit and give more than any connection with resistance would take."""
    shorted = np.full(column.shape[0], -1, dtype=np.int64)
    for k in circuit.topology.of_kind(ElementKind.SOURCE):
        offset = circuit.topology.elements[k].offset
        r_ohm, limit_a = circuit.params[offset + 3, column], circuit.params[offset + 4, column]
        shorted[(r_ohm == 0.0) & np.isinf(limit_a) & (np.abs(a[k]) > I_SHORTED_A)] = k
    return shorted
