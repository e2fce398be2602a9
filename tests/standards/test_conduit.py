"""Conduit fill: limits, and the sizes that follow."""

from __future__ import annotations

import math

import pytest

from riserkit.standards.conduit import (
    TRADE_SIZES,
    conduit_size,
    fill_fraction,
    fits,
    max_fill_fraction,
    smallest_trade_size,
)
from riserkit.standards.source import NotTabulatedError


def _diameter_for(fraction: float, n: int) -> float:
    """Diameter of each of n cables that fill a 1 in EMT to this share."""
    return 1.049 * 0.0254 * math.sqrt(fraction / n)


@pytest.mark.parametrize(("n", "limit"), [(1, 0.53), (2, 0.31), (3, 0.40), (20, 0.40)])
def test_fill_below_at_and_above_the_limit(n: int, limit: float) -> None:
    assert max_fill_fraction(n) == limit
    at_limit = [_diameter_for(limit, n)] * n
    assert fill_fraction(at_limit, "EMT", "1") == pytest.approx(limit, rel=1e-12)
    assert fits(at_limit, "EMT", "1")
    assert fits([_diameter_for(limit * 0.999, n)] * n, "EMT", "1")
    assert not fits([_diameter_for(limit * 1.001, n)] * n, "EMT", "1")


def test_an_empty_conduit_fits_nothing_too() -> None:
    assert fits([], "EMT", "1/2")
    assert fill_fraction([], "EMT", "1/2") == 0
    with pytest.raises(ValueError, match="at least 1"):
        max_fill_fraction(0)


def test_smallest_size_holds_and_the_next_smaller_does_not() -> None:
    for count in (1, 2, 5, 12, 40, 100):
        cables = [0.0061] * count
        size = smallest_trade_size(cables, "PVC40")
        assert size is not None
        assert fits(cables, "PVC40", size)
        place = TRADE_SIZES.index(size)
        assert place == 0 or not fits(cables, "PVC40", TRADE_SIZES[place - 1])


def test_too_much_for_any_size() -> None:
    assert smallest_trade_size([0.02] * 100, "EMT") is None


@pytest.mark.parametrize("text", ["1-1/4", "1 1/4", "1-1/4 in", '1-1/4"', " 1 1/4 IN "])
def test_ways_to_write_a_trade_size(text: str) -> None:
    assert conduit_size("emt", text).trade_size == "1-1/4"


@pytest.mark.parametrize(("kind", "size"), [("EMT", "5/8"), ("EMT", ""), ("EMT", "21"), ("ENT", "1"), ("", "1")])
def test_what_the_table_does_not_hold_is_named(kind: str, size: str) -> None:
    with pytest.raises(NotTabulatedError, match="expected one of"):
        conduit_size(kind, size)


@pytest.mark.parametrize("diameter_m", [0.0, -0.01, math.nan, math.inf])
def test_impossible_cables_are_errors(diameter_m: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        fill_fraction([0.006, diameter_m], "EMT", "1")
