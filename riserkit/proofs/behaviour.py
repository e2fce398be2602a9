"""Every state under every single fault of a door's circuit, solved at both corners and read as locked or released."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, Level, State
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.faults import Fault, single_faults
from riserkit.circuits.netlist import Element, ElementKind, Netlist
from riserkit.circuits.states import all_states, outside_names
from riserkit.circuits.study import EITHER, POWERED, RELEASED, Study, study
from riserkit.wiring.arrangement import DoorCircuit

OUTPUT: Final = "K1.output"
PORT_LOST: Final = "N1.power_lost"
MAINS_LOST: Final = "G1.mains_lost"
BATTERY_LOST: Final = "G1.battery_lost"
PRESSED: Final = "S1.pressed"
ALARM: Final = "K3.alarm"
MOTION: Final = "B2.motion"
ACTIVE: Final = "B2.active"
OPEN_LEAVES: Final = ("B1.open", "B4.open")
LOSSES: Final = (PORT_LOST, MAINS_LOST, BATTERY_LOST)

# An input reads closed from half of the current that a dead short through its pull-up gives (common practice, no source).
CLOSED_SHARE: Final = 0.5
YES, NO, UNSURE = 1, 0, -1
Trits = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Extremes:
    """The same circuit with the shortest and with the longest cables of the doors that share it."""

    circuit: DoorCircuit
    shortest: Netlist
    longest: Netlist


@dataclass(frozen=True)
class Behaviour:
    """How a door's lock stands, shape (faults, states) each; the first row is the sound circuit.

    Two corners are solved: lowest source, longest and hottest cables, relays at rest to begin with; highest source,
    shortest and coldest cables, relays powered to begin with. Where the two differ, nothing is decided.

    Attributes:
        circuit: the door's wiring.
        fail_safe: an unpowered lock is released.
        states: outside states.
        faults: single faults; the first entry is empty.
        low, high: the two studies.
    """

    circuit: DoorCircuit
    fail_safe: bool
    states: tuple[State, ...]
    faults: tuple[tuple[Fault, ...], ...]
    low: Study
    high: Study

    @property
    def count(self) -> int:
        """Cases solved."""
        return self.low.count + self.high.count

    @cached_property
    def locks(self) -> Trits:
        """How each lock stands: YES locked, NO released, UNSURE; shape (faults, states, locks)."""
        places = [self.low.coil_index(f"{ref}.coil") for ref in self.circuit.locks]
        low, high = self.low.coil[:, :, places], self.high.coil[:, :, places]
        coil = np.where(low == high, low, EITHER)
        locked, released = (POWERED, RELEASED) if self.fail_safe else (RELEASED, POWERED)
        return np.where(coil == locked, YES, np.where(coil == released, NO, UNSURE)).astype(np.int8)

    @cached_property
    def locked(self) -> BoolArray:
        """Every lock surely locked."""
        every: BoolArray = (self.locks == YES).all(axis=2)
        return every

    @cached_property
    def released(self) -> BoolArray:
        """Every lock surely released: people get out."""
        every: BoolArray = (self.locks == NO).all(axis=2)
        return every

    @cached_property
    def opened(self) -> BoolArray:
        """Some lock surely released: somebody gets in."""
        some: BoolArray = (self.locks == NO).any(axis=2)
        return some

    def on(self, name: str) -> BoolArray:
        """Whether an outside state is on, shape (states,); off everywhere when the circuit has no such state."""
        return np.array([state.get(name, False) for state in self.states], dtype=np.bool_)

    def has(self, name: str) -> bool:
        """Whether the circuit has an outside state."""
        return bool(self.states) and name in self.states[0]

    @property
    def release_value(self) -> bool:
        """What the controller's output is when it wants the door released."""
        return (self.circuit.commanded if self.fail_safe else self.circuit.powered).get(OUTPUT, not self.fail_safe)

    @cached_property
    def wants_release(self) -> BoolArray:
        """States in which the controller commands release, shape (states,)."""
        wants: BoolArray = self.on(OUTPUT) == self.release_value
        return wants if self.has(OUTPUT) else np.zeros(len(self.states), dtype=np.bool_)

    @cached_property
    def powers_on(self) -> BoolArray:
        """States in which no source of power is lost, shape (states,)."""
        lost: BoolArray = np.logical_or.reduce([self.on(name) for name in LOSSES], axis=0)
        return ~lost

    def reading(self, element: str) -> Trits:
        """What an input reads: YES closed, NO open, UNSURE; all NO when there is no such input."""
        if element not in self.low.watched:
            return np.zeros(self.locked.shape, dtype=np.int8)
        low, high = (closed(self.circuit.netlist, one, element) for one in (self.low, self.high))
        return np.where(low == high, low, UNSURE).astype(np.int8)

    @cached_property
    def alive(self) -> BoolArray:
        """Whether the controller runs: fed by its port, or seen to draw what it needs."""
        port = np.broadcast_to(~self.on(PORT_LOST), self.locked.shape)
        if "K1.own_load" not in self.low.watched:
            return port
        if not element_of(self.circuit.netlist, "K1.own_load").values["p_w"]:
            return port
        runs: BoolArray = (self.low.current_a("K1.own_load") > 0) | (self.high.current_a("K1.own_load") > 0)
        return runs

    @cached_property
    def request(self) -> Trits:
        """Whether the controller sees a request to exit on its second input."""
        if self.has(ACTIVE):
            return np.zeros(self.locked.shape, dtype=np.int8)
        return np.where(self.alive, self.reading("K1.input_r"), NO).astype(np.int8)

    @cached_property
    def consistent(self) -> BoolArray:
        """Cases in which a sound controller does as it sees: a request releases, a dead one commands nothing."""
        if not self.has(OUTPUT):
            return np.ones(self.locked.shape, dtype=np.bool_)
        dead_or_told = np.where(self.alive, (self.request != YES) | self.wants_release, ~self.on(OUTPUT))
        return dead_or_told.astype(np.bool_)

    @cached_property
    def quiet(self) -> BoolArray:
        """States with all power there, nobody near, doors closed, no alarm; shape (states,)."""
        busy = [self.on(name) for name in (MOTION, ACTIVE, PRESSED, ALARM, *OPEN_LEAVES)]
        quiet: BoolArray = self.powers_on & ~np.logical_or.reduce(busy, axis=0)
        return quiet

    def at_rest(self) -> int:
        """Place of the quiet state in which the controller holds the door locked."""
        return int(np.flatnonzero(self.quiet & ~self.wants_release)[0])


def element_of(netlist: Netlist, name: str) -> Element:
    """The element `component.element`; KeyError when there is none."""
    ref, _, element = name.partition(".")
    for one in netlist.component(ref).elements:
        if one.name == element:
            return one
    raise KeyError(name)


def closed(netlist: Netlist, solved: Study, element: str) -> BoolArray:
    """Where an input is pulled down by what is landed on it; a voltage put there from elsewhere reads open."""
    values = element_of(netlist, element).values
    pulled: BoolArray = -solved.current_a(element) >= CLOSED_SHARE * values["v_nominal_v"] / values["r_ohm"]
    return pulled


def watched_of(netlist: Netlist) -> tuple[str, ...]:
    """Elements whose currents tell what the controller sees, and what the sensor draws."""
    wanted = {"K1": ("input_d", "input_r", "own_load"), "B2": ("supply", "relay")}
    return tuple(
        f"{component.ref}.{element.name}"
        for component in netlist.components
        for element in component.elements
        if element.name in wanted.get(component.ref, ())
    )


def observe(extremes: Extremes, fail_safe: bool, temperatures_c: tuple[float, float]) -> Behaviour:
    """Solve every state under every single fault at both corners.

    Args:
        extremes: the circuit, with the shortest and the longest cables.
        fail_safe: an unpowered lock is released.
        temperatures_c: coldest and hottest of the conductors.

    Raises:
        CircuitError: the netlist is ill-posed or has too many outside states to spell out.
    """
    netlist = extremes.circuit.netlist
    states = all_states(outside_names(netlist))
    faults = ((), *((fault,) for fault in single_faults(netlist)))
    watched = watched_of(netlist)
    coldest_c, hottest_c = temperatures_c
    low = study(extremes.longest, states, faults, watched, (Level.LOW, hottest_c))
    high = study(extremes.shortest, states, faults, watched, (Level.HIGH, coldest_c), energised=True)
    return Behaviour(extremes.circuit, fail_safe, states, faults, low, high)


def alone(circuit: DoorCircuit) -> Extremes:
    """A circuit that stands for itself only."""
    return Extremes(circuit, circuit.netlist, circuit.netlist)


def sensor_powered(behaviour: Behaviour) -> Trits | None:
    """Whether the REX sensor has its supply, told while nobody moves; None when it takes none or there is none."""
    for name in ("B2.relay", "B2.supply"):
        if name in behaviour.low.watched:
            element = element_of(behaviour.circuit.netlist, name)
            least_a = (
                0.5 * element.values["i_a"] if element.kind is ElementKind.CURRENT_LOAD else _hold_a(element.values)
            )
            low, high = (np.abs(one.current_a(name)) >= least_a for one in (behaviour.low, behaviour.high))
            return np.where(low == high, low, UNSURE).astype(np.int8)
    return None


def _hold_a(values: Mapping[str, float]) -> float:
    return values["v_drop_out_v"] / values["r_ohm"]


ROOM_C: Final[tuple[float, float]] = (T_REFERENCE_C, T_REFERENCE_C)
"""Conductor temperatures where nobody says any."""


def landed_on(netlist: Netlist, ref: str, terminals: Sequence[str] = ()) -> frozenset[str]:
    """Designations of conductors landed on a component, or on these of its terminals."""
    return frozenset(
        c.ref
        for c in netlist.conductors
        for end in (c.a, c.b)
        if end.component == ref and (not terminals or end.terminal in terminals)
    )
