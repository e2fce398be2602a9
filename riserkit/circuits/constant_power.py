"""A link that feeds a constant-power load, in closed form: what a powered device sees at the end of its cable.

With source V, loop resistance R and load P the current solves R i² - V i + P = 0. The smaller root is the one a link
settles on; there is none when P is more than V²/4R.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.errors import CircuitValueError


@dataclass(frozen=True, slots=True)
class PowerLink:
    """Solved links; all arrays have the shape of the inputs broadcast together.

    Attributes:
        feasible: there is a solution; where there is none the other arrays are NaN.
        load_v: voltage at the load.
        current_a: current in the loop.
        source_w: power drawn from the source.
        most_w: the most power that can reach a load, V²/4R, infinite for R = 0.
    """

    feasible: npt.NDArray[np.bool_]
    load_v: FloatArray
    current_a: FloatArray
    source_w: FloatArray
    most_w: FloatArray


def power_link(source_v: npt.ArrayLike, loop_ohm: npt.ArrayLike, load_w: npt.ArrayLike) -> PowerLink:
    """Solve links from source voltage, loop resistance and power at the load.

    Args:
        source_v: voltage at the source in volts, more than zero.
        loop_ohm: resistance of both ways in ohms, zero or more.
        load_w: power the load takes at its own terminals in watts, zero or more.

    Raises:
        CircuitValueError: a value is out of these bounds or not a number.

    Examples:
        >>> link = power_link(50.0, 12.5, 25.5)
        >>> float(link.load_v.round(1)), float(link.current_a.round(2)), float(link.source_w.round(1))
        (42.5, 0.6, 30.0)
        >>> bool(power_link(50.0, 12.5, 50.1).feasible)
        False
    """
    v, r, p = np.broadcast_arrays(
        np.asarray(source_v, dtype=np.float64),
        np.asarray(loop_ohm, dtype=np.float64),
        np.asarray(load_w, dtype=np.float64),
    )
    _check("source_v", v, v > 0.0, "more than 0")
    _check("loop_ohm", r, r >= 0.0, "0 or more")
    _check("load_w", p, p >= 0.0, "0 or more")
    root = v * v - 4.0 * r * p
    feasible = root >= 0.0
    # 2P/(V + √…) instead of (V - √…)/2R: no cancellation, and right for R = 0.
    current_a = np.where(feasible, 2.0 * p / (v + np.sqrt(np.maximum(root, 0.0))), np.nan)
    with np.errstate(divide="ignore"):
        most_w = np.where(r > 0.0, v * v / (4.0 * r), np.inf)
    return PowerLink(feasible, v - r * current_a, current_a, v * current_a, most_w)


def _check(name: str, values: FloatArray, sound: npt.NDArray[np.bool_], bound: str) -> None:
    sound = sound & np.isfinite(values)
    if not sound.all():
        raise CircuitValueError(name, f"is {float(values[~sound].flat[0]):g}, must be {bound} and finite")
