"""Locks as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from typing import NamedTuple

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import Lock
from riserkit.standards.door_devices import LOCK_DROP_OUT
from riserkit.wiring.parts.electrical import coil_values, contact, least_v, stated
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


class OwnContact(NamedTuple):
    """How a lock's own contact is landed on the door input.

    Args:
        fail_safe: the lock holds with its coil powered.
        door: outside state of the door contact in series with it; empty where it alone signals an open door.
    """

    fail_safe: bool
    door: str


def lock(
    part: Lock, ref: str, *, accessible: bool = False, own_contact: OwnContact | None = None, place: str = ""
) -> Component:
    """A lock's coil, with the resistance of the highest current it draws.

    A lock that picks up with more current than it holds with has the resistance of holding beside it, `r_hold_ohm`: it
    sees its lowest voltage while it picks up, its highest while it holds.

    Args:
        part: its data.
        ref: its designation.
        accessible: from the unsecured side.
        place: where it stands, in words; left out, at the door.
        own_contact: how its own contact is landed on terminals 1 and 2; None where it is not, or there is none.
    """
    known = [amps for amps in (part.hold_a, part.pull_in_a) if amps is not None]
    current_a = max(known, default=None)
    pull_in_v = least_v(part.rated_v, part.tolerance_low) if part.v_pull_in_v is None else part.v_pull_in_v
    values = coil_values(part.rated_v, current_a, pull_in_v, part.v_drop_out_v, LOCK_DROP_OUT.value)
    if part.hold_a and current_a is not None and part.hold_a < current_a:
        values["r_hold_ohm"] = stated(part.rated_v) / part.hold_a
    if part.inductance_h is not None:
        values["l_h"] = part.inductance_h
    coil = Element("coil", ElementKind.COIL, "+", "-", values, role=ElementRole.LOCK_COIL)
    terminals: tuple[Terminal, ...] = (Terminal("+", "coil", "+"), Terminal("-", "coil", "-"))
    own = _own_contact(part, ref, own_contact) if own_contact is not None else ()
    if own:
        terminals += tuple(Terminal(name, str(own[0].role)) for name in "12")
    opened = f"{ref}.open"
    return Component(
        ref, part.title or "Lock", terminals, (coil, *own), part.id,
        exposed=accessible, place=place or ("at the door" if accessible else "at the door, secured side"),
        role=DeviceRole.LOCK,
        states=(OutsideState("open", StateRole.DOOR_OPEN),) if any(e.control == opened for e in own) else (),
    )  # fmt: skip


def _own_contact(part: Lock, ref: str, landed: OwnContact) -> tuple[Element, ...]:
    """What opens between terminals 1 and 2: the coil's release, an open door, or either, one behind the other."""
    role = ElementRole.BOND_CONTACT if part.bond_contact else ElementRole.LATCH_CONTACT
    by_door = not landed.door or not part.contact_follows_coil
    between = "_held" if by_door and part.contact_follows_coil else "2"
    found: list[Element] = []
    if by_door:
        found.append(contact("closed_door", "1", between, landed.door or f"{ref}.open", role, closed=True))
    if part.contact_follows_coil:
        start = "1" if between == "2" else between
        # Closed while the lock holds.
        found.append(contact("own", start, "2", f"{ref}.coil", role, closed=not landed.fail_safe))
    return tuple(found)
