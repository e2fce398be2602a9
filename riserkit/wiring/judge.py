"""Solves one arrangement for all doors that differ by lengths only, and says what its numbers decide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.corners import CORNERS, CornerGroup, corners_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.netlist import Netlist
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.values import DoorVoltages


@dataclass(frozen=True, slots=True)
class Temperatures:
    """Coldest and hottest that conductors at the door get, °C."""

    coldest_c: float
    hottest_c: float


def solve_side_by_side(
    needs: Sequence[DoorNeed], choices: Sequence[Choice], circuit: DoorCircuit, at: Temperatures
) -> tuple[DoorVoltages, ...]:
    """The voltages and currents of every door.

    Args:
        needs: openings of one `spec`.
        choices: each opening's choice; equal but for lengths.
        circuit: the arrangement built for the first of them.
        at: conductor temperatures.
    """
    batch = _batch(needs, choices, circuit.netlist)
    ends_c = (np.full(batch.count, at.coldest_c), np.full(batch.count, at.hottest_c))
    corners = corners_of(batch, ends_c, (circuit.powered, circuit.commanded))
    return _voltages(needs[0], circuit, corners)


def _batch(needs: Sequence[DoorNeed], choices: Sequence[Choice], netlist: Netlist) -> Circuit:
    """The template's values with each door's own conductors, and no current limits: the demand is what is asked."""
    template = circuit_of(netlist)
    params = np.repeat(template.params, len(needs), axis=1)
    for row, (_, value) in enumerate(template.topology.params):
        if value.name == "i_limit_a":
            params[row] = np.inf
    first = template.topology.n_params - len(netlist.conductors)
    per_m = {c.ref: resistance_per_m_20c_ohm(c.gauge) for c in netlist.cables}
    lengths = {c.ref: _lengths_m(needs, choices, c.role) for c in netlist.cables}
    for place, conductor in enumerate(netlist.conductors):
        if conductor.cable:
            params[first + place] = per_m[conductor.cable] * lengths[conductor.cable]
    return Circuit(template.topology, params)


def _lengths_m(needs: Sequence[DoorNeed], choices: Sequence[Choice], role: str) -> FloatArray:
    if role == "feed":
        return np.array([c.supply.cable.length_m if c.supply else 0.0 for c in choices])
    return np.array([need.cables[role].length_m for need in needs])


def _voltages(need: DoorNeed, circuit: DoorCircuit, corners: CornerGroup) -> tuple[DoorVoltages, ...]:
    volts = np.stack([corners.element_v(f"{ref}.coil")[0] for ref in circuit.locks])
    amps = np.stack([corners.element_a(f"{ref}.coil")[0] for ref in circuit.locks])
    sound = np.logical_and.reduce(corners.sound(), axis=(0, 1))
    low_v, high_v = volts.min(axis=(0, 1)), volts.max(axis=(0, 1))
    lock_a = amps.max(axis=(0, 1))
    drawn = {name: _given(corners, element) for name, element in _sources(circuit).items()}
    pd_w = _device_w(need, circuit, corners)
    return tuple(
        DoorVoltages(
            lock_low_v=float(low_v[k]),
            lock_high_v=float(high_v[k]),
            lock_a=float(lock_a[k]),
            output_a=_at(drawn.get("output"), k),
            auxiliary_a=_at(drawn.get("auxiliary"), k),
            supply_a=_at(drawn.get("supply"), k),
            pd_w=_at(pd_w, k),
        )
        if sound[k]
        else DoorVoltages()
        for k in range(corners.circuit.count)
    )


def _at(values: FloatArray | None, k: int) -> float | None:
    return None if values is None else float(values[k])


def _sources(circuit: DoorCircuit) -> dict[str, str]:
    named = {"output": circuit.output, "auxiliary": circuit.auxiliary, "supply": circuit.supply}
    return {name: element for name, element in named.items() if element}


def _given(corners: CornerGroup, element: str) -> FloatArray:
    """Most current that a source gives in any state at any corner, shape (doors,)."""
    most: FloatArray = (-corners.element_a(element)).max(axis=(0, 1))
    return most


def _device_w(need: DoorNeed, circuit: DoorCircuit, corners: CornerGroup) -> FloatArray | None:
    """Most power that the powered device takes off the data cable: its own, and what it passes on over its converter."""
    splitter = circuit.supply.startswith("T1.")
    part = need.splitter if splitter else need.controller
    if part is None or part.own_w is None:
        return None
    efficiency = need.splitter.efficiency if splitter and need.splitter else None
    if need.controller is not None and not splitter:
        efficiency = need.controller.converter_efficiency
    if not efficiency:
        return None
    passed_on = np.zeros((2, len(CORNERS), corners.circuit.count))
    names = [circuit.supply] if splitter else [n for n in (circuit.output, circuit.auxiliary) if n]
    for name in names:
        passed_on += -corners.element_a(name) * np.maximum(corners.element_v(name), 0.0)
    most: FloatArray = passed_on.max(axis=(0, 1)) / efficiency + part.own_w
    return most
