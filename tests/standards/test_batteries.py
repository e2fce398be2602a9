"""Batteries against published worked examples and values."""

import pytest

from riserkit.standards.batteries import held_h, peukert_h, temperature_factor, ups_current_a


def test_ups_battery_with_ageing_and_design_margin():
    """A course's worked example (secondary): 10 kVA at 0.8, 85 %, 189 V spent, 0.5 h, 1.25 and 1.1: 34.24 Ah."""
    amps = ups_current_a(10_000 * 0.8, 0.85, 108 * 1.75)
    assert 1.25 * 1.1 * amps * 0.5 == pytest.approx(34.24, abs=0.005)


def test_discharge_faster_than_rated():
    """A published worked example (secondary): 7.2 Ah at 20 h, exponent 1.15, 17 % of 425 W at 12 V: 47.0 min."""
    assert 60 * peukert_h(7.2, 0.17 * 425 / 12, 20, 1.15) == pytest.approx(47.0, abs=0.05)


@pytest.mark.parametrize(
    ("temp_c", "factor"), [(25, 1.0), (20, 1.056), (15.6, 1.11), (10, 1.19), (4.4, 1.30), (0, 1.40)]
)
def test_temperature_factor(temp_c, factor):
    """IEEE 485's table (its numbers from memory); the cubic lies within 0.6 % of it, which is its printed rounding."""
    assert temperature_factor(temp_c) == pytest.approx(factor, rel=0.006)


def test_a_warm_battery_is_given_nothing():
    assert temperature_factor(25) == temperature_factor(30) == temperature_factor(40) == 1.0


def test_a_slow_discharge_yields_the_stated_capacity_and_a_fast_one_less():
    usable_ah = 7.0 / 1.25
    assert held_h(7.0, usable_ah / 20, 25) == pytest.approx(20)
    assert held_h(7.0, usable_ah / 40, 25) == pytest.approx(40), "no more than its Ah, however slow"
    assert held_h(7.0, usable_ah / 2, 25) < 2
