"""The rule `fault-leaves-unlocked`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.confirmations import Condition
from riserkit.proofs.values import FAULT_LEAVES_UNLOCKED, Property
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.together import Shared, deciding, span, told_together

_WAY_OUT: Final = (
    "Set the controller to alarm on a request or an unlocked door lasting over 30 s and record"
    " standing-request-reported in confirmations, with name and date; insulate every spare conductor by itself."
)


class FaultLeavesUnlocked:
    """No single fault holds the door unlocked, but those that a fail-safe lock or sensor is meant to have.

    Why:
        A pinched cable may hold a door open for weeks. Whoever maintains it should know which faults do.
    Measures:
        Every single fault of the circuit at rest: conductors open, shorted, earthed, contacts stuck, supplies
        dead. Left out is the loss of power that is meant to release a fail-safe lock, and a sensor's own loss.
    Limit:
        None holds the door unlocked. A note, told once for all such doors; a warning, door by door, where the opening
        asks for its lock wiring to be secured, until `standing-request-reported` is confirmed there.
    Remedy:
        What makes such a fault known.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "fault-leaves-unlocked"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is proven, doors alike told once; of the others `lock-follows-controller` speaks."""
        reported = Condition.STANDING_REQUEST_REPORTED
        confirmed = design.site.confirmed
        yield from told_together(self, design, _SHARED, with_others=lambda door: (door.mark, reported) in confirmed)


def _words(properties: Sequence[Property]) -> str:
    return f"{span(properties)} single faults leave the door unlocked"


_SHARED: Final = Shared(FAULT_LEAVES_UNLOCKED, _words, deciding, lambda _: _WAY_OUT, Severity.WARNING, Severity.NOTE)
