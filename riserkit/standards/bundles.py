"""Current per conductor in bundles of four-pair cables that carry power."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import NotTabulatedError, Source

AMPACITY: Final = Source("NEC", "2023", "Table 725.144", "verified")
AMBIENT_CORRECTION: Final = Source("NEC", "2023", "725.144(A) and equation 310.15(B)", "verified")
LIMITED_POWER: Final = Source("NEC", "2023", "725.144(B)", "from memory")
RISE: Final = Source("NEC", "2023", "Table 725.144 and equation 310.15(B)", "consistent")
EXEMPT_A: Final = 0.3  # rated current of any conductor of 24 AWG or thicker
HALF_LOADED_FACTOR: Final = 1.4
TABLE_AMBIENT_C: Final = 30.0
_LEAST_RATING_C: Final = 60
_RATINGS_C: Final = (60, 75, 90)
_LIMITED_POWER_MARK: Final = re.compile(r"-LP\s*\(\s*(\d+(?:\.\d+)?)\s*A\s*\)")

# Largest bundle of each column.
BUNDLE_SIZES: Final = (7, 19, 37, 61, 91, 192)

# Gauge, temperature rating °C: A per conductor by column, 30 °C ambient, all conductors loaded; None is printed NA.
AMPACITY_A: Final[Mapping[int, Mapping[int, tuple[float | None, ...]]]] = MappingProxyType(
    {
        26: MappingProxyType({
            60: (1.00, 0.71, 0.55, 0.46, 0.45, None),
            75: (1.23, 0.87, 0.68, 0.57, 0.55, None),
            90: (1.42, 1.02, 0.78, 0.67, 0.64, None),
        }),
        24: MappingProxyType({
            60: (1.19, 0.81, 0.63, 0.55, 0.46, 0.40),
            75: (1.46, 1.01, 0.78, 0.67, 0.56, 0.48),
            90: (1.69, 1.17, 0.91, 0.78, 0.65, 0.55),
        }),
        23: MappingProxyType({
            60: (1.24, 0.89, 0.77, 0.66, 0.58, 0.45),
            75: (1.53, 1.11, 0.95, 0.80, 0.71, 0.55),
            90: (1.78, 1.28, 1.10, 0.93, 0.82, 0.63),
        }),
        22: MappingProxyType({
            60: (1.50, 1.04, 0.77, 0.66, 0.62, 0.53),
            75: (1.86, 1.28, 0.95, 0.82, 0.77, 0.63),
            90: (2.16, 1.49, 1.11, 0.96, 0.89, 0.72),
        }),
    }
)  # fmt: skip


def ampacity_required(awg: int, i_a: float) -> bool:
    """Whether the table applies: not to 24 AWG and thicker at no more than 0.3 A per conductor.

    Examples:
        >>> ampacity_required(24, 0.3), ampacity_required(24, 0.31), ampacity_required(26, 0.1)
        (False, True, True)
    """
    return awg > 24 or i_a > EXEMPT_A * (1 + 1e-12)


def ampacity_a(
    awg: int, bundle: int, rating_c: int = 60, ambient_c: float = TABLE_AMBIENT_C, half_loaded: bool = False
) -> float:
    """Greatest current per conductor.

    Args:
        awg: 22, 23, 24 or 26.
        bundle: cables in the bundle, 1 to 192.
        rating_c: temperature rating of the cable, 60, 75 or 90.
        ambient_c: ambient temperature; above 30 °C the value is less, below it that of the table.
        half_loaded: only half the conductors of each cable carry current.

    Raises:
        NotTabulatedError: a gauge, bundle or rating that the table leaves to engineering supervision.
        ValueError: fewer than one cable, or an ambient that is no number.

    Examples:
        >>> ampacity_a(24, 37), ampacity_a(23, 8, 75), round(ampacity_a(24, 7, 60, 45), 3)
        (0.63, 1.11, 0.841)
    """
    value_a = _table_a(awg, bundle, rating_c)
    return value_a * ambient_factor(ambient_c, rating_c) * (HALF_LOADED_FACTOR if half_loaded else 1.0)


def ambient_factor(ambient_c: float, rating_c: float) -> float:
    """Factor on the ampacity, sqrt((rating - ambient) / (rating - 30)), 1 up to 30 °C and 0 from the rating on."""
    if not math.isfinite(ambient_c):
        raise ValueError(f"ambient of {ambient_c} °C; expected a finite number")
    if ambient_c <= TABLE_AMBIENT_C:
        return 1.0
    return math.sqrt(max(rating_c - ambient_c, 0.0) / (rating_c - TABLE_AMBIENT_C))


def bundle_rise_k(awg: int, bundle: int, i_a: float, half_loaded: bool = False) -> float:
    """How much warmer than its surroundings the hottest conductor of a bundle gets.

    The table's current is the one that takes a conductor from 30 °C to its rating; the heat in it grows with the square of
    the current, which is also how equation 310.15(B) corrects for a warmer place. So the rise at another current follows.
    The three ratings of the table give one rise within 5 %, beside the two decimals that it prints.

    Args:
        awg: 22, 23, 24 or 26.
        bundle: cables in the bundle, 1 to 192.
        i_a: per conductor that carries current, in every cable of the bundle.
        half_loaded: only half the conductors of each cable carry current.

    Raises:
        NotTabulatedError: a gauge or bundle that the table leaves to engineering supervision.

    Examples:
        >>> round(bundle_rise_k(23, 91, 0.3), 1), round(bundle_rise_k(24, 7, 1.19), 1)
        (8.0, 30.0)
    """
    limit_a = ampacity_a(awg, bundle, _LEAST_RATING_C, half_loaded=half_loaded)
    return (_LEAST_RATING_C - TABLE_AMBIENT_C) * (i_a / limit_a) ** 2


def table_rating_c(rating_c: float | None) -> int:
    """The column of the table for a cable's marked rating: the next lower one, 60 °C for an unmarked cable.

    Raises:
        NotTabulatedError: a rating below 60 °C.

    Examples:
        >>> table_rating_c(None), table_rating_c(80), table_rating_c(90)
        (60, 75, 90)
    """
    found = [row for row in _RATINGS_C if rating_c is None or row <= rating_c]
    if not found:
        raise NotTabulatedError(f"cable rated {rating_c} °C; the table begins at {_LEAST_RATING_C} °C")
    return _LEAST_RATING_C if rating_c is None else max(found)


def limited_power_a(jacket: str) -> float | None:
    """The current per conductor that a limited-power mark grants, such as 0.5 A of `CMP-LP (0.5 A)`; None without one.

    Examples:
        >>> limited_power_a("CMP-LP (0.5 A)"), limited_power_a("CMP"), limited_power_a("CMR-LP")
        (0.5, None, None)
    """
    match = _LIMITED_POWER_MARK.search(jacket.upper())
    return float(match[1]) if match else None


def _table_a(awg: int, bundle: int, rating_c: int) -> float:
    if bundle < 1:
        raise ValueError(f"bundle of {bundle} cables; expected at least 1")
    row = AMPACITY_A.get(awg, {}).get(rating_c)
    column = next((index for index, size in enumerate(BUNDLE_SIZES) if bundle <= size), None)
    value_a = row[column] if row is not None and column is not None else None
    if value_a is None:
        raise NotTabulatedError(
            f"{awg} AWG, {bundle} cables, {rating_c} °C; the table holds 22, 23, 24 and 26 AWG at 60, 75 and 90 °C "
            "up to 192 cables (26 AWG: 91), the rest is left to engineering supervision"
        )
    return value_a
