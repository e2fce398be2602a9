"""Locks as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, Terminal
from riserkit.model.parts import (
    Lock,
)
from riserkit.standards.door_devices import (
    LOCK_DROP_OUT,
)
from riserkit.wiring.parts.electrical import coil_values, least_v, stated
from riserkit.wiring.roles import DeviceRole, ElementRole


def lock(part: Lock, ref: str, *, accessible: bool = False) -> Component:
    """A lock's coil, with the resistance of the highest current it draws; `accessible` from the unsecured side.

    A lock that picks up with more current than it holds with has the resistance of holding beside it, `r_hold_ohm`: it
    sees its lowest voltage while it picks up, its highest while it holds.
    """
    known = [amps for amps in (part.hold_a, part.pull_in_a) if amps is not None]
    current_a = max(known, default=None)
    pull_in_v = least_v(part.rated_v, part.tolerance_low) if part.v_pull_in_v is None else part.v_pull_in_v
    values = coil_values(part.rated_v, current_a, pull_in_v, part.v_drop_out_v, LOCK_DROP_OUT.value)
    if part.hold_a and current_a is not None and part.hold_a < current_a:
        values["r_hold_ohm"] = stated(part.rated_v) / part.hold_a
    if part.inductance_h is not None:
        values["l_h"] = part.inductance_h
    return Component(
        ref, part.title or "Lock", (Terminal("+", "coil", "+"), Terminal("-", "coil", "-")),
        (Element("coil", ElementKind.COIL, "+", "-", values, role=ElementRole.LOCK_COIL),), part.id,
        exposed=accessible, place="at the door, accessible" if accessible else "at the door, secured side",
        role=DeviceRole.LOCK,
    )  # fmt: skip
