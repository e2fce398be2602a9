"""What a crew brings along for a door besides its parts: read off its wiring. Common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.design import DoorDesign
from riserkit.wiring.roles import DeviceRole

_CEILING: Final = "ceiling"


def tools_for(door: DoorDesign) -> tuple[str, ...]:
    """The tools, in words; those of every door first."""
    return tuple(_tools(door, door.wiring.netlist))


def _tools(door: DoorDesign, netlist: Netlist | None) -> Iterator[str]:
    yield "Meter for DC volts, ohms and diode test, with leads that hold by themselves"
    yield "Screwdrivers for terminals; label printer; telephone or tablet for the controller's status"
    if netlist is None:
        return
    gauges = sorted({c.gauge for c in netlist.conductors if c.gauge and c.colour != "4PR"})
    if gauges:
        yield f"Wire strippers for {', '.join(gauges)}"
    if any(cable.role == "data" for cable in netlist.cables):
        yield "Stripper and crimp or punch-down tool for 8P8C; cable tester (wire map, length)"
    if netlist.spares:
        yield "Heat gun, or caps, for spare conductors"
    if netlist.devices(DeviceRole.MANUAL_RELEASE):
        yield "Stopwatch"
    if any(_CEILING in component.place for component in netlist.components):
        yield "Ladder for what is above the ceiling"
    if netlist.devices(DeviceRole.SUPPLY, DeviceRole.OWN_SUPPLY):
        yield "Lock for the breaker of the supply; mains side by licensed persons only"
    if not door.opening.back_box:
        yield "Hole saw for the plug's way through the wall"
    if door.opening.outdoor:
        yield "Sealant gun"
