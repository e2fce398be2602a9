"""Predictions with the controller deciding as it does: a state says what is done to the door, the controller what follows of it.

Under a fault the controller may see a request that nobody makes, or miss one: what it does is read off the voltage at its
input, and where that is in doubt both are allowed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.troubleshooting.changes import Way
from riserkit.troubleshooting.controller import Deciding, together, unpowered
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.meter import VOLTS, Measurement


class Predicted(NamedTuple):
    """What readings would be; arrays have the shape (readings, suspects) or (readings, ways), in volts or ohms.

    Attributes:
        low, high: the range allowed, without the meter's own error; infinite where anything is.
        typical: with everything as stated; not a number where it cannot be said or was not asked.
    """

    low: FloatArray
    high: FloatArray
    typical: FloatArray


Solver = Callable[[Sequence[Way], Sequence[Measurement]], Predicted]


def decided(
    circuit: DoorCircuit,
    solve: Solver,
    ways: Sequence[Way],
    asked: Sequence[Measurement],
    *,
    cut: BoolArray,
    asks: BoolArray,
) -> Predicted:
    """What each way allows at each reading.

    Args:
        circuit: of the door.
        solve: what they allow with the controller doing as the state says.
        ways: changes of the netlist.
        asked: the readings.
        cut: whether each leaves the controller without the PoE cable, shape (ways,); their netlists are so already.
        asks: whether the input that makes it release works, shape (ways,).
    """
    deciding = Deciding(circuit)
    states = list(together(asked, (row for row, one in enumerate(asked) if one.meter == VOLTS and not one.dead)))
    # what tells what the controller does is solved with the rest: a state is solved once
    told = [(deciding.request(asked[rows[0]]), deciding.supply(asked[rows[0]])) for rows in states]
    more = [one for both in told for one in both if one is not None]
    whole = solve(ways, [*asked, *more])
    found = Predicted(*(x[: len(asked)] for x in whole))
    of = {id(one): Predicted(*(x[len(asked) + k] for x in whole)) for k, one in enumerate(more)}
    row_of = {one.key: row for row, one in enumerate(asked)}
    before = Predicted(*(x.copy() for x in found))
    later: dict[tuple[int, ...], list[tuple[list[int], BoolArray]]] = {}
    for rows, (request, supply) in zip(states, told, strict=True):
        here = [asked[row] for row in rows]
        off = (
            _below(of.get(id(supply)), deciding.least_v, len(ways)) if supply else _cable(deciding, here[0], len(ways))
        )
        off &= ~cut
        releases = _below(of.get(id(request)), deciding.closed_v if request else 0.0, len(ways)) & asks & ~off[0]
        if deciding.by_hand(here[0]):
            # A manual release opens the door by itself. Where it asks at the input too, whether the controller also releases
            # is one of its settings, which the design does not have: both are allowed, so that neither rules a fault out.
            releases[0] = False
        columns: list[int] = np.flatnonzero(releases[1]).tolist()
        if columns:
            released = [deciding.released(one) for one in here]
            as_asked = [row_of.get(one.key, -1) for one in released]
            if -1 in as_asked:
                new = solve([ways[k] for k in columns], released)
            else:  # the released door is asked for itself
                new = Predicted(*(x[np.ix_(as_asked, columns)] for x in before))
            _put(found, rows, columns, new, releases)
        columns = np.flatnonzero(off[1]).tolist()
        if columns:
            later.setdefault(tuple(columns), []).append((rows, off))
    dead = unpowered(circuit)
    for without, where in later.items():
        # states in which the same faults leave the controller without power are solved together
        new = solve([(*ways[k], dead) for k in without], [asked[row] for rows, _ in where for row in rows])
        start = 0
        for rows, off in where:
            _put(found, rows, without, Predicted(*(x[start : start + len(rows)] for x in new)), off)
            start += len(rows)
    return found


def _below(read: Predicted | None, volts: float, count: int) -> BoolArray:
    """Whether a reading is below so many volts: for sure, perhaps, and with everything as stated; shape (3, ways)."""
    if read is None:
        return np.zeros((3, count), dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        below: BoolArray = np.array([x < volts for x in (read.high, read.low, read.typical)])
    # where nobody can say what it usually is, what is sure counts
    below[2] = np.where(np.isnan(read.typical), below[0], below[2])
    return below


def _cable(deciding: Deciding, one: Measurement, count: int) -> BoolArray:
    """Whether the state takes the power away, as `_below` has it."""
    return np.full((3, count), deciding.cable_dead(one), dtype=np.bool_)


def _put(found: Predicted, rows: Sequence[int], columns: Sequence[int], new: Predicted, how: BoolArray) -> None:
    """New ranges in place of the old where it is sure, beside them where it is not."""
    here = np.ix_(list(rows), list(columns))
    sure, _, usual = how[:, columns]
    low, high, typical = (x[here] for x in found)
    found.low[here] = np.where(sure, new.low, np.minimum(low, new.low))
    found.high[here] = np.where(sure, new.high, np.maximum(high, new.high))
    found.typical[here] = np.where(usual, new.typical, typical)
