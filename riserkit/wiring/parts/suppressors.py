"""Suppressors as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, Terminal
from riserkit.model.parts import Suppressor
from riserkit.standards.door_devices import DIODE_FORWARD_V, DIODE_ON_OHM
from riserkit.wiring.parts.electrical import stated
from riserkit.wiring.roles import DeviceRole, ElementRole


def suppressor(part: Suppressor | None, ref: str) -> Component:
    """A flyback diode (terminals A and K) or a suppressor without polarity (terminals 1 and 2)."""
    if part is None or part.kind == "diode":
        forward_v = DIODE_FORWARD_V.value if part is None else stated(part.clamp_v)
        values = {"v_forward_v": forward_v, "r_on_ohm": DIODE_ON_OHM.value}
        element = Element("diode", ElementKind.DIODE, "A", "K", values, role=ElementRole.SUPPRESSION)
        terminals = (Terminal("K", "cathode, to lock +", "+"), Terminal("A", "anode, to lock -", "-"))
    else:
        element = Element(
            "suppressor", ElementKind.SUPPRESSOR, "1", "2", {"v_clamp_v": stated(part.clamp_v)},
            role=ElementRole.SUPPRESSION,
        )  # fmt: skip
        terminals = (Terminal("1"), Terminal("2"))
    title = part.title if part and part.title else "Flyback diode"
    return Component(
        ref, title, terminals, (element,), part.id if part else "", place="at the lock", role=DeviceRole.SUPPRESSOR
    )
