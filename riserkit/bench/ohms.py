"""Ohms between any two terminals of a door with all power off, under every fault.

The ohmmeter gives 0.2 V, too little for a diode, a suppressor or a coil to do anything: what is left is a network of resistances,
and between two of its nodes there is one resistance (D. J. Klein and M. Randic, J. Math. Chem. 12 (1993), 81-95).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations as pairs_of
from typing import Final

import numpy as np

from riserkit.bench.faults import BenchFault
from riserkit.bench.switches import Combination
from riserkit.circuits.cases import T_REFERENCE_C, Cases, state_table
from riserkit.circuits.elimination import FloatArray, IntArray
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.overlay import overlaid
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.topology import Branch
from riserkit.troubleshooting.changes import changed
from riserkit.troubleshooting.metered import conductances, parts_of
from riserkit.troubleshooting.netlists import as_wired, batches, finite
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.meter import OHMS, OPEN_OHM, Measurement, set_up
from riserkit.wiring.readings.signals import Signals

_FULL_V: Final = 0.2
_AT_A_TIME: Final = 2000


def terminal_pairs(terminals: Sequence[str]) -> tuple[tuple[int, int], ...]:
    """Places of every two terminals, the lower first."""
    return tuple(pairs_of(range(len(terminals)), 2))


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


def solve_ohms(
    circuit: DoorCircuit, faults: Sequence[BenchFault], combinations: Sequence[Combination], terminals: Sequence[str]
) -> FloatArray:
    """Ohms, infinite where open; not a number where a fault cannot be there.

    Returns:
        Shape (faults, combinations, pairs of terminals).

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    signals = Signals(circuit.netlist)
    place = {fault.way: n for n, fault in reversed(list(enumerate(faults)))}
    wired = {f.way: made for f in faults if (made := as_wired(circuit, signals, f.way)) is not None}
    found = np.full((len(faults), len(combinations), len(terminal_pairs(terminals))), np.nan)
    for batch in batches(wired):
        found[[place[way] for way in batch]] = _batch(circuit, list(batch.values()), combinations, terminals)
    return found[[place[fault.way] for fault in faults]]


def _batch(
    circuit: DoorCircuit, netlists: Sequence[Netlist], combinations: Sequence[Combination], terminals: Sequence[str]
) -> FloatArray:
    asked = Measurement(OHMS, terminals[0], terminals[1], dead=True)
    held = {id(n.components): _without_meter(set_up(replace(n, conductors=()), asked)) for n in netlists}
    made = [held[id(n.components)] for n in netlists]
    solved = overlaid(changed(made[0], finite), [n.conductors for n in netlists], [one.components for one in made])
    known = set(solved.topology.outside)
    states = [{name: on for name, on in c.outside.items() if name in known} for c in combinations]
    n, m = len(netlists), len(combinations)
    cases = Cases(
        column=np.repeat(np.arange(n), m), level=np.zeros(n * m, dtype=np.int8),
        conductor_c=np.full(n * m, T_REFERENCE_C), state=np.tile(np.arange(m), n),
        states=state_table(solved.topology, states), acts=np.zeros((n * m, 0), dtype=np.int64),
    )  # fmt: skip
    solution = solve_cases(solved, cases)
    g = conductances(solved, cases, solution)
    island = parts_of(solved.topology, g > 0.0)
    nodes = np.array([solved.topology.node(name) for name in terminals])
    one, two = np.array(terminal_pairs(terminals)).T
    parts = []
    for start in range(0, n * m, _AT_A_TIME):
        here = slice(start, start + _AT_A_TIME)
        z = _impedances(solved.topology.branches, g[:, here], island[:, here])[:, nodes][:, :, nodes]
        own = np.einsum("kii->ki", z)
        between = own[:, one] + own[:, two] - z[:, one, two] - z[:, two, one]
        joined = island[nodes[one], here] == island[nodes[two], here]
        parts.append(np.where(joined.T & (between <= OPEN_OHM), np.maximum(between, 0.0), np.inf))
    return np.concatenate(parts).reshape(n, m, -1)


def _without_meter(netlist: Netlist) -> Netlist:
    return replace(netlist, components=netlist.components[:-1], conductors=())


def _impedances(branches: Sequence[Branch], g: FloatArray, island: IntArray) -> FloatArray:
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
