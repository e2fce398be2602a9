"""The rule `free-egress-mechanical`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import fail_safe_lock, hardware_opens, lock_of
from riserkit.rules._shared.proving import clause

_MAGNET: Final = (
    "Replace the magnet with a strike or electrified latch, or state the role sensor-release or hardware-release."
)
_LATCH: Final = "latch beside the magnet"
_HARDWARE: Final = "Fit hardware that retracts the latch from inside with one hand, or {lock}, with electric release."


class FreeEgressMechanical:
    """A door that stays locked without power opens from inside by its own hardware.

    Why:
        A fail-secure lock on an egress path is fine if the handle or the bar inside draws the latch by itself. A
        magnet holds the leaf whatever the handle does.
    Measures:
        What the opening, else its lock, states of hardware that opens from inside without power; for openings
        of the mechanical and stair roles, for every fail-secure lock on an egress path, and for a latch beside a magnet.
    Limit:
        It is there.
    Remedy:
        What has to be stated or fitted.
    Source:
        IBC 2021 1010.2.7 for stair doors (verified); else common practice, no source.
    """

    name: ClassVar[str] = "free-egress-mechanical"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that people leave through by its own hardware."""
        for door in design.doors:
            role = door.opening.egress
            lock = lock_of(design, door)
            mode = (lock.action if lock else "") or door.opening.fail_mode
            by_role = role in (EgressRole.MECHANICAL, EgressRole.STAIR)
            if by_role or (mode == "fail-secure" and role not in (None, EgressRole.NONE)):
                yield self._door(design, door)
            elif role not in (None, EgressRole.NONE) and lock is not None and lock.kind == "electromagnetic-lock":
                yield from self._beside_magnet(design, door)

    def _beside_magnet(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        """A latch beside the magnet: once the magnet lets go, it still holds the door."""
        if not door.opening.latching_hardware:
            return
        subject, free = door.subject, door.opening.free_egress_hardware
        if free is None:
            message = "Beside its magnet a latch holds the door; whether hardware draws it from inside is not stated."
            yield not_evaluated(self, subject, message, "State free_egress_hardware, yes or no.", about=_LATCH)
            return
        message = "Hardware draws the latch beside its magnet from inside."
        if not free:
            message = "Once the magnet lets go, the latch beside it still holds the door: no hardware inside draws it."
        remedy = "Fit a lever or bar inside that draws the latch with one motion, and state free_egress_hardware yes."
        source = clause(design, door.opening.egress)
        yield stated(self, subject, free, message, remedy=remedy, source=source, about=_LATCH)

    def _door(self, design: Design, door: DoorDesign) -> Finding:
        subject, lock = door.subject, lock_of(design, door)
        source = clause(design, EgressRole.STAIR) if door.opening.egress is EgressRole.STAIR else ""
        if lock is not None and lock.kind == "electromagnetic-lock":
            message = "An electromagnetic lock holds the leaf whatever the handle does; this egress role requires mechanical hardware."
            return stated(self, subject, False, message, remedy=_MAGNET, source=source)
        free = hardware_opens(design, door)
        if free is None:
            message = "Whether hardware opens it from inside without power is not stated."
            return not_evaluated(self, subject, message, "State free_egress_hardware, yes or no.")
        message = "It opens from inside by its own hardware, without power."
        if not free:
            message = "No hardware opens it from inside without power."
        return stated(
            self, subject, free, message, remedy=_HARDWARE.format(lock=fail_safe_lock(door.opening)), source=source
        )
