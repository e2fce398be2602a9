"""Electrical values and elements that several parts share."""

from __future__ import annotations

import math
from typing import Final

from riserkit.circuits.netlist import Element, ElementKind
from riserkit.standards.door_devices import CONTACT_OHM, ELECTRONICS_LEAST_V, SOURCE_OHM
from riserkit.wiring.roles import ElementRole

UNKNOWN: Final = math.nan
"""A value that the part does not state: the circuit is drawn, and whoever tries to solve it is refused."""


def contact(
    name: str, a: str, b: str, control: str, role: ElementRole, *, closed: bool, ohm: float | None = None
) -> Element:
    """A contact of its part's resistance, else of the usual one; `closed` while its control is at rest."""
    values = {"r_closed_ohm": CONTACT_OHM.value if ohm is None else ohm}
    return Element(name, ElementKind.CONTACT, a, b, values, control, closed, role)


def stated(value: float | None) -> float:
    """The value, or UNKNOWN."""
    return UNKNOWN if value is None else value


def coil_values(
    rated_v: float | None, amps: float | None, pull_in_v: float, drop_out_v: float | None, share: float
) -> dict[str, float]:
    """Resistance at the rated point, and the volts at which the coil surely pulls in and lets go.

    Args:
        rated_v: rated voltage; None, as the next, where it is not stated.
        amps: current at that voltage.
        pull_in_v: from here on it has pulled in.
        drop_out_v: stated volts below which it has let go; None for the usual share of `rated_v`.
        share: that share.
    """
    volts = stated(rated_v)
    let_go_v = min(share * volts, pull_in_v) if drop_out_v is None else drop_out_v
    return {"r_ohm": volts / stated(amps), "v_pull_in_v": pull_in_v, "v_drop_out_v": let_go_v}


def least_v(rated_v: float | None, tolerance_low: float | None) -> float:
    """Least voltage that a part is made for."""
    return stated(rated_v) * (1 - stated(tolerance_low))


_NOTHING_A: Final = 1e-6
"""Stands for no current at all, which no source can be solved with; far below what any device draws."""


def source(
    name: str,
    plus: str,
    minus: str,
    volts: tuple[float, float, float],
    limit_a: float | None,
    role: ElementRole,
    r_ohm: float | None = None,
) -> Element:
    """A source with nominal, low and high volts and, where it has one, a current limit."""
    nominal, low, high = volts
    values = {"v_nominal_v": nominal, "v_low_v": low, "v_high_v": high}
    values["r_ohm"] = SOURCE_OHM.value if r_ohm is None else r_ohm
    if limit_a is not None:
        # An output that gives nothing, as its data sheet may say, is overloaded by whatever is on it.
        values["i_limit_a"] = max(limit_a, _NOTHING_A)
    return Element(name, ElementKind.SOURCE, plus, minus, values, role=role)


def toleranced(nominal_v: float | None, tolerance: float | None) -> tuple[float, float, float]:
    """(nominal, low, high) for a symmetric tolerance."""
    volts, share = stated(nominal_v), stated(tolerance)
    return volts, volts * (1 - share), volts * (1 + share)


def electronics(draw_a: float | None, role: ElementRole) -> Element:
    """Electronics, as an element."""
    values = {"i_a": stated(draw_a), "v_min_v": ELECTRONICS_LEAST_V.value}
    return Element("supply", ElementKind.CURRENT_LOAD, "+", "-", values, role=role)
