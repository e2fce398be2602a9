"""Which values a door's circuit cannot be computed without: it is drawn all the same, and nothing about it is claimed."""

from __future__ import annotations

from collections.abc import Mapping

from riserkit.circuits.netlist import Netlist
from riserkit.model.parts import Controller, PartBase
from riserkit.wiring.roles import ElementRole

STATED_VALUES = "stated-values"
"""Name of the test that a circuit can be computed at all."""


def unstated(netlist: Netlist, parts: Mapping[str, PartBase]) -> tuple[str, ...]:
    """The values missing, by part, such as `relay-x: coil_v, coil_a`; empty when the circuit can be computed.

    Args:
        netlist: of the door.
        parts: the door's parts by id.
    """
    found: dict[str, list[str]] = {}
    for component in netlist.components:
        part = parts.get(component.part)
        if part is None:
            continue
        names = [*part.lacks_for_circuit()]
        if isinstance(part, Controller) and component.has(ElementRole.CONTROLLER_LOAD):
            output = "auxiliary_v" if part.is_dry else "output_v"
            names = [name for name in ("own_w", output) if getattr(part, name) is None]
        if names:
            found[part.id] = names
    return tuple(f"{part}: {', '.join(names)}" for part, names in sorted(found.items()))
