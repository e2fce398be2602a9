"""What a meter shows at a door under each suspected fault.

It is a range: whatever the tolerance of parts, the voltage of supplies and the temperature of the cable allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Final, NamedTuple, Protocol

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, state_table
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solve import solve_cases
from riserkit.quantities.grouping import grouped
from riserkit.troubleshooting.changes import PartsMade, VoltageEnd, Way, ways_made
from riserkit.troubleshooting.decided import Predicted, decided
from riserkit.troubleshooting.held import HeldNetlists
from riserkit.troubleshooting.metered import Joined
from riserkit.troubleshooting.netlists import FaultNetlists, batches
from riserkit.troubleshooting.ohms import linear_to_an_ohmmeter, ohms_between
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import over_limit, without_limits
from riserkit.wiring.readings.meter import (
    OHMS,
    VOLTS,
    Measurement,
    cases_in_blocks,
    reading_shown,
    volts_across,
)

_MOST_PROBED: Final = 4000
"""Wirings times places of an ohmmeter that are solved together, the ways parts are made apart."""
_FELT_V: Final = 0.01
_FELT: Final = 1e-3

_ENDS: Final = (SourceLevel.LOW, SourceLevel.HIGH)
_TOLERANCE: Final = 0.15
"""Of a reading as stated, for what parts, supplies and temperature make of it (common practice, no source)."""


class Effort(StrEnum):
    """How much of what parts may be is solved. Only whole ranges rule anything out; the others do to choose a reading."""

    WHOLE = "whole ranges"
    TWO_ENDS = "two ends and as stated: ranges come out a little too narrow"
    AS_STATED = "as stated, a share added for tolerance"


_LOWEST_AND_HIGHEST: Final = (PartsMade(True, True, VoltageEnd.SAME), PartsMade(False, False, VoltageEnd.SAME))
"""Drawing most with all voltages low, drawing least with all of them high."""


def predict(
    faults: FaultNetlists,
    suspects: Sequence[Suspect],
    asked: Sequence[Measurement],
    at: Temperatures,
    *,
    typical: bool = False,
    effort: Effort = Effort.WHOLE,
) -> Predicted:
    """Solve every suspect for every reading: parts that draw most and least, at lowest and highest voltage.

    Args:
        faults: of the door.
        suspects: what may be at fault; one of no change is the healthy door.
        asked: the readings.
        at: coldest and hottest conductor.
        typical: solve also with everything as stated.
        effort: how much is solved.
    """
    ways = tuple(dict.fromkeys(way for suspect in suspects for way in suspect.ways))
    return _of_suspects(_of_ways(faults, ways, asked, at, typical=typical, effort=effort), ways, suspects)


class Predictions:
    """Predictions for one door, kept: each reading is solved for all suspects when it is first asked for."""

    def __init__(self, circuit: DoorCircuit, at: Temperatures, suspects: Sequence[Suspect]) -> None:
        self.faults, self.at, self.suspects = FaultNetlists(circuit), at, tuple(suspects)
        self._ways = tuple(dict.fromkeys(way for suspect in suspects for way in suspect.ways))
        self._row: dict[object, tuple[FloatArray, FloatArray, FloatArray]] = {}

    def of(self, suspects: Sequence[Suspect], asked: Sequence[Measurement], *, typical: bool = False) -> Predicted:
        """As `predict`, with everything as stated for all."""
        known = set(self._ways)
        if not all(way in known for suspect in suspects for way in suspect.ways):
            return predict(self.faults, suspects, asked, self.at, typical=typical)
        new = {key: one for one in asked if (key := one.key) not in self._row}
        if new:
            found = _of_ways(self.faults, self._ways, tuple(new.values()), self.at, typical=True)
            for row, key in enumerate(new):
                self._row[key] = found.low[row], found.high[row], found.typical[row]
        shape = len(asked), len(self._ways)
        rows = [self._row[one.key] for one in asked]
        low, high, usual = (np.array([row[k] for row in rows]).reshape(shape) for k in range(3))
        return _of_suspects(Predicted(low, high, usual), self._ways, suspects)


def _of_suspects(found: Predicted, ways: Sequence[Way], suspects: Sequence[Suspect]) -> Predicted:
    """Of each suspect what all its ways allow, and what the middle one of them shows with everything as stated."""
    column = {way: k for k, way in enumerate(ways)}
    of = [[column[way] for way in suspect.ways] for suspect in suspects]
    shape = len(found.low), len(suspects)
    low, high, typical = np.empty(shape), np.empty(shape), np.empty(shape)
    for k, columns in enumerate(of):
        low[:, k], high[:, k] = found.low[:, columns].min(axis=1), found.high[:, columns].max(axis=1)
        typical[:, k] = found.typical[:, columns[len(columns) // 2]]
    return Predicted(low, high, typical)


def _of_ways(
    faults: FaultNetlists, ways: Sequence[Way], asked: Sequence[Measurement], at: Temperatures, *, typical: bool,
    effort: Effort = Effort.WHOLE,
) -> Predicted:  # fmt: skip
    """What each way allows at each reading, the controller deciding as it does; shape (readings, ways)."""

    def solve(ways: Sequence[Way], asked: Sequence[Measurement], wanted: BoolArray | None = None) -> Predicted:
        return _as_commanded(faults, ways, asked, at, typical=typical, effort=effort, wanted=wanted)

    cut = np.array([faults.cut_off(way) for way in ways], dtype=np.bool_)
    asks = np.array([faults.asks(way) for way in ways], dtype=np.bool_)
    return decided(faults.circuit, solve, ways, asked, cut=cut, asks=asks)


def _as_commanded(
    faults: FaultNetlists, ways: Sequence[Way], asked: Sequence[Measurement], at: Temperatures, *, typical: bool,
    effort: Effort, wanted: BoolArray | None,
) -> Predicted:  # fmt: skip
    """What each way allows at each reading with the controller's command as the state has it, shape (readings, ways)."""
    shape = len(asked), len(ways)
    wanted = np.ones(shape, dtype=np.bool_) if wanted is None else wanted
    # What cannot be there, or cannot be computed, rules nothing out.
    found = Predicted(np.full(shape, -np.inf), np.full(shape, np.inf), np.full(shape, np.nan))
    column = {way: k for k, way in enumerate(ways)}
    wired = {way: netlist for way in ways if (netlist := faults(way)) is not None}
    whole, typical = effort is Effort.WHOLE, typical or effort is not Effort.WHOLE
    ways_of_parts = ways_made(faults.circuit.netlist) if whole else _LOWEST_AND_HIGHEST
    held, linear = HeldNetlists(faults.once), linear_to_an_ohmmeter(faults.circuit.netlist)
    for batch in batches(wired, faults.once):
        columns = [column[way] for way in batch]
        for rows in _together(asked, len(batch), linear=linear):
            here = np.ix_(rows, columns)
            if not wanted[here].any():
                continue
            parts, ends = _ends_of(ways_of_parts, at, dead=asked[rows[0]].dead)
            if effort is Effort.AS_STATED:
                parts, ends = (), []
            made: list[PartsMade | None] = [*parts]
            if typical:
                made.append(None)
                ends.append(_End(len(parts), SourceLevel.NOMINAL, T_REFERENCE_C))
            solve = _resistances if linear and _is_passive(asked[rows[0]]) else _solved
            low, high = _shown(solve, held, list(batch.values()), made, [asked[r] for r in rows], ends, wanted[here])
            last = len(ends) - typical if whole else len(ends)  # with everything as stated too, which is then within
            found.low[here], found.high[here] = low[:, :last].min(axis=1), high[:, :last].max(axis=1)
            if typical:
                # what hangs on how a source limits its current, or on what a meter joins, cannot be said
                with np.errstate(invalid="ignore"):
                    sure = high[:, -1] - low[:, -1] <= _FELT_V
                found.typical[here] = np.where(sure, low[:, -1], np.nan)
            if effort is Effort.AS_STATED:
                found.low[here] -= _TOLERANCE * np.abs(found.low[here])
                found.high[here] += _TOLERANCE * np.abs(found.high[here])
    return found


def _ends_of(
    ways_of_parts: Sequence[PartsMade], at: Temperatures, *, dead: bool
) -> tuple[tuple[PartsMade, ...], list[_End]]:
    """Ways that parts are made, and the ends to be solved. With power off sources are out: only what parts draw is left."""
    parts = tuple({(one.most, one.locks): one for one in ways_of_parts}.values()) if dead else tuple(ways_of_parts)
    celsius = [at.hottest_c if one.most else at.coldest_c for one in parts]
    if ways_of_parts is _LOWEST_AND_HIGHEST and not dead:
        return parts, [_End(k, level, celsius[k]) for k, level in enumerate(_ENDS)]
    levels = _ENDS[:1] if dead else _ENDS
    return parts, [_End(k, level, celsius[k]) for level in levels for k in range(len(parts))]


def _is_passive(one: Measurement) -> bool:
    """Ohms at a circuit without power, all wires where they are."""
    return one.meter == OHMS and one.dead and not one.lifts and not one.less


def _together(asked: Sequence[Measurement], wirings: int, *, linear: bool) -> Iterator[list[int]]:
    """Places of the readings that are solved together: all that need no meter in the circuit, else as many as memory has room for."""
    setups = grouped(((one.meter, one.dead, bool(one.lifts)), place) for place, one in enumerate(asked))
    for places in setups.values():
        first = asked[places[0]]
        whole = first.meter == VOLTS or (linear and _is_passive(first))
        size = len(places) if whole else max(1, _MOST_PROBED // wirings)
        yield from (places[start : start + size] for start in range(0, len(places), size))


class _End(NamedTuple):
    """One end of what parts, sources and cables may be: how the parts are made, by its place, and what goes with it."""

    made: int
    level: SourceLevel
    celsius: float


class _Solve(Protocol):
    """Least and greatest value at each end, as `_shown` has it; CircuitError where a netlist is ill-posed."""

    def __call__(
        self, held: HeldNetlists, netlists: Sequence[Netlist], made: Sequence[PartsMade | None], asked: Sequence[Measurement],
        ends: Sequence[_End], wanted: BoolArray,
    ) -> tuple[FloatArray, FloatArray]:  # fmt: skip
        """Each of shape (readings, ends, netlists)."""
        ...


def _shown(
    solve: _Solve, held: HeldNetlists, netlists: Sequence[Netlist], made: Sequence[PartsMade | None], asked: Sequence[Measurement],
    ends: Sequence[_End], wanted: BoolArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Least and greatest value at each end, each of shape (readings, ends, netlists).

    Args:
        solve: how.
        held: what has been set up before.
        netlists: of one structure.
        made: the ways that their parts are made; None for as stated.
        asked: readings that are solved together.
        ends: to be solved.
        wanted: of which netlist at which reading, shape (readings, netlists); of the others anything comes out.
    """
    n = len(netlists)
    if not wanted.any():
        nothing = np.full((len(asked), len(ends), n), np.nan)
        return nothing, nothing
    try:
        return solve(held, netlists, made, asked, ends, wanted)
    except CircuitError:
        if len({one.setup for one in asked}) > 1:
            singly = [
                _shown(solve, held, netlists, made, [one], ends, wanted[k : k + 1]) for k, one in enumerate(asked)
            ]
            return _put_together(singly, axis=0)
        if n > 1:
            singly = [
                _shown(solve, held, [one], made, asked, ends, wanted[:, k : k + 1]) for k, one in enumerate(netlists)
            ]
            return _put_together(singly, axis=2)
    shape = len(asked), len(ends), 1
    return np.full(shape, -np.inf), np.full(shape, np.inf)


def _put_together(parts: Sequence[tuple[FloatArray, FloatArray]], axis: int) -> tuple[FloatArray, FloatArray]:
    low, high = zip(*parts, strict=True)
    return np.concatenate(low, axis=axis), np.concatenate(high, axis=axis)


def _solved(
    held: HeldNetlists, netlists: Sequence[Netlist], made: Sequence[PartsMade | None], asked: Sequence[Measurement],
    ends: Sequence[_End], wanted: BoolArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Cases in blocks, each of all ends and of the netlists wanted: a block for each way to set up and state."""
    setups: dict[tuple[object, ...], tuple[int, Measurement]] = {}
    place = [setups.setdefault(one.setup, (len(setups), one))[0] for one in asked]
    circuit = held.circuit(netlists, made, [one for _, one in setups.values()])
    names = set(circuit.topology.outside)
    on = [one.on & names for one in asked]
    states = {one: row for row, one in enumerate(dict.fromkeys(on))}
    rows_of = grouped(((setup, states[state]), row) for row, (setup, state) in enumerate(zip(place, on, strict=True)))
    n, k, m = len(netlists), len(ends), len(rows_of)
    first = np.array([setup for setup, _ in rows_of])[:, None, None] * len(made) * n
    whole = cases_in_blocks(
        first + np.array([end.made for end in ends])[:, None] * n + np.arange(n),
        [(end.level, end.celsius) for end in ends],
        [state for _, state in rows_of],
        state_table(circuit.topology, [dict.fromkeys(one, True) for one in states]),
    )
    needed = np.array([np.logical_or.reduce(wanted[rows], axis=0) for rows in rows_of.values()])
    some: BoolArray = np.repeat(needed[:, None], k, axis=1).ravel()
    cases = whole if some.all() else _some(whole, some)
    solution = solve_cases(circuit, cases)
    over = over_limit(circuit, cases.column, solution)
    unlimited = solve_cases(without_limits(circuit), _some(cases, over)) if over.any() else None
    ill = ~solution.sound
    joined = Joined.of(circuit, cases, solution) if asked[0].meter == VOLTS else None
    low, high = (np.full((len(asked), k * n), np.nan) for _ in range(2))
    ends_at = np.cumsum(k * needed.sum(axis=1)).tolist()
    before = np.concatenate(([0], np.cumsum(over)))
    for rows, start, end, here in zip(rows_of.values(), [0, *ends_at], ends_at, some.reshape(m, k * n), strict=False):
        mine, of = slice(start, end), np.flatnonzero(here)
        some_asked = [asked[row] for row in rows]
        volts = volts_across(solution, some_asked, mine)
        values = reading_shown(asked[0].meter, volts)
        least, most = joined.range_v(some_asked, mine, volts) if joined is not None else (values, values)
        limited = np.flatnonzero(over[mine])
        if unlimited is not None and len(limited):
            # A source at its limit may hold its current, fold back or switch off.
            free = volts_across(unlimited, some_asked, slice(int(before[start]), int(before[end])))
            as_limited = values[:, limited]
            felt = ~(np.abs(volts[:, limited] - free) <= _FELT_V + _FELT * np.abs(free))
            least, most = least.copy(), most.copy()
            least[:, limited] = np.where(felt, np.minimum(as_limited, 0.0), least[:, limited])
            most[:, limited] = np.where(felt, np.maximum(as_limited, 0.0), most[:, limited])
        at = np.ix_(np.array(rows), of)
        low[at], high[at] = np.where(ill[mine], -np.inf, least), np.where(ill[mine], np.inf, most)
    return low.reshape(len(asked), k, n), high.reshape(len(asked), k, n)


def _resistances(
    held: HeldNetlists, netlists: Sequence[Netlist], made: Sequence[PartsMade | None], asked: Sequence[Measurement],
    ends: Sequence[_End], wanted: BoolArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Ohms without power, of all of these readings in one state at once: nothing moves, and no meter is in the circuit."""
    circuit = held.circuit(netlists, made, [replace(asked[0], meter=VOLTS)])
    names = set(circuit.topology.outside)
    states = grouped((one.on & names, row) for row, one in enumerate(asked))
    n, k = len(netlists), len(ends)
    found = np.full((len(asked), k, n), np.nan)
    for on, rows in states.items():
        needed = np.flatnonzero(np.logical_or.reduce(wanted[rows], axis=0))
        cases = cases_in_blocks(
            np.array([[end.made * n + needed for end in ends]]),
            [(end.level, end.celsius) for end in ends],
            [0],
            state_table(circuit.topology, [dict.fromkeys(on, True)]),
        )
        nodes = np.array([[circuit.topology.node(name) for name in (asked[r].plus, asked[r].minus)] for r in rows])
        ohms = ohms_between(circuit, cases, solve_cases(circuit, cases), *nodes.T)
        at = np.ix_(np.array(rows), np.arange(k), needed)
        found[at] = ohms.T.reshape(len(rows), k, len(needed))
    return found, found


def _some(cases: Cases, which: BoolArray) -> Cases:
    return replace(
        cases, column=cases.column[which], level=cases.level[which], conductor_c=cases.conductor_c[which],
        state=cases.state[which], acts=cases.acts[which],
    )  # fmt: skip
