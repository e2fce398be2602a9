"""What must balance in every solution: currents at each node, and power given with power taken."""

from __future__ import annotations

import numpy as np

from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.solution import Solution


def supplied_w(solution: Solution) -> FloatArray:
    """Power given by all sources at their terminals, shape (cases,)."""
    return np.asarray(-solution.power_w[list(solution.topology.of_kind(ElementKind.SOURCE))].sum(axis=0))


def dissipated_w(solution: Solution) -> FloatArray:
    """Power taken by everything that is no source, shape (cases,)."""
    return np.asarray(solution.power_w.sum(axis=0) + supplied_w(solution))


def kcl_residual_a(solution: Solution) -> FloatArray:
    """Largest sum of currents at a node, by Kirchhoff's law zero, shape (cases,)."""
    total = np.zeros_like(solution.v)
    for branch, current in zip(solution.topology.branches, solution.a, strict=True):
        total[branch.a] += current
        total[branch.b] -= current
    return np.asarray(np.abs(total).max(axis=0))
