"""Readings that may be a slip: what was read with the leads changed over, a decimal off, or a little off.

A fault that foretells all that was observed but one reading, and that one nearly, is worth more to whoever telephones than two faults
together, or one under which a meter may show anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from typing import Final

import numpy as np

from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.troubleshooting.door import ObservedDoor, merged_joints
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.readings.meter import VOLTS

_CLOSE_V, _CLOSE_OHM, _CLOSE = 0.3, 1.0, 0.1
"""So far off a reading may be of a meter that nobody checked, or of a supply set a little otherwise (common practice, no source)."""
_DECIMALS: Final = (10.0, 0.1, 100.0, 0.01, 1000.0, 0.001)
_LEAST_READ: Final = 0.05
"""In volts or ohms: of less nobody writes a decimal wrong."""
_WIDEST: Final = 48.0
"""In volts: a fault that allows more than this foretells nothing."""
_MOST_DOUBTS: Final = 3
_OTHERS: Final = 2
"""Readings that have to agree with a fault before another is doubted for no reason but them; with no fault one does."""
_ALWAYS_V: Final = 1.0
"""So wide a range always is, as that across a diode."""
_NARROW: Final = 0.5
"""Of the middle of a range: a wider one is near to everything."""


class Slip(StrEnum):
    """How readings may have been meant."""

    TURNED = "with the leads the other way round"
    CLOSE = "close to that"
    DECIMAL = "with the decimal point or unit otherwise"
    LEFT_OUT = "without that"


_OF_SEVERAL: Final = frozenset({Slip.TURNED, Slip.CLOSE})
"""Whoever has the leads in the wrong sockets, or a supply that is set a little otherwise, has all readings so."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Readings that may be a slip.

    Args:
        places: of the observations.
        slip: how they may have been meant.
        suspects: faults that explain all but these, or no fault, the likeliest first.
        predicted: least and greatest value that each allows at the first of them, in volts or ohms.
    """

    places: tuple[int, ...]
    slip: Slip
    suspects: tuple[Suspect, ...]
    predicted: tuple[tuple[float, float], ...]


def foretold(door: ObservedDoor, suspects: Sequence[Suspect], *, narrowed: bool) -> BoolArray:
    """Whether each suspect foretells all readings, whether it fits them or not; shape (suspects,).

    One that allows anything, or all from nothing to the whole voltage, does not. A poor joint that is not `narrowed` to what the
    readings leave of its resistance may allow more.
    """
    low, high = door.ranges(suspects, door.places)
    told: BoolArray = np.ones(len(suspects), dtype=np.bool_)
    joint = np.array([s.joint_ohm is not None for s in suspects], dtype=np.bool_)
    for row, one in enumerate(door.observed):
        if one.asked is not None and one.asked.meter == VOLTS and not one.seen:
            width = high[row] - low[row]
            most = _NARROW * np.maximum(np.abs(low[row]), np.abs(high[row])) + _ALWAYS_V
            told &= np.isfinite(width) & (width <= np.where(joint & (not narrowed), _WIDEST, most))
    return told


def doubts(door: ObservedDoor, suspects: Sequence[Suspect], slips: Sequence[Slip] = tuple(Slip)) -> tuple[Doubt, ...]:
    """Readings of which a slip would leave one of these suspects: those of the likeliest slip only.

    Args:
        door: with what was observed.
        suspects: what may be at fault, no fault included.
        slips: which are thought of.
    """
    observed = door.observed
    low, high = door.ranges(suspects, door.places)
    missed = ~door.fits(suspects)
    read = np.array([_is_read(one) for one in observed], dtype=np.bool_)
    alone = foretold(door, suspects, narrowed=False) & missed.any(axis=0) & ~missed[~read].any(axis=0)
    found: dict[tuple[Slip, tuple[int, ...]], list[int]] = {}
    for k in np.flatnonzero(alone).tolist():
        places = tuple(np.flatnonzero(missed[:, k]).tolist())
        bands = [(float(low[place, k]), float(high[place, k])) for place in places]
        others = int(np.count_nonzero(read)) - len(places)
        enough = others >= (_OTHERS if suspects[k].blames else 1)
        slip = _slip(
            [observed[place] for place in places], bands, [s for s in slips if enough or s is not Slip.LEFT_OUT]
        )
        if slip is not None:
            found.setdefault((slip, places), []).append(k)
    likeliest = min((slip for slip, _ in found), key=tuple(Slip).index, default=None)
    some = [
        _doubt(places, slip, [suspects[k] for k in which], low[places[0], which], high[places[0], which])
        for (slip, places), which in found.items()
        if slip is likeliest
    ]
    return tuple(sorted(some, key=lambda one: (-sum(s.weight for s in one.suspects), one.places))[:_MOST_DOUBTS])


def _doubt(
    places: tuple[int, ...], slip: Slip, suspects: Sequence[Suspect], low: FloatArray, high: FloatArray
) -> Doubt:
    """With the poor joints of one wire as one."""
    merged = sorted(merged_joints(suspects), key=lambda one: (-one.weight, one.words))

    def band(one: Suspect) -> tuple[float, float]:
        rows = [k for k, s in enumerate(suspects) if s.words == one.words]
        return float(low[rows].min()), float(high[rows].max())

    return Doubt(places, slip, tuple(merged), tuple(band(one) for one in merged))


def _is_read(one: Observation) -> bool:
    """Whether it is a number off a meter."""
    return one.asked is not None and not one.seen and not one.magnitude and isfinite(one.low) and isfinite(one.high)


def _slip(missed: Sequence[Observation], bands: Sequence[tuple[float, float]], slips: Sequence[Slip]) -> Slip | None:
    """The first of some slips that makes all of these readings such as are allowed."""
    for slip in slips:
        if len(missed) > 1 and slip not in _OF_SEVERAL:
            continue
        if all(_may_be(one, slip, *band) for one, band in zip(missed, bands, strict=True)):
            return slip
    return None


def _may_be(one: Observation, slip: Slip, low: float, high: float) -> bool:
    """Whether a reading meant so is within a range."""
    narrow = high - low <= _NARROW * abs(high + low) / 2.0
    volts = one.asked is not None and one.asked.meter == VOLTS
    middle = (one.low + one.high) / 2.0
    if slip is Slip.LEFT_OUT:
        return True
    if slip is Slip.CLOSE:
        room = _CLOSE * abs(middle) + (_CLOSE_V if volts else _CLOSE_OHM)
        return narrow and one.low - room <= high and one.high + room >= low
    if abs(middle) < _LEAST_READ:
        return False
    if slip is Slip.TURNED:
        return volts and -one.high <= high and -one.low >= low
    return narrow and any(
        min(one.low * by, one.high * by) <= high and max(one.low * by, one.high * by) >= low for by in _DECIMALS
    )
