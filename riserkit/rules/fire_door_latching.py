"""The rule `fire-door-latching`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import Lock
from riserkit.model.site import Site
from riserkit.rules._shared.base import not_evaluated, stated
from riserkit.rules._shared.lookups import lock_of
from riserkit.rules._shared.said import NOT_CLOSING, held_unlocked, is_of_a_door, rating_said
from riserkit.standards.locks import LOCKS_IN_LEAF

_STRIKE: Final = (
    "Fit a fail-secure strike listed for fire doors, with hardware that opens the door from inside; where the door must unlock"
    " without power, a fail-safe electrified latch or exit device{such}, whose latch stays engaged."
)
_RATING: Final = "State fire_rating_min, in minutes; 0 for a door without a rating."
_INACTIVE: Final = "inactive leaf"
_BOLTS: Final = (
    "Fit automatic flush bolts or an exit device on the inactive leaf and state it as inactive_leaf; where the authority having"
    " jurisdiction permits bolts set by hand at this pair, accept the finding with authority and reference."
)
_LET_GO: Final = re.compile(r"alarm|smoke|detect", re.IGNORECASE)
"""Said of what holds a door open: it lets go of it in a fire."""
_CLOSE: Final = (
    "Have the door close by itself, a door held open by the fire alarm letting it go; then reword the remarks, or accept the"
    " finding."
)
_LATCHES_AGAIN: Final = (
    "Have a contact of the fire alarm take {lock}'s power away, in the feed of its supply or module, so that it latches whatever the"
    " controller does; no sheet shows that contact: draw it on a sheet of its own, test it, and accept the finding."
)
_WHICH: Final = "State the rating of door and frame as fire_rating_min, or reword."
_LEAST_RATING_MIN: Final = 15.0
"""The least that doors are rated anywhere, E 15; in North America 20 min (from memory)."""
_LATCH: Final = "Fit a listed latch that engages by itself when the door closes, and state latching_hardware yes."


class FireDoorLatching:
    """A fire-rated door stays latched in a fire, whatever becomes of the power.

    Why:
        A fire door that the pressure of a fire pushes open is no fire door. A fail-safe strike lets the latch go when
        its power fails or the alarm takes it away; a magnet latches nothing at all.
    Measures:
        The opening's fire_rating_min; for a rated one whether its lock is a fail-safe strike, and whether beside a
        magnet a latch is stated, or at a strike none. A fail-safe strike or a magnet without a stated rating is not evaluated.
        Of a rated pair whose inactive leaf has no lock also whether that leaf latches by itself: bolts set by hand do not.
        A rating below 15 min, as of hours in a column of minutes, is asked.
        Where the remarks of a rated opening speak of a closer removed or a door held open, or name or remarks of one dogged
        or unlocked for hours, or give another rating than is stated, that is asked.
    Limit:
        A door with a rating above 0 minutes latches positively, without power.
    Remedy:
        The lock or latch to fit instead.
    Source:
        NFPA 80 and IBC 716.2.6.1, positive latching of fire door assemblies (both from memory).
    """

    name: ClassVar[str] = "fire-door-latching"
    source: ClassVar[str] = "NFPA 80 and IBC 716.2.6.1, positive latching (from memory)"
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each fire-rated opening, and for each whose lock asks for the rating to be known."""
        for door in design.doors:
            lock = lock_of(design, door)
            if lock is not None and (door.opening.fire_rating_min or _lets_go(door, lock)):
                yield self._door(design, door, lock)
            if door.opening.type == "double" and door.opening.lock_count == 1 and door.opening.inactive_leaf:
                yield from self._inactive(door)
            yield from self._rating(door)
            yield from self._remarks(door, lock)

    def _door(self, design: Design, door: DoorDesign, lock: Lock) -> Finding:
        subject, rating_min = door.subject, door.opening.fire_rating_min
        if rating_min is None:
            message = (
                f"{lock.id} leaves the door unlatched without power; whether the door is fire-rated is not stated."
            )
            return not_evaluated(self, subject, message, _RATING)
        if not rating_min:
            return stated(self, subject, True, "The door is not fire-rated.")
        rated = f"The door is rated {rating_min:g} min"
        if lock.kind == "electromagnetic-lock":
            latch = door.opening.latching_hardware
            if latch is None:
                message = f"{rated} and held by a magnet; whether it also has a latch is not stated."
                return not_evaluated(self, subject, message, "State latching_hardware, yes or no.")
            message = f"{rated}; a separate latch keeps it shut."
            if not latch:
                message = f"{rated} and held by a magnet only: once released, nothing keeps it shut."
            return stated(self, subject, latch, message, remedy=_LATCH)
        if door.opening.latching_hardware is False and lock.kind == "strike":
            message = f"{rated}; no hardware is stated that latches when the door closes, so its strike holds nothing."
            return stated(self, subject, False, message, remedy=_LATCH)
        passed = not _lets_go(door, lock)
        message = f"{rated}; without power it stays latched."
        if not passed:
            message = f"{rated}, and its fail-safe strike releases the latch without power."
        return stated(self, subject, passed, message, remedy=_STRIKE.format(such=_such_as(design.site, lock)))

    def _rating(self, door: DoorDesign) -> Iterator[Finding]:
        rating_min = door.opening.fire_rating_min
        if rating_min and rating_min < _LEAST_RATING_MIN:
            message = f"fire_rating_min is {rating_min:g}; no door is rated less than {_LEAST_RATING_MIN:g} min."
            remedy = (
                f"State it in minutes, {rating_min * 60:g} if {rating_min:g} h is meant; 0 for a door without a rating."
            )
            yield not_evaluated(self, door.subject, message, remedy, about="rating")

    def _remarks(self, door: DoorDesign, lock: Lock | None) -> Iterator[Finding]:
        opening, subject = door.opening, door.subject
        rating_min = opening.fire_rating_min
        said = NOT_CLOSING.search(opening.remarks)
        if rating_min and said and not _LET_GO.search(said[0]):
            message = (
                f"Its remarks say {said[0].strip()!r}; the door is rated {rating_min:g} min and has to close by itself."
            )
            yield not_evaluated(self, subject, message, _CLOSE, about="closing")
        where, words, said_min = rating_said(opening)
        if words and (said_min != rating_min if said_min else not rating_min):
            stated_min = "is not stated" if rating_min is None else f"is {rating_min:g} min"
            message = f"{where} {words!r}; its fire rating {stated_min}."
            yield not_evaluated(self, subject, message, _WHICH, about="rating in remarks")
        where, words = held_unlocked(opening, lock)
        if words and lock is not None:
            message = f"{where} {words!r}; the door is rated {rating_min:g} min and has to latch in a fire."
            yield not_evaluated(self, subject, message, _LATCHES_AGAIN.format(lock=lock.id), about="held unlocked")

    def _inactive(self, door: DoorDesign) -> Iterator[Finding]:
        opening, rating_min = door.opening, door.opening.fire_rating_min
        subject, by_hand = door.subject, opening.inactive_leaf == "manual-bolts"
        if rating_min:
            message = f"The pair is rated {rating_min:g} min; its inactive leaf latches by itself."
            if by_hand:
                message = (
                    f"The pair is rated {rating_min:g} min, and bolts set by hand hold its inactive leaf: left open, neither"
                    " leaf latches."
                )
            yield stated(self, subject, not by_hand, message, remedy=_BOLTS, about=_INACTIVE)
        elif rating_min is None and by_hand:
            message = "Bolts set by hand hold its inactive leaf; whether the pair is fire-rated is not stated."
            yield not_evaluated(self, subject, message, _RATING, about=_INACTIVE)


def _such_as(site: Site, lock: Lock) -> str:
    """A lock in the leaf, of the same voltage, that unlocks without power and keeps its latch engaged; empty where none is known."""
    found = (
        p
        for p in site.parts
        if isinstance(p, Lock)
        and is_of_a_door(p)
        and p.kind in LOCKS_IN_LEAF
        and p.action == "fail-safe"
        and p.rated_v == lock.rated_v
    )
    part = next(found, None)
    return f" ({part.id} is one)" if part is not None else ""


def _lets_go(door: DoorDesign, lock: Lock) -> bool:
    """Without power nothing of this lock keeps the door shut."""
    mode = lock.action or door.opening.fail_mode
    return lock.kind == "electromagnetic-lock" or (lock.kind == "strike" and mode == "fail-safe")
