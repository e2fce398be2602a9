"""Class 2 limits of direct current supplies: how much power may run in cable without mains wiring methods."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from riserkit.standards.source import NotTabulatedError, Source

TABLE_11B: Final = Source("NEC", "", "chapter 9 table 11(B)", "verified")
TABLE_11B_MEMORY: Final = Source("NEC", "", "chapter 9 table 11(B)", "from memory")
DC_CEILING_V: Final = 60.0


@dataclass(frozen=True, slots=True)
class Class2Limit:
    """What a Class 2 supply of one voltage may give.

    Args:
        v_max_v: the voltage that the limit was asked for.
        i_max_a: greatest current into any load, a short circuit included.
        nameplate_va: greatest marked power.
        nameplate_a: greatest marked current.
        overcurrent_a: greatest overcurrent protection; None where the supply limits itself.
        source: where the row is.
    """

    v_max_v: float
    i_max_a: float
    nameplate_va: float
    nameplate_a: float
    overcurrent_a: float | None
    source: Source


def class2_limit(v_max_v: float, inherent: bool = True) -> Class2Limit:
    """The row of table 11(B) for a dc supply.

    Args:
        v_max_v: greatest voltage of the supply, whatever the load.
        inherent: the supply limits itself; otherwise overcurrent protection does.

    Raises:
        NotTabulatedError: above 60 V, where only signal currents of 5 mA are Class 2.
        ValueError: not above 0.

    Examples:
        >>> class2_limit(12.0).nameplate_a, round(class2_limit(24.0).nameplate_a, 2), class2_limit(24.0).nameplate_va
        (5.0, 4.17, 100.0)
    """
    if not (math.isfinite(v_max_v) and v_max_v > 0):
        raise ValueError(f"supply of {v_max_v} V; expected more than 0")
    if v_max_v > DC_CEILING_V:
        raise NotTabulatedError(f"supply of {v_max_v} V; a dc power supply is Class 2 up to {DC_CEILING_V:g} V")
    nameplate_a = 5.0 if v_max_v <= 20 else 100.0 / v_max_v
    nameplate_va = 5.0 * v_max_v if v_max_v <= 20 else 100.0
    if inherent:
        i_max_a = 8.0 if v_max_v <= 30 else 150.0 / v_max_v
        source = TABLE_11B if v_max_v <= 30 else TABLE_11B_MEMORY
        return Class2Limit(v_max_v, i_max_a, nameplate_va, nameplate_a, None, source)
    return Class2Limit(v_max_v, 1000.0 / v_max_v, nameplate_va, nameplate_a, nameplate_a, TABLE_11B_MEMORY)
