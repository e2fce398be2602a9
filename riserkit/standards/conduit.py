"""Conduit: internal areas, how full it may be, and the smallest size that holds a set of cables."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import NotTabulatedError, Source

TABLE_1: Final = Source("NEC", "", "chapter 9 table 1", "verified")
TABLE_4: Final = Source("NEC", "", "chapter 9 table 4", "verified")
NIPPLE: Final = Source("NEC", "", "chapter 9 note 4", "verified")
ROUNDING: Final = Source("NEC", "", "chapter 9 note 7", "verified")
MULTICONDUCTOR: Final = Source("NEC", "", "chapter 9 note 9", "from memory")

IN2_TO_M2: Final = 0.0254**2
NIPPLE_MAX_M: Final = 0.6
NIPPLE_FILL_FRACTION: Final = 0.60

TRADE_SIZES: Final = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4")


@dataclass(frozen=True, slots=True)
class ConduitSize:
    """One size of one conduit type; the area is the printed one, rounded, the diameter gives it exactly."""

    type: str
    trade_size: str
    id_in: float
    area_in2: float

    @property
    def area_m2(self) -> float:
        """Internal area from the diameter, which is what the printed fill tables were computed from."""
        return math.pi / 4 * (self.id_in * 0.0254) ** 2


def _sizes(type_: str, rows: Sequence[tuple[float, float]]) -> Mapping[str, ConduitSize]:
    pairs = zip(TRADE_SIZES, rows, strict=True)
    return MappingProxyType({size: ConduitSize(type_, size, *row) for size, row in pairs})


# By type, in the order of TRADE_SIZES: internal diameter in inches, total area in square inches as printed.
CONDUITS: Final[Mapping[str, Mapping[str, ConduitSize]]] = MappingProxyType(
    {
        "EMT": _sizes("EMT", [
            (0.622, 0.304), (0.824, 0.533), (1.049, 0.864), (1.380, 1.496), (1.610, 2.036),
            (2.067, 3.356), (2.731, 5.858), (3.356, 8.846), (3.834, 11.545), (4.334, 14.753)]),
        "RMC": _sizes("RMC", [
            (0.632, 0.314), (0.836, 0.549), (1.063, 0.887), (1.394, 1.526), (1.624, 2.071),
            (2.083, 3.408), (2.489, 4.866), (3.090, 7.499), (3.570, 10.010), (4.050, 12.882)]),
        "IMC": _sizes("IMC", [
            (0.660, 0.342), (0.864, 0.586), (1.105, 0.959), (1.448, 1.647), (1.683, 2.225),
            (2.150, 3.630), (2.557, 5.135), (3.176, 7.922), (3.671, 10.584), (4.166, 13.631)]),
        "PVC40": _sizes("PVC40", [
            (0.602, 0.285), (0.804, 0.508), (1.029, 0.832), (1.360, 1.453), (1.590, 1.986),
            (2.047, 3.291), (2.445, 4.695), (3.042, 7.268), (3.521, 9.737), (3.998, 12.554)]),
        "PVC80": _sizes("PVC80", [
            (0.526, 0.217), (0.722, 0.409), (0.936, 0.688), (1.255, 1.237), (1.476, 1.711),
            (1.913, 2.874), (2.290, 4.119), (2.864, 6.442), (3.326, 8.688), (3.786, 11.258)]),
    }
)  # fmt: skip

_SIZE_TEXT: Final = re.compile(r"^(?P<size>\d+(?:[- ]\d/\d|/\d)?)\s*(?:in\.?|inch|\")?$", re.IGNORECASE)
_PVC: Final = (
    r"(?:(?:sch(?:edule|\.)?\s*)?(?P<first>[48]0)\s+)?PVC(?:[\s-]*(?:sch(?:edule|\.)?\s*)?(?P<last>[48]0)(?!\S))?"
)
_TYPE_TEXT: Final = re.compile(rf"(?<!\S)(?:(?P<metal>EMT|IMC|RMC)|{_PVC})(?!\S)", re.IGNORECASE)


def conduit_size(type_: str, trade_size: str) -> ConduitSize:
    """Look a conduit up.

    Args:
        type_: `EMT`, `RMC`, `IMC`, `PVC40` or `PVC80`, in any case.
        trade_size: such as `3/4`, `1-1/4`, `1 1/4 in`.

    Raises:
        NotTabulatedError: a type or size that the table does not hold.

    Examples:
        >>> conduit_size("emt", "1 1/4 in").area_in2
        1.496
    """
    sizes = CONDUITS.get(type_.upper())
    if sizes is None:
        raise NotTabulatedError(f"conduit type {type_!r}; expected one of {', '.join(CONDUITS)}")
    match = _SIZE_TEXT.match(trade_size.strip())
    size = sizes.get(match["size"].replace(" ", "-")) if match else None
    if size is None:
        raise NotTabulatedError(f"trade size {trade_size!r}; expected one of {', '.join(TRADE_SIZES)}")
    return size


def named_conduit(text: str) -> tuple[tuple[str, ...], str]:
    """The types of conduit that a stated trade size may mean, and the size itself, as it stands there.

    Several where no type is stated, or PVC without its schedule.

    Examples:
        >>> named_conduit("EMT 1-1/4"), named_conduit('1" PVC schedule 40'), named_conduit("PVC 3/4")
        ((('EMT',), '1-1/4'), (('PVC40',), '1"'), (('PVC40', 'PVC80'), '3/4'))
        >>> named_conduit("1")
        (('EMT', 'RMC', 'IMC', 'PVC40', 'PVC80'), '1')
    """
    match = _TYPE_TEXT.search(text)
    if match is None:
        return tuple(CONDUITS), text.strip()
    size = " ".join((text[: match.start()] + text[match.end() :]).split())
    if match["metal"]:
        return (match["metal"].upper(),), size
    schedule = match["first"] or match["last"]
    return ((f"PVC{schedule}",) if schedule else ("PVC40", "PVC80")), size


def max_fill_fraction(n: int) -> float:
    """Greatest share of the area that `n` conductors or cables may fill: 53 % for one, 31 % for two, 40 % for more.

    A nipple of at most 0.6 m may be filled to `NIPPLE_FILL_FRACTION`.

    Raises:
        ValueError: fewer than one.

    Examples:
        >>> max_fill_fraction(1), max_fill_fraction(2), max_fill_fraction(3)
        (0.53, 0.31, 0.4)
    """
    if n < 1:
        raise ValueError(f"{n} cables; expected at least 1")
    return {1: 0.53, 2: 0.31}.get(n, 0.40)


def fill_fraction(cable_diameters_m: Sequence[float], type_: str, trade_size: str) -> float:
    """Share of the conduit's internal area that these cables take, each counted as one circle of its outside diameter.

    Args:
        cable_diameters_m: outside diameters; the major one of a flat cable.
        type_: as for `conduit_size`.
        trade_size: as for `conduit_size`.

    Raises:
        NotTabulatedError: as for `conduit_size`.
        ValueError: a diameter that is not a finite number above 0.

    Examples:
        >>> round(fill_fraction([0.0061] * 4, "EMT", "3/4"), 3)
        0.34
    """
    for diameter_m in cable_diameters_m:
        if not (math.isfinite(diameter_m) and diameter_m > 0):
            raise ValueError(f"cable diameter {diameter_m} m; expected more than 0")
    return math.pi / 4 * math.fsum(d * d for d in cable_diameters_m) / conduit_size(type_, trade_size).area_m2


def fits(cable_diameters_m: Sequence[float], type_: str, trade_size: str) -> bool:
    """Whether the fill is within the limit for this number of cables; no cables always fit."""
    if not cable_diameters_m:
        return True
    limit = max_fill_fraction(len(cable_diameters_m))
    return fill_fraction(cable_diameters_m, type_, trade_size) <= limit * (1 + 1e-12)


def smallest_trade_size(cable_diameters_m: Sequence[float], type_: str) -> str | None:
    """The smallest trade size of this type that holds the cables; None when even the largest does not.

    Examples:
        >>> smallest_trade_size([0.0061] * 12, "EMT")
        '1-1/4'
    """
    return next((size for size in TRADE_SIZES if fits(cable_diameters_m, type_, size)), None)
