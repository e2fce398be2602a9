"""The reel plan's cuts against exhaustive search and against a solver that knows nothing of reels."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from riserkit.field.cutting import cut, lower_bound


def fewest(lengths: Sequence[int], reel: int, begun: tuple[int, ...] = ()) -> int:
    """New reels needed, by trying every reel for every length."""
    best = len(lengths) + len(begun)

    def place(n: int, reels: tuple[int, ...]) -> None:
        nonlocal best
        if len(reels) >= best:
            return
        if n == len(lengths):
            best = len(reels)
            return
        for k, used in enumerate(reels):
            if used + lengths[n] <= reel:
                place(n + 1, (*reels[:k], used + lengths[n], *reels[k + 1 :]))
        place(n + 1, (*reels, lengths[n]))

    place(0, tuple(reel - left for left in begun))
    return best - len(begun)


def by_solver(lengths: Sequence[int], reel: int, most: int) -> int:
    """The assignment form of bin packing, by HiGHS: which length from which reel, and which reels are begun."""
    n = len(lengths)
    each = np.zeros((n, n * most + most))
    for i in range(n):
        each[i, i * most : (i + 1) * most] = 1
    full = np.zeros((most, n * most + most))
    for k in range(most):
        full[k, k : n * most : most] = lengths
        full[k, n * most + k] = -reel
    cost = np.r_[np.zeros(n * most), np.ones(most)]
    rules = [LinearConstraint(each, 1, 1), LinearConstraint(full, -np.inf, 0)]
    found = milp(cost, constraints=rules, integrality=np.ones(len(cost)), bounds=Bounds(0, 1))
    return round(found.fun)


def check_plan(lengths: Sequence[int], reel: int) -> int:
    plan = cut(lengths, reel)
    assert sorted(n for cuts in plan.reels for n in cuts) == list(range(len(lengths)))
    assert all(sum(lengths[n] for n in cuts) <= reel for cuts in plan.reels)
    assert plan.bound <= len(plan.reels)
    assert plan.exact == (plan.bound == len(plan.reels))
    return len(plan.reels)


@given(st.integers(10, 60).flatmap(lambda reel: st.tuples(st.just(reel), st.lists(st.integers(1, reel), max_size=8))))
def test_small_plans_are_the_best_there_are(case: tuple[int, list[int]]) -> None:
    reel, lengths = case
    best = fewest(lengths, reel)
    assert check_plan(lengths, reel) == best
    assert cut(lengths, reel).exact
    assert lower_bound(lengths, reel) <= best if lengths else best == 0


@given(
    st.integers(10, 60).flatmap(
        lambda reel: st.tuples(
            st.just(reel), st.lists(st.integers(1, reel), max_size=7), st.lists(st.integers(0, reel), max_size=3)
        )
    )
)
def test_reels_begun_are_used_as_well_as_they_can_be(case: tuple[int, list[int], list[int]]) -> None:
    reel, lengths, begun = case
    plan = cut(lengths, reel, begun=begun)
    assert sorted(n for cuts in (*plan.reels, *plan.begun) for n in cuts) == list(range(len(lengths)))
    assert all(sum(lengths[n] for n in cuts) <= reel for cuts in plan.reels)
    assert all(sum(lengths[n] for n in cuts) <= left for cuts, left in zip(plan.begun, begun, strict=True))
    best = fewest(lengths, reel, tuple(begun))
    assert len(plan.reels) == best == plan.bound
    assert plan.exact
    assert lower_bound(lengths, reel, begun) <= best


def test_where_the_longest_first_wastes_a_reel_the_search_does_not() -> None:
    """First fit decreasing takes three reels of 12 here: 6 5, 4 4 3, 2."""
    plan = cut([6, 5, 4, 4, 3, 2], 12)
    assert len(plan.reels) == fewest([6, 5, 4, 4, 3, 2], 12) == 2
    assert plan.exact


@pytest.mark.parametrize("seed", range(6))
def test_plans_of_a_site_agree_with_a_solver(seed: int) -> None:
    """Horizontal cables of 15 to 90 m, and long ones, from reels of 304.8 m in tenths."""
    random = Random(seed)
    low, high = ((150, 900), (500, 1500), (900, 1600))[seed % 3]
    lengths = [random.randint(low, high) for _ in range(11)]
    count = check_plan(lengths, 3048)
    assert cut(lengths, 3048).exact
    assert count == by_solver(lengths, 3048, count + 1)


def test_a_large_plan_says_how_near_it_is_to_the_best() -> None:
    random = Random(7)
    lengths = [random.randint(150, 900) for _ in range(1000)]
    plan = cut(lengths, 3048)
    check_plan(lengths, 3048)
    assert len(plan.reels) == -(-sum(lengths) // 3048)
    assert plan.exact
    thirds = [random.randint(900, 1500) for _ in range(120)]
    open_plan = cut(thirds, 3048, most_nodes=2000)
    assert not open_plan.exact
    assert -(-sum(thirds) // 3048) <= open_plan.bound < len(open_plan.reels)


def test_the_bound_counts_what_no_two_share() -> None:
    """Three pieces a little over a third of a reel: two a reel, whatever their sum says."""
    assert lower_bound([350] * 9, 1000) == 5
    assert lower_bound([501] * 4, 1000) == 4


def test_what_no_reel_holds_is_refused() -> None:
    with pytest.raises(ValueError, match="from 1 to 100"):
        cut([101], 100)
    assert cut([], 100).reels == ()
