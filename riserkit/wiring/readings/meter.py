"""What a meter shows at a circuit, healthy or miswired: volts, ohms and diode tests, solved like everything else.

The ohmmeter is a source of 0.2 V behind 200 Ω, too low for a diode to conduct; the diode test gives 3 V through 2.3 kΩ, a
milliampere or so (common practice of handheld meters, no source). Where power is off, electronics pass nothing of either.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Cases, SourceLevel, State, state_table
from riserkit.circuits.circuit import Circuit, circuits_of
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.overlay import Wiring, overlaid
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.worst_cases import WORST_CASES
from riserkit.quantities.grouping import grouped
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import over_limit, without_limits

VOLTS: Final = "volts DC"
OHMS: Final = "ohms"
DIODE: Final = "diode test"
FINE, NO_STEADY_STATE, OVER_LIMIT = 0, 1, 2
OPEN_OHM: Final = 1e6
OPEN_V: Final = 2.5
LIFTED: Final = "lifted"
_METER: Final = "meter"
_FELT_V: Final = 0.01
_PROBE: Final[Mapping[str, tuple[float, float]]] = {OHMS: (0.2, 200.0), DIODE: (3.0, 2300.0)}
_PASSES_NOTHING: Final = frozenset({ElementKind.SOURCE, ElementKind.CURRENT_LOAD, ElementKind.POWER_LOAD})


@dataclass(frozen=True, slots=True)
class Lift:
    """Wires taken off a terminal, `component.terminal`: all of them, or those that come from one component.

    The free end of the n-th lift is the node `lifted.n`, counted from 1.
    """

    terminal: str
    coming_from: str = ""


@dataclass(frozen=True, slots=True)
class Measurement:
    """Where a meter goes and in which state.

    Args:
        meter: `VOLTS`, `OHMS` or `DIODE`.
        plus, minus: terminals, or the free end of a lift.
        outside: outside states that are on.
        less: two terminals whose voltage is to be taken off; empty for a plain reading.
        lifts: wires taken off before.
        dead: all power is off.
        on_battery: supplies run on their batteries; otherwise they float.
    """

    meter: str
    plus: str
    minus: str
    outside: State = field(default_factory=dict, hash=False)
    less: tuple[str, ...] = ()
    lifts: tuple[Lift, ...] = ()
    dead: bool = False
    on_battery: bool = False

    @property
    def setup(self) -> tuple[object, ...]:
        """Equal for measurements that are solved together: the circuit is the same while they are taken."""
        probe = () if self.meter == VOLTS else (self.meter, self.plus, self.minus)
        return self.lifts, self.dead, self.on_battery, probe

    @property
    def on(self) -> frozenset[str]:
        """Outside states that are on."""
        return frozenset(name for name, value in self.outside.items() if value)

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for measurements that are the same, outside states included."""
        return self.meter, self.plus, self.minus, self.less, self.setup, self.on

    @property
    def either_way(self) -> tuple[object, ...]:
        """Equal for measurements that are the same but for leads changed over."""
        ends = frozenset((self.plus, self.minus))
        return self.meter, ends, self.less, self.lifts, self.dead, self.on_battery, self.on


@dataclass(frozen=True, slots=True)
class Shown:
    """What the meter shows, in volts or ohms; an open circuit is infinite, for a diode test too.

    Attributes:
        nominal: sources at their nominal voltage, conductors at 20 °C; shape (doors,).
        worst: at the worst cases, shape (worst cases, doors).
        trouble: `FINE`, `NO_STEADY_STATE` or `OVER_LIMIT`, shape (doors,).
    """

    nominal: FloatArray
    worst: FloatArray
    trouble: npt.NDArray[np.int8]


def measure(netlists: Sequence[Netlist], asked: Sequence[Measurement], at: Temperatures) -> tuple[Shown, ...]:
    """What a meter shows at each of several circuits of one structure.

    Args:
        netlists: circuits of one structure.
        asked: the measurements.
        at: coldest and hottest conductor.

    Returns:
        One for each measurement.

    Raises:
        CircuitError: a netlist is ill-posed, or has no such terminal.
    """
    found: dict[int, Shown] = {}
    for places in by_setup(asked):
        together = [asked[p] for p in places]
        circuit = circuits_of([set_up(netlist, together[0]) for netlist in netlists])[0].circuit
        found.update(zip(places, _solved(circuit, together, at), strict=True))
    return tuple(found[place] for place in range(len(asked)))


def by_setup(asked: Sequence[Measurement]) -> tuple[tuple[int, ...], ...]:
    """Places of the measurements that are solved together, in the order of the first of each."""
    setups = grouped((one.setup, place) for place, one in enumerate(asked))
    return tuple(map(tuple, setups.values()))


def measure_wired(netlists: Sequence[Netlist], asked: Sequence[Measurement], at: Temperatures) -> tuple[Shown, ...]:
    """What a meter shows at circuits whose components share a structure, whatever way they are wired.

    Args:
        netlists: the circuits.
        asked: measurements of one setup: of the same lifts, power and, but for volts, the same place.
        at: coldest and hottest conductor.

    Returns:
        One for each measurement; a column for each circuit.

    Raises:
        CircuitError: the circuit is ill-posed, or has no such terminal.
    """
    return tuple(_solved(set_up_together(netlists, asked[0]), asked, at))


def set_up_together(netlists: Sequence[Netlist], asked: Measurement) -> Circuit:
    """Circuits whose components share a structure as they are while it is measured, a column each.

    Raises:
        CircuitError: the circuit is ill-posed, or has no such terminal.
    """
    parts = {id(n.components): replace(n, conductors=()) for n in netlists}
    held = {name: set_up(one, asked) for name, one in parts.items()}
    made = [held[id(n.components)] for n in netlists]
    wirings = [wires_measured(n.conductors, asked) for n in netlists]
    return overlaid(made[0], wirings, [one.components for one in made])


def set_up(netlist: Netlist, asked: Measurement) -> Netlist:
    """The circuit as it is while it is measured: wires lifted, supplies as said, the meter's own source connected."""
    components = (*(component_held(one, asked) for one in netlist.components), *instruments(asked))
    return replace(netlist, components=components, conductors=wires_measured(netlist.conductors, asked))


def component_held(component: Component, asked: Measurement) -> Component:
    """A component as it is while it is measured: without power, on battery or on a supply that floats."""
    elements = [_element(e, asked) for e in component.elements]
    if all(new is old for new, old in zip(elements, component.elements, strict=True)):
        return component
    return replace(component, elements=tuple(e for e in elements if e is not None))


def instruments(asked: Measurement) -> tuple[Component, ...]:
    """What a measurement adds to the components: ends of lifted wires, the meter's own source."""
    added: list[Component] = []
    if asked.lifts:
        ends = tuple(Terminal(str(n)) for n in range(1, len(asked.lifts) + 1))
        added.append(Component(LIFTED, LIFTED, ends))
    if asked.meter != VOLTS:
        added.append(_probe(asked))
    return tuple(added)


def _element(element: Element, asked: Measurement) -> Element | None:
    if asked.dead and element.kind in _PASSES_NOTHING:
        return None
    values = element.values
    if "r_hold_ohm" in values:
        return replace(element, values={**values, "r_ohm": values["r_hold_ohm"]})
    if "float_nominal_v" in values and not asked.on_battery:
        floats = {f"v_{end}_v": values[f"float_{end}_v"] for end in ("nominal", "low", "high")}
        return replace(element, values={**values, **floats})
    return element


def wires_measured(conductors: Sequence[Conductor], asked: Measurement) -> tuple[Conductor, ...]:
    """The conductors as they are while it is measured: wires lifted, the meter's leads among them."""
    return (*wires_lifted(conductors, asked.lifts), *leads(asked))


def wirings_measured(wirings: Mapping[int, Wiring], one: Measurement) -> dict[int, Wiring]:
    """The conductors of each way of wiring as they are while it is measured. What many of them share stays one object."""
    meter = tuple(leads(one))
    if not one.lifts:
        return {name: (*wiring, *meter) if meter else wiring for name, wiring in wirings.items()}
    every = {id(wire): wire for wiring in wirings.values() for wire in wiring}
    lifted = dict(zip(every, wires_lifted(tuple(every.values()), one.lifts), strict=True))
    return {name: (*[lifted[id(wire)] for wire in wiring], *meter) for name, wiring in wirings.items()}


def wires_lifted(conductors: Sequence[Conductor], lifts: Sequence[Lift]) -> tuple[Conductor, ...]:
    """The conductors with those that are taken off at a terminal ending in the air."""
    for number, lift in enumerate(lifts, start=1):
        ref, _, terminal = lift.terminal.partition(".")
        free, place = Landing(LIFTED, str(number)), Landing(ref, terminal)
        conductors = [
            _lifted(c, place, lift.coming_from, free) if ref in (c.a.component, c.b.component) else c
            for c in conductors
        ]
    return tuple(conductors)


def _lifted(c: Conductor, place: Landing, coming_from: str, free: Landing) -> Conductor:
    if c.a.terminal == place.terminal and c.a == place and coming_from in ("", c.b.component):
        return replace(c, a=free)
    if c.b.terminal == place.terminal and c.b == place and coming_from in ("", c.a.component):
        return replace(c, b=free)
    return c


def _probe(asked: Measurement) -> Component:
    volts, r_ohm = _PROBE[asked.meter]
    values = {"v_nominal_v": volts, "r_ohm": r_ohm}
    source = Element("probe", ElementKind.SOURCE, "+", "-", values)
    return Component(_METER, _METER, (Terminal("+"), Terminal("-")), (source,))


def leads(asked: Measurement) -> Iterator[Conductor]:
    """The leads of the meter's own source; a voltmeter has none."""
    if asked.meter == VOLTS:
        return
    for end, name in (("+", asked.plus), ("-", asked.minus)):
        yield Conductor(f"{_METER}{end}", Landing(_METER, end), Landing(*name.split(".")), "", "", 0.0)


def _solved(circuit: Circuit, asked: Sequence[Measurement], at: Temperatures) -> list[Shown]:
    """Every state nominal and at every worst case, in one batch: states slowest, doors fastest."""
    known = set(circuit.topology.outside)
    asked_in = [frozenset(name for name, on in one.outside.items() if on and name in known) for one in asked]
    place_of = {on: place for place, on in enumerate(dict.fromkeys(asked_in))}
    states = [dict.fromkeys(on, True) for on in place_of]
    n, m = circuit.count, len(states)
    ends = [(SourceLevel.NOMINAL, T_REFERENCE_C)]
    ends += [(worst_case.level, at.hottest_c if worst_case.hot else at.coldest_c) for worst_case in WORST_CASES]
    k = len(ends)
    columns = np.broadcast_to(np.arange(n), (m, k, n))
    cases = cases_in_blocks(columns, ends, range(m), state_table(circuit.topology, states))
    solution = solve_cases(circuit, cases)
    ill: BoolArray = np.logical_or.reduce((~solution.sound).reshape(m, k, n), axis=1)
    over: BoolArray = np.logical_or.reduce(over_limit(circuit, cases.column, solution).reshape(m, k, n), axis=1)
    unlimited = solve_cases(without_limits(circuit), cases) if over.any() else solution

    def across(of: Solution, one: Measurement, row: int) -> FloatArray:
        return volts_across(of, [one], slice(row * k * n, (row + 1) * k * n)).reshape(k, n)

    shown = []
    for one, state in zip(asked, asked_in, strict=True):
        row = place_of[state]
        volts = across(solution, one, row)
        # A limit that a reading does not feel leaves it as it is: an input is read beside an overloaded lock output.
        same: BoolArray = np.isclose(volts, across(unlimited, one, row), rtol=1e-3, atol=_FELT_V)
        felt: BoolArray = np.logical_or.reduce(~same, axis=0)
        trouble = np.where(ill[row], NO_STEADY_STATE, np.where(over[row] & felt, OVER_LIMIT, FINE)).astype(np.int8)
        values = reading_shown(one.meter, volts)
        shown.append(Shown(values[0], values[1:], trouble))
    return shown


def cases_in_blocks(
    columns: IntArray, ends: Sequence[tuple[SourceLevel, float]], state: Sequence[int], states: BoolArray
) -> Cases:
    """Cases side by side: a block for each state, in it the ends, in these the circuits, which run fastest.

    Args:
        columns: of the circuit, shape (blocks, ends, circuits).
        ends: level of the sources and temperature of the conductors.
        state: of each block, its place among the states.
        states: outside states, as `state_table` makes them.
    """
    blocks, _, n = columns.shape
    return Cases(
        column=columns.ravel(),
        level=np.tile(np.repeat(np.array([level for level, _ in ends], dtype=np.int8), n), blocks),
        conductor_c=np.tile(np.repeat(np.array([celsius for _, celsius in ends]), n), blocks),
        state=np.repeat(np.array(state), columns[0].size),
        states=states,
        acts=np.zeros((columns.size, 0), dtype=np.int64),
    )


def volts_across(solution: Solution, asked: Sequence[Measurement], cases: slice) -> FloatArray:
    """The voltage between the leads in some of the cases, less what is to be taken off; shape (measurements, cases)."""
    node, v = solution.topology.node, solution.v[:, cases]
    volts: FloatArray = v[[node(one.plus) for one in asked]] - v[[node(one.minus) for one in asked]]
    for row, one in enumerate(asked):
        if one.less:
            volts[row] += v[node(one.less[1])] - v[node(one.less[0])]
    return volts


def reading_shown(meter: str, volts: FloatArray) -> FloatArray:
    """What the meter makes of the voltage at its leads."""
    if meter == DIODE:
        return np.where(volts > OPEN_V, np.inf, volts)
    if meter == OHMS:
        full_v, r_ohm = _PROBE[OHMS]
        ohms = volts * r_ohm / np.maximum(full_v - volts, 1e-12)
        return np.where(ohms > OPEN_OHM, np.inf, ohms)
    return volts
