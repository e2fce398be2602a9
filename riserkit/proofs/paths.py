"""The way that the lock's current takes in one case: what a counterexample shows on the drawing."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuits_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.faults import Fault, effects_of
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.topology import Topology
from riserkit.proofs.behaviour import Behaviour
from riserkit.proofs.values import Counterexample
from riserkit.proofs.words import current_words, fault_words, plain_words, state_words
from riserkit.proofs.worst_cases import WorstCase

# A branch counts as on the way when it carries a twentieth of the coil's current or more, and that is a milliampere.
PATH_SHARE = 0.05
PATH_LEAST_A = 1e-3


class _Leg(NamedTuple):
    """One branch on the way. `along`: its current runs from its end `a` to its end `b`."""

    branch: int
    along: bool


def counterexample(
    behaviour: Behaviour, state: State, faults: tuple[Fault, ...], lock: str, worst_case: WorstCase | None = None
) -> Counterexample:
    """One case solved again by itself, with the conductors that carry the lock's current.

    Args:
        behaviour: of the circuit.
        state: outside states.
        faults: what is at fault or what is done.
        lock: the lock looked at.
        worst_case: where the case fails; None where it does at all worst cases, and nominal values show it.
    """
    return next(counterexamples(behaviour, state, faults, lock, (worst_case,)))


def counterexamples(
    behaviour: Behaviour,
    state: State,
    faults: tuple[Fault, ...],
    lock: str,
    worst_cases: Sequence[WorstCase | None],
) -> Iterator[Counterexample]:
    """As `counterexample`, at each of several worst cases, None for nominal values; solved together."""
    netlist = behaviour.circuit.netlist
    nominal = WorstCase(netlist, SourceLevel.NOMINAL, T_REFERENCE_C)
    solution = _solve([worst_case or nominal for worst_case in worst_cases], state, faults)
    coil = behaviour.circuit.coil(lock)
    where = state_words(netlist, state, behaviour.release_value)
    said = fault_words(netlist, faults) if faults else ""
    for case, worst_case in enumerate(worst_cases):
        path, coil_v = _path(solution, coil, case), float(solution.element_v(coil)[case])
        yield Counterexample(
            state=state,
            faults=faults,
            lock=lock,
            coil_v=coil_v,
            affected=tuple(_affected(netlist, faults)),
            path=tuple(path),
            words="; ".join(part for part in (said, where, worst_case.words if worst_case else "") if part),
            backward=tuple(name for name, along in path.items() if not along),
            current=current_words(netlist, path),
            plain=plain_words(netlist, faults),
            lock_state=_lock_state(behaviour, coil, abs(coil_v)),
            worst_case=worst_case.words if worst_case else "",
            handled=said,
        )


def _lock_state(behaviour: Behaviour, coil: str, coil_v: float) -> str:
    values = behaviour.circuit.netlist.element(coil).values
    powered = coil_v >= values.get("v_pull_in_v", math.inf)
    if not powered and coil_v >= values.get("v_drop_out_v", 0.0):
        return "undecided"
    return "locked" if powered == behaviour.fail_safe else "released"


def _solve(worst_cases: Sequence[WorstCase], state: State, faults: tuple[Fault, ...]) -> Solution:
    """One case for each worst case, whose netlists are of one structure."""
    plain = circuits_of([one.netlist for one in worst_cases])[0].circuit
    topology, effects = effects_of(plain.topology, list(dict.fromkeys(faults)))
    count = len(worst_cases)
    acts = np.arange(1, len(dict.fromkeys(faults)) + 1, dtype=np.int64)[None, :]
    cases = Cases(
        column=np.arange(count), level=np.array([one.level for one in worst_cases], dtype=np.int8),
        conductor_c=np.array([one.at_c for one in worst_cases]), state=np.zeros(count, dtype=np.int64),
        states=state_table(topology, (state,)), acts=np.repeat(acts, count, axis=0), effects=effects,
    )  # fmt: skip
    return solve_cases(Circuit(topology, plain.params), cases)


def _affected(netlist: Netlist, faults: tuple[Fault, ...]) -> Iterator[str]:
    """Conductors named by a fault, or landed where something is joined or fed."""
    names = {name for fault in faults for name in fault.subjects}
    for conductor in netlist.conductors:
        if names & {conductor.ref, str(conductor.a), str(conductor.b)}:
            yield conductor.ref


def _path(solution: Solution, coil: str, case: int) -> dict[str, bool]:
    """Conductors on the way of a coil's current, from plus to minus, each with whether it runs from its `a` to its `b`."""
    topology = solution.topology
    element = topology.element(coil)
    amps = solution.a[:, case]
    if abs(amps[element]) < PATH_LEAST_A:
        return {}
    least_a = max(PATH_SHARE * abs(float(amps[element])), PATH_LEAST_A)
    branch = topology.elements[element]
    into, out = (branch.a, branch.b) if amps[element] > 0 else (branch.b, branch.a)
    there = [_Leg(k, not along) for k, along in _walk(topology, -amps, into, least_a, element)]
    back = _walk(topology, amps, out, least_a, element)
    first = len(topology.elements)
    found: dict[str, bool] = {}
    for leg in (*reversed(there), *back):
        if first <= leg.branch < first + len(topology.conductors):
            found.setdefault(topology.conductors[leg.branch - first].name, leg.along)
    return found


def _walk(topology: Topology, amps: FloatArray, start: int, least_a: float, coil: int) -> list[_Leg]:
    """Branches reached from a node along (or, with the sign turned, against) the current, up to the sources, nearest first.

    `along` of each is the direction of the walk.
    """
    found: dict[int, bool] = {}
    nodes, todo = {start}, deque([start])
    while todo:
        node = todo.popleft()
        for k, branch in enumerate(topology.branches):
            onward = branch.a == node and amps[k] >= least_a
            if k == coil or k in found or not (onward or (branch.b == node and amps[k] <= -least_a)):
                continue
            found[k] = onward
            end = branch.b if onward else branch.a
            if branch.kind is not ElementKind.SOURCE and end not in nodes:
                nodes.add(end)
                todo.append(end)
    return [_Leg(k, along) for k, along in found.items()]
