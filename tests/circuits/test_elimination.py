"""Node elimination against exact arithmetic, and at extremes that cost other solvers their digits."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.circuits.elimination import anchored, plan_of, solve_nodes

NODES = 8
edges = st.lists(
    st.tuples(st.integers(0, NODES - 1), st.integers(0, NODES - 1), st.floats(1e-4, 1e4)), min_size=1, max_size=16
)
injections = st.lists(st.floats(-5.0, 5.0), min_size=NODES, max_size=NODES)


def exactly(matrix: list[list[Fraction]], right: list[Fraction]) -> list[float]:
    """Gauss-Jordan elimination in fractions, without any rounding."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for c in range(len(rows)):
        pivot = next(r for r in range(c, len(rows)) if rows[r][c])
        rows[c], rows[pivot] = rows[pivot], rows[c]
        for r in range(len(rows)):
            if r != c and rows[r][c]:
                factor = rows[r][c] / rows[c][c]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[c], strict=True)]
    return [float(row[-1] / row[k]) for k, row in enumerate(rows)]


@settings(max_examples=200, deadline=None, derandomize=True, database=None)
@given(edges=edges, chain=st.floats(1e-3, 1e3), inject=injections)
def test_agrees_with_exact_arithmetic(edges, chain, inject):
    """A chain through all nodes and random edges over eight decades, random currents, against fractions."""
    pairs = [(k, k + 1) for k in range(NODES - 1)] + [(a, b) for a, b, _ in edges if a != b]
    g = [chain] * (NODES - 1) + [g for a, b, g in edges if a != b]
    plan = plan_of(NODES, pairs, 0, range(NODES))
    edge_g = np.zeros((plan.n_edges, 1))
    nodal = [[Fraction(0)] * NODES for _ in range(NODES)]
    for (a, b), value in zip(pairs, g, strict=True):
        edge_g[plan.edge_of[min(a, b), max(a, b)]] += value
        for here, there in ((a, b), (b, a)):
            nodal[here][here] += Fraction(value)
            nodal[here][there] -= Fraction(value)
    expected = [0.0, *exactly([row[1:] for row in nodal[1:]], [Fraction(i) for i in inject[1:]])]
    nodes = solve_nodes(plan, edge_g, np.array(inject)[:, None], np.full(1, 1e-12))
    # Currents of both signs may all but cancel; what is left is known to the digits of the largest of them.
    alone_v = max(1e-12, *map(abs, inject)) * NODES / min(chain, 1.0)
    assert nodes.v[:, 0] == pytest.approx(expected, rel=1e-12, abs=1e-14 * alone_v)


def test_microohm_beside_gigaohm_loses_no_digits():
    """1 A through 1 µΩ, 1 Ω and 1 GΩ in series gives 1 000 000 001.000001 V, digit for digit."""
    plan = plan_of(4, [(0, 1), (1, 2), (2, 3)], 0, [3])
    edge_g = np.zeros((plan.n_edges, 1))
    for pair, g in {(0, 1): 1e6, (1, 2): 1.0, (2, 3): 1e-9}.items():
        edge_g[plan.edge_of[pair]] = g
    nodes = solve_nodes(plan, edge_g, np.array([[0.0], [0.0], [0.0], [1.0]]), np.full(1, 1e-12))
    assert nodes.v[:, 0] == pytest.approx([0.0, 1e-6, 1.000001, 1000000001.000001], rel=1e-15)


def test_current_without_a_way_out_is_told():
    plan = plan_of(3, [(0, 1), (1, 2)], 0, [2])
    edge_g = np.zeros((plan.n_edges, 2))
    edge_g[plan.edge_of[0, 1]] = [1.0, 1.0]
    edge_g[plan.edge_of[1, 2]] = [0.0, 1.0]
    nodes = solve_nodes(plan, edge_g, np.array([[0.0, 0.0], [0.0, 0.0], [1.0, 1.0]]), np.full(2, 1e-12))
    assert nodes.adrift.tolist() == [2, -1]
    assert nodes.v[:, 1].tolist() == [0.0, 1.0, 2.0]


def test_anchored_follows_conducting_edges():
    plan = plan_of(4, [(0, 1), (1, 2), (2, 3)], 0, [])
    edge_g = np.zeros((plan.n_edges, 3))
    for k, pair in enumerate([(0, 1), (1, 2), (2, 3)]):
        edge_g[plan.edge_of[pair]] = 1e-9
        edge_g[plan.edge_of[pair], k] = 0.0
    expected = [[True, True, True], [False, True, True], [False, False, True], [False, False, False]]
    assert anchored(plan, edge_g).tolist() == expected
