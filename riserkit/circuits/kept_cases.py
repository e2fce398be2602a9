"""What is kept of solved cases: how coils stand, the voltage across them, currents that are watched, and what is ill."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import Cases
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.settle import COLLAPSED, UNSETTLED
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_parts
from riserkit.circuits.topology import Topology

POWERED, RELEASED, EITHER = 1, 0, -1
"""A coil at or above its pull-in voltage; below its drop-out voltage; between them, or untold: history decides."""


@dataclass(frozen=True, slots=True)
class CasesKept:
    """What is kept of solved cases; shapes as in `riserkit.circuits.study.Study`.

    Attributes:
        unknown: nothing is known of any coil, for there is no solution; shape (faults, states).
    """

    coil: npt.NDArray[np.int8]
    coil_v: FloatArray
    watched_a: FloatArray
    collapsed: BoolArray
    unsettled: BoolArray
    unknown: BoolArray

    @classmethod
    def empty(cls, shape: tuple[int, int], coils: int, watched: int) -> CasesKept:
        """Room for cases of this shape, none of them ill."""
        return cls(
            np.empty((*shape, coils), dtype=np.int8), np.empty((*shape, coils)), np.empty((*shape, watched)),
            *(np.zeros(shape, dtype=np.bool_) for _ in range(3)),
        )  # fmt: skip

    def of(self, rows: IntArray) -> CasesKept:
        """Some of the faults."""
        return CasesKept(
            self.coil[rows], self.coil_v[rows], self.watched_a[rows], self.collapsed[rows], self.unsettled[rows],
            self.unknown[rows],
        )  # fmt: skip

    def put(self, rows: IntArray, found: CasesKept) -> None:
        """Take over what was found for some of the faults."""
        self.coil[rows], self.coil_v[rows], self.watched_a[rows] = found.coil, found.coil_v, found.watched_a
        self.collapsed[rows], self.unsettled[rows] = found.collapsed, found.unsettled
        self.unknown[rows] = found.unknown


def collected(circuit: Circuit, cases: Cases, shape: tuple[int, int], watched: tuple[str, ...]) -> CasesKept:
    """Solve cases and keep of each what is wanted.

    Args:
        circuit: structure and values.
        cases: states fastest, then faults.
        shape: number of faults and of states.
        watched: elements whose currents are wanted.

    Raises:
        CircuitError: a watched element is not there.
    """
    topology = circuit.topology
    elements = [topology.element(name) for name in watched]
    start = 0
    coil, coil_v, watched_a, collapsed, unsettled, untold = [], [], [], [], [], []
    for part in solve_parts(circuit, cases):
        volts = _coil_v(topology, part)
        ill = (part.trouble != 0) | (part.adrift >= 0)
        unknown = (part.trouble == UNSETTLED) | (part.adrift >= 0)
        column = cases.column[start : start + part.count]
        start += part.count
        coil.append(np.where(unknown, EITHER, _coil_states(circuit, column, part)).astype(np.int8))
        coil_v.append(volts)
        watched_a.append(part.a[elements])
        collapsed.append(np.logical_or.reduce(part.load == COLLAPSED, axis=0))
        unsettled.append(ill)
        untold.append(unknown)
    return CasesKept(
        coil=np.concatenate(coil, axis=1).T.reshape(*shape, -1),
        coil_v=np.concatenate(coil_v, axis=1).T.reshape(*shape, -1),
        watched_a=np.concatenate(watched_a, axis=1).T.reshape(*shape, -1),
        collapsed=np.concatenate(collapsed).reshape(shape),
        unsettled=np.concatenate(unsettled).reshape(shape),
        unknown=np.concatenate(untold).reshape(shape),
    )


def _coil_v(topology: Topology, part: Solution) -> FloatArray:
    ends = [topology.elements[k] for k in topology.movers]
    volts: FloatArray = part.v[[b.a for b in ends]] - part.v[[b.b for b in ends]]
    return volts


def _coil_states(circuit: Circuit, column: IntArray, part: Solution) -> npt.NDArray[np.int8]:
    """By voltage alone, over the whole course of a circuit without rest.

    Where pull-in or drop-out is not stated the comparison fails, and it stays EITHER.
    """
    states = np.full(part.coil.shape, EITHER, dtype=np.int8)
    for k, element in enumerate(circuit.topology.movers):
        pull_in, drop_out = circuit.topology.mover_rows(element)
        states[k, part.coil_high_v[k] < circuit.params[drop_out, column]] = RELEASED
        states[k, part.coil_low_v[k] >= circuit.params[pull_in, column]] = POWERED
    return states
