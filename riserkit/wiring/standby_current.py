"""What a door draws from its outside supply while it stands idle and while it is released, with its lock holding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from riserkit.circuits.circuit import circuits_of
from riserkit.circuits.corners import corners_of
from riserkit.circuits.netlist import Element, Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures


@dataclass(frozen=True, slots=True)
class StandbyCurrent:
    """Most current out of a door's outside supply with its lock powered, and with the controller's command the other way.

    None where the circuit has no steady state.
    """

    powered_a: float | None
    commanded_a: float | None


def standby_currents(circuits: Sequence[DoorCircuit], at: Temperatures) -> tuple[StandbyCurrent, ...]:
    """The currents of doors with an outside supply, those of one structure solved side by side.

    Raises:
        CircuitError: a netlist is ill-posed.
    """
    kinds: dict[tuple[object, ...], list[int]] = {}
    for place, circuit in enumerate(circuits):
        states = tuple(sorted(circuit.powered.items())), tuple(sorted(circuit.commanded.items()))
        kinds.setdefault((*states, circuit.supply), []).append(place)
    found: dict[int, StandbyCurrent] = {}
    for places in kinds.values():
        first = circuits[places[0]]
        for group in circuits_of([_holding(circuits[p].netlist) for p in places]):
            count = len(group.index)
            ends_c = np.full(count, at.coldest_c), np.full(count, at.hottest_c)
            corners = corners_of(group.circuit, ends_c, (first.powered, first.commanded))
            most = (-corners.element_a(first.supply)).max(axis=1)
            sound = np.logical_and.reduce(corners.sound(), axis=1)
            for column, k in enumerate(group.index):
                values = [float(a) if fine else None for a, fine in zip(most[:, column], sound[:, column], strict=True)]
                found[places[k]] = StandbyCurrent(values[0], values[1])
    return tuple(found[place] for place in range(len(circuits)))


def _holding(netlist: Netlist) -> Netlist:
    """Locks holding rather than picking up: a blink of pull-in empties no battery."""
    components = tuple(replace(c, elements=tuple(map(_held, c.elements))) for c in netlist.components)
    return replace(netlist, components=components)


def _held(element: Element) -> Element:
    held_ohm = element.values.get("r_hold_ohm")
    return element if held_ohm is None else replace(element, values={**element.values, "r_ohm": held_ohm})
