"""Contacts as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.model.parts import (
    Contact,
)
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.parts.electrical import contact
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def door_contact(part: Contact, ref: str) -> Component:
    """A door position switch: closed while the door is closed."""
    return Component(
        ref, part.title or "Door position switch", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.open", ElementRole.DOOR_CONTACT, closed=True),), part.id,
        place=DEVICE_PLACES["door-contact"].where, role=DeviceRole.DOOR_CONTACT, states=(OutsideState("open", StateRole.DOOR_OPEN),),
    )  # fmt: skip


def auxiliary_contact(ref: str = "B2") -> Component:
    """A normally open contact of someone else's equipment on the REX/AUX input, such as an intercom's."""
    return Component(
        ref, "Auxiliary contact, by others", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.active", ElementRole.AUXILIARY_CONTACT, closed=False),),
        place="by others", role=DeviceRole.AUXILIARY_CONTACT,
        states=(OutsideState("active", StateRole.AUXILIARY_ACTIVE),),
    )  # fmt: skip
