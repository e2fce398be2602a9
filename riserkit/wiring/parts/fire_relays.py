"""Fire relays as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.model.parts import (
    FireRelay,
)
from riserkit.wiring.parts.electrical import contact
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def fire_relay(part: FireRelay | None, ref: str = "K3") -> Component:
    """The fire alarm system's contact: opens in alarm."""
    ohm = part.contact_ohm if part else None
    return Component(
        ref, part.title if part and part.title else "Fire alarm relay", (Terminal("C"), Terminal("NC", "opens in alarm")),
        (contact("contact", "C", "NC", f"{ref}.alarm", ElementRole.FIRE_CONTACT, closed=True, ohm=ohm),),
        part.id if part else "", place="by fire alarm", role=DeviceRole.FIRE_RELAY,
        states=(OutsideState("alarm", StateRole.FIRE_ALARM),),
    )  # fmt: skip
