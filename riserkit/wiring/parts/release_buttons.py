"""Release buttons as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from dataclasses import replace

from riserkit.circuits.netlist import Component, OutsideState, Terminal
from riserkit.model.parts import (
    ReleaseButton,
)
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.parts.electrical import contact
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def release_button(part: ReleaseButton, ref: str = "S1") -> Component:
    """A manual release: pole 11-12 breaks lock power itself, pole 23-24 signals the controller."""
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
        place=DEVICE_PLACES["manual-release"].where, role=DeviceRole.MANUAL_RELEASE,
        states=(OutsideState("pressed", StateRole.RELEASE_PRESSED),),
    )  # fmt: skip
