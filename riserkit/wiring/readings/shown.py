"""Which miswirings of a door its readings show, and which they do not.

A miswiring is functional when it changes what the door does in some state of its contacts, inputs and power, at lowest or at
highest voltage: whether a lock is locked, what an input reads, whether a device has its supply with the right polarity, whether a
source is overloaded, whether data arrive, whether a coil's suppressor is across it. It is shown when a reading stays
outside its printed band at every worst case, or a function check on the sheet fails.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import circuit_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.miswirings import Miswiring, miswired, single_miswirings
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.one_structure import ComponentsOnce, of_one_structure
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.states import all_states, outside_names
from riserkit.circuits.topology import key_of
from riserkit.circuits.worst_cases import solve_worst_cases
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import over_limit
from riserkit.wiring.readings.ends import supply_to_common
from riserkit.wiring.readings.expected import CLOSED_OHM, Reading, measured_readings, printed_band
from riserkit.wiring.readings.meter import VOLTS, Measurement, Shown, by_setup, measure, measure_wired, set_up_together
from riserkit.wiring.readings.questions import MeterQuestion, questions
from riserkit.wiring.readings.signals import Signals, joined
from riserkit.wiring.readings.wired import without_message
from riserkit.wiring.roles import DeviceRole, ElementRole

# An input reads closed from half of the current that a dead short through its pull-up gives (common practice, no source).
CLOSED_SHARE: Final = 0.5
# A device with less than this share of its usual voltage, or with the wrong polarity, is without supply.
_SUPPLIED_SHARE: Final = 0.5
# The solver's arithmetic, which no meter shows: 0 V may come out a hair below.
_ROUNDING: Final = 1e-9
# Netlists solved together: each brings wires that the others lack, and with them more to eliminate.
_MOST_TOGETHER: Final = 24
_LOADS: Final = frozenset({ElementKind.CURRENT_LOAD, ElementKind.POWER_LOAD})
_POLAR: Final = (ElementRole.SENSOR_RELAY, ElementRole.MODULE_COIL, ElementRole.MODULE_TRIGGER)

Behaviour = Mapping[str, np.ndarray]


@dataclass(frozen=True, slots=True)
class Judged:
    """One miswiring judged.

    Args:
        miswiring: what was done.
        changes: what of the door's behaviour it changes, in words; empty when it is not functional.
        shown_by: the reading or check that shows it; empty when none does.
    """

    miswiring: Miswiring
    changes: tuple[str, ...]
    shown_by: str


def door_miswirings(circuit: DoorCircuit) -> tuple[Miswiring, ...]:
    """Every single miswiring of a door, the supply-to-common link of its relay module included."""
    return single_miswirings(circuit.netlist, supply_to_common(circuit))


def likely_miswirings(circuit: DoorCircuit) -> tuple[Miswiring, ...]:
    """Those of `door_miswirings` that a crew makes: conductors exchanged only within one cable, or among leads."""
    cable = {c.ref: c.cable for c in circuit.netlist.conductors}
    return tuple(
        m for m in door_miswirings(circuit) if len({cable[s] for s in m.subjects if s in cable and m.ends}) <= 1
    )


def not_shown(circuit: DoorCircuit, at: Temperatures, wanted: Iterable[Miswiring] | None = None) -> tuple[Judged, ...]:
    """The functional miswirings of a door that none of its readings shows.

    Args:
        circuit: the door's wiring.
        at: coldest and hottest conductor.
        wanted: those to judge; None for the likely ones.

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    sheet = MeterSheet(circuit, at)
    every = tuple(likely_miswirings(circuit) if wanted is None else wanted)
    # most that the first readings leave change nothing: of these no further ones are tried
    left = [m for m, shown in zip(every, sheet.shown_at(sheet.setups[:1], every), strict=True) if not shown]
    changes = dict(zip(left, sheet.all_changes(left), strict=True))
    functional = [m for m in left if changes[m]]
    shown_by = sheet.shown_at(sheet.setups[1:], functional)
    return tuple(Judged(m, changes[m], "") for m, shown in zip(functional, shown_by, strict=True) if not shown)


def wired_alike(circuit: DoorCircuit) -> Hashable:
    """Equal for doors of the same parts, wired the same way; their lengths may differ."""
    parts = tuple(component.part for component in circuit.netlist.components)
    gauges = tuple(conductor.gauge for conductor in circuit.netlist.conductors)
    return key_of(circuit.netlist), parts, gauges, circuit.fail_safe, circuit.locks, circuit.supply, circuit.relay


@dataclass(frozen=True)
class MeterSheet:
    """The test sheet of one door, to be tried on its miswirings."""

    circuit: DoorCircuit
    at: Temperatures

    @cached_property
    def _asked(self) -> tuple[MeterQuestion, ...]:
        return questions(self.circuit)

    @cached_property
    def _readings(self) -> tuple[Reading, ...]:
        netlist = self.circuit.netlist
        return measured_readings(self._asked, measure([netlist], [q.asked for q in self._asked], self.at), 0)

    @cached_property
    def setups(self) -> tuple[tuple[int, ...], ...]:
        """Questions that are solved together, those with nothing lifted and the most of them first."""
        return tuple(sorted(by_setup([q.asked for q in self._asked]), key=lambda places: (-len(places), places)))

    @cached_property
    def _signals(self) -> Signals:
        return Signals(self.circuit.netlist)

    @cached_property
    def _behaviour(self) -> Behaviour:
        return _behaviours(self.circuit, [self.circuit.netlist], self.at)[0]

    def shown_by(self, miswiring: Miswiring) -> str:
        """The first reading or check that shows a miswiring; empty when none does."""
        return self.all_shown_by([miswiring])[0]

    def all_shown_by(self, miswirings: Sequence[Miswiring]) -> list[str]:
        """For each miswiring the first reading or check that shows it; empty when none does."""
        return self.shown_at(self.setups, miswirings)

    def shown_at(self, setups: Sequence[Sequence[int]], miswirings: Sequence[Miswiring]) -> list[str]:
        """The same by the readings of some setups alone, and by the checks."""
        found = [""] * len(miswirings)
        obeying: dict[int, Netlist] = {}
        for place, miswiring in enumerate(miswirings):
            wrong = miswired(self.circuit.netlist, miswiring)
            lost = self._signals.lost(wrong)
            found[place] = self._signal_check(lost)
            if not found[place]:
                obeying[place] = without_message(wrong, lost)
        left = {**of_one_structure(obeying, ComponentsOnce())}
        for together in setups:
            for places in _together(left):
                found_here = self._read(together, [left[p] for p in places])
                for place in found_here:
                    found[places[place]] = found_here[place]
                    del left[places[place]]
        for place in left:
            found[place] = "controller online" if self._dead(obeying[place]) else ""
        return found

    def _signal_check(self, lost: Sequence[str]) -> str:
        """The check that fails without these signals."""
        checked = {DeviceRole.NETWORK_PORT: "controller online", DeviceRole.READER: "read a card",
                   DeviceRole.SPLITTER: "controller online"}  # fmt: skip
        roles = (self.circuit.netlist.component(terminal.partition(".")[0]).role for terminal in lost)
        return next((checked[DeviceRole(role)] for role in roles if role in checked), "")

    def _read(self, together: Sequence[int], wrong: Sequence[Netlist]) -> dict[int, str]:
        """Which of these netlists of one structure are shown by readings of one setup, and by which first."""
        asked = [self._asked[p].asked for p in together]
        try:
            shown = measure_wired(wrong, asked, self.at)
        except CircuitError:
            return {}
        found: dict[int, str] = {}
        for place, one in zip(together, shown, strict=True):
            reading = self._readings[place]
            for column in range(len(wrong)):
                if column not in found and _outside(reading, one, column):
                    found[column] = f"{reading.what}: {reading.state}"
        return found

    def _dead(self, wrong: Netlist) -> bool:
        """A controller fed from outside that has no supply at any worst case."""
        for name in self.circuit.netlist.elements(ElementRole.CONTROLLER_LOAD):
            circuit = circuit_of(wrong)
            ends_c = (np.array([self.at.coldest_c]), np.array([self.at.hottest_c]))
            drawn_a = solve_worst_cases(circuit, ends_c, (self.circuit.locked_state,)).element_a(name)
            return bool(self.circuit.netlist.element(name).values["p_w"] > 0.0 and (drawn_a <= 0.0).all())
        return False

    def changes(self, miswiring: Miswiring) -> tuple[str, ...]:
        """What of the door's behaviour a miswiring changes."""
        return self.all_changes([miswiring])[0]

    def all_changes(self, miswirings: Sequence[Miswiring]) -> list[tuple[str, ...]]:
        """For each miswiring what of the door's behaviour it changes."""
        return self.all_changes_of([miswired(self.circuit.netlist, miswiring) for miswiring in miswirings])

    def all_changes_of(self, wrong: Sequence[Netlist]) -> list[tuple[str, ...]]:
        """For each netlist that was wired in place of the door's what of its behaviour that changes."""
        lost = list(map(self._signals.lost, wrong))
        obeying = of_one_structure(dict(enumerate(map(without_message, wrong, lost))), ComponentsOnce())
        found = [tuple(f"data at {terminal}" for terminal in terminals) for terminals in lost]
        for places in _together(obeying):
            behaviours = _behaviours(self.circuit, [obeying[p] for p in places], self.at)
            for place, here in zip(places, behaviours, strict=True):
                usual = self._behaviour.items()
                changed = [name for name, values in usual if not np.array_equal(values, here[name])]
                found[place] = tuple(dict.fromkeys([*found[place], *changed]))
        return found


def _together(netlists: Mapping[int, Netlist]) -> Iterator[list[int]]:
    """Places of netlists whose components share a structure, a few dozen at a time."""
    keys: dict[int, Hashable] = {}
    makes: dict[Hashable, list[int]] = {}
    for place, netlist in netlists.items():
        name = id(netlist.components)
        if name not in keys:
            keys[name] = key_of(replace(netlist, conductors=()))
        makes.setdefault(keys[name], []).append(place)
    for make in makes.values():
        for start in range(0, len(make), _MOST_TOGETHER):
            yield make[start : start + _MOST_TOGETHER]


def _outside(reading: Reading, shown: Shown, column: int) -> bool:
    """Whether what the meter shows is no good at any worst case. What has no steady state shows nothing for sure."""
    if shown.trouble[column] == 1 or not reading.computed:
        return False
    values = np.append(shown.worst[:, column], shown.nominal[column])
    if reading.words == "open":
        return bool(np.isfinite(values).all())
    if reading.words == "closed":
        return bool((values > CLOSED_OHM).all() | (values < 0.0).all())
    low, high = printed_band(reading)
    outside = np.zeros(values.shape, dtype=np.bool_)
    if low is not None:
        outside |= values < low - _ROUNDING
    if high is not None:
        outside |= values > high + _ROUNDING
    return bool(outside.all())


def _behaviours(circuit: DoorCircuit, wrong: Sequence[Netlist], at: Temperatures) -> Sequence[Behaviour]:
    """What the door does wired in each of several ways, in every state at both ends of voltage.

    By name: arrays that differ where it behaves differently. The components of the netlists share a structure.
    """
    states = all_states(outside_names(circuit.netlist))
    found: dict[str, list[np.ndarray]] = {}
    n, n_states = len(wrong), len(states)
    for level, conductor_c, energised in (
        (SourceLevel.LOW, at.hottest_c, False),
        (SourceLevel.HIGH, at.coldest_c, True),
    ):
        solved = set_up_together(wrong, Measurement(VOLTS, "", "", on_battery=level is SourceLevel.LOW))
        known = set(solved.topology.outside)
        own = [{name: on for name, on in state.items() if name in known} for state in states]
        cases = Cases(
            np.repeat(np.arange(n), n_states), np.full(n * n_states, level, dtype=np.int8),
            np.full(n * n_states, conductor_c), np.tile(np.arange(n_states), n), state_table(solved.topology, own),
            np.zeros((n * n_states, 0), dtype=np.int64), energised=energised,
        )  # fmt: skip
        solution = solve_cases(solved, cases)
        for lock in circuit.locks:
            element = solved.topology.element(circuit.coil(lock))
            pull_in, drop_out = (float(solved.params[row, 0]) for row in solved.topology.mover_rows(element))
            volts = np.abs(solution.element_v(circuit.coil(lock)))
            found.setdefault(f"lock {lock}", []).append(_pulled_in(volts, pull_in, drop_out))
        for name in circuit.netlist.elements(ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT):
            values = circuit.netlist.element(name).values
            least_a = CLOSED_SHARE * values["v_nominal_v"] / values["r_ohm"]
            found.setdefault(f"input {name}", []).append(-solution.element_a(name) >= least_a)
        for name in _supplied(circuit.netlist):
            found.setdefault(f"supply {name}", []).append(_supply(circuit.netlist, name, solution.element_v(name)))
        found.setdefault("overload", []).append(over_limit(solved, cases.column, solution))
        found.setdefault("no steady state", []).append(~solution.sound)
    whole = {name: np.concatenate([p.reshape(n, n_states) for p in parts], axis=1) for name, parts in found.items()}
    behaviours: list[dict[str, np.ndarray]] = [
        {name: values[row] for name, values in whole.items()} for row in range(n)
    ]
    for component in circuit.netlist.devices(DeviceRole.SUPPRESSOR):
        for behaviour, one in zip(behaviours, wrong, strict=True):
            behaviour[f"suppressor {component.ref}"] = np.array(sorted(_across(circuit, one, component.ref)))
    return behaviours


def _pulled_in(volts: FloatArray, pull_in_v: float, drop_out_v: float) -> np.ndarray:
    return np.where(volts >= pull_in_v, 1, np.where(volts < drop_out_v, 0, -1))


def _supplied(netlist: Netlist) -> Iterator[str]:
    """Elements that want a supply with polarity."""
    for component in netlist.components:
        for element in component.elements:
            if element.kind in _LOADS or element.role in _POLAR:
                yield f"{component.ref}.{element.name}"


def _supply(netlist: Netlist, name: str, volts: FloatArray) -> np.ndarray:
    """1 supplied, 0 without, -1 with the wrong polarity."""
    values = netlist.element(name).values
    least_v = values.get("v_pull_in_v", 12.0 * _SUPPLIED_SHARE)
    return np.where(volts >= least_v, 1, np.where(volts <= -1.0, -1, 0))


def _across(circuit: DoorCircuit, netlist: Netlist, ref: str) -> Iterator[str]:
    """At which of the locks' terminals a suppressor's ends stand."""
    component = netlist.component(ref)
    (element,) = component.elements
    ends = joined(netlist, (f"{ref}.{element.a}", f"{ref}.{element.b}"))
    polar = element.kind is ElementKind.DIODE
    for end, others in ends.items():
        for lock in circuit.locks:
            for terminal in netlist.ends(circuit.coil(lock)):
                if terminal in others:
                    yield f"{end if polar else ref} at {terminal}"
