"""The rule `hold-open-fault`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Severity
from riserkit.proofs.values import HOLD_OPEN, DoorProof, Outcome
from riserkit.rules.base import COMMON_PRACTICE
from riserkit.rules.proving import asked, judged

_WAY_OUT: Final = (
    "Have the controller report a request that stands, or a door unlocked, for more than 30 s; insulate every spare"
    " conductor by itself."
)


class HoldOpenFault:
    """No single fault holds the door unlocked, but those that a fail-safe lock or sensor is meant to have.

    Why:
        A pinched cable may hold a door open for weeks. Whoever maintains it should know which faults do.
    Measures:
        Every single fault of the circuit at rest: conductors open, shorted, earthed, contacts stuck, supplies
        dead. Left out is the loss of power that is meant to release a fail-safe lock, and a sensor's own loss.
    Limit:
        None holds the door unlocked. A note, a warning where the opening asks for its lock wiring to be
        secured.
    Remedy:
        What makes such a fault known.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "hold-open-fault"
    source: ClassVar[str] = COMMON_PRACTICE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is proven; of the others `obeys-command` speaks."""
        for door in design.doors:
            proof = asked(door, HOLD_OPEN)
            if isinstance(proof, DoorProof) and proof.about(HOLD_OPEN).outcome is not Outcome.NOT_APPLICABLE:
                severity = Severity.WARNING if door.opening.lock_wiring_secured else Severity.NOTE
                yield judged(self, door, proof.about(HOLD_OPEN), _WAY_OUT, severity=severity)
