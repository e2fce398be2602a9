"""What a meter shows at a door under each suspected fault.

It is a range: whatever the tolerance of parts, the voltage of supplies and the temperature of the cable allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import isfinite
from typing import Final, NamedTuple

import numpy as np

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.netlist import Conductor, Element, Landing, Netlist
from riserkit.circuits.overlay import Components, overlaid
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.topology import key_of
from riserkit.troubleshooting.changes import FaultChange, PartsMade, Without, as_made, changed, ways_made
from riserkit.troubleshooting.controller import cut_off, does_nothing, fed_over_cable, unpowered
from riserkit.troubleshooting.decided import Predicted, Way, decided
from riserkit.troubleshooting.metered import Joined
from riserkit.troubleshooting.suspects import Suspect, netlist_of
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import over_limit, without_limits
from riserkit.wiring.readings.meter import (
    VOLTS,
    Measurement,
    cases_in_blocks,
    leads,
    reading_shown,
    set_up,
    volts_across,
    wires_lifted,
)
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.roles import ElementRole

_MOST_LANDINGS: Final = 40
"""Wirings solved together: each brings landings that the others lack, and with them more to eliminate."""
_MOST_PROBED: Final = 4000
"""Wirings times places of an ohmmeter that are solved together, the ways parts are made apart."""
_FELT_V: Final = 0.01
_FELT: Final = 1e-3

_ENDS: Final = (SourceLevel.LOW, SourceLevel.HIGH)


class FaultNetlists:
    """The netlists of one door's faults, each made when it is first asked for."""

    def __init__(self, circuit: DoorCircuit) -> None:
        self.circuit, self.signals = circuit, Signals(circuit.netlist)
        self._of: dict[Way, Netlist | None] = {}
        self._cut: dict[Way, bool] = {}

    def __call__(self, way: tuple[FaultChange, ...]) -> Netlist | None:
        """The netlist with these faults; None where they cannot be there together."""
        if way not in self._of:
            self._of[way] = as_wired(self.circuit, self.signals, way)
        return self._of[way]

    def cut_off(self, way: Way) -> bool:
        """Whether the PoE cable no longer reaches the door."""
        if way not in self._cut:
            netlist = self(way)
            self._cut[way] = netlist is not None and cut_off(self.circuit.netlist, self.signals.lost(netlist))
        return self._cut[way]

    def asks(self, way: Way) -> bool:
        """Whether the input that makes the controller release can read closed: a dead one reads nothing."""
        netlist = self(way)
        names = self.circuit.netlist.elements(ElementRole.REQUEST_INPUT)
        return netlist is not None and any(isfinite(netlist.element(name).values["r_ohm"]) for name in names)


def predict(
    faults: FaultNetlists,
    suspects: Sequence[Suspect],
    asked: Sequence[Measurement],
    at: Temperatures,
    *,
    typical: bool = False,
) -> Predicted:
    """Solve every suspect for every reading: parts that draw most and least, at lowest and highest voltage.

    Args:
        faults: of the door.
        suspects: what may be at fault; one of no change is the healthy door.
        asked: the readings.
        at: coldest and hottest conductor.
        typical: solve also with everything as stated.
    """
    ways = tuple(dict.fromkeys(way for suspect in suspects for way in suspect.ways))
    return _of_suspects(_of_ways(faults, ways, asked, at, typical=typical), ways, suspects)


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
    faults: FaultNetlists, ways: Sequence[Way], asked: Sequence[Measurement], at: Temperatures, *, typical: bool
) -> Predicted:
    """What each way allows at each reading, the controller deciding as it does; shape (readings, ways)."""

    def solve(some: Sequence[Way], readings: Sequence[Measurement]) -> Predicted:
        return _as_commanded(faults, some, readings, at, typical=typical)

    cut = np.array([faults.cut_off(way) for way in ways], dtype=np.bool_)
    asks = np.array([faults.asks(way) for way in ways], dtype=np.bool_)
    return decided(faults.circuit, solve, ways, asked, cut=cut, asks=asks)


def _as_commanded(
    faults: FaultNetlists, ways: Sequence[Way], asked: Sequence[Measurement], at: Temperatures, *, typical: bool
) -> Predicted:
    """What each way allows at each reading with the controller's command as the state has it, shape (readings, ways)."""
    shape = len(asked), len(ways)
    # What cannot be there, or cannot be computed, rules nothing out.
    found = Predicted(np.full(shape, -np.inf), np.full(shape, np.inf), np.full(shape, np.nan))
    column = {way: k for k, way in enumerate(ways)}
    wired = {way: netlist for way in ways if (netlist := faults(way)) is not None}
    ways_of_parts = ways_made(faults.circuit.netlist)
    for batch in batches(wired):
        columns = [column[way] for way in batch]
        made = {one: _made(batch, one) for one in ways_of_parts}
        held = _Held()
        for rows in _together(asked, len(batch)):
            parts, ends = _ends_of(ways_of_parts, at, dead=asked[rows[0]].dead)
            tried = [made[one] for one in parts]
            if typical:
                tried.append(list(batch.values()))
                ends.append(_End(len(parts), SourceLevel.NOMINAL, T_REFERENCE_C))
            low, high = _shown(tried, [asked[r] for r in rows], ends, held)
            here, last = np.ix_(rows, columns), len(ends) - typical
            found.low[here], found.high[here] = low[:, :last].min(axis=1), high[:, :last].max(axis=1)
            if typical:
                with np.errstate(invalid="ignore"):
                    found.typical[here] = (low[:, -1] + high[:, -1]) / 2.0
    return found


def _ends_of(
    ways_of_parts: Sequence[PartsMade], at: Temperatures, *, dead: bool
) -> tuple[tuple[PartsMade, ...], list[_End]]:
    """Ways that parts are made, and the ends to be solved. With power off sources are out: only what parts draw is left."""
    parts = tuple({one.most: one for one in ways_of_parts}.values()) if dead else tuple(ways_of_parts)
    levels = _ENDS[:1] if dead else _ENDS
    celsius = [at.hottest_c if one.most else at.coldest_c for one in parts]
    return parts, [_End(k, level, celsius[k]) for level in levels for k in range(len(parts))]


def _made(batch: Mapping[Way, Netlist], made: PartsMade) -> list[Netlist]:
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


def as_wired(circuit: DoorCircuit, signals: Signals, way: tuple[FaultChange, ...]) -> Netlist | None:
    """The netlist with its faults; a module whose link is broken gets no message, a controller without its cable no power.

    Its command is taken out by value, so that all these netlists share a structure and are solved together.
    """
    wrong = netlist_of(circuit, way)
    if wrong is None:
        return None
    lost = signals.lost(wrong)
    deaf = frozenset(terminal.partition(".")[0] for terminal in lost)
    messages = (name for name in circuit.netlist.elements(ElementRole.MODULE_MESSAGE) if name.partition(".")[0] in deaf)
    cut = cut_off(circuit.netlist, lost)
    nothing = unpowered(circuit).names if cut or does_nothing(circuit.netlist, wrong) else frozenset()
    unfed = fed_over_cable(circuit.netlist) if cut else frozenset()
    return Without(frozenset(messages) | nothing | unfed)(wrong)


def batches(netlists: Mapping[tuple[FaultChange, ...], Netlist]) -> Iterator[dict[tuple[FaultChange, ...], Netlist]]:
    """Netlists whose components have one structure and whose landings are not too many."""
    makes: dict[object, dict[Way, Netlist]] = {}
    for way, netlist in netlists.items():
        makes.setdefault(key_of(replace(netlist, conductors=())), {})[way] = netlist
    for make in makes.values():
        batch: dict[Way, Netlist] = {}
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


def _together(asked: Sequence[Measurement], wirings: int) -> Iterator[list[int]]:
    """Places of the readings that are solved together: all voltages, and resistances as many as memory has room for."""
    setups: dict[tuple[object, ...], list[int]] = {}
    for place, one in enumerate(asked):
        lifts = one.lifts if one.meter == VOLTS else ()
        setups.setdefault((lifts, one.dead, one.on_battery, one.meter), []).append(place)
    for (*_, meter), places in setups.items():
        size = len(places) if meter == VOLTS else max(1, _MOST_PROBED // wirings)
        yield from (places[start : start + size] for start in range(0, len(places), size))


class _End(NamedTuple):
    """One end of what parts, sources and cables may be: how the parts are made, by its place, and what goes with it."""

    made: int
    level: SourceLevel
    celsius: float


def _shown(
    made: Sequence[Sequence[Netlist]], asked: Sequence[Measurement], ends: Sequence[_End], held: _Held
) -> tuple[FloatArray, FloatArray]:
    """Least and greatest value at each end, each of shape (readings, ends, netlists).

    Args:
        made: the same netlists, once for each way the parts are made.
        asked: readings that are solved together.
        ends: to be solved.
        held: what has been set up before.
    """
    n = len(made[0])
    try:
        return _solved(made, asked, ends, held)
    except CircuitError:
        if len(asked) > 1 and asked[0].meter != VOLTS:
            return _put_together([_shown(made, [one], ends, held) for one in asked], axis=0)
        if n > 1:
            return _put_together([_shown([[one[k]] for one in made], asked, ends, held) for k in range(n)], axis=2)
    shape = len(asked), len(ends), 1
    return np.full(shape, -np.inf), np.full(shape, np.inf)


def _put_together(parts: Sequence[tuple[FloatArray, FloatArray]], axis: int) -> tuple[FloatArray, FloatArray]:
    low, high = zip(*parts, strict=True)
    return np.concatenate(low, axis=axis), np.concatenate(high, axis=axis)


def _solved(
    made: Sequence[Sequence[Netlist]], asked: Sequence[Measurement], ends: Sequence[_End], held: _Held
) -> tuple[FloatArray, FloatArray]:
    """Cases in blocks, each of all ends and netlists: of voltages a block for each state, of resistances for each reading."""
    probed = asked[0].meter != VOLTS
    circuit = held.circuit([netlist for one in made for netlist in one], asked if probed else asked[:1])
    names = set(circuit.topology.outside)
    wanted = [frozenset(name for name, on in one.outside.items() if on and name in names) for one in asked]
    place_of = {on: place for place, on in enumerate(dict.fromkeys(wanted))}
    state = [place_of[on] for on in wanted]
    block_of = range(len(asked)) if probed else state
    n, k, m = len(made[0]), len(ends), len(asked) if probed else len(place_of)
    block = np.arange(m)
    first = (block * len(made) * n if probed else np.zeros_like(block))[:, None, None]
    cases = cases_in_blocks(
        first + np.array([end.made for end in ends])[:, None] * n + np.arange(n),
        [(end.level, end.celsius) for end in ends],
        state if probed else range(m),
        state_table(circuit.topology, [dict.fromkeys(on, True) for on in place_of]),
    )
    solution = solve_cases(circuit, cases)
    over = over_limit(circuit, cases.column, solution)
    unlimited = solve_cases(without_limits(circuit), _some(cases, over)) if over.any() else None
    before = [0, *np.cumsum(over.reshape(m, k * n).sum(axis=1)).tolist()]
    ill = ~solution.sound
    joined = None if probed else Joined.of(circuit, cases, solution)
    low, high = np.empty((len(asked), k * n)), np.empty((len(asked), k * n))
    for row, (one, part) in enumerate(zip(asked, block_of, strict=True)):
        mine = slice(part * k * n, (part + 1) * k * n)
        volts = volts_across(solution, one, mine)
        low[row] = high[row] = values = reading_shown(one.meter, volts)
        if joined is not None and not one.less:
            low[row], high[row] = joined.range_v(one.plus, one.minus, mine, volts)
        here = np.flatnonzero(over[mine])
        if unlimited is not None and len(here):
            # A source at its limit may hold its current, fold back or switch off.
            free = volts_across(unlimited, one, slice(before[part], before[part + 1]))
            felt = here[~(np.abs(volts[here] - free) <= _FELT_V + _FELT * np.abs(free))]
            low[row, felt], high[row, felt] = np.minimum(values[felt], 0.0), np.maximum(values[felt], 0.0)
        low[row, ill[mine]], high[row, ill[mine]] = -np.inf, np.inf
    return low.reshape(len(asked), k, n), high.reshape(len(asked), k, n)


class _Held:
    """Netlists as they are while they are measured: what they have in common is set up once."""

    def __init__(self) -> None:
        self._components: dict[object, tuple[Components, Netlist]] = {}

    def circuit(self, netlists: Sequence[Netlist], asked: Sequence[Measurement]) -> Circuit:
        """All of them side by side, one reading after another: a column for each reading and netlist, netlists fastest.

        Args:
            netlists: of one structure.
            asked: readings with one meter and the same power.
        """
        lifts = max((one.lifts for one in asked), key=len)
        held = [self._set_up(netlist, replace(asked[0], lifts=lifts)) for netlist in netlists]
        wires = {id(netlist.conductors): netlist.conductors for netlist in netlists}
        wirings: list[tuple[Conductor, ...]] = []
        for one in asked:
            meter = tuple(leads(one))
            measured = {name: (*wires_lifted(some, one.lifts), *meter) for name, some in wires.items()}
            wirings += [measured[id(netlist.conductors)] for netlist in netlists]
        return overlaid(changed(held[0], finite), wirings, [one.components for one in held] * len(asked))

    def _set_up(self, netlist: Netlist, asked: Measurement) -> Netlist:
        """Where the leads go is no matter to the components."""
        key = id(netlist.components), asked.dead, asked.on_battery, asked.meter, len(asked.lifts)
        if key not in self._components:
            # the components are kept with it, so that no others get their identity
            self._components[key] = netlist.components, set_up(replace(netlist, conductors=()), asked)
        return self._components[key][1]


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
