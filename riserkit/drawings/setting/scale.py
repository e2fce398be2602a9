"""Scales of elevations, and lengths on them in the site's units."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from riserkit.quantities.printed import UnitSystem

_INCH_M: Final = 0.0254
_EIGHTHS: Final = 8


class DrawingScale(NamedTuple):
    """A scale: real length over length on paper, and how it is written."""

    ratio: int
    text: str


# ISO 5455 gives 1:20 and 1:50 (from memory); 1:25 is common practice for door elevations, no source.
METRIC_SCALES: Final = (
    DrawingScale(20, "1:20"),
    DrawingScale(25, "1:25"),
    DrawingScale(50, "1:50"),
    DrawingScale(100, "1:100"),
)
# Architects' scales of inches to the foot (common practice, no source).
IMPERIAL_SCALES: Final = (
    DrawingScale(24, '1/2" = 1\'-0"'),
    DrawingScale(32, '3/8" = 1\'-0"'),
    DrawingScale(48, '1/4" = 1\'-0"'),
    DrawingScale(96, '1/8" = 1\'-0"'),
)


def scales_of(unit_system: UnitSystem) -> tuple[DrawingScale, ...]:
    """The scales of a unit system, the largest drawing first."""
    return IMPERIAL_SCALES if unit_system == "imperial" else METRIC_SCALES


def length_text(length_m: float, unit_system: UnitSystem) -> str:
    r"""A builder's length: whole millimetres without a unit, or feet and inches to an eighth.

    Examples:
        >>> length_text(1.143, "metric"), length_text(1.143, "imperial"), length_text(2.134, "imperial")
        ('1143', '3\'-9"', '7\'-0"')
        >>> length_text(0.915, "imperial"), length_text(0.0254 * 40.25, "imperial")
        ('3\'-0"', '3\'-4 1/4"')
    """
    if unit_system == "metric":
        return f"{length_m * 1000:.0f}"
    eighths = round(length_m / _INCH_M * _EIGHTHS)
    feet, rest = divmod(eighths, 12 * _EIGHTHS)
    inches, part = divmod(rest, _EIGHTHS)
    fraction = f" {Fraction(part, _EIGHTHS)}" if part else ""
    return f"{feet}'-{inches}{fraction}\""
