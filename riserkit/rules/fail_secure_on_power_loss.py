"""The rule `fail-secure-on-power-loss`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import EgressRole
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import FAIL_SECURE_ON_POWER_LOSS
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import fail_mode_of
from riserkit.rules._shared.proving import asked, judged, unproven
from riserkit.rules._shared.said import STAYS_LOCKED, said_at

_CONTACT: Final = (
    "Land a fail-secure lock on NO of the contact that switches it; its coil has 0 V while the controller locks."
)
_LOCK: Final = (
    "Use a fail-secure lock, with hardware that opens the door from inside by hand. Where the door has to unlock without power,"
    " secure what is behind it by another barrier, and "
)
_BY_CODE: Final = frozenset(
    {EgressRole.SENSOR_RELEASE, EgressRole.HARDWARE_RELEASE, EgressRole.DELAYED, EgressRole.CONTROLLED}
)
"""Roles that ask a lock to unlock without power: its fail-safe lock is nobody's slip."""
_WORDS: Final = "words"


class FailSecureOnPowerLoss:
    """A fail-secure lock stays locked when power fails.

    Why:
        Who cuts the power to a building must not find its doors open. That is what the lock was bought for.
    Measures:
        State of every fail-secure lock with the PoE cable, the supply's mains or its battery lost, alone and together. A
        fail-safe lock where lock_wiring_secured is stated, or where name or remarks say that the door stays locked without power.
    Limit:
        Every lock stays locked. A fail-safe one where the wiring is to be secured is a warning, a note where the role in egress
        asks for it.
    Remedy:
        The contact that has to be used.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "fail-secure-on-power-loss"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each fail-secure lock, and for each fail-safe one that is to stay locked."""
        for door in design.doors:
            proof = asked(door, FAIL_SECURE_ON_POWER_LOSS)
            if isinstance(proof, Unproven):
                if door.opening.fail_mode == "fail-secure":
                    yield unproven(self, door, proof)
            elif proof is not None:
                yield judged(self, door, proof.about(FAIL_SECURE_ON_POWER_LOSS), _CONTACT)
            if fail_mode_of(design, door) == "fail-safe":
                yield from self._lets_in(door)

    def _lets_in(self, door: DoorDesign) -> Iterator[Finding]:
        subject = door.subject
        where, said = said_at(door.opening, STAYS_LOCKED)
        if said:
            message = f"{where} {said!r}; its lock is fail-safe: without power it is unlocked."
            yield not_evaluated(self, subject, message, f"{_LOCK}reword it.", about=_WORDS)
        elif door.opening.lock_wiring_secured:
            severity = Severity.NOTE if door.opening.egress in _BY_CODE else Severity.WARNING
            message = "Its lock wiring is to be secured, and its lock is fail-safe: once mains and battery are gone it is unlocked."
            yield stated(self, subject, False, message, severity=severity, remedy=f"{_LOCK}accept the finding.")
