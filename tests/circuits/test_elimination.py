"""Node elimination against a dense solver, and at the extremes a dense solver has trouble with."""

from __future__ import annotations

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


@settings(max_examples=200, deadline=None, derandomize=True, database=None)
@given(edges=edges, chain=st.floats(1e-3, 1e3), inject=injections)
def test_agrees_with_a_dense_solver(edges, chain, inject):
    """A chain through all nodes and random edges, random currents, against numpy.linalg.solve."""
    pairs = [(k, k + 1) for k in range(NODES - 1)] + [(a, b) for a, b, _ in edges if a != b]
    g = [chain] * (NODES - 1) + [g for a, b, g in edges if a != b]
    plan = plan_of(NODES, pairs, 0, range(NODES))
    edge_g = np.zeros((plan.n_edges, 1))
    dense = np.zeros((NODES, NODES))
    for (a, b), value in zip(pairs, g, strict=True):
        edge_g[plan.edge_of[min(a, b), max(a, b)]] += value
        dense[[a, b], [a, b]] += value
        dense[[a, b], [b, a]] -= value
    expected = np.concatenate([[0.0], np.linalg.solve(dense[1:, 1:], np.array(inject)[1:])])
    nodes = solve_nodes(plan, edge_g, np.array(inject)[:, None], np.full(1, 1e-12))
    scale = max(1e-6, float(np.abs(expected).max()))
    assert nodes.v[:, 0] == pytest.approx(expected, rel=1e-9, abs=1e-9 * scale)


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
