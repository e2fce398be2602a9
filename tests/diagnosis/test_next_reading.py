"""What a reading leaves open, and readings that contradict one another."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.diagnosis.contradiction import VoltageBetween, contradiction
from riserkit.diagnosis.next_reading import apart, entropy_bits, expected_bits


def test_entropy_of_equal_candidates_is_their_logarithm() -> None:
    """Shannon 1948: log2 of the number of equally likely outcomes."""
    assert entropy_bits(np.ones(8)) == pytest.approx(3.0)
    assert entropy_bits(np.array([5.0])) == 0.0
    assert entropy_bits(np.array([])) == 0.0


def test_the_reading_that_halves_the_candidates_leaves_least() -> None:
    typical = np.array([[0.0, 0.0, 12.0, 12.0], [0.0, 12.0, 12.0, 12.0], [5.0, 5.0, 5.0, 5.0]])
    left = expected_bits(np.ones(4), typical - 0.5, typical + 0.5, typical)
    # by hand: two of two; one of one and three of three; four of four
    assert left == pytest.approx([1.0, 0.75 * math.log2(3.0), 2.0])


def test_a_candidate_that_allows_anything_is_never_ruled_out() -> None:
    low, high = np.array([[11.5, -np.inf]]), np.array([[12.5, np.inf]])
    left = expected_bits(np.ones(2), low, high, np.array([[12.0, np.nan]]))
    # either way the second stays; a value that cannot be said rules out nothing
    assert left == pytest.approx([1.0])
    assert not apart(low, high, np.array([[12.0, np.nan]]))[0, 1]


def test_which_form_a_fault_has_leaves_nothing_open() -> None:
    """By hand: the first two are one fault; 0 V leaves it and the third, half and half to start with; 12 V leaves it alone."""
    low, high = np.array([[-0.5, 11.5, -0.5]]), np.array([[0.5, 12.5, 0.5]])
    typical = np.array([[0.0, 12.0, 0.0]])
    weights, of = np.array([0.25, 0.25, 0.5]), np.array([0, 0, 1])
    at_0_v = -(1 / 3) * math.log2(1 / 3) - (2 / 3) * math.log2(2 / 3)
    assert expected_bits(weights, low, high, typical, of) == pytest.approx([0.75 * at_0_v])
    assert expected_bits(weights, low, high, typical) == pytest.approx([0.75 * at_0_v]), "each by itself: the same here"
    wide = expected_bits(weights, np.full((1, 3), -np.inf), np.full((1, 3), np.inf), typical, of)
    assert wide == pytest.approx([1.0]), "two faults, one of two forms"
    assert expected_bits(weights, np.full((1, 3), -np.inf), np.full((1, 3), np.inf), typical) == pytest.approx([1.5])


def test_a_range_that_misses_its_own_typical_value_rules_itself_out_no_more() -> None:
    left = expected_bits(np.ones(2), np.array([[1.0, 5.0]]), np.array([[2.0, 6.0]]), np.array([[3.0, 5.5]]))
    assert left == pytest.approx([0.0])


def test_pairs_that_a_reading_tells_apart() -> None:
    typical = np.array([[0.0, 0.1, 12.0]])
    told = apart(typical - 0.5, typical + 0.5, typical)
    assert told.tolist() == [[False, False, True], [False, False, True], [True, True, False]]


@given(st.lists(st.floats(-30, 30), min_size=3, max_size=6), st.randoms(use_true_random=False))
def test_readings_of_one_circuit_never_contradict(potentials: list[float], chance: object) -> None:
    """Kirchhoff: differences taken from potentials hold together, with any error of the meter that contains them."""
    names = [f"n{k}" for k in range(len(potentials))]
    rows = [
        VoltageBetween(names[a], names[b], potentials[a] - potentials[b] - 0.05, potentials[a] - potentials[b] + 0.05)
        for a in range(len(names)) for b in range(a)
    ]  # fmt: skip
    assert contradiction(rows) == ()


def test_one_place_read_twice_with_two_values() -> None:
    rows = [VoltageBetween("a", "b", 11.9, 12.1), VoltageBetween("b", "a", -3.1, -2.9)]
    assert contradiction(rows) == (0, 1)


def test_a_loop_that_does_not_add_up_is_named_without_bystanders() -> None:
    rows = [
        VoltageBetween("x", "y", 0.0, 1.0), VoltageBetween("a", "b", 11.9, 12.1), VoltageBetween("b", "c", 4.9, 5.1),
        VoltageBetween("a", "c", 11.9, 12.1),
    ]  # fmt: skip
    assert contradiction(rows) == (1, 2, 3)


def test_a_candidate_that_is_next_to_impossible_leaves_a_number() -> None:
    """Many readings later a candidate may be left that weighs next to nothing beside the others."""
    weights = np.array([1.0, 1.0, 1e-40])
    volts = np.array([[0.0, 12.0, 24.0], [0.0, 0.0, 12.0]])
    left = expected_bits(weights, volts - 0.1, volts + 0.1, volts)
    assert np.isfinite(left).all()
    assert left == pytest.approx([0.0, 1.0], abs=1e-9)


def test_what_each_reading_leaves_open_is_what_going_through_all_candidates_gives() -> None:
    """Among them readings at which every candidate allows what every other shows, which are not gone through."""
    chance = np.random.default_rng(5)
    weights = chance.uniform(0.1, 1.0, 6)
    typical = chance.integers(0, 5, (400, 6)).astype(float)
    wide = chance.choice([0.0, 1.0, 3.0, np.inf], (400, 6), p=[0.2, 0.2, 0.2, 0.4])
    low, high = typical - wide, typical + chance.permuted(wide, axis=1)
    typical[chance.random((400, 6)) < 0.2] = np.nan
    low[:40], high[:40], typical[40:60] = -np.inf, np.inf, np.nan
    p, plain = weights / weights.sum(), []
    for least, most, value in zip(low, high, typical, strict=True):
        left = 0.0
        for one, shown in zip(p, value, strict=True):
            stays = np.isnan(shown) | (np.fmin(least, value) <= shown) & (shown <= np.fmax(most, value))
            left += one * entropy_bits(p[stays])
        plain.append(left)
    found = expected_bits(weights, low, high, typical)
    np.testing.assert_allclose(found, plain, rtol=1e-9)
    nothing_told = np.isclose(plain, entropy_bits(weights))
    assert 60 <= nothing_told.sum() < 320
