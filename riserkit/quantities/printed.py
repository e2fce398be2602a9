"""Numbers with their unit as people read them: the edge where SI values become text."""

from __future__ import annotations

import math
from typing import Final, Literal

from riserkit.quantities.stated import UNITS

UnitSystem = Literal["metric", "imperial"]

_FT_M: Final = UNITS["m"]["ft"]
# Decimals by unit. Zeros at the end are kept for volts and amperes, where they tell how exactly a value is meant.
_DECIMALS: Final = {"V": 1, "A": 2, "W": 2, "ohm": 2, "%": 0, "°C": 0, "°F": 0, "m": 1, "ft": 0}
_KEEPS_ZEROS: Final = frozenset({"V", "A"})
# From here on two numbers are the same to every rule (a nanometre, a nanovolt).
_ALIKE: Final = 1e-9
_MOST_DECIMALS: Final = 12


def upper_first(text: str) -> str:
    """A phrase as it begins a sentence.

    Examples:
        >>> upper_first("lock AC, which is dry"), upper_first("")
        ('Lock AC, which is dry', '')
    """
    return f"{text[:1].upper()}{text[1:]}"


def format_length(length_m: float, unit_system: UnitSystem = "metric") -> str:
    """A length in the site's units.

    Examples:
        >>> format_length(71), format_length(71, "imperial"), format_length(90.44), format_length(0.6, "imperial")
        ('71 m', '233 ft', '90.4 m', '2 ft')
    """
    return format_value(length_m, "m", unit_system)


def format_value(value: float, unit: str, unit_system: UnitSystem = "metric") -> str:
    """A number in SI with its unit, as printed; metres and degrees Celsius follow the unit system.

    Args:
        value: in `unit`.
        unit: `V`, `A`, `W`, `ohm`, `m`, `%`, `°C`; anything else, such as `ports`, is a count or a plain word.
        unit_system: the site's.

    Examples:
        >>> format_value(11.3, "V"), format_value(0.6, "A"), format_value(0.025, "A"), format_value(12.95, "W")
        ('11.3 V', '0.60 A', '0.025 A', '12.95 W')
        >>> format_value(40, "°C", "imperial"), format_value(38.2, "%"), format_value(3, "ports")
        ('104 °F', '38 %', '3 ports')
    """
    value, unit = _converted(value, unit, unit_system)
    return _text(value, unit, _decimals(value, unit))


def format_pair(
    value: float, limit: float, unit: str, unit_system: UnitSystem = "metric", least_decimals: int = 0
) -> tuple[str, str]:
    """A value and its limit, with as many decimals as it takes to tell them apart: rounding hides no failure.

    Args:
        value: in `unit`, SI.
        limit: as the value.
        unit: as in `format_value`.
        unit_system: the site's.
        least_decimals: at least as many, where a text states all its numbers alike.

    Examples:
        >>> format_pair(90.02, 90, "m"), format_pair(90, 90, "m"), format_pair(0.7000004, 0.7, "A")
        (('90.02 m', '90 m'), ('90 m', '90 m'), ('0.7000004 A', '0.7000000 A'))
    """
    alike = abs(value - limit) <= _ALIKE
    shown, unit_text = _converted(limit if alike else value, unit, unit_system)
    limit_shown, _ = _converted(limit, unit, unit_system)
    decimals = max(_decimals(shown, unit_text), _decimals(limit_shown, unit_text), least_decimals)
    pair = _text(shown, unit_text, decimals), _text(limit_shown, unit_text, decimals)
    while pair[0] == pair[1] and not alike and decimals < _MOST_DECIMALS:
        decimals += 1
        pair = _text(shown, unit_text, decimals), _text(limit_shown, unit_text, decimals)
    return pair


def format_at_most(value: float, unit: str, unit_system: UnitSystem = "metric") -> str:
    """A greatest value for a crew: rounded down, so that following it to the letter is safe.

    Examples:
        >>> format_at_most(6.39, "m"), format_at_most(25.6, "m", "imperial")
        ('6.3 m', '83.9 ft')
    """
    return _rounded(value, unit, unit_system, up=False)


def format_at_least(value: float, unit: str, unit_system: UnitSystem = "metric") -> str:
    """A least value for a crew: rounded up.

    Examples:
        >>> format_at_least(3.401, "A"), format_at_least(12.0, "V")
        ('3.41 A', '12.0 V')
    """
    return _rounded(value, unit, unit_system, up=True)


def _rounded(value: float, unit: str, system: UnitSystem, *, up: bool) -> str:
    value, unit = _converted(value, unit, system)
    decimals = _decimals(value, unit)
    scaled = value * 10**decimals
    # 12.000000000001 V is 12 V from a sum of decimals, not a reason to print 12.1 V.
    whole = math.ceil(scaled - 1e-6) if up else math.floor(scaled + 1e-6)
    return _text(whole / 10**decimals, unit, decimals)


def _converted(value: float, unit: str, system: UnitSystem) -> tuple[float, str]:
    if system == "imperial":
        if unit == "m":
            return value / _FT_M, "ft"
        if unit == "°C":
            return value * 1.8 + 32, "°F"
    return value, unit


def _decimals(value: float, unit: str) -> int:
    if unit == "A" and 0.0005 <= abs(value) < 0.1:
        return 3
    if unit == "ft" and abs(value) < 100:
        return 1
    return _DECIMALS.get(unit, 2)


def _text(value: float, unit: str, decimals: int) -> str:
    number = f"{value:.{decimals}f}"
    if float(number) == 0:
        number = number.removeprefix("-")
    if unit not in _KEEPS_ZEROS and "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {unit}" if unit else number
