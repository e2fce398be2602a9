"""The rule `lock-accessible`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import lock_of

_REMEDY: Final = (
    "Mount the lock and its conduit on the secured side, out of arm's reach through or over the opening, or behind a guard"
    " plate; then state lock_accessible no."
)


class LockAccessible:
    """The lock and its wires cannot be touched from the unsecured side.

    Why:
        Through the bars of a gate an arm reaches the lock. Whoever cuts its wire opens a fail-safe lock; whoever brings
        a battery opens a fail-secure one.
    Measures:
        What the opening states of it; a gate has to state it. Inside a door's frame a lock counts as out of reach
        until the opening states otherwise.
    Limit:
        It cannot be touched. It is an error where the opening asks for its lock wiring to be secured, else a warning.
    Remedy:
        Where to mount it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "lock-accessible"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each gate, and for each opening that states it."""
        for door in design.doors:
            if door.opening.lock and (door.opening.type == "gate" or door.opening.lock_accessible is not None):
                yield self._door(design, door)

    def _door(self, design: Design, door: DoorDesign) -> Finding:
        opening, subject = door.opening, door.subject
        if opening.lock_accessible is None:
            message = "Whether the lock is accessible from the unsecured side, through or over the gate, is not stated."
            return not_evaluated(self, subject, message, "State lock_accessible, yes or no.")
        if not opening.lock_accessible:
            return stated(self, subject, True, "The lock is not accessible from the unsecured side.")
        lock = lock_of(design, door)
        mode = (lock.action if lock else "") or opening.fail_mode
        how = {"fail-safe": ": cutting its wire opens it", "fail-secure": ": a battery at its wires opens it"}.get(
            mode or "", ""
        )
        return stated(
            self, subject, False, f"The lock is accessible from the unsecured side{how}.", remedy=_REMEDY,
            severity=Severity.ERROR if opening.lock_wiring_secured else Severity.WARNING,
        )  # fmt: skip
