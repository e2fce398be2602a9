"""Predictions with the controller deciding as it does: a state says what is done to the door, the controller what follows of it.

Under a fault the controller may see a request that nobody makes, or miss one: what it does is read off the voltage at its
input, and where that is in doubt both are allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np

from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.troubleshooting.changes import Way, Without
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


class WaySolver(Protocol):
    """What ways allow at readings with the controller doing as the state says."""

    def __call__(self, ways: Sequence[Way], asked: Sequence[Measurement], wanted: BoolArray | None = None) -> Predicted:
        """Shape (readings, ways); where not `wanted`, equally shaped, anything."""
        ...


def decided(
    circuit: DoorCircuit,
    solve: WaySolver,
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
    otherwise = _Otherwise(ways, asked, unpowered(circuit))
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
        otherwise.released(rows, [deciding.released(one) for one in here], releases)
        otherwise.unpowered(rows, off)
    otherwise.put(solve, found)
    return found


class _Otherwise:
    """Readings at a door whose controller does otherwise than the state says, all solved together.

    A column is a way with the controller fed, or, after all of these, one with it without power.
    """

    def __init__(self, ways: Sequence[Way], asked: Sequence[Measurement], dead: Without) -> None:
        self._ways, self._asked, self._dead = ways, asked, dead
        self._parts: list[tuple[Sequence[int], Sequence[Measurement], BoolArray, int]] = []

    def released(self, rows: Sequence[int], readings: Sequence[Measurement], how: BoolArray) -> None:
        """These rows are of the released door where `how` says so, for sure, perhaps and usually; shape (3, ways)."""
        self._add(rows, readings, how, 0)

    def unpowered(self, rows: Sequence[int], how: BoolArray) -> None:
        """These rows are of a controller without power where `how` says so."""
        self._add(rows, [self._asked[row] for row in rows], how, len(self._ways))

    def _add(self, rows: Sequence[int], readings: Sequence[Measurement], how: BoolArray, start: int) -> None:
        if how[1].any():
            self._parts.append((rows, readings, how, start))

    def put(self, solve: WaySolver, found: Predicted) -> None:
        """Solve them, and put them in place of what was found with the controller doing as the states say."""
        n = len(self._ways)
        # a released door may have been asked for itself
        place: dict[object, int] = {(0, one.key): row for row, one in enumerate(self._asked)}
        new: list[Measurement] = []
        wanted: list[BoolArray] = []
        for _, readings, how, start in self._parts:
            for one in readings:
                row = place.setdefault((start, one.key), len(place)) - len(self._asked)
                if row == len(new):
                    new.append(one)
                    wanted.append(np.zeros(2 * n, dtype=np.bool_))
                if row >= 0:
                    wanted[row][start : start + n] |= how[1]
        whole = self._solved(solve, found, new, np.array(wanted, dtype=np.bool_).reshape(len(new), 2 * n))
        for rows, readings, how, start in self._parts:
            columns: list[int] = np.flatnonzero(how[1]).tolist()
            here = np.ix_([place[start, one.key] for one in readings], [start + k for k in columns])
            _put(found, rows, columns, Predicted(*(x[here] for x in whole)), how)

    def _solved(self, solve: WaySolver, found: Predicted, new: Sequence[Measurement], wanted: BoolArray) -> Predicted:
        """What was found, below it the new readings; shape (readings, twice the ways)."""
        n = len(self._ways)
        columns: list[int] = np.flatnonzero(np.logical_or.reduce(wanted, axis=0)).tolist()
        ways = [self._ways[k] if k < n else (*self._ways[k - n], self._dead) for k in columns]
        some = solve(ways, new, wanted[:, columns]) if new else None
        whole = Predicted(*(np.full((len(self._asked) + len(new), 2 * n), np.nan) for _ in range(3)))
        for k, x in enumerate(whole):
            x[: len(self._asked), :n] = found[k]
            if some is not None:
                x[len(self._asked) :, columns] = some[k]
        return whole


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
