"""The rule `fail-secure-on-power-loss`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import FAIL_SECURE_ON_POWER_LOSS
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.proving import asked, judged, unproven

_CONTACT: Final = (
    "Land a fail-secure lock on NO of the contact that switches it; its coil has 0 V while the controller locks."
)


class FailSecureOnPowerLoss:
    """A fail-secure lock stays locked when power fails.

    Why:
        Who cuts the power to a building must not find its doors open. That is what the lock was bought for.
    Measures:
        State of every lock with the PoE cable, the supply's mains or its battery lost, alone and together.
    Limit:
        Every lock stays locked.
    Remedy:
        The contact that has to be used.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "fail-secure-on-power-loss"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each fail-secure lock."""
        for door in design.doors:
            proof = asked(door, FAIL_SECURE_ON_POWER_LOSS)
            if isinstance(proof, Unproven):
                if door.opening.fail_mode == "fail-secure":
                    yield unproven(self, door, proof)
            elif proof is not None:
                yield judged(self, door, proof.about(FAIL_SECURE_ON_POWER_LOSS), _CONTACT)
