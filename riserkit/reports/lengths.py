"""Lengths in the site's unit system, with the unit in the column's name."""

from __future__ import annotations

from typing import Final

from riserkit.quantities.printed import UnitSystem
from riserkit.quantities.stated import UNITS

FT_M: Final = UNITS["m"]["ft"]
_DECIMALS: Final = 1


def length_column(name: str, system: UnitSystem) -> str:
    """A column's name with its unit.

    Examples:
        >>> length_column("length", "metric"), length_column("slack", "imperial")
        ('length_m', 'slack_ft')
    """
    return f"{name}_{'ft' if system == 'imperial' else 'm'}"


def length_cell(length_m: float | None, system: UnitSystem) -> float | None:
    """A length as under `length_column`, to a tenth; None stays None.

    Examples:
        >>> length_cell(71.04, "metric"), length_cell(71.04, "imperial"), length_cell(None, "metric")
        (71.0, 233.1, None)
    """
    if length_m is None:
        return None
    return round(length_m / FT_M if system == "imperial" else length_m, _DECIMALS)
