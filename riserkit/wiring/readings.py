"""What an installer measures at a door, where, and what the meter should show: read off the door's one netlist.

The expected value is that at the sources' nominal voltage with conductors at 20 °C; the band runs over the corners (lowest
and highest source, coldest and hottest conductor) and a little wider for the meter's own error. A lock that picks up with
more current than it holds with is taken as holding, which is what a meter has time to see. The meter's error and the bands
of continuity, diode, input and float readings are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from riserkit.circuits.cases import State, plain_cases
from riserkit.circuits.circuit import circuits_of
from riserkit.circuits.corners import corners_of
from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist
from riserkit.circuits.solve import solve_cases
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.judge import Temperatures
from riserkit.wiring.questions import POWER_OFF, VOLTS, Question, questions
from riserkit.wiring.roles import ElementRole

CLOSED_OHM: Final = 1.0
METER_V: Final = 0.05
INPUT_TOLERANCE: Final = 0.1
FLOAT_TOLERANCE: Final = 0.02
DIODE_BAND_V: Final = (0.4, 0.8)
DIFFERENCE: Final = "first less second of the two above"


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement.

    Args:
        what: what it shows, in words.
        meter: what the meter is set to.
        plus, minus: terminals `component.terminal` that its red and its black lead go to; `minus` empty where there is one
            place only.
        state: what to do first.
        expected: nominal value in `unit`; None when it is no number, or the circuit has no steady state.
        low, high: acceptable band in `unit`; None where it is open on that side.
        unit: `V`, `ohm` or `W`; empty for a thing to be seen.
        words: what is expected, where it is no number.
    """

    what: str
    meter: str
    plus: str
    minus: str
    state: str
    expected: float | None
    low: float | None = None
    high: float | None = None
    unit: str = "V"
    words: str = ""


def expected_readings(circuit: DoorCircuit, at: Temperatures) -> tuple[Reading, ...]:
    """Every reading of one door.

    Args:
        circuit: the door's wiring.
        at: coldest and hottest conductor.

    Raises:
        CircuitError: the netlist is ill-posed.
    """
    return readings_of_doors((circuit,), at)[0]


def readings_of_doors(circuits: Sequence[DoorCircuit], at: Temperatures) -> tuple[tuple[Reading, ...], ...]:
    """The readings of many doors in the order given, those of one structure solved side by side.

    Raises:
        CircuitError: a netlist is ill-posed.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    found: dict[int, tuple[Reading, ...]] = {}
    for place, circuit in enumerate(circuits):
        if circuit.netlist.unknown:
            found[place] = tuple(_untold(circuit))
        else:
            groups.setdefault(_kind(circuit), []).append(place)
    for places in groups.values():
        members = [circuits[p] for p in places]
        for group in circuits_of([_holding(c.netlist) for c in members]):
            alike = [members[k] for k in group.index]
            asked = questions(alike[0])
            values = _Values.of([_holding(c.netlist) for c in alike], [q.outside for q in asked], at)
            for column, k in enumerate(group.index):
                found[places[k]] = tuple(_readings(alike[column], asked, values, column))
    return tuple(found[place] for place in range(len(circuits)))


def _untold(circuit: DoorCircuit) -> Iterator[Reading]:
    """The readings of a circuit whose parts do not state all that it is computed with."""
    for q in questions(circuit):
        yield Reading(q.what, q.meter, q.plus, q.minus, q.state, None, words="not computed: its parts lack values")


def _kind(circuit: DoorCircuit) -> tuple[object, ...]:
    """What decides the questions, the structure of the netlist apart."""
    states = tuple(sorted(circuit.powered.items())), tuple(sorted(circuit.commanded.items()))
    return (*states, circuit.locks, circuit.supply, circuit.relay, circuit.voltage_relay)


def _holding(netlist: Netlist) -> Netlist:
    """The netlist with its locks holding rather than picking up."""
    if not any("r_hold_ohm" in e.values for c in netlist.components for e in c.elements):
        return netlist
    return replace(netlist, components=tuple(map(_component_holding, netlist.components)))


def _component_holding(component: Component) -> Component:
    return replace(component, elements=tuple(map(_element_holding, component.elements)))


def _element_holding(element: Element) -> Element:
    held_ohm = element.values.get("r_hold_ohm")
    return element if held_ohm is None else replace(element, values={**element.values, "r_ohm": held_ohm})


@dataclass(frozen=True, slots=True)
class _Values:
    """Solved voltages of doors of one structure.

    Attributes:
        nominal: node voltages by name, shape (states, doors); `corner`: shape (states, corners, doors).
        fine: cases with a steady state at every corner, shape (states, doors).
        closed: whether a contact is closed, by name, shape (states, doors).
    """

    nominal: Mapping[str, FloatArray]
    corner: Mapping[str, FloatArray]
    fine: BoolArray
    closed: Mapping[str, BoolArray]

    @classmethod
    def of(cls, netlists: Sequence[Netlist], states: Sequence[State], at: Temperatures) -> _Values:
        circuit = circuits_of(netlists)[0].circuit
        outside = set(circuit.topology.outside)
        known = [{name: on for name, on in state.items() if name in outside} for state in states]
        n, m = circuit.count, len(states)
        plain = solve_cases(circuit, plain_cases(circuit, known))
        corners = corners_of(circuit, (np.full(n, at.coldest_c), np.full(n, at.hottest_c)), known)
        contacts = [b.name for b in circuit.topology.elements if b.kind is ElementKind.CONTACT]
        nodes = circuit.topology.nodes
        return cls(
            {name: plain.node_v(name).reshape(n, m).T for name in nodes},
            {name: corners.node_v(name) for name in nodes},
            plain.sound.reshape(n, m).T & np.logical_and.reduce(corners.sound(), axis=1),
            {name: plain.closed(name).reshape(n, m).T for name in contacts},
        )


def _readings(circuit: DoorCircuit, asked: Sequence[Question], values: _Values, column: int) -> Iterator[Reading]:
    for row, question in enumerate(asked):
        if question.meter == VOLTS:
            yield _volts(question, values, row, column)
        else:
            yield _contact(question, bool(values.closed[question.contact][row, column]))
    yield from _suppression(circuit.netlist)
    yield from _float(circuit)


def _volts(question: Question, values: _Values, row: int, column: int) -> Reading:
    q = question
    if not values.fine[row, column]:
        return Reading(q.what, q.meter, q.plus, q.minus, q.state, None, words="not computed: no steady state")
    nominal_v = float(values.nominal[q.plus][row, column] - values.nominal[q.minus][row, column])
    corner_v = values.corner[q.plus][row, :, column] - values.corner[q.minus][row, :, column]
    if q.less:
        nominal_v -= float(values.nominal[q.less[0]][row, column] - values.nominal[q.less[1]][row, column])
        corner_v = corner_v - values.corner[q.less[0]][row, :, column] + values.corner[q.less[1]][row, :, column]
    meter = DIFFERENCE if q.less else q.meter
    margin_v = METER_V if not q.input_v else q.input_v * INPUT_TOLERANCE
    low_v, high_v = float(corner_v.min()), float(corner_v.max())
    low_v = max(0.0, low_v - margin_v) if low_v > -METER_V else low_v - margin_v
    return Reading(q.what, meter, q.plus, q.minus, q.state, nominal_v, low_v, high_v + margin_v)


def _contact(question: Question, closed: bool) -> Reading:
    q = question
    if closed:
        return Reading(q.what, q.meter, q.plus, q.minus, q.state, 0.0, 0.0, CLOSED_OHM, "ohm", "closed")
    return Reading(q.what, q.meter, q.plus, q.minus, q.state, None, None, None, "ohm", "open")


def _suppression(netlist: Netlist) -> Iterator[Reading]:
    """The diode's direction, or that a suppressor without polarity is sound; one lead lifted, or the coil is measured."""
    for component in netlist.components:
        element = component.elements[0] if len(component.elements) == 1 else None
        if element is None or element.kind not in (ElementKind.DIODE, ElementKind.SUPPRESSOR):
            continue
        state = f"{POWER_OFF}; one lead of {component.ref} lifted"
        a, b = f"{component.ref}.{element.a}", f"{component.ref}.{element.b}"
        if element.kind is ElementKind.SUPPRESSOR:
            yield Reading("suppressor, no polarity", "ohms", a, b, state, None, None, None, "ohm", "open")
            continue
        forward_v = element.values["v_forward_v"]
        yield Reading("diode, forward", "diode test", a, b, state, forward_v, *DIODE_BAND_V)
        yield Reading("diode, reverse: cathode stands at lock +", "diode test", b, a, state, None, words="open")


def _float(circuit: DoorCircuit) -> Iterator[Reading]:
    """An outside supply with its battery charged."""
    netlist = circuit.netlist
    ref = circuit.supply.partition(".")[0]
    if all(name.partition(".")[0] != ref for name in netlist.elements(ElementRole.BATTERY_FEED)):
        return
    float_v = netlist.element(circuit.supply).values["v_high_v"]
    band = float_v * (1 - FLOAT_TOLERANCE), float_v * (1 + FLOAT_TOLERANCE)
    plus, minus = netlist.component(ref).poles()
    yield Reading("supply with its battery charged", VOLTS, plus, minus, "mains on, lock off", float_v, *band)
