"""The rule `interlock`."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.said import INTERLOCKED

_BETWEEN: Final = re.compile(r"\b(vestibule|air[ -]?lock|sally[ -]?port|man[ -]?trap|interlock\w*)\b", re.IGNORECASE)
"""A space between two doors that are often interlocked, as rooms are called; common practice, no source."""
_STATE: Final = "State interlocked_with: the marks of the other openings, or none."


class Interlock:
    """Two doors of which one at a time may be open keep nobody in, and each knows whether the other is closed.

    Why:
        An interlock is a setting of controllers and no wire, so that no drawing shows it. Somebody between two doors, one of
        them propped open, is locked in; and a controller that cannot see the other door opens its own regardless.
    Measures:
        The interlocked_with of each opening: that the other one states it too, and that each has a door contact. Where none
        is stated: two openings on one room that is called a vestibule, air lock, sally port or mantrap, or the word
        interlock in name or remarks. That the way out works whatever the other door does is confirmed, interlock-yields;
        see egress-conditions.
    Limit:
        Both state each other, each has a door contact.
    Remedy:
        What to state or fit.
    Source:
        Common practice, no source; the code's sections on locked doors in a means of egress hold for each of the doors.
    """

    name: ClassVar[str] = "interlock"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each opening that is interlocked, or sounds like it."""
        named: dict[str, list[str]] = defaultdict(list)
        for opening in design.site.openings:
            for mark in opening.interlocks:
                named[mark].append(opening.mark)
        between = _shared_rooms(design)
        for door in design.doors:
            others = door.opening.interlocks
            back = [mark for mark in named[door.mark] if mark not in others]
            if back:
                message = f"{listed(back)} states an interlock with this opening, which states none back."
                yield self._fails(
                    door, message, f"State interlocked_with {', '.join((*others, *back))}.", "other opening"
                )
            if (others or back) and not door.opening.contact:
                message = (
                    f"It is interlocked with {listed([*others, *back])} and has no door contact: the other door opens although"
                    " this one is open."
                )
                yield self._fails(door, message, "State contact, and fit it.", "contact")
            elif others and not back:
                message = f"Interlocked with {listed(others)}; each states the other."
                yield stated(self, door.subject, True, message, severity=Severity.WARNING)
            if not door.opening.interlocked_with and not back:
                yield from self._asked(door, between)

    def _fails(self, door: DoorDesign, message: str, remedy: str, about: str) -> Finding:
        return stated(self, door.subject, False, message, severity=Severity.WARNING, remedy=remedy, about=about)

    def _asked(self, door: DoorDesign, between: dict[tuple[str, str], list[str]]) -> Iterator[Finding]:
        opening = door.opening
        said = INTERLOCKED.search(f"{opening.name}; {opening.remarks}")
        rooms = [side for side in (opening.secured_side, opening.unsecured_side) if _BETWEEN.search(side)]
        for room in rooms:
            others = [mark for mark in between[opening.level, room.casefold()] if mark != door.mark]
            if others:
                message = (
                    f"It opens on {room}, as {listed(others)} does; whether one may open only while the other is closed is not"
                    " stated."
                )
                yield not_evaluated(self, door.subject, message, _STATE)
                return
        if said:
            message = f"Its name or remarks speak of {said[0].lower()}; with which opening is not stated."
            yield not_evaluated(self, door.subject, message, _STATE)


def _shared_rooms(design: Design) -> dict[tuple[str, str], list[str]]:
    """Marks by level and name of a side that is called like the space of an interlock."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for opening in design.site.openings:
        for side in {opening.secured_side, opening.unsecured_side}:
            if _BETWEEN.search(side):
                found[opening.level, side.casefold()].append(opening.mark)
    return found
