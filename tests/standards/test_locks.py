"""Habits of the trade (common practice, no source, unless said)."""

from __future__ import annotations

import pytest

from riserkit.standards import locks


def test_heights_are_ranges_above_the_floor() -> None:
    by_hand = (
        place.heights_m for kind, place in locks.DEVICE_PLACES.items() if place.heights_m and kind != "box-beside"
    )
    for low_m, high_m in by_hand:
        assert 0.9 < low_m <= high_m < 1.3
    low_m, high_m = locks.DEVICE_PLACES["box-beside"].heights_m or (0.0, 0.0)
    assert 1.3 < low_m <= high_m < 2.0
    for kind in ("manual-release", "exit-switch"):
        assert locks.DEVICE_PLACES[kind].heights_m == pytest.approx((1.016, 1.2192))


def test_every_device_goes_by_the_floor_or_by_the_head() -> None:
    for place in locks.DEVICE_PLACES.values():
        assert (place.heights_m is None) != (place.above_head_m is None)
        assert place.where
    assert locks.DEVICE_PLACES["rex-sensor"].height_m(2.1) == pytest.approx(2.25)


def test_habits_of_the_trade() -> None:
    # Common practice, no source.
    assert locks.SLACK_OPENING_M.value == 1.0
    assert locks.PLUG_HOLE_MIN_M.value == 0.025
    assert locks.DEVICE_PLACES["reader"].heights_m == pytest.approx((42 * 0.0254, 48 * 0.0254))
