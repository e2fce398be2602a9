"""What a door draws from its supply or off the PoE cable, idle and released, with its lock holding."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isnan

import numpy as np

from riserkit.circuits.circuit import circuits_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Element, Netlist
from riserkit.circuits.worst_cases import WorstCaseGroup, solve_worst_cases
from riserkit.model.parts import Part
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures, network_w


@dataclass(frozen=True, slots=True)
class StandbyCurrent:
    """Most current out of a door's outside supply with its lock powered, and with the controller's command the other way.

    None where the circuit has no steady state.
    """

    powered_a: float | None
    commanded_a: float | None


@dataclass(frozen=True, slots=True)
class StandbyPower:
    """Most power into a door's powered device, in the two states of `StandbyCurrent`; None where it is not known."""

    powered_w: float | None
    commanded_w: float | None


def standby_currents(circuits: Sequence[DoorCircuit], at: Temperatures) -> tuple[StandbyCurrent, ...]:
    """The currents of doors with an outside supply, those of one structure solved side by side.

    Raises:
        CircuitError: a netlist is ill-posed.
    """

    def given_a(worst: WorstCaseGroup, circuit: DoorCircuit) -> FloatArray:
        return -worst.element_a(circuit.supply)

    return tuple(StandbyCurrent(*pair) for pair in _in_both_states(circuits, at, given_a))


def standby_powers(
    circuits: Sequence[DoorCircuit], parts: Mapping[str, Part], at: Temperatures
) -> tuple[StandbyPower, ...]:
    """The power that doors take off the PoE cable: the device's own, and what it passes on over its converter.

    Args:
        circuits: of the doors.
        parts: of the site, by id.
        at: conductor temperatures.

    Raises:
        CircuitError: a netlist is ill-posed.
    """

    def taken_w(worst: WorstCaseGroup, circuit: DoorCircuit) -> FloatArray:
        watts = network_w(parts.get(circuit.powered_part), circuit, worst)
        return np.full(worst.sound().shape, np.nan) if watts is None else watts

    pairs = _in_both_states(circuits, at, taken_w)
    return tuple(StandbyPower(*(None if w is None or isnan(w) else w for w in pair)) for pair in pairs)


def _in_both_states(
    circuits: Sequence[DoorCircuit], at: Temperatures, read: Callable[[WorstCaseGroup, DoorCircuit], FloatArray]
) -> list[tuple[float | None, float | None]]:
    """The most of what is read at any worst case with the lock powered, and with the command the other way."""
    kinds: dict[tuple[object, ...], list[int]] = {}
    for place, circuit in enumerate(circuits):
        states = tuple(sorted(circuit.powered.items())), tuple(sorted(circuit.commanded.items()))
        kinds.setdefault((*states, circuit.supply, circuit.network_sources, circuit.powered_part), []).append(place)
    found: dict[int, tuple[float | None, float | None]] = {}
    for places in kinds.values():
        first = circuits[places[0]]
        for group in circuits_of([_with_holding_coils(circuits[p].netlist) for p in places]):
            count = len(group.index)
            ends_c = np.full(count, at.coldest_c), np.full(count, at.hottest_c)
            worst = solve_worst_cases(group.circuit, ends_c, (first.powered, first.commanded))
            most = read(worst, first).max(axis=1)
            sound = np.logical_and.reduce(worst.sound(), axis=1)
            for column, k in enumerate(group.index):
                one, two = (
                    float(a) if fine else None for a, fine in zip(most[:, column], sound[:, column], strict=True)
                )
                found[places[k]] = (one, two)
    return [found[place] for place in range(len(circuits))]


def _with_holding_coils(netlist: Netlist) -> Netlist:
    """Locks holding rather than picking up: a blink of pull-in empties no battery."""
    components = tuple(replace(c, elements=tuple(map(_held, c.elements))) for c in netlist.components)
    return replace(netlist, components=components)


def _held(element: Element) -> Element:
    held_ohm = element.values.get("r_hold_ohm")
    return element if held_ohm is None else replace(element, values={**element.values, "r_ohm": held_ohm})
