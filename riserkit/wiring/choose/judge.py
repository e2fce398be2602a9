"""Solves one arrangement for all doors that differ by lengths only, at all worst cases."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Cable, Netlist
from riserkit.circuits.worst_cases import WorstCaseGroup, solve_worst_cases
from riserkit.model.info import SiteInfo
from riserkit.model.parts import Controller, Part, Splitter
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.contacts import rated_contacts
from riserkit.wiring.devices import powered_devices
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.roles import DeviceRole
from riserkit.wiring.values import ContactLoad, DeviceVoltage, DoorVoltages


@dataclass(frozen=True, slots=True)
class Temperatures:
    """Coldest and hottest that conductors at the door get, °C."""

    coldest_c: float
    hottest_c: float

    @classmethod
    def of(cls, info: SiteInfo) -> Temperatures:
        """Those of a site: the coldest of anything, and where cable runs."""
        return cls(info.coldest_c, info.pathway_c)


def solve_side_by_side(
    needs: Sequence[DoorNeed], choices: Sequence[Choice], circuit: DoorCircuit, at: Temperatures
) -> tuple[DoorVoltages, ...]:
    """The voltages and currents of every door; all None where a door's circuit has no steady state.

    Args:
        needs: openings of one `spec`.
        choices: each opening's choice; equal but for lengths.
        circuit: the arrangement built for the first of them.
        at: conductor temperatures.
    """
    batch = _batch(needs, choices, circuit.netlist)
    return _voltages(needs[0], circuit, _worst_cases(batch, circuit, at), len(needs))


def solve_built(need: DoorNeed, circuit: DoorCircuit, at: Temperatures) -> DoorVoltages:
    """The voltages and currents of one circuit as it stands, its conductors at their own resistances.

    Raises:
        CircuitError: it is ill-posed.
    """
    template = circuit_of(circuit.netlist)
    batch = _demand(Circuit(template.topology, template.params.copy()), circuit.netlist)
    return _voltages(need, circuit, _worst_cases(batch, circuit, at), 1)[0]


def solve_shortened(
    need: DoorNeed, circuit: DoorCircuit, at: Temperatures, shortened: Sequence[Collection[str]]
) -> tuple[DoorVoltages, ...]:
    """The voltages and currents of one circuit, some of its cables of no length.

    Args:
        need: of the opening.
        circuit: as it stands.
        at: conductor temperatures.
        shortened: designations of cables; each collection of them is solved by itself, in one batch.

    Raises:
        CircuitError: it is ill-posed.
    """
    netlist, template = circuit.netlist, circuit_of(circuit.netlist)
    params = np.repeat(template.params, len(shortened), axis=1)
    first = template.topology.n_params - len(netlist.conductors)
    for column, cables in enumerate(shortened):
        rows = [first + place for place, conductor in enumerate(netlist.conductors) if conductor.cable in cables]
        params[rows, column] = 0.0
    batch = _demand(Circuit(template.topology, params), netlist)
    return _voltages(need, circuit, _worst_cases(batch, circuit, at), len(shortened))


def _worst_cases(batch: Circuit, circuit: DoorCircuit, at: Temperatures) -> WorstCaseGroup:
    ends_c = (np.full(batch.count, at.coldest_c), np.full(batch.count, at.hottest_c))
    return solve_worst_cases(batch, ends_c, (circuit.powered, circuit.commanded))


def _batch(needs: Sequence[DoorNeed], choices: Sequence[Choice], netlist: Netlist) -> Circuit:
    """The template's values with each door's own conductors."""
    template = circuit_of(netlist)
    params = np.repeat(template.params, len(needs), axis=1)
    first = template.topology.n_params - len(netlist.conductors)
    per_m = {c.ref: resistance_per_m_20c_ohm(c.gauge, c.stranding) for c in netlist.cables}
    lengths = {c.ref: lengths_m(needs, choices, cable_key(netlist, c)) for c in netlist.cables}
    for place, conductor in enumerate(netlist.conductors):
        if conductor.cable:
            params[first + place] = per_m[conductor.cable] * lengths[conductor.cable]
    return _demand(Circuit(template.topology, params), netlist)


def _demand(circuit: Circuit, netlist: Netlist) -> Circuit:
    """Circuits without current limits: the demand is what is asked.

    Where a lock picks up with more current than it holds with, a second column for every door has it holding.
    """
    params = circuit.params
    for row, (_, value) in enumerate(circuit.topology.params):
        if value.name == "i_limit_a":
            params[row] = np.inf
    holding = _hold_resistance_ohm(netlist)
    if holding:
        held = params.copy()
        for row, (branch, value) in enumerate(circuit.topology.params):
            if value.name == "r_ohm" and branch.name in holding:
                held[row] = holding[branch.name]
        params = np.concatenate((params, held), axis=1)
    return Circuit(circuit.topology, params)


def _hold_resistance_ohm(netlist: Netlist) -> Mapping[str, float]:
    """Resistance of holding by `component.element`, of coils that pick up with more."""
    return {
        f"{component.ref}.{element.name}": element.values["r_hold_ohm"]
        for component in netlist.components
        for element in component.elements
        if "r_hold_ohm" in element.values
    }


def cable_key(netlist: Netlist, cable: Cable) -> str:
    """Which of a need's cables it is: that to the second leaf's lock may have a run of its own."""
    if cable.role != "lock":
        return cable.role
    ends = {landing.component for c in netlist.conductors if c.cable == cable.ref for landing in (c.a, c.b)}
    return "lock2" if ends & {component.ref for component in netlist.devices(DeviceRole.LOCK)[1:]} else "lock"


def lengths_m(needs: Sequence[DoorNeed], choices: Sequence[Choice], key: str) -> FloatArray:
    """One-way length of one cable at each of the openings, by its key."""
    if key == "feed":
        return np.array([c.supply.cable.length_m if c.supply else 0.0 for c in choices])
    if key == "lock2" and key not in needs[0].cables:
        key = "lock"
    return np.array([need.cables[key].length_m for need in needs])


def _voltages(need: DoorNeed, circuit: DoorCircuit, worst: WorstCaseGroup, doors: int) -> tuple[DoorVoltages, ...]:
    on_v, off_v, on_a = _at_locks(circuit, worst, doors)
    sound = np.logical_and.reduce(worst.sound().reshape(-1, doors), axis=0)
    columns: list[list[float] | list[None]] = [
        on_v.min(axis=0).tolist(),
        on_v.max(axis=0).tolist(),
        on_a.max(axis=0).tolist(),
        *(_given(worst, element, doors) for element in (circuit.output, circuit.auxiliary, circuit.supply)),
        _device_w(need, circuit, worst, doors),
        off_v.max(axis=0).tolist(),
    ]
    devices = _at_devices(need, circuit, worst, doors)
    contacts = _through_contacts(need, circuit, worst, doors)
    unsolved = DoorVoltages()
    return tuple(
        replace(DoorVoltages(*row), devices=tuple(d[k] for d in devices), contacts=tuple(c[k] for c in contacts))
        if fine
        else unsolved
        for k, (fine, row) in enumerate(zip(sound.tolist(), zip(*columns, strict=True), strict=True))
    )


def _at_devices(need: DoorNeed, circuit: DoorCircuit, worst: WorstCaseGroup, doors: int) -> list[list[DeviceVoltage]]:
    """Least and most voltage at every powered device, by device and door."""
    found = []
    for device in powered_devices(circuit.netlist, need.parts):
        volts = (worst.node_v(device.plus) - worst.node_v(device.minus)).reshape(worst.states, -1, doors)
        # A trigger is without voltage in the other state, and is meant to be.
        by_state = volts.min(axis=1)
        low_v = by_state.max(axis=0) if device.switched else by_state.min(axis=0)
        ends = zip(low_v.tolist(), volts.max(axis=(0, 1)).tolist(), strict=True)
        found.append([DeviceVoltage(device.ref, device.what, low, high) for low, high in ends])
    return found


def _through_contacts(
    need: DoorNeed, circuit: DoorCircuit, worst: WorstCaseGroup, doors: int
) -> list[list[ContactLoad]]:
    """Most current through every contact, by contact and door."""
    found = []
    for contact in rated_contacts(circuit, need.parts):
        most_a = np.abs(worst.element_a(contact.element)).reshape(-1, doors).max(axis=0)
        found.append([ContactLoad(contact.element, amps) for amps in most_a.tolist()])
    return found


def _at_locks(circuit: DoorCircuit, worst: WorstCaseGroup, doors: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Voltages at the locks powered and not, and currents powered; each of shape (locks and worst cases, doors)."""
    volts = [worst.element_v(circuit.coil(ref)) for ref in circuit.locks]
    amps = [worst.element_a(circuit.coil(ref)) for ref in circuit.locks]
    on_v = np.concatenate([v[0].reshape(-1, doors) for v in volts])
    off_v = np.concatenate([np.abs(v[1]).reshape(-1, doors) for v in volts])
    return on_v, off_v, np.concatenate([a[0].reshape(-1, doors) for a in amps])


def _given(worst: WorstCaseGroup, element: str, doors: int) -> list[float] | list[None]:
    """Most current that a source gives in any state at any worst case, by door; None each where there is no such source."""
    if not element:
        return [None] * doors
    most: list[float] = (-worst.element_a(element)).reshape(-1, doors).max(axis=0).tolist()
    return most


def _device_w(need: DoorNeed, circuit: DoorCircuit, worst: WorstCaseGroup, doors: int) -> list[float] | list[None]:
    """Most power that the powered device takes off the PoE cable."""
    part = need.splitter if circuit.fed_by(DeviceRole.SPLITTER) else need.controller
    watts = network_w(part, circuit, worst)
    if watts is None:
        return [None] * doors
    most: list[float] = watts.reshape(-1, doors).max(axis=0).tolist()
    return most


def network_w(part: Part | None, circuit: DoorCircuit, worst: WorstCaseGroup) -> FloatArray | None:
    """What a powered device takes off the PoE cable: its own, and what it passes on over its converter.

    Args:
        part: the device; None, as one whose own power or efficiency is not stated, yields None.
        circuit: what it feeds.
        worst: of circuits like that, solved.

    Returns:
        watts, of the shape of `worst.sound()`.
    """
    if not isinstance(part, Controller | Splitter):
        return None
    efficiency = part.efficiency if isinstance(part, Splitter) else part.converter_efficiency
    if part.own_w is None or efficiency is None:
        return None
    passed_on_w = np.zeros(worst.sound().shape)
    for name in circuit.network_sources:
        passed_on_w += -worst.element_a(name) * np.maximum(worst.element_v(name), 0.0)
    watts: FloatArray = passed_on_w / efficiency + part.own_w
    return watts
