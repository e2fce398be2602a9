"""What a controller does while a door is measured: it releases when its input asks to exit, and does nothing without power."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.troubleshooting.changes import Without
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.meter import VOLTS, Measurement
from riserkit.wiring.readings.shown import CLOSED_SHARE
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

INPUTS: Final = (ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)
_NETWORK: Final = (DeviceRole.NETWORK_PORT, DeviceRole.SPLITTER)
_NO_SUPPLY_V: Final = 1.0
"""Below it a controller does nothing (common practice, no source)."""


def asks_to_exit(netlist: Netlist) -> bool:
    """Whether the second input is for a request to exit; else it is for an auxiliary contact."""
    return not netlist.states(StateRole.AUXILIARY_ACTIVE)


def cut_off(netlist: Netlist, lost: Iterable[str]) -> bool:
    """Whether the PoE cable does not reach what it feeds: no data, and no power either.

    Args:
        netlist: as designed.
        lost: terminals that data no longer reaches, `component.terminal`.
    """
    ports = {c.ref for c in netlist.devices(DeviceRole.NETWORK_PORT)}
    return any(terminal.partition(".")[0] in ports for terminal in lost)


def offline(netlist: Netlist, lost: Iterable[str]) -> frozenset[str]:
    """Designations of the controllers that the network no longer reaches: one whose bus or link is off still answers.

    Args:
        netlist: as designed.
        lost: terminals that data no longer reaches, `component.terminal`.
    """
    controllers = {c.ref for c in netlist.devices(DeviceRole.CONTROLLER)}
    own = {terminal for terminal in lost if terminal.partition(".")[0] in controllers}
    to_network = {
        str(end)
        for c in netlist.conductors
        for end, other in ((c.a, c.b), (c.b, c.a))
        if str(end) in own and netlist.component(other.component).role in _NETWORK
    }
    return frozenset(terminal.partition(".")[0] for terminal in to_network)


def fed_over_cable(netlist: Netlist) -> frozenset[str]:
    """What passes the power of the PoE cable on, `component.element`."""
    lost = set(netlist.states(StateRole.NETWORK_POWER_LOST))
    return frozenset(
        f"{c.ref}.{e.name}" for c in netlist.components for e in c.elements if e.control in lost and e.normally_closed
    )


def does_nothing(netlist: Netlist, wrong: Netlist) -> bool:
    """Whether the controller draws nothing in `wrong`, which it does as designed: it is dead."""
    loads = netlist.elements(ElementRole.CONTROLLER_LOAD)
    return any(netlist.element(n).values["p_w"] > 0.0 >= wrong.element(n).values["p_w"] for n in loads)


def unpowered(circuit: DoorCircuit) -> Without:
    """A controller without power: it commands nothing, and nothing comes from its inputs."""
    netlist = circuit.netlist
    commanded = (
        f"{c.ref}.{e.name}"
        for c in netlist.components
        for e in c.elements
        if circuit.command and e.control == circuit.command and not e.normally_closed
    )
    return Without(frozenset((*commanded, *netlist.elements(*INPUTS))))


@dataclass(frozen=True)
class Deciding:
    """What tells what a controller does in the state that a reading is taken in."""

    circuit: DoorCircuit

    def request(self, one: Measurement) -> Measurement | None:
        """The voltage at the input that makes it release; None where none does, or where it releases anyhow."""
        circuit, netlist = self.circuit, self.circuit.netlist
        if not circuit.command or not netlist.elements(ElementRole.REQUEST_INPUT) or not asks_to_exit(netlist):
            return None
        if one.outside.get(circuit.command, False) is not circuit.locked_state.get(circuit.command, False):
            return None
        ends = input_ends(netlist, ElementRole.REQUEST_INPUT)
        return replace(one, meter=VOLTS, plus=ends[0], minus=ends[1], less=()) if landed(netlist, ends[0]) else None

    def released(self, one: Measurement) -> Measurement:
        """The same reading at the released door."""
        releases = not self.circuit.locked_state.get(self.circuit.command, False)
        return replace(one, outside={**one.outside, self.circuit.command: releases})

    @property
    def closed_v(self) -> float:
        """The request input's voltage below which it reads closed."""
        name = self.circuit.netlist.elements(ElementRole.REQUEST_INPUT)[0]
        return (1.0 - CLOSED_SHARE) * self.circuit.netlist.element(name).values["v_nominal_v"]

    def supply(self, one: Measurement) -> Measurement | None:
        """The voltage at the controller's supply; None where the PoE cable itself is its supply."""
        for name in self.circuit.netlist.elements(ElementRole.CONTROLLER_LOAD):
            element = self.circuit.netlist.element(name)
            if element.values["p_w"]:
                ref = name.partition(".")[0]
                return replace(one, meter=VOLTS, plus=f"{ref}.{element.a}", minus=f"{ref}.{element.b}", less=())
        return None

    @property
    def least_v(self) -> float:
        """Of its supply: below it does nothing."""
        values = (
            self.circuit.netlist.element(n).values for n in self.circuit.netlist.elements(ElementRole.CONTROLLER_LOAD)
        )
        return max(_NO_SUPPLY_V, *(v.get("v_min_v", 0.0) for v in values))

    def by_hand(self, one: Measurement) -> bool:
        """Whether a manual release is pressed, which may ask to exit too."""
        return any(one.outside.get(name) for name in self.circuit.netlist.states(StateRole.RELEASE_PRESSED))

    def cable_dead(self, one: Measurement) -> bool:
        """Whether the state itself takes the power off the PoE cable."""
        return any(one.outside.get(name) for name in self.circuit.netlist.states(StateRole.NETWORK_POWER_LOST))


def together(asked: Sequence[Measurement], rows: Iterable[int]) -> Iterable[list[int]]:
    """Places of the readings that are taken in one state, wires lifted included."""
    states: dict[object, list[int]] = {}
    for row in rows:
        one = asked[row]
        on = frozenset(name for name, value in one.outside.items() if value)
        states.setdefault((one.lifts, one.on_battery, on), []).append(row)
    return states.values()
