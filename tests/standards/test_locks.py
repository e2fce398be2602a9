"""Lock voltage limits and habits of the trade (common practice, no source, unless said)."""

from __future__ import annotations

import pytest

from riserkit.standards import locks


def test_lock_voltage_limits_are_85_to_110_percent() -> None:
    # UL 1034 operating voltage, from memory.
    assert locks.lock_voltage_limits_v(12.0) == pytest.approx((10.2, 13.2))
    assert locks.V_TOLERANCE_LOW.source.confidence == "from memory"


def test_a_floating_battery_stresses_a_24_v_lock() -> None:
    # Common practice: 27.4 V at float is over 110 % of 24 V, which is why a rule checks the upper side too.
    assert locks.BATTERY_FLOAT_V[24] > locks.lock_voltage_limits_v(24.0)[1]
    assert locks.BATTERY_END_V[24] == 2 * locks.BATTERY_END_V[12]


def test_heights_are_ranges_above_the_floor() -> None:
    for low_m, high_m in (place.heights_m for place in locks.DEVICE_PLACES.values() if place.heights_m):
        assert 0.9 < low_m <= high_m < 1.3
    for kind in ("manual-release", "exit-switch"):
        assert locks.DEVICE_PLACES[kind].heights_m == pytest.approx((1.016, 1.2192))


def test_every_device_goes_by_the_floor_or_by_the_head() -> None:
    for place in locks.DEVICE_PLACES.values():
        assert (place.heights_m is None) != (place.above_head_m is None)
        assert place.where
    assert locks.DEVICE_PLACES["rex-sensor"].height_m(2.1) == pytest.approx(2.25)


@pytest.mark.parametrize("rated_v", [0.0, -12.0, float("nan")])
def test_impossible_ratings_are_errors(rated_v: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        locks.lock_voltage_limits_v(rated_v)


def test_habits_of_the_trade() -> None:
    # Common practice, no source.
    assert locks.OUTPUT_LIMIT_A.value == 0.6
    assert (locks.SLACK_CLOSET_M.value, locks.SLACK_OPENING_M.value) == (3.0, 1.0)
    assert locks.PLUG_HOLE_MIN_M.value == 0.025
    assert (dict(locks.BATTERY_FLOAT_V), dict(locks.BATTERY_END_V)) == ({12: 13.7, 24: 27.4}, {12: 10.2, 24: 20.4})
    assert locks.DEVICE_PLACES["reader"].heights_m == pytest.approx((42 * 0.0254, 48 * 0.0254))
