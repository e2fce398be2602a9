"""How long a coil holds on after its contact opens, by what takes its current.

After opening, the current falls along i(t) = (I0 + Vc/R) e^(-tR/L) - Vc/R while the suppressor holds the coil at Vc
against its current (textbook RL circuit); a plain diode has Vc of 0.7 V, so that it slows release most.
"""

from __future__ import annotations

from math import isfinite, log

from riserkit.circuits.errors import CircuitValueError


def release_time_s(l_h: float, r_ohm: float, i0_a: float, i_release_a: float, v_clamp_v: float) -> float:
    """Time until the current has fallen to where the coil lets go.

    Args:
        l_h: inductance in henries.
        r_ohm: winding resistance in ohms.
        i0_a: current before opening.
        i_release_a: current at which the coil lets go, above zero.
        v_clamp_v: voltage the suppressor holds against the current; 0 for a shorted coil.

    Returns:
        Seconds; 0 if the coil had let go already.

    Raises:
        CircuitValueError: a value is not a number, negative, or zero where it cannot be.

    Examples:
        >>> round(1e3 * release_time_s(2.29, 275.0, 0.04364, 0.004364, 0.7), 2)
        15.82
    """
    for name, value, zero_allowed in (
        ("l_h", l_h, True),
        ("r_ohm", r_ohm, False),
        ("i0_a", i0_a, True),
        ("i_release_a", i_release_a, False),
        ("v_clamp_v", v_clamp_v, True),
    ):
        if not isfinite(value) or value < 0.0 or (value == 0.0 and not zero_allowed):
            bound = "0 or more" if zero_allowed else "more than 0"
            raise CircuitValueError(name, f"is {value:g}, must be {bound} and finite")
    if i0_a <= i_release_a:
        return 0.0
    return l_h / r_ohm * log((i0_a * r_ohm + v_clamp_v) / (i_release_a * r_ohm + v_clamp_v))


def stored_energy_j(l_h: float, i0_a: float) -> float:
    """Energy in a coil, L I²/2, which its suppressor takes in at each release.

    Examples:
        2.29 H at 43.6 mA, the coil of a published worked example on turn-off spikes, hold 2.2 mJ.

        >>> round(stored_energy_j(2.29, 0.0436) * 1000, 2)
        2.18
    """
    return l_h * i0_a**2 / 2
