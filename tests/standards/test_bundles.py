"""Ampacity in bundles: edges of the table."""

from __future__ import annotations

import math

import pytest

from riserkit.standards.bundles import (
    ambient_factor,
    ampacity_a,
    ampacity_required,
    bundle_rise_k,
    limited_power_a,
    table_rating_c,
)
from riserkit.standards.source import NotTabulatedError


@pytest.mark.parametrize(("low", "high"), [(7, 8), (19, 20), (37, 38), (61, 62), (91, 92)])
def test_one_cable_more_moves_to_the_next_column(low: int, high: int) -> None:
    assert ampacity_a(24, low) > ampacity_a(24, high)


@pytest.mark.parametrize(
    ("awg", "bundle", "rating_c"), [(24, 193, 60), (26, 92, 60), (28, 1, 60), (20, 1, 60), (24, 1, 70)]
)
def test_what_is_left_to_engineering_supervision_gives_no_verdict(awg: int, bundle: int, rating_c: int) -> None:
    with pytest.raises(NotTabulatedError, match="engineering supervision"):
        ampacity_a(awg, bundle, rating_c)


def test_warm_surroundings_take_from_the_ampacity() -> None:
    assert ambient_factor(30, 60) == 1.0
    assert ambient_factor(10, 60) == 1.0
    assert ambient_factor(45, 60) == pytest.approx(math.sqrt(0.5))
    assert ambient_factor(60, 60) == 0.0
    assert ambient_factor(70, 60) == 0.0
    assert ampacity_a(24, 7, 60, 45) == pytest.approx(1.19 * math.sqrt(0.5))


def test_half_the_conductors_loaded_carry_more() -> None:
    assert ampacity_a(23, 19, 60, half_loaded=True) == pytest.approx(0.89 * 1.4)


def test_small_currents_in_thick_enough_cable_need_no_table() -> None:
    assert not ampacity_required(23, 0.3)
    assert ampacity_required(23, 0.301)
    assert ampacity_required(26, 0.3)


def test_impossible_bundles_are_errors() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        ampacity_a(24, 0)
    with pytest.raises(ValueError, match="finite"):
        ampacity_a(24, 1, 60, math.nan)


def test_the_rise_grows_with_the_current_squared_up_to_the_table() -> None:
    """At the table's own current a 60 °C cable is 30 K above the table's 30 °C; at half of it a quarter of that."""
    assert bundle_rise_k(24, 37, 0.63) == pytest.approx(30)
    assert bundle_rise_k(24, 37, 0.315) == pytest.approx(7.5)
    assert bundle_rise_k(24, 37, 0.315, half_loaded=True) == pytest.approx(7.5 / 1.4**2)


def test_a_rating_between_two_columns_takes_the_lower() -> None:
    assert [table_rating_c(c) for c in (None, 60, 74.9, 75, 105)] == [60, 60, 60, 75, 90]
    with pytest.raises(NotTabulatedError):
        table_rating_c(59)


@pytest.mark.parametrize(
    ("jacket", "a"), [("CMP-LP (0.5 A)", 0.5), ("cmr-lp(0.6A)", 0.6), ("CMP", None), ("CMP-LP", None)]
)
def test_a_limited_power_mark_states_its_current(jacket: str, a: float | None) -> None:
    assert limited_power_a(jacket) == a
