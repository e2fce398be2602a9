"""Cases spelt out as arrays the solver works on, one column a case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, Eliminated, FloatArray, IntArray, eliminate
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.segments import SegmentArray, Segments, segments_of
from riserkit.circuits.topology import FEEDING, Branch, Topology
from riserkit.circuits.values import ALPHA_CU_PER_K, R_FLOOR_OHM

_OHMIC = frozenset({ElementKind.RESISTOR, ElementKind.COIL, ElementKind.CONTACT})
_ROUNDING_A = 1e-12
ROUNDING = 1e-11
"""Of a current that is injected, what counts as rounding."""


@dataclass(frozen=True, slots=True)
class Spelt:
    """A batch as its cases say it; every array has one column a case.

    Attributes:
        fixed_g: conductance in siemens of every ohmic branch, 0 for others, shape (branches, rows).
        fed: indices of the joins over which a foreign source drives a current in some row.
        join_a: that current from a to b in amperes, shape (fed, rows).
        gate: which elements are in the circuit as far as outside states and faults say, shape (elements, rows).
        held: elements that a fault holds in or out, shape (elements, rows).
        still: what is left of the levels at which nothing changes.
        rows: what is needed to settle.
    """

    fixed_g: FloatArray
    fed: tuple[int, ...]
    join_a: FloatArray
    gate: BoolArray
    held: BoolArray
    still: Eliminated
    rows: BatchRows

    def gates(self, topology: Topology, coil: BoolArray) -> BoolArray:
        """Which elements are in the circuit with the coils standing so, shape (elements, rows)."""
        return moved(self.gate, self.held, coil, list(enumerate(topology.elements)))


@dataclass(slots=True)
class BatchRows:
    """What stays the same while a batch is settled; every array has one column a row.

    Attributes:
        system: the moving rows of the plan's system without what shifts.
        slack_a: current that counts as rounding, shape (rows,).
        contact_g: conductance of the elements that coils move.
        segments: tables of the piecewise-linear elements.
        p_w: power of each power load, shape (power loads, rows).
        p_min_v: voltage below which it draws nothing.
        gate: of the shifting elements, as far as outside states and faults say, shape (shifting, rows).
        held: those of them that a fault holds in or out.
        pull_in_v: shape (movers, rows).
        drop_out_v: shape (movers, rows).
    """

    system: FloatArray
    slack_a: FloatArray
    contact_g: FloatArray
    segments: Segments
    p_w: FloatArray
    p_min_v: FloatArray
    gate: BoolArray
    held: BoolArray
    pull_in_v: FloatArray
    drop_out_v: FloatArray

    def take(self, keep: IntArray) -> BatchRows:
        """The rows to keep."""
        return BatchRows(
            self.system.take(keep, axis=1),
            self.slack_a.take(keep),
            self.contact_g.take(keep, axis=1),
            self.segments.take(keep),
            self.p_w.take(keep, axis=1),
            self.p_min_v.take(keep, axis=1),
            self.gate.take(keep, axis=1),
            self.held.take(keep, axis=1),
            self.pull_in_v.take(keep, axis=1),
            self.drop_out_v.take(keep, axis=1),
        )


def moved(gate: BoolArray, held: BoolArray, coil: BoolArray, elements: Sequence[tuple[int, Branch]]) -> BoolArray:
    """The gates of elements, each with its row, with contacts where their coils put them."""
    which = [(k, b) for k, b in elements if b.mover >= 0]
    if not which:
        return gate
    gate = gate.copy()
    for k, branch in which:
        gate[k] = np.where(held[k], gate[k], coil[branch.mover] ^ branch.normally_closed)
    return gate


def rows_of(circuit: Circuit, cases: Cases) -> tuple[Spelt, SegmentArray]:
    """Spell out cases; also the segment on which each piecewise-linear element starts."""
    topology = circuit.topology
    params = circuit.params[:, cases.column]
    gate, held, off, join_g, join_a = _faults(topology, cases)
    fed = tuple(np.flatnonzero(join_a.any(axis=1)).tolist())
    fixed_g = _fixed_g(topology, params, cases.conductor_c, off, join_g)
    segments, first = segments_of(topology, params, cases.level)
    system, slack_a = _system(topology, fixed_g, gate, fed, join_a)
    still = eliminate(topology.plan.still, system, slack_a)
    power = [topology.elements[k].offset for k in topology.of_kind(ElementKind.POWER_LOAD)]
    pull_in, drop_out = topology.mover_params
    shifting = list(topology.shifting)
    contacts = [k for k in shifting if topology.elements[k].kind not in FEEDING]
    rows = BatchRows(
        system=system[topology.plan.n_still :],
        slack_a=slack_a,
        contact_g=fixed_g[contacts],
        segments=segments,
        p_w=params[power],
        p_min_v=params[[k + 1 for k in power]],
        gate=gate[shifting],
        held=held[shifting],
        pull_in_v=params[pull_in],
        drop_out_v=params[drop_out],
    )
    return Spelt(fixed_g, fed, join_a[list(fed)], gate, held, still, rows), first


def _system(
    topology: Topology, fixed_g: FloatArray, gate: BoolArray, fed: tuple[int, ...], join_a: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The plan's system without what shifts, and the current that counts as rounding."""
    plan, n_elements = topology.plan, len(topology.elements)
    system = np.zeros((plan.n_rows, fixed_g.shape[1]))
    slack_a = np.full(fixed_g.shape[1], _ROUNDING_A)
    standing = fixed_g.copy()
    standing[:n_elements] *= gate
    stamped, order = topology.still_stamps
    stamped.add(system, standing.take(order, axis=0))
    for k in fed:
        branch = topology.joins[k]
        if branch.a != branch.b:
            for end, current_a in ((branch.a, -join_a[k]), (branch.b, join_a[k])):
                if end != topology.reference:
                    system[plan.inject_of[end]] += current_a
            slack_a += ROUNDING * np.abs(join_a[k])
    return system, slack_a


_Faults = tuple[BoolArray, BoolArray, BoolArray | None, FloatArray, FloatArray]


def _faults(topology: Topology, cases: Cases) -> _Faults:
    """Gate, held, branches off, and the conductance and current of joins."""
    gate = _gate(topology, cases)
    n_elements, n_joins = len(topology.elements), len(topology.joins)
    nothing = np.zeros((n_joins, cases.count))
    if cases.effects is None or cases.acts.shape[1] == 0:
        return gate, np.zeros((n_elements, cases.count), dtype=np.bool_), None, nothing, nothing
    off: BoolArray = np.logical_or.reduce(cases.effects.off[cases.acts], axis=1).T
    on: BoolArray = np.logical_or.reduce(cases.effects.on[cases.acts], axis=1).T
    gate = (gate | on) & ~off[:n_elements]
    join_g = np.ascontiguousarray(cases.effects.join_g[cases.acts].sum(axis=1).T)
    join_a = np.ascontiguousarray(cases.effects.join_a[cases.acts].sum(axis=1).T)
    return gate, on | off[:n_elements], off, join_g, join_a


def _gate(topology: Topology, cases: Cases) -> BoolArray:
    """In the circuit or not: by outside state; a contact that nothing moves stays at rest; all others are in."""
    gate = np.ones((len(topology.elements), cases.count), dtype=np.bool_)
    outside = cases.states[cases.state]
    for k, branch in enumerate(topology.elements):
        if branch.outside >= 0:
            gate[k] = outside[:, branch.outside] ^ branch.normally_closed
        elif branch.kind is ElementKind.CONTACT:
            gate[k] = branch.normally_closed
    return gate


def _fixed_g(
    topology: Topology, params: FloatArray, conductor_c: FloatArray, off: BoolArray | None, join_g: FloatArray
) -> FloatArray:
    n_elements, n_conductors = len(topology.elements), len(topology.conductors)
    g = np.zeros((len(topology.branches), params.shape[1]))
    for k, branch in enumerate(topology.elements):
        if branch.kind in _OHMIC:
            g[k] = 1.0 / np.maximum(params[branch.offset], R_FLOOR_OHM)
    warm = 1.0 + ALPHA_CU_PER_K * (conductor_c - T_REFERENCE_C)
    wires = slice(n_elements, n_elements + n_conductors)
    g[wires] = 1.0 / np.maximum(params[params.shape[0] - n_conductors :] * warm, R_FLOOR_OHM)
    if off is not None:
        g[wires][off[n_elements:]] = 0.0
    g[n_elements + n_conductors :] = join_g
    return g
