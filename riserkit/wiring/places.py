"""Where devices are put at an opening that has no ceiling, or no frame, to put them above or in."""

from __future__ import annotations

from riserkit.model.opening import Opening
from riserkit.model.parts import RexSensor
from riserkit.standards.locks import DEVICE_PLACES
from riserkit.wiring.lengths import rex_place


def box_place(opening: Opening) -> str:
    """Of the junction box, in words: above the ceiling, where there is one."""
    return DEVICE_PLACES["junction-box" if opening.has_ceiling else "box-beside"].where


def contact_place(opening: Opening) -> str:
    """Of the door contact, in words: a gate has no head."""
    return DEVICE_PLACES["gate-contact" if opening.type == "gate" else "door-contact"].where


def sensor_place(opening: Opening, rex: RexSensor) -> str:
    """Of the request to exit, in words: above a gate there is no header."""
    kind = rex_place(rex)
    return DEVICE_PLACES["gate-sensor" if kind == "rex-sensor" and opening.type == "gate" else kind].where
