"""Copper conductors: diameter, area and resistance by gauge, and how resistance follows temperature.

Which value is taken for a gauge:

* Solid AWG sizes are computed as standard annealed copper, within 0.3 % of the solid values of NEC chapter 9 table 8.
* Stranded ones from 18 to 10 AWG take the stranded value of that table, brought from its 75 °C back to 20 °C. Sizes that
  it does not hold take the solid value raised by the most that stranding adds in the table, 2.6 %.
* mm² sizes take the highest permitted of IEC 60228: class 1 where solid, class 5 (flexible) where stranded. Sizes that
  the table does not hold take resistivity over area, raised by the most that the table allows over it.
* Where nobody states the stranding the higher, stranded value is taken.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from riserkit.standards.source import Source

RESISTIVITY_20C_OHM_M: Final = 1.7241e-8
TEMPERATURE_COEFFICIENT_20C_PER_K: Final = 0.00393
IACS: Final = Source("NBS Handbook 100", "", "standard annealed copper", "verified")
AWG: Final = Source("NBS Handbook 100", "", "section 2.1, American wire gage", "verified")
NEC_TABLE_8: Final = Source("NEC", "", "chapter 9 table 8, uncoated stranded", "verified")
NEC_TABLE_8_MEMORY: Final = Source("NEC", "", "chapter 9 table 8, uncoated stranded", "from memory")
NEC_RAISED: Final = Source("NEC", "", "chapter 9 table 8, solid raised by 2.6 % for stranding", "consistent")
IEC_CLASS_5: Final = Source("IEC 60228", "", "table 3, class 5 plain copper", "verified")
IEC_RAISED: Final = Source("IEC 60228", "", "resistivity over area raised by 16 %", "consistent")
IEC_CLASS_1: Final = Source("IEC 60228", "", "table 1, class 1 plain copper", "verified")
IEC_SOLID_RAISED: Final = Source("IEC 60228", "", "resistivity over area raised by 7.5 %", "consistent")
Stranding = Literal["", "solid", "stranded"]
"""How a conductor is made; empty where nobody says."""

# Ohm per kilometre at 75 °C, uncoated copper: solid and stranded.
NEC_TABLE_8_SOLID_75C_OHM_PER_KM: Final[Mapping[int, float]] = MappingProxyType(
    {18: 25.5, 16: 16.0, 14: 10.1, 12: 6.34, 10: 3.984}
)
NEC_TABLE_8_STRANDED_75C_OHM_PER_KM: Final[Mapping[int, float]] = MappingProxyType(
    {18: 26.1, 16: 16.4, 14: 10.3, 12: 6.50, 10: 4.070}
)
# Ohm per kilometre at 20 °C, plain copper, highest permitted.
# Class 1 (solid) and class 2 (stranded, fixed) have the same maxima in these sizes.
IEC_60228_CLASS_2_OHM_PER_KM: Final[Mapping[float, float]] = MappingProxyType(
    {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08}
)
IEC_60228_CLASS_5_OHM_PER_KM: Final[Mapping[float, float]] = MappingProxyType(
    {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30}
)

_STRANDING_FACTOR: Final = 1.026
_CLASS_5_FACTOR: Final = 1.16
_CLASS_1_FACTOR: Final = 1.075
_AWG_RANGE: Final = range(-3, 41)  # 4/0, written -3, to 40: the gauge's own span
_AWG_REMEDIES: Final = (22, 20, 18, 16, 14, 12)
_MM2_REMEDIES: Final = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0)
_GAUGE: Final = re.compile(r"^(?P<number>\d+(?:\.\d+)?) (?P<unit>AWG|mm2)$", re.ASCII)


def awg_diameter_m(awg: int) -> float:
    """Diameter of a solid conductor in metres (36 AWG is 0.127 mm, each of 39 steps to 4/0 a ratio of 92^(1/39)).

    Args:
        awg: gauge number; 1/0 to 4/0 are 0 to -3.

    Raises:
        ValueError: outside 4/0 to 40 AWG.

    Examples:
        >>> round(awg_diameter_m(24) * 1000, 4)
        0.5106
    """
    if awg not in _AWG_RANGE:
        raise ValueError(f"AWG {awg} is outside the gauge; expected -3 (4/0) to 40")
    return float(0.127e-3 * 92.0 ** ((36 - awg) / 39))


def awg_area_mm2(awg: int) -> float:
    """Cross-section of a solid conductor in mm²; ValueError outside 4/0 to 40 AWG."""
    return math.pi / 4 * (awg_diameter_m(awg) * 1e3) ** 2


def conductor_area_mm2(gauge: str) -> float:
    """Cross-section of a conductor's copper in mm².

    Raises:
        ValueError: no gauge such as `18 AWG` or `0.75 mm2`.

    Examples:
        >>> round(conductor_area_mm2("18 AWG"), 3), conductor_area_mm2("0.75 mm2")
        (0.823, 0.75)
    """
    number, unit = _split(gauge)
    return awg_area_mm2(int(number)) if unit == "AWG" else number


def solid_resistance_per_m_20c_ohm(awg: int) -> float:
    """Resistance of a solid standard annealed copper conductor, ohm per metre at 20 °C.

    Examples:
        >>> round(solid_resistance_per_m_20c_ohm(24) * 1000, 2)
        84.21
    """
    return RESISTIVITY_20C_OHM_M / (awg_area_mm2(awg) * 1e-6)


@cache
def resistance_per_m_20c_ohm(gauge: str, stranding: Stranding = "") -> float:
    """Resistance of one conductor, ohm per metre at 20 °C, by the choice that this module's text states.

    Args:
        gauge: `18 AWG` or `0.75 mm2`.
        stranding: `solid` or `stranded`; empty takes the higher, stranded value.

    Raises:
        ValueError: not such a size.

    Examples:
        >>> round(resistance_per_m_20c_ohm("18 AWG") * 1000, 2), resistance_per_m_20c_ohm("0.75 mm2")
        (21.46, 0.026)
        >>> round(resistance_per_m_20c_ohm("18 AWG", "solid") * 1000, 2)
        20.95
    """
    number, unit = _split(gauge)
    solid = stranding == "solid"
    return _mm2_per_m_ohm(number, solid) if unit == "mm2" else _awg_per_m_ohm(int(number), solid)


def resistance_source(gauge: str, stranding: Stranding = "") -> Source:
    """Where `resistance_per_m_20c_ohm` takes its value from."""
    number, unit = _split(gauge)
    solid = stranding == "solid"
    if unit == "mm2":
        tabulated = number in IEC_60228_CLASS_5_OHM_PER_KM
        sources = (IEC_CLASS_1, IEC_SOLID_RAISED) if solid else (IEC_CLASS_5, IEC_RAISED)
        return sources[0 if tabulated else 1]
    if solid:
        return IACS
    if number not in NEC_TABLE_8_STRANDED_75C_OHM_PER_KM:
        return NEC_RAISED
    return NEC_TABLE_8_MEMORY if number == 10 else NEC_TABLE_8


def at_temperature(r20_ohm: float, temp_c: float) -> float:
    """Resistance at `temp_c` of a copper conductor that has `r20_ohm` at 20 °C.

    Raises:
        ValueError: at or below -234.5 °C, where the straight line meets zero.

    Examples:
        >>> at_temperature(10.0, 70.0)
        11.965
    """
    factor = 1 + TEMPERATURE_COEFFICIENT_20C_PER_K * (temp_c - 20)
    if not (math.isfinite(factor) and factor > 0):
        raise ValueError(f"{temp_c} °C is no conductor temperature; expected more than -234.5 °C")
    return r20_ohm * factor


def larger_gauges(gauge: str) -> tuple[str, ...]:
    """The thicker usual sizes of the same series, the thinnest first; empty when there is none.

    Examples:
        >>> larger_gauges("18 AWG"), larger_gauges("1.5 mm2")
        (('16 AWG', '14 AWG', '12 AWG'), ('2.5 mm2', '4 mm2'))
    """
    number, unit = _split(gauge)
    if unit == "AWG":
        return tuple(f"{size} AWG" for size in _AWG_REMEDIES if size < number)
    return tuple(f"{size:g} mm2" for size in _MM2_REMEDIES if size > number)


def _split(gauge: str) -> tuple[float, str]:
    match = _GAUGE.fullmatch(gauge)
    if match is None or (match["unit"] == "AWG" and "." in match["number"]) or float(match["number"]) <= 0:
        raise ValueError(f"conductor size {gauge!r}; expected one such as '18 AWG' or '0.75 mm2'")
    return float(match["number"]), match["unit"]


def _awg_per_m_ohm(awg: int, solid: bool) -> float:
    if solid:
        return solid_resistance_per_m_20c_ohm(awg)
    if awg in NEC_TABLE_8_STRANDED_75C_OHM_PER_KM:
        return NEC_TABLE_8_STRANDED_75C_OHM_PER_KM[awg] / 1000 / at_temperature(1.0, 75.0)
    return solid_resistance_per_m_20c_ohm(awg) * _STRANDING_FACTOR


def _mm2_per_m_ohm(area_mm2: float, solid: bool) -> float:
    table = IEC_60228_CLASS_2_OHM_PER_KM if solid else IEC_60228_CLASS_5_OHM_PER_KM
    if area_mm2 in table:
        return table[area_mm2] / 1000
    return RESISTIVITY_20C_OHM_M / (area_mm2 * 1e-6) * (_CLASS_1_FACTOR if solid else _CLASS_5_FACTOR)
