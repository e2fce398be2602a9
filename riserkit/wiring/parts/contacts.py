"""Contacts that a door, people and other systems move, as components: terminals as labelled on the sheet, electrical model."""

from __future__ import annotations

from dataclasses import replace

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.model.parts import Contact, FireRelay, ReleaseButton
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.parts.electrical import contact
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def door_contact(part: Contact, ref: str, place: str) -> Component:
    """A door position switch: closed while the door is closed. `place` is where it is put, in words."""
    return Component(
        ref, part.title or "Door position switch", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.open", ElementRole.DOOR_CONTACT, closed=True),), part.id,
        place=place, role=DeviceRole.DOOR_CONTACT, states=(OutsideState("open", StateRole.DOOR_OPEN),),
    )  # fmt: skip


def auxiliary_contact(ref: str = "B2") -> Component:
    """A normally open contact of someone else's equipment on the REX/AUX input, such as an intercom's."""
    return Component(
        ref, "Auxiliary contact, by others", (Terminal("1"), Terminal("2")),
        (contact("contact", "1", "2", f"{ref}.active", ElementRole.AUXILIARY_CONTACT, closed=False),),
        place="by others", role=DeviceRole.AUXILIARY_CONTACT,
        states=(OutsideState("active", StateRole.AUXILIARY_ACTIVE),),
    )  # fmt: skip


def fire_relay(part: FireRelay | None, ref: str = "K3") -> Component:
    """The fire alarm system's contact: opens in alarm."""
    ohm = part.contact_ohm if part else None
    return Component(
        ref, part.title if part and part.title else "Fire alarm relay", (Terminal("C"), Terminal("NC", "opens in alarm")),
        (contact("contact", "C", "NC", f"{ref}.alarm", ElementRole.FIRE_CONTACT, closed=True, ohm=ohm),),
        part.id if part else "", place="by fire alarm", role=DeviceRole.FIRE_RELAY,
        states=(OutsideState("alarm", StateRole.FIRE_ALARM),),
    )  # fmt: skip


def release_button(part: ReleaseButton, ref: str = "S1") -> Component:
    """A manual release, on the wall or in the bar: pole 11-12 breaks lock power itself, pole 23-24 signals the controller."""
    terminals = [Terminal("11", "lock power"), Terminal("12", "lock power")]
    pressed, ohm = f"{ref}.pressed", part.contact_ohm
    pole = contact("break", "11", "12", pressed, ElementRole.RELEASE_POLE, closed=True, ohm=ohm)
    if part.hold_s is not None:
        pole = replace(pole, values={**pole.values, "hold_s": part.hold_s})
    elements = [pole]
    if part.signals:
        terminals += [Terminal("23", "to input"), Terminal("24", "to input")]
        elements.append(contact("tell", "23", "24", pressed, ElementRole.RELEASE_SIGNAL, closed=False, ohm=ohm))
    return Component(
        ref, part.title or "Manual release", tuple(terminals), tuple(elements), part.id,
        place=DEVICE_PLACES["leaf-switch" if part.in_leaf else "manual-release"].where, role=DeviceRole.MANUAL_RELEASE,
        states=(OutsideState("pressed", StateRole.RELEASE_PRESSED),), in_leaf=bool(part.in_leaf),
    )  # fmt: skip
