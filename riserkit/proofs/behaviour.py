"""Every state under every single fault of a door's circuit, solved at both worst cases and read as locked or released."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.circuits.cases import T_REFERENCE_C, State
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.faults import Fault, single_faults
from riserkit.circuits.kept_cases import EITHER, POWERED, RELEASED
from riserkit.circuits.netlist import Element, ElementKind, Netlist
from riserkit.circuits.states import all_states, outside_names
from riserkit.circuits.study import Study, study_at
from riserkit.proofs.history import pulled_in_before
from riserkit.proofs.worst_cases import WorstCase, worst_cases_of
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import LOSSES, DeviceRole, ElementRole, StateRole

# An input reads closed from half of the current that a dead short through its pull-up gives (common practice, no source).
CLOSED_SHARE: Final = 0.5
YES, NO, UNSURE = 1, 0, -1
_ORDER: Final = tuple(str(role) for role in StateRole)
_BUSY: Final = (
    StateRole.MOTION, StateRole.AUXILIARY_ACTIVE, StateRole.RELEASE_PRESSED, StateRole.FIRE_ALARM, StateRole.DOOR_OPEN,
)  # fmt: skip
Trits = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Extremes:
    """The same circuit with the shortest and with the longest cables of the doors that share it."""

    circuit: DoorCircuit
    shortest: Netlist
    longest: Netlist


@dataclass(frozen=True)
class Behaviour:
    """State of a door's lock, shape (faults, states) each; the first row is the healthy circuit.

    Two worst cases are solved: lowest source, longest and hottest cables, relays at rest to begin with; highest source,
    shortest and coldest cables, relays powered to begin with that can have pulled in. Where the two differ, nothing is
    decided.

    Attributes:
        circuit: the door's wiring.
        fail_safe: an unpowered lock is released.
        states: outside states.
        faults: single faults; the first entry is empty.
        low, high: the two studies.
        worst_cases: what they were solved at.
    """

    circuit: DoorCircuit
    fail_safe: bool
    states: tuple[State, ...]
    faults: tuple[tuple[Fault, ...], ...]
    low: Study
    high: Study
    worst_cases: tuple[WorstCase, WorstCase]

    @property
    def count(self) -> int:
        """Cases solved."""
        return self.low.count + self.high.count

    @cached_property
    def locks(self) -> Trits:
        """State of each lock: YES locked, NO released, UNSURE; shape (faults, states, locks)."""
        places = [self.low.coil_index(self.circuit.coil(ref)) for ref in self.circuit.locks]
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

    def names(self, role: StateRole) -> tuple[str, ...]:
        """The outside states with a role; a state that moves nothing in this circuit is none of its states."""
        return tuple(name for name in self.circuit.netlist.states(role) if name in self.states[0])

    def on(self, role: StateRole) -> BoolArray:
        """Whether an outside state of this role is on, shape (states,); off everywhere when the circuit has none."""
        names = self.names(role)
        return np.array([any(state[name] for name in names) for state in self.states], dtype=np.bool_)

    def has(self, role: StateRole) -> bool:
        """Whether the circuit has an outside state of this role."""
        return bool(self.names(role))

    @property
    def release_value(self) -> bool:
        """What the controller's output is when it wants the door released."""
        stated = self.circuit.commanded if self.fail_safe else self.circuit.powered
        return stated.get(self.circuit.command, not self.fail_safe)

    @cached_property
    def wants_release(self) -> BoolArray:
        """States in which the controller releases, shape (states,)."""
        wants: BoolArray = self.on(StateRole.COMMAND) == self.release_value
        return wants if self.has(StateRole.COMMAND) else np.zeros(len(self.states), dtype=np.bool_)

    @cached_property
    def powers_on(self) -> BoolArray:
        """States in which no source of power is lost, shape (states,)."""
        lost: BoolArray = np.logical_or.reduce([self.on(role) for role in LOSSES], axis=0)
        return ~lost

    def watched(self, role: ElementRole) -> str:
        """The first element with a role whose current is kept; empty when there is none."""
        return next((name for name in self.circuit.netlist.elements(role) if name in self.low.watched), "")

    def reading(self, role: ElementRole) -> Trits:
        """What an input reads: YES closed, NO open, UNSURE; all NO when there is no such input."""
        element = self.watched(role)
        if not element:
            return np.zeros(self.locked.shape, dtype=np.int8)
        low, high = (closed(self.circuit.netlist, one, element) for one in (self.low, self.high))
        return np.where(low == high, low, UNSURE).astype(np.int8)

    @cached_property
    def alive(self) -> BoolArray:
        """Whether the controller runs: fed by its port, or seen to draw what it needs."""
        port = np.broadcast_to(~self.on(StateRole.NETWORK_POWER_LOST), self.locked.shape)
        load = self.watched(ElementRole.CONTROLLER_LOAD)
        if not load or not self.circuit.netlist.element(load).values["p_w"]:
            return port
        runs: BoolArray = (self.low.current_a(load) > 0) | (self.high.current_a(load) > 0)
        return runs

    @cached_property
    def request(self) -> Trits:
        """Whether the controller sees a request to exit on its second input."""
        if self.has(StateRole.AUXILIARY_ACTIVE):
            return np.zeros(self.locked.shape, dtype=np.int8)
        return np.where(self.alive, self.reading(ElementRole.REQUEST_INPUT), NO).astype(np.int8)

    @cached_property
    def consistent(self) -> BoolArray:
        """Cases in which a healthy controller does as it sees: a request releases, a dead one commands nothing."""
        if not self.has(StateRole.COMMAND):
            return np.ones(self.locked.shape, dtype=np.bool_)
        dead_or_told = np.where(self.alive, (self.request != YES) | self.wants_release, ~self.on(StateRole.COMMAND))
        return dead_or_told.astype(np.bool_)

    @cached_property
    def quiet(self) -> BoolArray:
        """States with all power there, nobody near, doors closed, no alarm; shape (states,)."""
        busy = [self.on(role) for role in _BUSY]
        quiet: BoolArray = self.powers_on & ~np.logical_or.reduce(busy, axis=0)
        return quiet

    def at_rest(self) -> int:
        """Place of the quiet state in which the controller holds the door locked."""
        return int(np.flatnonzero(self.quiet & ~self.wants_release)[0])


def closed(netlist: Netlist, solved: Study, element: str) -> BoolArray:
    """Where an input is pulled down by what is landed on it; a voltage put there from elsewhere reads open."""
    values = netlist.element(element).values
    pulled: BoolArray = -solved.current_a(element) >= CLOSED_SHARE * values["v_nominal_v"] / values["r_ohm"]
    return pulled


def watched_of(netlist: Netlist) -> tuple[str, ...]:
    """Elements whose currents tell what the controller sees, and what the sensor draws."""
    return netlist.elements(
        ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT, ElementRole.CONTROLLER_LOAD, ElementRole.SENSOR_LOAD,
        ElementRole.SENSOR_RELAY,
    )  # fmt: skip


def states_of(netlist: Netlist) -> tuple[State, ...]:
    """Every combination of the circuit's outside states, in the order of their roles and then of the components.

    Raises:
        CircuitError: the netlist is ill-posed or has too many outside states to spell out.
    """
    moving = outside_names(netlist)
    declared = [name for name in netlist.states() if name in moving]
    ordered = sorted(declared, key=lambda name: _place(netlist.role_of_state(name)))
    return all_states((*ordered, *(name for name in moving if name not in declared)))


def require_roles(netlist: Netlist) -> None:
    """Every outside state says what it is: one that does not would be left out of what is asked, and so pass.

    Raises:
        UnknownControlError: a contact is moved by a state without a role that is known here.
    """
    for name in outside_names(netlist):
        if netlist.role_of_state(name) not in _ORDER:
            raise UnknownControlError(name, "moves a contact, but the circuit does not say what kind of state it is")


def _place(role: str) -> int:
    return _ORDER.index(role) if role in _ORDER else len(_ORDER)


def solve_door(extremes: Extremes, fail_safe: bool, temperatures_c: tuple[float, float]) -> Behaviour:
    """Solve every state under every single fault at both worst cases.

    Args:
        extremes: the circuit, with the shortest and the longest cables.
        fail_safe: an unpowered lock is released.
        temperatures_c: coldest and hottest of the conductors.

    Raises:
        CircuitError: the netlist is ill-posed or has too many outside states to spell out.
    """
    netlist = extremes.circuit.netlist
    states = states_of(netlist)
    faults = ((), *((fault,) for fault in single_faults(netlist)))
    watched = watched_of(netlist)
    low_at, high_at = worst_cases_of(extremes.shortest, extremes.longest, temperatures_c)
    begin = pulled_in_before(high_at.netlist, states, faults, high_at.at_c)
    low, high = study_at([low_at.condition(), high_at.condition(begin)], states, faults, watched)
    return Behaviour(extremes.circuit, fail_safe, states, faults, low, high, (low_at, high_at))


def single_circuit(circuit: DoorCircuit) -> Extremes:
    """A circuit that no other door shares."""
    return Extremes(circuit, circuit.netlist, circuit.netlist)


def sensor_powered(behaviour: Behaviour) -> Trits | None:
    """Whether every REX sensor has its supply while nobody moves; None when none takes any or there is none."""
    netlist = behaviour.circuit.netlist
    found: Trits | None = None
    for name in netlist.elements(ElementRole.SENSOR_RELAY, ElementRole.SENSOR_LOAD):
        least_a = _least_a(netlist.element(name))
        low, high = (np.abs(one.current_a(name)) >= least_a for one in (behaviour.low, behaviour.high))
        here = np.where(low == high, low, UNSURE).astype(np.int8)
        found = here if found is None else np.where((found == NO) | (here == NO), NO, np.minimum(found, here))
    return found


def _least_a(element: Element) -> float:
    """Less than this, and the sensor has no supply: half of what it draws, or what its relay lets go at."""
    if element.kind is ElementKind.CURRENT_LOAD:
        return 0.5 * element.values["i_a"]
    return element.values["v_drop_out_v"] / element.values["r_ohm"]


ROOM_C: Final[tuple[float, float]] = (T_REFERENCE_C, T_REFERENCE_C)
"""Conductor temperatures where nobody says any."""


def landed_on(netlist: Netlist, *points: str) -> frozenset[str]:
    """Designations of conductors landed on these terminals `component.terminal`, and of those that go on beyond a transfer."""
    transfers = {c.ref for c in netlist.devices(DeviceRole.POWER_TRANSFER)}
    reached = set(points)
    for conductor in netlist.conductors:
        ends = {str(conductor.a), str(conductor.b)}
        if ends & reached:
            reached |= {end for end in ends if end.partition(".")[0] in transfers}
    return frozenset(c.ref for c in netlist.conductors if {str(c.a), str(c.b)} & reached)


def landed_at(netlist: Netlist, *roles: DeviceRole) -> frozenset[str]:
    """Designations of conductors landed on devices with these roles."""
    refs = {c.ref for c in netlist.devices(*roles)}
    return frozenset(c.ref for c in netlist.conductors if refs & {c.a.component, c.b.component})
