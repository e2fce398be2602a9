"""Node elimination against exact arithmetic, and at extremes that cost other solvers their digits."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.circuits.elimination import (
    BoolArray,
    EliminationPlan,
    FloatArray,
    IntArray,
    additions,
    back,
    eliminate,
    plan_of,
)

NODES = 8
edges = st.lists(
    st.tuples(st.integers(0, NODES - 1), st.integers(0, NODES - 1), st.floats(1e-4, 1e4)), min_size=1, max_size=16
)
injections = st.lists(st.floats(-5.0, 5.0), min_size=NODES, max_size=NODES)


def solved(
    plan: EliminationPlan, edges: Mapping[tuple[int, int], Any], inject: Any
) -> tuple[FloatArray, IntArray, BoolArray]:
    """Voltages, nodes adrift and rows with a negative pivot; `inject` of shape (nodes, rows)."""
    inject = np.asarray(inject)
    system = np.zeros((plan.n_rows, inject.shape[1]))
    for pair, g in edges.items():
        system[plan.edge_of[pair]] += g
    for node, row in plan.inject_of.items():
        if node != plan.reference:
            system[row] = inject[node]
    v = plan.voltages(inject.shape[1])
    still = eliminate(plan.still, system, 1e-12)
    moving = eliminate(plan.moving, system[plan.n_still :], 1e-12)
    back(plan.moving, moving.shares, v)
    back(plan.still, still.shares, v)
    return v[: plan.n_nodes], np.maximum(still.adrift, moving.adrift), moving.negative


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
@given(edges=edges, chain=st.floats(1e-3, 1e3), inject=injections, moving=st.sets(st.integers(1, NODES - 1)))
@pytest.mark.slow
def test_agrees_with_exact_arithmetic(edges, chain, inject, moving):
    """A chain through all nodes and random edges over eight decades, random currents, against fractions."""
    pairs = [(k, k + 1) for k in range(NODES - 1)] + [(a, b) for a, b, _ in edges if a != b]
    g = [chain] * (NODES - 1) + [g for a, b, g in edges if a != b]
    plan = plan_of(NODES, pairs, 0, range(NODES), moving)
    edge_g: dict[tuple[int, int], float] = {}
    nodal = [[Fraction(0)] * NODES for _ in range(NODES)]
    for (a, b), value in zip(pairs, g, strict=True):
        edge_g[min(a, b), max(a, b)] = edge_g.get((min(a, b), max(a, b)), 0.0) + value
        for here, there in ((a, b), (b, a)):
            nodal[here][here] += Fraction(value)
            nodal[here][there] -= Fraction(value)
    expected = [0.0, *exactly([row[1:] for row in nodal[1:]], [Fraction(i) for i in inject[1:]])]
    v, _, _ = solved(plan, edge_g, np.array(inject)[:, None])
    # Currents of both signs may all but cancel; what is left is known to the digits of the largest of them.
    alone_v = max(1e-12, *map(abs, inject)) * NODES / min(chain, 1.0)
    assert v[:, 0] == pytest.approx(expected, rel=1e-12, abs=1e-14 * alone_v)


def test_microohm_beside_gigaohm_loses_no_digits():
    """1 A through 1 µΩ, 1 Ω and 1 GΩ in series gives 1 000 000 001.000001 V, digit for digit."""
    plan = plan_of(4, [(0, 1), (1, 2), (2, 3)], 0, [3])
    v, _, _ = solved(plan, {(0, 1): 1e6, (1, 2): 1.0, (2, 3): 1e-9}, [[0.0], [0.0], [0.0], [1.0]])
    assert v[:, 0] == pytest.approx([0.0, 1e-6, 1.000001, 1000000001.000001], rel=1e-15)


@pytest.mark.parametrize("moving", [(), (1, 2), (2,)])
def test_current_without_a_way_out_is_told(moving):
    plan = plan_of(3, [(0, 1), (1, 2)], 0, [2], moving)
    edges = {(0, 1): np.array([1.0, 1.0]), (1, 2): np.array([0.0, 1.0])}
    v, adrift, _ = solved(plan, edges, [[0.0, 0.0], [0.0, 0.0], [1.0, 1.0]])
    assert adrift.tolist() == [2, -1]
    assert v[:, 1].tolist() == [0.0, 1.0, 2.0]


@pytest.mark.parametrize("load", [-0.5, -2.0])
def test_a_load_past_the_most_that_can_reach_it_is_told(load):
    """Behind 1 S, a conductance of less than -1 S has no stable voltage."""
    plan = plan_of(3, [(0, 1), (1, 2), (0, 2)], 0, [2], [1, 2])
    _, _, negative = solved(plan, {(0, 1): 1e6, (1, 2): 1.0, (0, 2): load}, [[0.0], [0.0], [1.0]])
    assert negative.tolist() == [load < -1.0]


def test_nodes_kept_to_the_end_are_the_last_of_their_islands():
    """Ten rungs of a ladder: whatever the order, the two nodes asked for come last."""
    pairs = [(k, k + 1) for k in range(18)] + [(k, k + 2) for k in range(17)]
    plan = plan_of(19, pairs, 0, [], range(5, 9), [5, 17])
    assert set(plan.order[-2:]) == {5, 17}
    assert sorted(plan.order) == list(range(1, 19))
    assert {int(n) for level in plan.moving for n in level.nodes} == {5, 6, 7, 8, 17}


def test_an_island_that_no_element_ties_to_the_reference_has_a_0_v_of_its_own():
    plan = plan_of(3, [(1, 2)], 0, [])
    v, adrift, negative = solved(plan, {(1, 2): 3.0}, np.zeros((3, 2)))
    assert not v.any()
    assert adrift.tolist() == [-1, -1]
    assert not negative.any()


def test_additions_are_as_added_one_by_one() -> None:
    """Rows that get one, many or nothing; in the order given, to the last digit."""
    chance = np.random.default_rng(3)
    into = chance.integers(0, 9, 40).tolist()
    to, what = chance.random((12, 5)), chance.random((40, 5)) * 1e3
    one_by_one = to.copy()
    for place, row in enumerate(into):
        one_by_one[row] += what[place]
    found = additions(into)
    assert sorted(found.counts, reverse=True) == list(found.counts)
    assert sum(found.counts) == len(into)
    found.add(to, what.take(found.places, axis=0))
    assert to.tolist() == one_by_one.tolist()


def test_nothing_added_leaves_all() -> None:
    """A structure without anything to add has no rows to add it to."""
    to = np.ones((2, 3))
    found = additions([])
    found.add(to, np.empty((0, 3)))
    assert to.tolist() == np.ones((2, 3)).tolist()
