"""Lead-acid batteries: ageing, temperature and rate of discharge, and the hours that a load is held."""

from __future__ import annotations

from typing import Final

from riserkit.standards.source import COMMON_PRACTICE, Limit, Source

SIZING: Final = Source("IEEE 485", clause="ageing and temperature correction", confidence="verified")

AGEING: Final = Limit(1.25, "of the capacity needed", SIZING)
"""A battery is replaced at 80 % of its capacity, and has to hold its load until then."""
PEUKERT_EXPONENT: Final = Limit(1.25, "", COMMON_PRACTICE)
"""Sealed lead-acid batteries lie between 1.0 and 1.4, most at 1.15 to 1.25; the upper end holds for a bad one."""
RATED_C: Final = Limit(25.0, "°C", SIZING)
"""A battery gives all its ampere-hours from here on; see `temperature_factor`."""
RATED_HOURS: Final = Limit(20.0, "h", COMMON_PRACTICE)
"""Hours of discharge for which small batteries state their ampere-hours."""


def temperature_factor(temp_c: float) -> float:
    """How much more capacity is needed at a temperature; 1 at 25 °C and above, where nothing is given away.

    Source: IEEE 485, cubic in temperature (verified; recomputed against the values of its table).

    Examples:
        >>> [round(temperature_factor(c), 3) for c in (25, 20, 15.6, 10, 4.4, 0)]
        [1.0, 1.051, 1.107, 1.195, 1.303, 1.405]
    """
    x = temp_c / 100
    return max(1.0, -2.8117 * x**3 + 4.1916 * x**2 - 2.4941 * x + 1.405)


def ups_current_a(load_w: float, efficiency: float, end_v: float) -> float:
    """Current out of a UPS's battery at the end of its discharge, where it is highest."""
    return load_w / (efficiency * end_v)


def peukert_h(capacity_ah: float, current_a: float, rated_h: float, exponent: float) -> float:
    """Hours until a battery is spent; fewer ampere-hours come out of it the faster it is discharged.

    Examples:
        >>> round(60 * peukert_h(7.2, 0.17 * 425 / 12, 20, 1.15), 1)
        47.0
    """
    hours: float = rated_h * (capacity_ah / (current_a * rated_h)) ** exponent
    return hours


def held_h(capacity_ah: float, current_a: float, temp_c: float) -> float:
    """Hours that an aged battery holds a steady load at a temperature; a slow discharge is given no more than its Ah.

    Args:
        capacity_ah: stated by the battery, at `RATED_HOURS`.
        current_a: mean of the load; above 0.
        temp_c: of the battery.
    """
    usable_ah = capacity_ah / (AGEING.value * temperature_factor(temp_c))
    return min(usable_ah / current_a, peukert_h(usable_ah, current_a, RATED_HOURS.value, PEUKERT_EXPONENT.value))
