"""Whether a source in a solved circuit gives all it can: then its voltage gives way, and no value beyond it means anything."""

from __future__ import annotations

from typing import Final

import numpy as np

from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, IntArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.solution import Solution

NOT_COMPUTED: Final = "not computed: over limit"
"""What is printed in place of a value that an overloaded source would decide."""

_LIMIT: Final = 4  # place of `i_limit_a` among a source's values
_SLACK: Final = 1e-6


def over_limit(circuit: Circuit, column: IntArray, solution: Solution) -> BoolArray:
    """Cases in which some source is at its current limit.

    Args:
        circuit: the circuits solved, with their limits.
        column: the circuit of each case, shape (cases,).
        solution: of those cases.

    Returns:
        Shape (cases,).
    """
    over = np.zeros(solution.count, dtype=np.bool_)
    for element in circuit.topology.of_kind(ElementKind.SOURCE):
        limit_a = circuit.params[circuit.topology.elements[element].offset + _LIMIT, column]
        over |= np.isfinite(limit_a) & (-solution.a[element] >= limit_a * (1.0 - _SLACK))
    return over


def without_limits(circuit: Circuit) -> Circuit:
    """The same circuits with sources that give whatever is asked of them."""
    params = circuit.params.copy()
    for element in circuit.topology.of_kind(ElementKind.SOURCE):
        params[circuit.topology.elements[element].offset + _LIMIT] = np.inf
    return Circuit(circuit.topology, params)
