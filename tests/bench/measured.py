"""A door measured by the solver itself, with a meter's resistance in the circuit: one case at a time, without the bench's tables."""

from __future__ import annotations

import random
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from riserkit.bench.faults import BenchFault
from riserkit.bench.switches import BenchSwitch
from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.overlay import overlaid
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import deck_of_case
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.meter import VOLTS, Measurement, set_up
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

METER_OHM = 10e6
_INPUTS = (ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)


@dataclass(frozen=True)
class Measured:
    """What the solver has between the leads; None where there is no steady state. `deck`: what ngspice is given."""

    volts: float | None
    circuit: Circuit
    cases: Cases
    solution: Solution
    ends: tuple[str, str]

    def by_ngspice(self, folder: Path) -> float | None:
        """What ngspice has; None where a value is infinite, which it does not take."""
        if shutil.which("ngspice") is None or not np.isfinite(self._resistances()).all():
            return None
        deck = deck_of_case(self.circuit, self.cases, self.solution, 0)
        path = folder / "bench.cir"
        path.write_text(deck.text, "utf-8")
        command = ["ngspice", "-b", str(path)]
        run = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
        volts = deck.voltages_v(run.stdout)
        plus, minus = (volts.get(end) for end in self.ends)
        return None if plus is None or minus is None else plus - minus

    def _resistances(self) -> np.ndarray:
        rows = [k for k, (_, value) in enumerate(self.circuit.topology.params) if value.name.startswith("r")]
        return self.circuit.params[rows, 0]


@dataclass(frozen=True)
class Door:
    """A door as wired with one fault, asked one thing at a time."""

    circuit: DoorCircuit
    netlist: Netlist
    lost: frozenset[str]
    dead: frozenset[str]

    @classmethod
    def of(cls, circuit: DoorCircuit, fault: BenchFault) -> Door:
        netlists = FaultNetlists(circuit)
        netlist = netlists(fault.way)
        assert netlist is not None
        return cls(circuit, netlist, frozenset(t.partition(".")[0] for t in netlists.lost(fault.way)), fault.dead)

    def volts(self, switches: Sequence[BenchSwitch], on: Sequence[int], plus: str, minus: str) -> Measured:
        """What a meter shows with these switches on, the controller deciding by what it reads."""
        outside = {name: value for name, value in self.circuit.locked_state.items() if name != self.circuit.command}
        outside |= {name: True for n in on for name in switches[n].names}
        ports = {c.ref for c in self.circuit.netlist.devices(DeviceRole.NETWORK_PORT)}
        controllers = {c.ref for c in self.circuit.netlist.devices(DeviceRole.CONTROLLER)}
        loads = self.circuit.netlist.elements(ElementRole.CONTROLLER_LOAD)
        by_cable = not any(self.circuit.netlist.element(name).values["p_w"] for name in loads)
        if ports & self.lost or (by_cable and controllers & self.dead):
            outside |= dict.fromkeys(self.circuit.netlist.states(StateRole.NETWORK_POWER_LOST), True)
        mains = any(outside.get(n) for n in self.circuit.netlist.states(StateRole.MAINS_LOST))
        moving = {e.control for c in self.circuit.netlist.components for e in c.elements}
        batteries = [n for n in self.circuit.netlist.states(StateRole.BATTERY_LOST) if n in moving]
        battery = bool(batteries) and mains and not any(outside.get(n) for n in batteries)
        locks = self.circuit.locked_state.get(self.circuit.command, False)
        card = any(not switches[n].names for n in on)
        if not self.circuit.command:
            return self._solved(outside, battery, plus, minus, silent=False)
        idle = self._solved({**outside, self.circuit.command: locks}, battery, plus, minus, silent=False)
        if not self._alive(idle, outside):
            return self._solved({**outside, self.circuit.command: False}, battery, plus, minus, silent=True)
        if self._request(idle) or (card and self._takes_cards(idle)):
            return self._solved({**outside, self.circuit.command: not locks}, battery, plus, minus, silent=False)
        return idle

    def _alive(self, idle: Measured, outside: dict[str, bool]) -> bool:
        for name in self.circuit.netlist.elements(ElementRole.CONTROLLER_LOAD):
            if self.circuit.netlist.element(name).values["p_w"]:
                return bool(idle.solution.element_a(name)[0] > 0.0 and idle.solution.sound[0])
        return not any(outside.get(n) for n in self.circuit.netlist.states(StateRole.NETWORK_POWER_LOST))

    def _request(self, idle: Measured) -> bool:
        """An input is closed from half of the current on that a short would take; a door that chatters asks for nothing."""
        if self.circuit.netlist.states(StateRole.AUXILIARY_ACTIVE) or idle.volts is None:
            return False
        for name in self.circuit.netlist.elements(ElementRole.REQUEST_INPUT):
            values = self.circuit.netlist.element(name).values
            if -2.0 * idle.solution.element_a(name)[0] * values["r_ohm"] >= values["v_nominal_v"]:
                return True
        return False

    def _takes_cards(self, idle: Measured) -> bool:
        readers = self.circuit.netlist.devices(DeviceRole.READER)
        fed = [
            all(idle.solution.element_v(f"{r.ref}.{e.name}")[0] >= 6.0 for e in r.elements if e.role == ElementRole.READER_LOAD)
            and r.ref not in self.lost | self.dead
            for r in readers
        ]  # fmt: skip
        return not readers or any(fed)

    def _solved(self, outside: dict[str, bool], battery: bool, plus: str, minus: str, *, silent: bool) -> Measured:
        asked = Measurement(VOLTS, plus, minus, on_battery=battery)
        held = set_up(replace(self.netlist, conductors=()), asked)
        if silent:
            kept = (replace(c, elements=tuple(e for e in c.elements if e.role not in _INPUTS)) for c in held.components)
            held = replace(held, components=tuple(kept))
        inside = Element("own", ElementKind.RESISTOR, "+", "-", {"r_ohm": METER_OHM})
        meter = Component("meter", "meter", (Terminal("+"), Terminal("-")), (inside,))
        leads = [
            Conductor(f"lead{end}", Landing("meter", end), Landing(*name.split(".")), "", "", 0.0)
            for end, name in (("+", plus), ("-", minus))
        ]
        held = replace(held, components=(*held.components, meter))
        circuit = overlaid(held, [(*self.netlist.conductors, *leads)], [held.components])
        known = set(circuit.topology.outside)
        state = {name: on for name, on in outside.items() if name in known}
        cases = Cases(
            np.zeros(1, dtype=np.int64), np.array([SourceLevel.NOMINAL], dtype=np.int8), np.array([20.0]),
            np.zeros(1, dtype=np.int64), state_table(circuit.topology, [state]), np.zeros((1, 0), dtype=np.int64),
        )  # fmt: skip
        solution = solve_cases(circuit, cases)
        volts = float((solution.node_v(plus) - solution.node_v(minus))[0]) if solution.sound[0] else None
        return Measured(volts, circuit, cases, solution, (plus, minus))


def pick(chance: random.Random, things: Sequence[str]) -> tuple[str, str]:
    """Two different ones."""
    one, two = chance.sample(list(things), 2)
    return one, two
