"""Proves one circuit: solves it, judges every property, draws up its truth table."""

from __future__ import annotations

from riserkit.proofs.attack import tamper
from riserkit.proofs.behaviour import ROOM_C, Extremes, require_roles, solve_door
from riserkit.proofs.intrusion import unlocking_faults
from riserkit.proofs.properties import properties_of
from riserkit.proofs.table import truth_table
from riserkit.proofs.values import TopologyProof


def prove(extremes: Extremes, fail_safe: bool, temperatures_c: tuple[float, float] = ROOM_C) -> TopologyProof:
    """Every property of a circuit over every state and every single fault.

    Args:
        extremes: the circuit, with the shortest and the longest cables of the doors that share it.
        fail_safe: an unpowered lock is released.
        temperatures_c: coldest and hottest of the conductors.

    Raises:
        CircuitError: the netlist is ill-posed, has too many outside states to spell out, or one without a role.
    """
    require_roles(extremes.circuit.netlist)
    seen = solve_door(extremes, fail_safe, temperatures_c)
    moved, asked, tamper_cases = tamper(seen)
    return TopologyProof(
        fail_safe=fail_safe,
        locks=extremes.circuit.locks,
        names=tuple(seen.states[0]),
        states=len(seen.states),
        faults=len(seen.faults) - 1,
        worst_cases=2,
        cases=seen.count,
        tamper_cases=tamper_cases,
        properties=(*properties_of(seen), moved, asked, *unlocking_faults(seen)),
        table=truth_table(seen),
    )
