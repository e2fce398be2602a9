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


def demand_over_limit(demand_a: float | None, limit_a: float | None) -> bool:
    """Whether what is asked of a source, solved without its limit, is more than it gives; False where either is unknown."""
    return demand_a is not None and limit_a is not None and demand_a > limit_a * (1.0 + _SLACK)
