"""Cases spelt out as arrays the solver works on, one column a case."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases
from riserkit.circuits.circuit import Circuit, mover_rows
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.segments import SegmentArray, Segments, segments_of
from riserkit.circuits.topology import Topology
from riserkit.circuits.values import ALPHA_CU_PER_K, R_FLOOR_OHM

_OHMIC = frozenset({ElementKind.RESISTOR, ElementKind.COIL, ElementKind.CONTACT})


@dataclass(slots=True)
class BatchRows:
    """What stays the same while a batch is solved; every array has one column a case.

    Attributes:
        fixed_g: conductance in siemens of every ohmic branch, 0 for others, shape (branches, rows).
        fed: indices of the joins over which a foreign source drives a current in some row.
        join_a: that current from a to b in amperes, shape (fed, rows).
        edge_g: sum by edge of the branches that no contact touches, shape (edges, rows).
        segments: tables of the piecewise-linear elements.
        p_w: power of each power load, shape (power loads, rows).
        p_min_v: voltage below which it draws nothing.
        gate: which elements are in the circuit as far as outside states and faults say, shape (elements, rows).
        held: elements that a fault holds in or out, shape (elements, rows).
        pull_in_v: shape (movers, rows).
        drop_out_v: shape (movers, rows).
    """

    fixed_g: FloatArray
    fed: tuple[int, ...]
    join_a: FloatArray
    edge_g: FloatArray
    segments: Segments
    p_w: FloatArray
    p_min_v: FloatArray
    gate: BoolArray
    held: BoolArray
    pull_in_v: FloatArray
    drop_out_v: FloatArray

    def take(self, keep: BoolArray) -> BatchRows:
        """The rows to keep."""
        return BatchRows(
            self.fixed_g[:, keep],
            self.fed,
            self.join_a[:, keep],
            self.edge_g[:, keep],
            self.segments.take(keep),
            self.p_w[:, keep],
            self.p_min_v[:, keep],
            self.gate[:, keep],
            self.held[:, keep],
            self.pull_in_v[:, keep],
            self.drop_out_v[:, keep],
        )


def switched(topology: Topology) -> tuple[int, ...]:
    """Indices of ohmic elements that a contact, a state or a fault can take in or out."""
    return tuple(
        k
        for k, b in enumerate(topology.elements)
        if b.kind is ElementKind.CONTACT or (b.kind in _OHMIC and (b.mover >= 0 or b.outside >= 0))
    )


def rows_of(circuit: Circuit, cases: Cases) -> tuple[BatchRows, SegmentArray]:
    """Spell out cases; also the segment on which each piecewise-linear element starts."""
    topology = circuit.topology
    params = circuit.params[:, cases.column]
    gate, held, off, join_g, join_a = _faults(topology, cases)
    fed = tuple(np.flatnonzero(join_a.any(axis=1)).tolist())
    fixed_g = _fixed_g(topology, params, cases.conductor_c, off, join_g)
    segments, first = segments_of(topology, params, cases.level)
    power = [topology.elements[k].offset for k in topology.of_kind(ElementKind.POWER_LOAD)]
    movers = [mover_rows(topology, k) for k in topology.movers]
    rows = BatchRows(
        fixed_g=fixed_g,
        fed=fed,
        join_a=join_a[list(fed)],
        edge_g=_edge_g(topology, fixed_g),
        segments=segments,
        p_w=params[power],
        p_min_v=params[[k + 1 for k in power]],
        gate=gate,
        held=held,
        pull_in_v=params[[pull_in for pull_in, _ in movers]],
        drop_out_v=params[[drop_out for _, drop_out in movers]],
    )
    return rows, first


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


def _edge_g(topology: Topology, fixed_g: FloatArray) -> FloatArray:
    edge_g = np.zeros((topology.plan.n_edges, fixed_g.shape[1]))
    moving = set(switched(topology))
    for k, (branch, edge) in enumerate(zip(topology.branches, topology.edge_rows, strict=True)):
        steady = branch.kind is None or (branch.kind in _OHMIC and k not in moving)
        if steady and edge >= 0:
            edge_g[edge] += fixed_g[k]
    return edge_g
