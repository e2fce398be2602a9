"""Quantities at the edge: text with a unit in, one SI number out.

A bare number is taken in the unit that the field's name ends in, so `length_m` with 42 is 42 metres. Text with a
unit is converted: `138 ft`, `138'-6"`, `500 mA`, `12.5 mH`. Conversion factors are exact by definition
(international foot and inch: 0.3048 m and 0.0254 m, NIST SP 811 appendix B.8).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_FT: Final = 0.3048
_IN: Final = 0.0254

# Unit symbols by the quantity's own field suffix. The keys are compared without case except where case carries
# meaning (mA against MA, mW against MW), so each is spelled as users type it.
UNITS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        "m": {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": _FT, "feet": _FT, "foot": _FT, "'": _FT,
              "in": _IN, "inch": _IN, "inches": _IN, '"': _IN, "yd": 0.9144, "metres": 1.0, "meters": 1.0},
        "v": {"V": 1.0, "mV": 1e-3, "kV": 1e3, "VDC": 1.0},
        "a": {"A": 1.0, "mA": 1e-3, "uA": 1e-6, "µA": 1e-6},
        "w": {"W": 1.0, "mW": 1e-3, "kW": 1e3},
        "ohm": {"ohm": 1.0, "ohms": 1.0, "Ω": 1.0, "mohm": 1e-3, "mΩ": 1e-3, "kohm": 1e3, "kΩ": 1e3},
        "h": {"H": 1.0, "mH": 1e-3},
        "s": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "sec": 1.0},
        "ah": {"Ah": 1.0, "mAh": 1e-3},
        "n": {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605},
        "c": {"°C": 1.0, "C": 1.0, "degC": 1.0, "°F": math.nan, "F": math.nan, "degF": math.nan},
    }
)  # fmt: skip

_FEET_INCHES = re.compile(
    r"""^(?P<sign>-)?(?P<ft>\d+(?:\.\d+)?)\s*(?:'|ft|′)\s*-?\s*
        (?:(?P<inch>\d+(?:\.\d+)?)?(?:[\s-]*(?P<num>\d+)/(?P<den>\d+))?\s*(?:"|in|″))?$""",
    re.VERBOSE,
)
_NUMBER_UNIT = re.compile(r"^(?P<number>[+-]?(?:\d+(?:[.,]\d+)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s].*)?$")
_GAUGE_AWG = re.compile(r"^(?:AWG\s*#?(?P<a>\d{1,2})|#?(?P<b>\d{1,2})\s*(?:AWG|ga))$", re.IGNORECASE)
_GAUGE_MM2 = re.compile(r"^(?P<n>\d+(?:[.,]\d+)?)\s*(?:mm2|mm²|mm\^2|sqmm)$", re.IGNORECASE)

EXAMPLES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "m": "42, 42 m, 138 ft or 138'-6\"",
        "v": "12 or 12 V",
        "a": "0.5, 0.5 A or 500 mA",
        "w": "25 or 25 W",
        "ohm": "24 or 24 ohm",
        "h": "0.3, 0.3 H or 300 mH",
        "s": "30 or 30 s",
        "ah": "7 or 7 Ah",
        "n": "2700, 2700 N or 600 lbf",
        "c": "40, 40 °C or 104 °F",
    }
)


def parse_quantity(value: object, suffix: str, bare_unit: str = "") -> float:
    r"""Turn a cell or JSON value into a number in the SI unit named by `suffix`.

    Args:
        value: a number, or text with or without a unit.
        suffix: a key of `UNITS`, such as `m` or `a`.
        bare_unit: the unit of a number without one; empty means the SI unit itself.

    Raises:
        ValueError: with what would be accepted.

    Examples:
        >>> round(parse_quantity("138'-6\"", "m"), 4)
        42.2148
        >>> parse_quantity("500 mA", "a")
        0.5
        >>> parse_quantity("104 °F", "c")
        40.0
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueError(f"expected {EXAMPLES[suffix]}")
    if isinstance(value, str):
        number, unit = _split(value.strip(), suffix)
    else:
        number, unit = float(value), ""
    result = _convert(number, unit or bare_unit, suffix)
    if not math.isfinite(result):
        raise ValueError(f"expected a finite number: {EXAMPLES[suffix]}")
    return result


def _split(text: str, suffix: str) -> tuple[float, str]:
    if suffix == "m" and (match := _FEET_INCHES.match(text)):
        return _feet_inches_m(match), "m"
    match = _NUMBER_UNIT.match(text)
    if match is None:
        raise ValueError(f"expected {EXAMPLES[suffix]}")
    return float(match["number"].replace(",", ".")), (match["unit"] or "").strip()


def _feet_inches_m(match: re.Match[str]) -> float:
    inches = float(match["inch"] or 0)
    if match["num"]:
        if int(match["den"]) == 0:
            raise ValueError(f"expected {EXAMPLES['m']}")
        inches += int(match["num"]) / int(match["den"])
    length_m = float(match["ft"]) * _FT + inches * _IN
    return -length_m if match["sign"] else length_m


def _convert(number: float, unit: str, suffix: str) -> float:
    if not unit:
        return number
    if suffix == "c" and unit.lower() in {"°f", "f", "degf"}:
        return round((number - 32.0) / 1.8, 10)
    units = UNITS[suffix]
    if unit in units:
        return number * units[unit]
    folded = [factor for name, factor in units.items() if name.lower() == unit.lower()]
    if len(folded) == 1:
        return number * folded[0]
    raise ValueError(f"unit {unit!r} is not one of {', '.join(units)}; expected {EXAMPLES[suffix]}")


def parse_gauge(value: object) -> str:
    """Normalise a conductor size to `18 AWG` or `0.75 mm2`.

    Examples:
        >>> parse_gauge("awg 18"), parse_gauge("0,75 mm²")
        ('18 AWG', '0.75 mm2')
    """
    text = str(value).strip()
    if match := _GAUGE_AWG.match(text):
        number = int(match["a"] or match["b"])
        if 1 <= number <= 30:
            return f"{number} AWG"
    elif match := _GAUGE_MM2.match(text):
        area_mm2 = float(match["n"].replace(",", "."))
        if 0.05 <= area_mm2 <= 50:
            return f"{area_mm2:g} mm2"
    raise ValueError("expected a conductor size such as 18 AWG or 0.75 mm2")
