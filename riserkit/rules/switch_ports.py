"""The rule `switch-ports`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.quantities.counting import counted
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured
from riserkit.rules._shared.lookups import closet_name, free_ports, listed


class SwitchPorts:
    """Every opening has a port, and none is on an uplink.

    Why:
        A door without a port is a cable coiled up in the closet, and a switch that nobody ordered.
    Measures:
        The openings of each closet against the ports for doors of all its switches; and the port number of each
        opening against the last port for doors of its switch.
    Limit:
        The ports of the switches less their uplink ports, counted from the highest number downward.
    Remedy:
        How many ports are short, and which closet has that many free.
    Source:
        Common practice, no source; the numbers are the switches' own.
    """

    name: ClassVar[str] = "switch-ports"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each closet, and for each opening on a port."""
        ports = {closet.id: 0 for closet in design.site.closets}
        for switch in design.site.switches:
            ports[switch.closet] += switch.door_ports
        for closet, doors in design.doors_of_closet.items():
            yield self._closet(design, closet, doors, ports[closet])
        for door in design.doors:
            if door.placement is not None and door.placement.switch:
                yield self._port(design, door, door.placement.switch, door.placement.port)

    def _closet(self, design: Design, closet: str, doors: tuple[DoorDesign, ...], ports: int) -> Finding:
        return measured(
            self, ("closet", closet), Measure(len(doors), ports, "ports"),
            message=f"{counted(len(doors), 'opening')} on {counted(ports, 'port')} for doors.",
            remedy=lambda: _remedy(design, closet, doors, len(doors) - ports),
        )  # fmt: skip

    def _port(self, design: Design, door: DoorDesign, switch_id: str, port: int) -> Finding:
        switch = design.site.switch[switch_id]
        last = switch.door_ports
        return measured(
            self, door.subject, Measure(port, last, ""),
            message=f"Port {port} of {switch_id}; doors have ports 1 to {last}.",
            remedy=f"Take a port from 1 to {last}, or state {switch.ports - port} uplink ports.",
        )  # fmt: skip


def _remedy(design: Design, closet: str, doors: tuple[DoorDesign, ...], short: int) -> str:
    free = free_ports(design)
    others = sorted((-count, name) for name, count in free.items() if name != closet and count > 0)
    without = [d.mark for d in doors if d.placement is not None and not d.placement.switch]
    text = f"{counted(short, 'more port')} here"
    if without:
        text += f", for {listed(without)}"
    if others:
        count, name = others[0]
        text += f"; {closet_name(design, name)} has {-count} free"
    return f"{text}."
