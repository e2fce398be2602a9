"""The rule `release-on-power-loss`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.proofs.asked import ON_POWER_LOSS
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import RELEASE_ON_POWER_LOSS, Property
from riserkit.rules._shared.lookups import fail_safe_lock
from riserkit.rules._shared.proving import asked, clause, judged, unproven
from riserkit.standards.egress import section_source

_LOCK: Final = "Use {lock}, or correct the egress role."
_FEED: Final = "Trace the path that still powers the lock; feed the lock from one source only."


class ReleaseOnPowerLoss:
    """A door that people leave through by electric release is unlocked without power.

    Why:
        In a blackout nothing electric can be asked to open. The lock must let go by itself.
    Measures:
        The lock's voltage with its source of power dead, in every state and with any conductor open, shorted or
        earthed.
    Limit:
        Every lock is released. A fail-secure lock stays locked and cannot pass.
    Remedy:
        The kind of lock, or the place where power comes back in.
    Source:
        IBC 2021 1010.2.11, 1010.2.12 item 3, 1010.2.13 and 1010.2.14; for stair doors from IBC 2024 1010.2.6 on
        (verified).
    """

    name: ClassVar[str] = "release-on-power-loss"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each door whose role in egress asks for it."""
        for door in design.doors:
            proof = asked(door, RELEASE_ON_POWER_LOSS)
            if isinstance(proof, Unproven):
                if door.opening.egress in ON_POWER_LOSS:
                    yield unproven(self, door, proof)
            elif proof is not None:
                yield self._door(design, door, proof.about(RELEASE_ON_POWER_LOSS))

    def _door(self, design: Design, door: DoorDesign, one: Property) -> Finding:
        proof = door.proof
        secure = not isinstance(proof, Unproven) and not proof.topology.fail_safe
        remedy = _LOCK.format(lock=fail_safe_lock(door.opening)) if secure else _FEED
        return judged(self, door, one, remedy, source=clause(design, door.opening.egress))
