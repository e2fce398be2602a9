"""Resistance between any two places of a circuit without power, from one solution for all of them.

The ohmmeter gives 0.2 V, too little for a diode, a suppressor or a coil to do anything: what is left is a network of resistances,
and between two of its nodes there is one resistance (D. J. Klein and M. Randic, J. Math. Chem. 12 (1993), 81-95).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from riserkit.circuits.cases import Cases
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import FloatArray, IntArray
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.solution import Solution
from riserkit.circuits.topology import Branch
from riserkit.troubleshooting.connected import PartArray, parts_of
from riserkit.troubleshooting.metered import conductances
from riserkit.wiring.readings.meter import OPEN_OHM

_FULL_V: Final = 0.2
_AT_A_TIME: Final = 500


def linear_to_an_ohmmeter(netlist: Netlist) -> bool:
    """Whether nothing in it conducts or moves at the ohmmeter's voltage but resistances."""
    bends = {ElementKind.DIODE: "v_forward_v", ElementKind.SUPPRESSOR: "v_clamp_v"}
    moving = {e.control for c in netlist.components for e in c.elements}
    for component in netlist.components:
        for e in component.elements:
            if e.kind in bends and e.values[bends[e.kind]] <= _FULL_V:
                return False
            if f"{component.ref}.{e.name}" in moving and e.values.get("v_pull_in_v", _FULL_V * 2) <= _FULL_V:
                return False
    return True


def ohms_between(circuit: Circuit, cases: Cases, solution: Solution, one: IntArray, two: IntArray) -> FloatArray:
    """What an ohmmeter shows between nodes, infinite where open.

    Args:
        circuit: without power, no meter in it.
        cases: solved.
        solution: of them.
        one: node at the one lead, shape (readings,).
        two: node at the other; equal shape.

    Returns:
        Ohms, shape (cases, readings).
    """
    g = conductances(circuit, cases, solution)
    island = parts_of(circuit.topology, g > 0.0)
    found = np.empty((cases.count, len(one)))
    nodes, place = np.unique(np.concatenate([one, two]), return_inverse=True)
    a, b = np.split(place.ravel(), 2)
    for here in _some(cases.count):
        z = _impedances(circuit.topology.branches, g[:, here], island[:, here])[:, nodes][:, :, nodes]
        own = np.einsum("kii->ki", z)
        between = own[:, a] + own[:, b] - z[:, a, b] - z[:, b, a]
        joined = island[one, here] == island[two, here]
        found[here] = np.where(joined.T & (between <= OPEN_OHM), np.maximum(between, 0.0), np.inf)
    return found


def _some(count: int) -> Iterator[slice]:
    return (slice(start, start + _AT_A_TIME) for start in range(0, count, _AT_A_TIME))


def _impedances(branches: Sequence[Branch], g: FloatArray, island: PartArray) -> FloatArray:
    """Voltage at each node for a current into each, one node of each island held, shape (cases, nodes, nodes)."""
    count = island.shape[0]
    laplacian = np.zeros((g.shape[1], count, count))
    for k, branch in enumerate(branches):
        a, b = branch.a, branch.b
        if a != b:
            laplacian[:, a, a] += g[k]
            laplacian[:, b, b] += g[k]
            laplacian[:, a, b] -= g[k]
            laplacian[:, b, a] -= g[k]
    held = island == np.arange(count)[:, None]
    laplacian[:, np.arange(count), np.arange(count)] += held.T
    z: FloatArray = np.linalg.inv(laplacian).astype(np.float64)
    return z
