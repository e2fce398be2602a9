"""The rule `second-leaf`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import lock_of
from riserkit.standards.locks import strike_of_pair

_FASTENED: Final = {
    "automatic-bolts": "automatic bolts hold the inactive leaf",
    "manual-bolts": "bolts set by hand hold the inactive leaf",
    "exit-device": "a separate exit device holds the inactive leaf",
}
_STRIKE: Final = "strike"
_STATE_MULLION: Final = (
    "State mullion: yes where a post between the leaves takes the strike, no where the inactive leaf takes it."
)
_NO_POST: Final = (
    "Fit a mullion and state mullion yes; or use an electrified latch or exit device in each leaf; or one strike in the inactive"
    " leaf, lock_count 1 with inactive_leaf."
)
_REMEDY: Final = "State lock_count 2, or state what holds the inactive leaf: inactive_leaf automatic-bolts, manual-bolts or exit-device."


class SecondLeaf:
    """Both leaves of a pair are held.

    Why:
        One lock on a pair of doors holds one leaf. The other swings open beside it unless something else holds it.
    Measures:
        For each double opening: its locks, and what it states of its inactive leaf. A second lock stated where there is
        one leaf is a warning. Of a pair with strikes also what they stand in: there is no frame between two leaves.
    Limit:
        A lock for each leaf, or an inactive leaf held by bolts or an exit device. A mullion for two strikes; one strike in a
        mullion, or in the inactive leaf with its wires over the hinges.
    Remedy:
        What to state or fit.
    Source:
        Common practice, no source. Where bolts may be set by hand on an egress path the building code says; see
        egress-conditions.
    """

    name: ClassVar[str] = "second-leaf"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each double opening, and for each other one that states two locks."""
        for door in design.doors:
            if door.opening.type == "double":
                yield self._door(door)
                lock = lock_of(design, door)
                if lock is not None and lock.kind == "strike":
                    yield self._strike(door)
            elif door.opening.lock_count > 1:
                message = f"Two locks are stated on a {door.opening.type} opening, which has one leaf."
                remedy = "State type double, or lock_count 1."
                yield stated(self, door.subject, False, message, severity=Severity.WARNING, remedy=remedy)

    def _strike(self, door: DoorDesign) -> Finding:
        opening, subject = door.opening, door.subject
        if opening.mullion is None:
            message = "What its strike stands in is not stated: there is no frame between two leaves."
            return not_evaluated(self, subject, message, _STATE_MULLION, about=_STRIKE)
        if not opening.mullion and opening.lock_count > 1:
            message = "Each leaf has a strike, and there is no mullion that they could stand in."
            return stated(self, subject, False, message, remedy=_NO_POST, about=_STRIKE)
        message = f"Its strike stands {strike_of_pair(opening.mullion, opening.lock_count)}."
        return stated(self, subject, True, message, about=_STRIKE)

    def _door(self, door: DoorDesign) -> Finding:
        opening, subject = door.opening, door.subject
        if opening.lock_count > 1:
            return stated(self, subject, True, "Each leaf has a lock.")
        if opening.inactive_leaf:
            return stated(self, subject, True, f"One lock; {_FASTENED[opening.inactive_leaf]}.")
        message = "Two leaves, one lock: what holds the other leaf is not stated."
        return stated(self, subject, False, message, remedy=_REMEDY)
