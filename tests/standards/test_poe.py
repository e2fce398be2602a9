"""Power classes and loop resistance."""

from __future__ import annotations

import math

import pytest

from riserkit.standards.poe import POE_CLASSES, loop_resistance_ohm


def test_classes_0_to_8_are_all_there() -> None:
    assert list(POE_CLASSES) == list(range(9))
    assert all(number == row.number for number, row in POE_CLASSES.items())


def test_loop_of_a_pairset_is_two_ways_of_two_conductors_in_parallel() -> None:
    one_way_ohm = 0.1 * 50 / 2
    assert loop_resistance_ohm(50, 0.1, 20, 2) == pytest.approx(2 * one_way_ohm)
    assert loop_resistance_ohm(50, 0.1, 20, 4) == pytest.approx(one_way_ohm)
    assert loop_resistance_ohm(0, 0.1, 20, 2) == loop_resistance_ohm(50, 0, 20, 2) == 0


def test_a_warm_loop_has_more_resistance() -> None:
    assert loop_resistance_ohm(100, 0.0938, 45, 2) == pytest.approx(9.38 * (1 + 0.00393 * 25))


@pytest.mark.parametrize(
    ("length_m", "r20_ohm_per_m", "pairs"),
    [(-1, 0.1, 2), (1, -0.1, 2), (math.nan, 0.1, 2), (math.inf, 0.1, 4), (1, 0.1, 3)],
)
def test_impossible_loops_are_errors(length_m: float, r20_ohm_per_m: float, pairs: int) -> None:
    with pytest.raises(ValueError, match="expected"):
        loop_resistance_ohm(length_m, r20_ohm_per_m, 20, pairs)
