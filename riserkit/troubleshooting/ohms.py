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
from riserkit.troubleshooting.connected import PartArray, alike, parts_of
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
    found = np.full((cases.count, len(one)), np.inf)
    for here, nodes, rows in _islands(parts_of(circuit.topology, g > 0.0), one, two):
        ends, place = np.unique(np.concatenate([one[rows], two[rows]]), return_inverse=True)
        a, b = np.split(place.ravel(), 2)
        for some in np.split(here, range(_AT_A_TIME, len(here), _AT_A_TIME)):
            z = _impedances(circuit.topology.branches, g[:, some], nodes, ends)
            own = np.einsum("kii->ki", z)
            between = own[:, a] + own[:, b] - z[:, a, b] - z[:, b, a]
            found[np.ix_(some, rows)] = np.where(between <= OPEN_OHM, np.maximum(between, 0.0), np.inf)
    return found


def _islands(island: PartArray, one: IntArray, two: IntArray) -> Iterator[tuple[IntArray, IntArray, IntArray]]:
    """Nodes that conduct to one another and to no other: in which cases they do, and the readings with both leads there."""
    first, pattern = alike(np.ascontiguousarray(island.T).view(np.uint8))
    patterns_of: dict[bytes, list[int]] = {}
    for n, k in enumerate(first.tolist()):
        own = island[:, k]
        for part in np.unique(own[one][own[one] == own[two]]).tolist():
            patterns_of.setdefault(np.flatnonzero(own == part).tobytes(), []).append(n)
    for told, patterns in patterns_of.items():
        nodes = np.frombuffer(told, dtype=np.int64)
        inside, here = np.zeros(len(island), dtype=np.bool_), np.zeros(len(first), dtype=np.bool_)
        inside[nodes] = here[patterns] = True
        yield np.flatnonzero(here[pattern]), nodes, np.flatnonzero(inside[one] & inside[two])


def _impedances(branches: Sequence[Branch], g: FloatArray, nodes: IntArray, ends: IntArray) -> FloatArray:
    """Voltage at each of some nodes of an island for a current into each, shape (cases, ends, ends).

    Args:
        branches: of the circuit.
        g: what each conducts, shape (branches, cases).
        nodes: the island, in order; the first is held at 0 V, and takes what current goes in elsewhere.
        ends: those of its nodes that are asked for.
    """
    place = {node: k for k, node in enumerate(nodes.tolist())}
    laplacian = np.zeros((len(nodes), len(nodes), g.shape[1]))
    for k, branch in enumerate(branches):
        if branch.a != branch.b and branch.a in place and branch.b in place:
            a, b = place[branch.a], place[branch.b]
            laplacian[a, a] += g[k]
            laplacian[b, b] += g[k]
            laplacian[a, b] -= g[k]
            laplacian[b, a] -= g[k]
    at = np.searchsorted(nodes, ends)
    into = np.zeros((g.shape[1], len(nodes), len(ends)))
    into[:, at, np.arange(len(ends))] = 1.0
    v = np.zeros_like(into)
    v[:, 1:] = np.linalg.solve(np.ascontiguousarray(laplacian[1:, 1:].transpose(2, 0, 1)), into[:, 1:])
    z: FloatArray = v[:, at]
    return z
