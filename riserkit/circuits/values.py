"""The numbers each kind of element takes: their order, their defaults and what they may be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf, nan

from riserkit.circuits.netlist import ElementKind

ALPHA_CU_PER_K = 0.00393
"""Temperature coefficient of copper at 20 °C (IACS, NBS Handbook 100)."""

COPPER_MELTS_C = 1084.62
"""Freezing point of copper, a fixed point of the scale ITS-90: no conductor is as warm."""

R_FLOOR_OHM = 1e-6
"""Least resistance solved: a jumper stated as 0 Ω is taken as this, 10 µV at 10 A."""

R_SUPPRESSOR_OHM = 1.0
"""Slope of a suppressor above its clamp voltage where it states none (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Value:
    """One number of an element.

    Args:
        name: as in `Element.values`.
        least: lower bound.
        strict: the bound itself is not allowed.
        may_be_infinite: infinity is meaningful (a limit that never acts).
        may_be_unknown: NaN is meaningful (a coil whose pull-in nobody stated).
    """

    name: str
    least: float = 0.0
    strict: bool = False
    may_be_infinite: bool = False
    may_be_unknown: bool = False


_MOVER = (Value("v_pull_in_v", may_be_unknown=True), Value("v_drop_out_v", may_be_unknown=True))

VALUES: Mapping[ElementKind, tuple[Value, ...]] = {
    ElementKind.RESISTOR: (Value("r_ohm"), *_MOVER),
    ElementKind.SOURCE: (
        Value("v_nominal_v", -inf),
        Value("v_low_v", -inf),
        Value("v_high_v", -inf),
        Value("r_ohm"),
        Value("i_limit_a", strict=True, may_be_infinite=True),
    ),
    ElementKind.CURRENT_LOAD: (Value("i_a"), Value("v_min_v"), *_MOVER),
    ElementKind.POWER_LOAD: (Value("p_w"), Value("v_min_v"), *_MOVER),
    ElementKind.COIL: (Value("r_ohm", strict=True), *_MOVER),
    ElementKind.DIODE: (Value("v_forward_v"), Value("r_on_ohm")),
    ElementKind.SUPPRESSOR: (Value("v_clamp_v", strict=True), Value("r_on_ohm", strict=True)),
    ElementKind.CONTACT: (Value("r_closed_ohm"),),
}
"""Parameters in the order in which they stand in a circuit's parameter array."""

MOVER_KINDS = frozenset({ElementKind.COIL, ElementKind.RESISTOR, ElementKind.CURRENT_LOAD, ElementKind.POWER_LOAD})
"""Kinds whose voltage can move contacts, when they state pull-in and drop-out."""

Reader = Callable[[Mapping[str, float]], tuple[float, ...]]


def _mover(v: Mapping[str, float]) -> tuple[float, float]:
    return v.get("v_pull_in_v", nan), v.get("v_drop_out_v", nan)


def _source(v: Mapping[str, float]) -> tuple[float, ...]:
    nominal_v = v["v_nominal_v"]
    return (
        nominal_v,
        v.get("v_low_v", nominal_v),
        v.get("v_high_v", nominal_v),
        v.get("r_ohm", 0.0),
        v.get("i_limit_a", inf),
    )


READERS: Mapping[ElementKind, Reader] = {
    ElementKind.RESISTOR: lambda v: (v["r_ohm"], *_mover(v)),
    ElementKind.SOURCE: _source,
    ElementKind.CURRENT_LOAD: lambda v: (v["i_a"], v.get("v_min_v", 0.0), *_mover(v)),
    ElementKind.POWER_LOAD: lambda v: (v["p_w"], v.get("v_min_v", 0.0), *_mover(v)),
    ElementKind.COIL: lambda v: (v["r_ohm"], *_mover(v)),
    ElementKind.DIODE: lambda v: (v["v_forward_v"], v["r_on_ohm"]),
    ElementKind.SUPPRESSOR: lambda v: (v["v_clamp_v"], v.get("r_on_ohm", R_SUPPRESSOR_OHM)),
    ElementKind.CONTACT: lambda v: (v["r_closed_ohm"],),
}
"""By kind: an element's `values` to its parameters, in the order of `VALUES`; KeyError where one is missing."""
