"""The rule `fault-leaves-unlocked`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.confirmations import Condition
from riserkit.proofs.values import FAULT_LEAVES_UNLOCKED, DoorProof, Property
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.confirming import who_confirmed
from riserkit.rules._shared.proving import asked
from riserkit.rules._shared.together import Shared, deciding, grouped_findings, span
from riserkit.standards.egress_conditions import CONDITIONS

_WAY_OUT: Final = (
    "Set the controller to alarm on a request or an unlocked door lasting over 30 s and record"
    " standing-request-reported in confirmations, with name and date; insulate every spare conductor by itself."
)


class FaultLeavesUnlocked:
    """No single fault holds the door unlocked unreported, but those that a fail-safe lock or sensor is meant to have.

    Why:
        A pinched cable may hold a door open for weeks. Whoever maintains it should know which faults do.
    Measures:
        Every single fault of the circuit at rest: conductors open, shorted, earthed, contacts stuck, supplies
        dead. Left out is the loss of power that is meant to release a fail-safe lock, a sensor's own loss, and what the
        door input reports: it reads open in a closed door, as a lock's own contact in series with the door contact does,
        while the controller commands the lock.
    Limit:
        None holds the door unlocked. Where all that do are requests to exit that stand, the confirmation
        `standing-request-reported` clears them. Else one note for all such doors; a warning, door by door, where
        the opening asks for its lock wiring to be secured and nothing is confirmed there.
    Remedy:
        What makes such a fault known.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "fault-leaves-unlocked"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is checked, one for doors alike; of the others `lock-follows-controller` speaks."""
        reported = Condition.STANDING_REQUEST_REPORTED
        confirmed = design.site.confirmed
        cleared = {door.mark: one for door, one in _requests_only(design) if (door.mark, reported) in confirmed}
        yield from grouped_findings(
            self, design, _SHARED, leave_out=lambda door: door.mark in cleared,
            with_others=lambda door: (door.mark, reported) in confirmed,
        )  # fmt: skip
        for mark, one in cleared.items():
            given = confirmed[mark, reported]
            message = (
                f"{one.words} Each is a request to exit that persists. {CONDITIONS[reported]} {who_confirmed(given)}."
            )
            yield stated(self, ("opening", mark), True, message)


def _requests_only(design: Design) -> Iterator[tuple[DoorDesign, Property]]:
    """Doors that only requests that stand leave unlocked."""
    for door in design.doors:
        proof = asked(door, FAULT_LEAVES_UNLOCKED)
        if isinstance(proof, DoorProof) and proof.about(FAULT_LEAVES_UNLOCKED).requests_only:
            yield door, proof.about(FAULT_LEAVES_UNLOCKED)


def _words(properties: Sequence[Property]) -> str:
    return f"{span(properties)} single faults leave the door unlocked"


_SHARED: Final = Shared(FAULT_LEAVES_UNLOCKED, _words, deciding, lambda _: _WAY_OUT, Severity.WARNING, Severity.NOTE)
