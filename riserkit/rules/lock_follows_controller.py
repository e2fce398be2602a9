"""The rule `lock-follows-controller`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import LOCK_FOLLOWS_CONTROLLER, Outcome
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.lookups import after_wiring
from riserkit.rules._shared.proving import asked, judged, unproven

_COMPARE: Final = (
    "Check against the sheet: NO or NC of the relay, lock voltage, polarity, and the diode's band at plus."
)


class LockFollowsController:
    """The lock is locked when the controller says so, and released when it says so.

    Why:
        A contact landed on NO for NC, or a diode the wrong way round, gives a door that cannot be locked or
        cannot be opened, and a proof of anything else would be worth nothing.
    Measures:
        State of every lock in the healthy circuit with all power present, for either command.
    Limit:
        Locked for the one, released for the other, by the coil's own pull-in and drop-out voltage.
    Remedy:
        What to compare with the sheet.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "lock-follows-controller"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that a controller commands."""
        for door in design.doors:
            proof = asked(door, LOCK_FOLLOWS_CONTROLLER)
            if isinstance(proof, Unproven):
                yield unproven(self, door, proof)
            elif proof is not None and proof.about(LOCK_FOLLOWS_CONTROLLER).outcome is not Outcome.NOT_APPLICABLE:
                yield after_wiring(door, judged(self, door, proof.about(LOCK_FOLLOWS_CONTROLLER), _COMPARE))
