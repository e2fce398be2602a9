"""Which conditions have to be confirmed at a door: those of its role, and those that what it states brings with it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.model.confirmations import Condition, Confirmation
from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.asked import fire_alarm_releases, ibc_edition
from riserkit.proofs.values import FAULT_LEAVES_UNLOCKED, DoorProof, Outcome
from riserkit.rules._shared.lookups import lock_of
from riserkit.rules._shared.proving import SECTION_OF, asked, through_input_off_wall
from riserkit.rules._shared.said import BOTH_WAYS, CROWD, NOT_SWINGING, OUTDOORS, SECOND_LOCK, is_exit, said_at
from riserkit.standards.egress import DELAY_APPROVED_MAX_S, DELAY_MAX_S
from riserkit.standards.egress_conditions import CONDITIONS_OF

_LIFT: Final = re.compile(r"\b(lift|elevator)s?\b", re.IGNORECASE)
_LOBBY: Final = re.compile(r"\b(lobby|landing|vestibule|foyer|hall)\b", re.IGNORECASE)
_STAIR: Final = re.compile(r"\bstair(s|way|well|case)?\b", re.IGNORECASE)
_ROOF: Final = re.compile(r"\broof\w*\b", re.IGNORECASE)
_CLOSED_IN: Final = re.compile(
    r"\b(?:roof|terraces?|balcon(?:y|ies)|loggias?|patios?|courtyards?|light ?wells?|dach(?:terrasse)?|innenhof|terrasse|toit"
    r"|azotea|terraza|patio)\b",
    re.IGNORECASE,
)
"""Places outdoors that people do not leave but through the building."""
HARDWARE: Final = frozenset({"electrified-exit-device", "electrified-latch"})
"""Locks whose own hardware may start the delay of delayed egress."""


def conditions_at(design: Design, door: DoorDesign) -> tuple[Condition, ...]:
    """What has to be confirmed at this door, in the order of the code's section."""
    return tuple(dict.fromkeys(_conditions(design, door)))


def _conditions(design: Design, door: DoorDesign) -> Iterator[Condition]:
    opening, role = door.opening, door.opening.egress
    subject = SECTION_OF.get(role) if role else None
    if subject is not None:
        yield from map(Condition, CONDITIONS_OF[subject])
    if role is EgressRole.SENSOR_RELEASE:
        edition = ibc_edition(design.site.info.building_code)
        released = fire_alarm_releases(opening, edition)
        yield Condition.ALARM_HOLDS_UNTIL_RESET if released else Condition.NO_FIRE_SYSTEM
    if role is EgressRole.DELAYED:
        if not starts_at_sensor(opening) and hardware_may_start(design, door):
            yield Condition.DELAY_STARTS_AT_HARDWARE
        if opening.delay_s is not None and DELAY_MAX_S.value < opening.delay_s <= DELAY_APPROVED_MAX_S.value:
            yield Condition.LONGER_DELAY_APPROVED
    if opening.inactive_leaf == "manual-bolts" and role is not EgressRole.NONE:
        yield Condition.INACTIVE_LEAF_BOLTS
    if opening.interlocks:
        yield Condition.INTERLOCK_YIELDS
    if is_lift_lobby(opening.unsecured_side):
        yield Condition.LOBBY_HAS_EXIT
    if why_other_way_out(opening):
        yield Condition.OTHER_WAY_OUT
    if opening.fire_rating_min and opening.lock:
        yield Condition.FIRE_DOOR_PREPARED
    if is_exit(opening):
        yield from _said_of_exits(opening)
    if is_stair(opening.unsecured_side) and role is not None and role is not EgressRole.STAIR:
        yield Condition.LEVEL_OF_DISCHARGE


def _said_of_exits(opening: Opening) -> Iterator[Condition]:
    """What words bring with them at an opening that people leave by."""
    if said_at(opening, NOT_SWINGING)[1]:
        yield Condition.OPENS_WITHOUT_SWINGING
    if said_at(opening, SECOND_LOCK)[1]:
        yield Condition.ONE_MOTION
    if said_at(opening, CROWD)[1] or CROWD.search(opening.secured_side):
        yield Condition.PANIC_HARDWARE_FITTED


def why_other_way_out(opening: Opening) -> str:
    """Why people on the unsecured side may have to leave through this opening, in words; empty where nothing says so."""
    if place := _CLOSED_IN.search(opening.unsecured_side):
        return f"its unsecured side is called {place[0]!r}"
    if said := said_at(opening, BOTH_WAYS)[1]:
        return f"it says {said!r}"
    stair, other = opening.secured_side, opening.unsecured_side
    outside = opening.outdoor or OUTDOORS.search(other) or is_stair(other)
    if is_stair(stair) and not _ROOF.search(stair) and not outside:
        return (
            "its secured side is a stair by its name, which people on the other side enter by card alone; if the reader is in the"
            " stair, exchange the sides"
        )
    return ""


def next_of_its_kind(design: Design, door: DoorDesign) -> list[str]:
    """Doors of the same role that begin where this one leads to, by the names of their sides."""
    site, opening = design.site, door.opening
    to = opening.unsecured_side.casefold()
    building = site.level[opening.level].building
    return [
        o.mark for o in site.openings
        if to and o.mark != door.mark and o.egress is opening.egress and o.secured_side.casefold() == to
        and site.level[o.level].building == building
    ]  # fmt: skip


def is_lift_lobby(side: str) -> bool:
    """By its name, people step out of a lift on this side of a door."""
    return bool(_LIFT.search(side) and _LOBBY.search(side))


def is_stair(side: str) -> bool:
    """By its name, this side of a door is a stair."""
    return bool(_STAIR.search(side))


def settings_at(door: DoorDesign) -> Iterator[Condition]:
    """What is set in this door's controller and clears a finding of it, once confirmed."""
    if through_input_off_wall(door):
        yield Condition.REQUESTS_STOP_OFF_WALL
    proof = asked(door, FAULT_LEAVES_UNLOCKED)
    if isinstance(proof, DoorProof):
        one = proof.about(FAULT_LEAVES_UNLOCKED)
        if one.requests_only or (one.outcome is Outcome.FAIL and door.opening.lock_wiring_secured):
            yield Condition.STANDING_REQUEST_REPORTED


def who_confirmed(given: Confirmation) -> str:
    """Who has confirmed it, and when.

    Examples:
        `Confirmed by A. Official, 2026-03-14 (letter 12)`
    """
    note = f" ({given.note})" if given.note else ""
    return f"Confirmed by {given.name}, {given.date.isoformat()}{note}"


def starts_at_sensor(opening: Opening) -> bool:
    """A device on the controller's request input starts the delay."""
    return bool(opening.rex) and opening.rex_aux_input == "rex"


def hardware_may_start(design: Design, door: DoorDesign) -> bool:
    """The lock is of a kind whose own hardware may start the delay."""
    lock = lock_of(design, door)
    return lock is not None and lock.kind in HARDWARE
