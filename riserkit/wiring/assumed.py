"""What a circuit is calculated with where no part states it: inputs that a reader of the result must know."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.model.parts import Part
from riserkit.quantities.printed import format_value
from riserkit.standards import door_devices as usual
from riserkit.standards.source import Limit
from riserkit.wiring.roles import DeviceRole

_OHMS: Final[tuple[tuple[str, ElementKind, str, Limit], ...]] = (
    ("closed contact", ElementKind.CONTACT, "r_closed_ohm", usual.CONTACT_OHM),
    ("source", ElementKind.SOURCE, "r_ohm", usual.SOURCE_OHM),
    ("joined returns of the controller", ElementKind.RESISTOR, "r_ohm", usual.BOND_OHM),
    ("pull-up of an input", ElementKind.SOURCE, "r_ohm", usual.INPUT_PULL_UP_OHM),
)
"""Told where a circuit has an element of that value; one that a part states is the same number."""
OWN_SUPPLY: Final = (
    f"lock's own supply ±{usual.OWN_SUPPLY_TOLERANCE.value:.0%}",
    f"its trigger input {format_value(usual.TRIGGER_OHM.value, 'ohm')}",
)
"""What is taken of a supply that comes with a lock: no part has a column for it."""
_DROP_OUTS: Final[tuple[tuple[str, DeviceRole, Limit], ...]] = (
    ("lock", DeviceRole.LOCK, usual.LOCK_DROP_OUT),
    ("relay", DeviceRole.RELAY_MODULE, usual.RELAY_DROP_OUT),
    ("REX sensor", DeviceRole.REX_SENSOR, usual.SENSOR_DROP_OUT),
)


def assumed_values(netlist: Netlist, parts: Mapping[str, Part]) -> str:
    """In one sentence; empty where everything is stated. All values are common practice, without a source.

    Args:
        netlist: of one opening.
        parts: of the site, by id.
    """
    elements = [element for component in netlist.components for element in component.elements]
    told = [
        f"{what} {format_value(limit.value, 'ohm')}"
        for what, kind, key, limit in _OHMS
        if any(e.kind is kind and e.values.get(key) == limit.value for e in elements)
    ]
    told += [
        f"{what} drops out below {limit.value:.0%} of its rated voltage"
        for what, role, limit in _DROP_OUTS
        if any(
            component.role == role
            and any(e.kind is ElementKind.COIL for e in component.elements)
            and getattr(parts.get(component.part), "v_drop_out_v", 0.0) is None
            for component in netlist.components
        )
    ]
    if any(component.role == DeviceRole.OWN_SUPPLY for component in netlist.components):
        told += OWN_SUPPLY
    return f"Assumed where no part states it (common practice, no source): {', '.join(told)}." if told else ""
