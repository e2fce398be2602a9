"""Where devices are put: in a leaf, and at an opening that has no ceiling, or no frame, to put them above or in."""

from __future__ import annotations

from riserkit.model.opening import Opening
from riserkit.model.parts import Lock, RexSensor
from riserkit.standards.locks import DEVICE_PLACES, LOCKS_IN_LEAF, strike_of_pair
from riserkit.wiring.lengths import rex_place


def strike_in_leaf(opening: Opening, lock: Lock | None) -> bool:
    """Whether the lock is a strike and stands in the inactive leaf of a pair."""
    return lock is not None and lock.kind == "strike" and opening.strike_in_leaf


def lock_in_leaf(opening: Opening, lock: Lock | None) -> bool:
    """Whether the lock stands in a leaf, as a latch does, and a strike in the inactive leaf; power comes over the hinges.

    A latch whose part says so stands in none, as that of a turnstile or a shutter.
    """
    if lock is None:
        return False
    return (lock.kind in LOCKS_IN_LEAF and lock.in_leaf is not False) or strike_in_leaf(opening, lock)


def lock_place(opening: Opening, lock: Lock) -> str:
    """Of a strike or a magnet, in words; empty where it is in a leaf, at a gate, or accessible from the unsecured side."""
    if lock.kind == "strike" and opening.leaves > 1:
        return strike_of_pair(opening.mullion, opening.lock_count)
    if opening.type == "gate" or opening.lock_accessible:
        return ""
    if lock.kind == "strike":
        return DEVICE_PLACES["strike"].where
    # people must not reach it from outside: the side belongs to its place
    return f"{DEVICE_PLACES[lock.kind].where}, secured side" if lock.kind == "electromagnetic-lock" else ""


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
