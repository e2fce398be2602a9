"""Quantities at the edge: text with a unit in, one SI number out.

A bare number is taken in the unit that the field's name ends in, so `length_m` with 42 is 42 metres. Text with a
unit is converted: `138 ft`, `138'-6"`, `500 mA`, `12.5 mH`. The factors are exact by definition (international foot
0.3048 m, inch 0.0254 m, yard 0.9144 m, degree Fahrenheit:
NIST SP 811, appendix B.8).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_FT: Final = 0.3048
_MOST_CHARS: Final = 60
"""No quantity takes more letters; the patterns below are never tried on a cell of a megabyte."""
_IN: Final = 0.0254

# Unit symbols by the quantity's own field suffix, each spelled as users type it.
UNITS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        "m": {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": _FT, "feet": _FT, "foot": _FT, "'": _FT,
              "in": _IN, "inch": _IN, "inches": _IN, '"': _IN, "yd": 0.9144, "metre": 1.0, "metres": 1.0,
              "meter": 1.0, "meters": 1.0},
        "v": {"V": 1.0, "mV": 1e-3, "kV": 1e3, "VDC": 1.0, "V DC": 1.0},
        "a": {"A": 1.0, "mA": 1e-3, "uA": 1e-6, "μA": 1e-6},
        "w": {"W": 1.0, "mW": 1e-3, "kW": 1e3},
        "ohm": {"ohm": 1.0, "ohms": 1.0, "Ω": 1.0, "mohm": 1e-3, "mΩ": 1e-3, "kohm": 1e3, "kΩ": 1e3},
        "h": {"H": 1.0, "mH": 1e-3},
        "s": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "sec": 1.0},
        "ah": {"Ah": 1.0, "mAh": 1e-3},
        "j": {"J": 1.0, "mJ": 1e-3, "kJ": 1e3},
        "c": {"°C": 1.0, "C": 1.0, "degC": 1.0, "°F": math.nan, "F": math.nan, "degF": math.nan},
    }
)  # fmt: skip

_FRACTION = r"(?P<num{0}>\d{{1,3}})/(?P<den{0}>\d{{1,3}})"
# 6, 6.5, 6 1/2, 6-1/2 or 1/2; what is between keeps 61/2 from being read as 6 1/2
_INCHES = rf"(?:(?P<inch>\d+(?:\.\d+)?)(?:[\s-]+{_FRACTION.format('')})?|{_FRACTION.format('_only')})"
_INCH_SIGN = r"""\s*(?:"|in\.?|inch|inches)"""
_FEET_INCHES = re.compile(
    rf"^(?P<sign>-)?(?P<ft>\d+(?:\.\d+)?)\s*(?:'|ft\.?)\s*-?\s*(?:{_INCHES}(?:{_INCH_SIGN})?)?$",
    re.IGNORECASE | re.ASCII,
)
_ONLY_INCHES = re.compile(rf"^(?P<sign>-)?{_INCHES}{_INCH_SIGN}$", re.IGNORECASE | re.ASCII)
_NUMBER_UNIT = re.compile(
    r"^(?P<number>[+-]?(?:\d+(?:[.,]\d+)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s].*)?$", re.ASCII
)
_THOUSAND = re.compile(r"^[+-]?[1-9]\d{0,2},\d{3}$", re.ASCII)
_GAUGE_AWG = re.compile(r"^(?:AWG\s*#?(?P<a>\d{1,2})|#?(?P<b>\d{1,2})\s*(?:AWG|ga))$", re.IGNORECASE | re.ASCII)
_PER_CENT = re.compile(r"^(?:±|\+/-|\+-|\+)?\s*(?P<number>\d{1,3}(?:[.,]\d+)?)\s*%$", re.ASCII)
_GAUGE_MM2 = re.compile(r"^(?P<n>\d+(?:[.,]\d+)?)\s*(?:mm2|mm²|mm\^2|sqmm)$", re.IGNORECASE | re.ASCII)
# Primes, curly quotes, minus and hard spaces as word processors write them, and signs that Unicode has twice. Full
# compatibility normalisation would go too far: it makes 52 of 5².
_PLAIN_SIGNS: Final = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "\u00a0": " ", "\u202f": " ",
     "\u00b5": "μ", "\u2126": "Ω", "℃": "°C", "℉": "°F"}
)  # fmt: skip

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
        "j": "10 or 10 J",
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
        if len(value) > _MOST_CHARS:
            raise ValueError(f"expected {EXAMPLES[suffix]}")
        number, unit = _split(value.translate(_PLAIN_SIGNS).strip(), suffix)
    else:
        number, unit = _as_float(value, suffix), ""
    result = _convert(number, unit or bare_unit, suffix)
    if not math.isfinite(result):
        raise ValueError(f"expected a finite number: {EXAMPLES[suffix]}")
    return result


def unit_named(name: str, suffix: str) -> str:
    """The unit of the quantity `suffix` that a header's last word names, such as `ft`; empty when it names none.

    Headers carry no case worth reading, so `draw_ma` is milliamperes.
    """
    return next((unit for unit in UNITS[suffix] if unit.lower() == name.lower() and unit.isalpha()), "")


def _as_float(value: float, suffix: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise ValueError(f"expected a finite number: {EXAMPLES[suffix]}") from None


def _split(text: str, suffix: str) -> tuple[float, str]:
    if suffix == "m" and (match := _FEET_INCHES.match(text) or _ONLY_INCHES.match(text)):
        return _feet_inches_m(match), "m"
    match = _NUMBER_UNIT.match(text)
    if match is None:
        raise ValueError(f"expected {EXAMPLES[suffix]}")
    if _THOUSAND.match(match["number"]):
        whole, part = match["number"].split(",")
        raise ValueError(f"could be {whole}{part} or {whole}.{part}; expected one of these, without a comma")
    return float(match["number"].replace(",", ".")), (match["unit"] or "").strip()


def _feet_inches_m(match: re.Match[str]) -> float:
    inches = float(match["inch"] or 0)
    numerator, denominator = match["num"] or match["num_only"], match["den"] or match["den_only"]
    if numerator:
        if int(denominator) == 0:
            raise ValueError(f"expected {EXAMPLES['m']}")
        inches += int(numerator) / int(denominator)
    length_m = float(match.groupdict().get("ft") or 0) * _FT + inches * _IN
    return -length_m if match["sign"] else length_m


def _convert(number: float, unit: str, suffix: str) -> float:
    if not unit:
        return number
    if suffix == "c" and unit.lower() in {"°f", "f", "degf"}:
        return round((number - 32.0) / 1.8, 10)
    units = UNITS[suffix]
    for spelled in (unit, unit.rstrip(".")):
        if spelled in units:
            return number * units[spelled]
    folded = [(name, factor) for name, factor in units.items() if name.lower() == unit.rstrip(".").lower()]
    # Case makes no difference except to mega against milli: 5 MW is not 5 mW. Nobody means a megametre.
    if len(folded) == 1 and (suffix == "m" or not (unit[0] == "M" and folded[0][0][0] == "m")):
        return number * folded[0][1]
    raise ValueError(f"unit {unit!r} is not one of {', '.join(units)}; expected {EXAMPLES[suffix]}")


def parse_share(value: object) -> object:
    """A fraction of one from per cent as data sheets write it; what is no such text is left as it is.

    Examples:
        >>> parse_share("15 %"), parse_share("±10%"), parse_share("+/- 7,5 %"), parse_share("0.15")
        (0.15, 0.1, 0.075, '0.15')
    """
    if not isinstance(value, str) or len(value) > _MOST_CHARS:
        return value
    match = _PER_CENT.match(value.translate(_PLAIN_SIGNS).strip())
    return float(match["number"].replace(",", ".")) / 100 if match else value


def parse_gauge(value: object) -> str:
    """Normalise a conductor size to `18 AWG` or `0.75 mm2`.

    Examples:
        >>> parse_gauge("awg 18"), parse_gauge("0,75 mm²")
        ('18 AWG', '0.75 mm2')
    """
    text = value.translate(_PLAIN_SIGNS).strip() if isinstance(value, str) and len(value) <= _MOST_CHARS else ""
    if match := _GAUGE_AWG.match(text):
        number = int(match["a"] or match["b"])
        if 1 <= number <= 30:
            return f"{number} AWG"
    elif match := _GAUGE_MM2.match(text):
        area_mm2 = float(match["n"].replace(",", "."))
        if 0.05 <= area_mm2 <= 50:
            return f"{area_mm2:g} mm2"
    raise ValueError("expected a conductor size such as 18 AWG or 0.75 mm2")
