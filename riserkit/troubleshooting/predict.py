"""What a meter shows at a door under each suspected fault.

It is a range: whatever the tolerance of parts, the voltage of supplies and the temperature of the cable allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Final

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.netlist import Element, Landing, Netlist
from riserkit.circuits.overlay import Components, overlaid
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.topology import key_of
from riserkit.troubleshooting.changes import FaultChange, PartsMade, Without, as_made, changed, ways_made
from riserkit.troubleshooting.suspects import Suspect, netlist_of
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import over_limit, without_limits
from riserkit.wiring.readings.meter import Measurement, by_setup, reading_shown, set_up, wires_measured
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.roles import ElementRole

_MOST_LANDINGS: Final = 40
"""Wirings solved together: each brings landings that the others lack, and with them more to eliminate."""
_FELT_V: Final = 0.01

_Way = tuple[FaultChange, ...]
_ENDS: Final = (SourceLevel.LOW, SourceLevel.HIGH)


@dataclass(frozen=True, slots=True)
class Predicted:
    """What readings would be; arrays have the shape (readings, suspects), in volts or ohms.

    Attributes:
        low, high: the range allowed, without the meter's own error; infinite where anything is.
        typical: with everything as stated; not a number where it cannot be said or was not asked.
    """

    low: FloatArray
    high: FloatArray
    typical: FloatArray


def predict(
    circuit: DoorCircuit,
    suspects: Sequence[Suspect],
    asked: Sequence[Measurement],
    at: Temperatures,
    *,
    typical: bool = False,
) -> Predicted:
    """Solve every suspect for every reading: parts that draw most and least, at lowest and highest voltage.

    Args:
        circuit: the door as designed.
        suspects: what may be at fault; one of no change is the healthy door.
        asked: the readings.
        at: coldest and hottest conductor.
        typical: solve also with everything as stated.
    """
    ways = tuple(dict.fromkeys(way for suspect in suspects for way in suspect.ways))
    return _of_suspects(_of_ways(circuit, ways, asked, at, typical=typical), ways, suspects)


class Predictions:
    """Predictions for one door, kept: each reading is solved for all suspects when it is first asked for."""

    def __init__(self, circuit: DoorCircuit, at: Temperatures, suspects: Sequence[Suspect]) -> None:
        self.circuit, self.at, self.suspects = circuit, at, tuple(suspects)
        self._ways = tuple(dict.fromkeys(way for suspect in suspects for way in suspect.ways))
        self._row: dict[object, tuple[FloatArray, FloatArray, FloatArray]] = {}

    def of(self, suspects: Sequence[Suspect], asked: Sequence[Measurement], *, typical: bool = False) -> Predicted:
        """As `predict`, with everything as stated for all."""
        known = set(self._ways)
        if not all(way in known for suspect in suspects for way in suspect.ways):
            return predict(self.circuit, suspects, asked, self.at, typical=typical)
        new = {key: one for one in asked if (key := one.key) not in self._row}
        if new:
            found = _of_ways(self.circuit, self._ways, tuple(new.values()), self.at, typical=True)
            for row, key in enumerate(new):
                self._row[key] = found.low[row], found.high[row], found.typical[row]
        shape = len(asked), len(self._ways)
        rows = [self._row[one.key] for one in asked]
        low, high, usual = (np.array([row[k] for row in rows]).reshape(shape) for k in range(3))
        return _of_suspects(Predicted(low, high, usual), self._ways, suspects)


def _of_suspects(found: Predicted, ways: Sequence[_Way], suspects: Sequence[Suspect]) -> Predicted:
    """Of each suspect what all its ways allow; of a poor joint also what is between the ends of its range."""
    column = {way: k for k, way in enumerate(ways)}
    of = [[column[way] for way in suspect.ways] for suspect in suspects]
    shape = len(found.low), len(suspects)
    low, high, typical = np.empty(shape), np.empty(shape), np.empty(shape)
    for k, columns in enumerate(of):
        low[:, k], high[:, k] = found.low[:, columns].min(axis=1), found.high[:, columns].max(axis=1)
        with np.errstate(invalid="ignore"):
            typical[:, k] = found.typical[:, columns].mean(axis=1)
    return Predicted(low, high, typical)


def _of_ways(
    circuit: DoorCircuit, ways: Sequence[_Way], asked: Sequence[Measurement], at: Temperatures, *, typical: bool
) -> Predicted:
    """What each way allows at each reading, shape (readings, ways)."""
    shape = len(asked), len(ways)
    # What cannot be there, or cannot be computed, rules nothing out.
    found = Predicted(np.full(shape, -np.inf), np.full(shape, np.inf), np.full(shape, np.nan))
    column = {way: k for k, way in enumerate(ways)}
    signals = Signals(circuit.netlist)
    wired = {way: netlist for way in ways if (netlist := _as_wired(circuit, signals, way)) is not None}
    ways_of_parts = ways_made(circuit.netlist)
    celsius = [at.hottest_c if one.most else at.coldest_c for one in ways_of_parts]
    for batch in _batches(wired):
        columns = [column[way] for way in batch]
        made = [_made(batch, one) for one in ways_of_parts]
        for rows in by_setup(asked):
            together, here = [asked[r] for r in rows], np.ix_(rows, columns)
            found.low[here], found.high[here] = _ranges(made, together, _ENDS, celsius)
            if typical:
                low, high = _ranges([list(batch.values())], together, (SourceLevel.NOMINAL,), (T_REFERENCE_C,))
                with np.errstate(invalid="ignore"):
                    found.typical[here] = (low + high) / 2.0
    return found


def _made(batch: Mapping[_Way, Netlist], made: PartsMade) -> list[Netlist]:
    """The batch with parts at one end of their tolerance; netlists that share their components still do."""
    parts: dict[int, Components] = {}
    found = []
    for netlist in batch.values():
        key = id(netlist.components)
        if key not in parts:
            parts[key] = as_made(replace(netlist, conductors=()), made).components
        found.append(replace(netlist, components=parts[key]))
    return found


def data_lost(circuit: DoorCircuit, signals: Signals, suspect: Suspect) -> frozenset[str]:
    """Designations of the devices that data no longer reaches."""
    wrong = netlist_of(circuit, suspect.ways[0])
    return _silent(signals, wrong) if wrong else frozenset()


def _silent(signals: Signals, wrong: Netlist) -> frozenset[str]:
    return frozenset(terminal.partition(".")[0] for terminal in signals.lost(wrong))


def _as_wired(circuit: DoorCircuit, signals: Signals, way: _Way) -> Netlist | None:
    """The netlist with its faults; a module whose link is broken gets no message.

    Its command is taken out by value, so that all these netlists share a structure and are solved together.
    """
    wrong = netlist_of(circuit, way)
    if wrong is None:
        return None
    deaf = _silent(signals, wrong)
    messages = (name for name in circuit.netlist.elements(ElementRole.MODULE_MESSAGE) if name.partition(".")[0] in deaf)
    return Without(frozenset(messages))(wrong)


def _batches(netlists: Mapping[_Way, Netlist]) -> Iterator[dict[_Way, Netlist]]:
    """Netlists whose components have one structure and whose landings are not too many."""
    makes: dict[object, dict[_Way, Netlist]] = {}
    for way, netlist in netlists.items():
        makes.setdefault(key_of(replace(netlist, conductors=())), {})[way] = netlist
    for make in makes.values():
        batch: dict[_Way, Netlist] = {}
        landings: set[tuple[str, Landing, Landing]] = set()
        own = len(next(iter(make.values())).conductors)
        for way, netlist in sorted(make.items(), key=lambda item: -len(item[1].conductors)):
            here = {(c.ref, c.a, c.b) for c in netlist.conductors}
            if batch and len(landings | here) > own + _MOST_LANDINGS:
                yield batch
                batch, landings = {}, set()
            batch[way] = netlist
            landings |= here
        yield batch


def _ranges(
    made: Sequence[Sequence[Netlist]],
    asked: Sequence[Measurement],
    levels: Sequence[SourceLevel],
    celsius: Sequence[float],
) -> tuple[FloatArray, FloatArray]:
    """Least and greatest value over all ways the parts are made and all levels, each of shape (readings, netlists).

    Args:
        made: the same netlists, once for each way the parts are made.
        asked: readings that are solved together.
        levels: of the sources.
        celsius: of the conductors, for each way the parts are made.
    """
    n = len(made[0])
    try:
        low, high = _solved([netlist for one in made for netlist in one], asked, levels, np.repeat(celsius, n))
    except CircuitError:
        if n == 1:
            shape = len(asked), 1
            return np.full(shape, -np.inf), np.full(shape, np.inf)
        parts = [_ranges([[one[k]] for one in made], asked, levels, celsius) for k in range(n)]
        return np.concatenate([low for low, _ in parts], axis=1), np.concatenate([high for _, high in parts], axis=1)
    whole = len(asked), len(made), n
    return low.reshape(whole).min(axis=1), high.reshape(whole).max(axis=1)


def _solved(
    netlists: Sequence[Netlist], asked: Sequence[Measurement], levels: Sequence[SourceLevel], celsius: FloatArray
) -> tuple[FloatArray, FloatArray]:
    circuit = _set_up(netlists, asked[0])
    names = set(circuit.topology.outside)
    wanted = [frozenset(name for name, on in one.outside.items() if on and name in names) for one in asked]
    places = {on: place for place, on in enumerate(dict.fromkeys(wanted))}
    n, m, k = circuit.count, len(places), len(levels)
    cases = Cases(
        column=np.tile(np.arange(n), m * k),
        level=np.tile(np.repeat(np.array(levels, dtype=np.int8), n), m),
        conductor_c=np.tile(celsius, m * k),
        state=np.repeat(np.arange(m), n * k),
        states=state_table(circuit.topology, [dict.fromkeys(on, True) for on in places]),
        acts=np.zeros((m * k * n, 0), dtype=np.int64),
    )
    solution = solve_cases(circuit, cases)
    over = over_limit(circuit, cases.column, solution)
    unlimited = solve_cases(without_limits(circuit), _some(cases, over)) if over.any() else None
    shaped_over = over.reshape(m, k, n)
    ill: BoolArray = np.logical_or.reduce((~solution.sound).reshape(m, k, n), axis=1)
    low, high = np.empty((len(asked), n)), np.empty((len(asked), n))
    for row, (one, on) in enumerate(zip(asked, wanted, strict=True)):
        state = places[on]
        volts = _across(solution, one)
        free = volts.copy()
        if unlimited is not None:
            free[over] = _across(unlimited, one)
        volts, free = volts.reshape(m, k, n)[state], free.reshape(m, k, n)[state]
        values = reading_shown(one.meter, volts)
        # A source at its limit may hold its current, fold back or switch off.
        felt = shaped_over[state] & ~np.isclose(volts, free, rtol=1e-3, atol=_FELT_V)
        low[row] = np.where(felt, np.minimum(values, 0.0), values).min(axis=0)
        high[row] = np.where(felt, np.maximum(values, 0.0), values).max(axis=0)
        low[row, ill[state]], high[row, ill[state]] = -np.inf, np.inf
    return low, high


def _set_up(netlists: Sequence[Netlist], asked: Measurement) -> Circuit:
    held: dict[int, Netlist] = {}
    for netlist in netlists:
        if id(netlist.components) not in held:
            held[id(netlist.components)] = set_up(replace(netlist, conductors=()), asked)
    wirings = [wires_measured(n.conductors, asked) for n in netlists]
    made = [held[id(n.components)].components for n in netlists]
    return overlaid(changed(held[id(netlists[0].components)], finite), wirings, made)


def finite(_: str, element: Element) -> Element:
    """The element with values that any circuit may have: those of each netlist are put in their place afterwards."""
    if all(map(isfinite, element.values.values())):
        return element
    return replace(element, values={name: v if isfinite(v) else 1.0 for name, v in element.values.items()})


def _some(cases: Cases, which: BoolArray) -> Cases:
    return replace(
        cases, column=cases.column[which], level=cases.level[which], conductor_c=cases.conductor_c[which],
        state=cases.state[which], acts=cases.acts[which],
    )  # fmt: skip


def _across(solution: Solution, one: Measurement) -> FloatArray:
    volts = solution.node_v(one.plus) - solution.node_v(one.minus)
    if one.less:
        volts = volts - solution.node_v(one.less[0]) + solution.node_v(one.less[1])
    return volts
