"""The rule `request-in-reach`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Severity
from riserkit.proofs.values import REQUEST_IN_REACH, DoorProof, Outcome
from riserkit.rules.base import COMMON_PRACTICE
from riserkit.rules.proving import asked, judged

_WAY_OUT: Final = (
    "Set the controller to ignore its second input while it is off the wall, or put it on the secured side with 1 reader"
    " alone outside."
)


class RequestInReach:
    """Nothing within reach from the unsecured side asks the controller to release.

    Why:
        An authenticated module keeps strangers off the lock, but not off the controller's own request input:
        two wires joined there are a request to exit like any other.
    Measures:
        Whether a conductor cut or two terminals joined within reach make the second input read a request to
        exit.
    Limit:
        No such act. A note, a warning where the opening asks for its lock wiring to be secured: whether the
        controller ignores requests while it is off the wall is its own affair.
    Remedy:
        Where the input has to be landed, or what the controller has to be set to.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "request-in-reach"
    source: ClassVar[str] = COMMON_PRACTICE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is proven; of the others `obeys-command` speaks."""
        for door in design.doors:
            proof = asked(door, REQUEST_IN_REACH)
            if isinstance(proof, DoorProof) and proof.about(REQUEST_IN_REACH).outcome is not Outcome.NOT_APPLICABLE:
                severity = Severity.WARNING if door.opening.lock_wiring_secured else Severity.NOTE
                yield judged(self, door, proof.about(REQUEST_IN_REACH), _WAY_OUT, severity=severity)
