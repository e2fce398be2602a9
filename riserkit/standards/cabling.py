"""Balanced cabling: lengths of link, channel and cords, and what temperature takes from them."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import COMMON_PRACTICE, Limit, NotTabulatedError, Source

PERMANENT_LINK_M: Final = 90.0
CHANNEL_M: Final = 100.0
CATEGORY_R_MAX_OHM_PER_M: Final = 0.0938  # one conductor, 20 °C
CHANNEL_LOOP_MAX_OHM: Final = 25.0
PERMANENT_LINK_LOOP_MAX_OHM: Final = 21.0

LENGTHS: Final = Source("TIA-568.2", "D", "permanent link and channel length", "verified")
CORD_FACTORS: Final = Source("TIA-568.2", "D", "cord insertion loss factor, 24 and 26 AWG", "verified")
CORD_FACTOR_28: Final = Source("TIA-568.2", "D-1", "cord insertion loss factor, 28 AWG", "from memory")
CORD_FORMULA: Final = Source("TIA-568.2", "D", "cord length formula", "from memory")
DERATING: Final = Source("TIA-568.2", "D", "length at temperature", "from memory")
DERATING_40C: Final = Source("TIA-568.2", "D", "length at 40 °C, unscreened", "verified")
CATEGORY_RESISTANCE: Final = Source("TIA-568.2", "D", "conductor resistance at 20 °C", "verified")
OPTICAL: Final = Source("IEEE 802.3", "2022", "clause 52, 10GBASE-SR reach", "from memory")
LOOP_RESISTANCE: Final = Source("ISO/IEC 11801-1", "2017", "loop resistance", "from memory")

# A cable beside its pathways hangs from the slab on ways that nobody drew. Up to this far at either end, measured along the
# walls, its length is as good as routed; farther off it is a guess.
BESIDE_PATHWAY_MAX: Final = Limit(5.0, "m", COMMON_PRACTICE)

# Over OM3; 400 m over OM4, and more for slower links.
OPTICAL_UNASKED: Final = Limit(300.0, "m", OPTICAL)

# How much more a stranded cord attenuates than the horizontal cable, by its gauge.
CORD_DERATING: Final[Mapping[int, float]] = MappingProxyType({24: 0.2, 26: 0.5, 28: 0.95})

# The last row of the published table, a link of 70 m: a shorter link gains no more cord. For 24 AWG that is 22 m at
# the work area and 5 m in the closet; 28 AWG has a ceiling of its own.
CORD_CEILING_M: Final[Mapping[int, float]] = MappingProxyType({24: 27.0, 26: 21.0, 28: 15.0})
_SUM_M: Final = 102.0

# °C: (unscreened, screened) longest permanent link, with 10 m of cords at 20 °C.
LINK_AT_TEMPERATURE_M: Final[Mapping[float, tuple[float, float]]] = MappingProxyType(
    {
        20.0: (90.0, 90.0),
        25.0: (89.0, 89.5),
        30.0: (87.0, 88.5),
        35.0: (85.5, 87.7),
        40.0: (84.0, 87.0),
        45.0: (81.7, 86.5),
        50.0: (79.5, 85.5),
        55.0: (77.2, 84.7),
        60.0: (75.0, 83.0),
    }
)


def max_cord_total_m(horizontal_m: float, cord_awg: int) -> float:
    """Longest sum of all cords of a channel, (102 - H) / (1 + D).

    The value is the formula's; the published table prints it as whole metres (75 m and 24 AWG: 22.5 is printed 22).

    Args:
        horizontal_m: length of the permanent link H. Above 90 m no cord is left and the result is 0.
        cord_awg: 24, 26 or 28.

    Raises:
        NotTabulatedError: another cord gauge.
        ValueError: negative length.

    Examples:
        >>> max_cord_total_m(90, 24), max_cord_total_m(75, 24), max_cord_total_m(91, 24)
        (10.0, 22.5, 0.0)
    """
    factor = _cord_factor(cord_awg)
    if not horizontal_m >= 0:
        raise ValueError(f"link of {horizontal_m} m; expected 0 or more")
    if horizontal_m > PERMANENT_LINK_M:
        return 0.0
    return min((_SUM_M - horizontal_m) / factor, CORD_CEILING_M[cord_awg])


def max_horizontal_m(cord_total_m: float, cord_awg: int) -> float:
    """Longest permanent link with this sum of cords, 102 - C (1 + D), at most 90 m; 0 when the cords are too long.

    Args:
        cord_total_m: all cords of the channel together, C.
        cord_awg: 24, 26 or 28.

    Raises:
        NotTabulatedError: another cord gauge.
        ValueError: negative length.

    Examples:
        >>> max_horizontal_m(10, 24), max_horizontal_m(18, 26), max_horizontal_m(30, 24)
        (90.0, 75.0, 0.0)
    """
    factor = _cord_factor(cord_awg)
    if not cord_total_m >= 0:
        raise ValueError(f"cords of {cord_total_m} m; expected 0 or more")
    if cord_total_m > CORD_CEILING_M[cord_awg]:
        return 0.0
    return min(PERMANENT_LINK_M, _SUM_M - cord_total_m * factor)


def derated_horizontal_m(temp_c: float, screened: bool) -> float:
    """Longest permanent link at this average temperature, straight lines between the rows of the table.

    Raises:
        NotTabulatedError: above 60 °C, where the table ends. At 20 °C and below the full 90 m stand.

    Examples:
        >>> derated_horizontal_m(40, screened=False), round(derated_horizontal_m(42.5, screened=False), 2)
        (84.0, 82.85)
    """
    column = 1 if screened else 0
    rows = [(row_c, lengths[column]) for row_c, lengths in LINK_AT_TEMPERATURE_M.items()]
    if temp_c <= rows[0][0]:
        return rows[0][1]
    for (low_c, low_m), (high_c, high_m) in pairwise(rows):
        if temp_c <= high_c:
            return low_m + (high_m - low_m) * (temp_c - low_c) / (high_c - low_c)
    raise NotTabulatedError(f"{temp_c} °C; link lengths are published up to {rows[-1][0]:g} °C")


def max_horizontal_at_m(cord_total_m: float, cord_awg: int, temp_c: float, screened: bool) -> float:
    """Longest permanent link with these cords at this temperature of the link, the cords at 20 °C.

    The loss that the cords leave for the link is shared out over a cable that attenuates more when warm, so the
    length for the cords shrinks in the ratio of the temperature table.

    Raises:
        NotTabulatedError: another cord gauge, or above 60 °C.

    Examples:
        >>> max_horizontal_at_m(10, 24, 40, screened=False)
        84.0
    """
    share = derated_horizontal_m(temp_c, screened) / PERMANENT_LINK_M
    return max_horizontal_m(cord_total_m, cord_awg) * share


def _cord_factor(cord_awg: int) -> float:
    if cord_awg not in CORD_DERATING:
        known = ", ".join(str(awg) for awg in CORD_DERATING)
        raise NotTabulatedError(f"cord of {cord_awg} AWG; the cord formula is published for {known} AWG")
    return 1 + CORD_DERATING[cord_awg]
