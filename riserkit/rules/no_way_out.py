"""The rule `no-way-out`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import EgressRole
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import controller_of, fail_mode_of, fail_safe_lock, hardware_opens, lock_of

_REMEDY: Final = (
    "Fit a REX device, a manual release or a reader on the secured side, and state it; or hardware that opens the door from"
    " inside, and state free_egress_hardware yes."
)
_NO_POWER: Final = "without power"
_STATE_HARDWARE: Final = "State free_egress_hardware, yes or no."
_REMEDY_NO_POWER: Final = (
    "Fit a handle or bar that opens the door from inside by hand and state free_egress_hardware yes; or use {lock}."
    " Where nobody can be inside, accept the finding."
)


class NoWayOut:
    """Whoever is on the secured side of a door that is no exit can still open it.

    Why:
        A door without a role in egress is not asked for free egress. The guard in the store room, the cleaner in the
        plant room still have to get out of it.
    Measures:
        For each opening of the role none: a REX device on the controller's REX/AUX input, a manual release, a reader on
        the secured side, or hardware that opens it from inside, as the opening, else its lock, states it. Of a
        fail-secure lock the hardware alone counts without power.
    Limit:
        There is one of them, and one that opens it without power.
    Remedy:
        What to fit and state. Where nobody can be inside, accept the finding.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "no-way-out"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening without a role in egress that nothing opens from inside."""
        for door in design.doors:
            if door.opening.egress is EgressRole.NONE and door.opening.lock:
                if not _opens(design, door):
                    yield self._door(design, door)
                elif fail_mode_of(design, door) == "fail-secure" and not hardware_opens(design, door):
                    yield self._without_power(design, door)

    def _door(self, design: Design, door: DoorDesign) -> Finding:
        subject, lock = door.subject, lock_of(design, door)
        magnet = lock is not None and lock.kind == "electromagnetic-lock"
        if door.opening.free_egress_hardware is None and not magnet:
            message = (
                "No REX device, manual release or reader opens it from the secured side; whether its hardware does is not"
                " stated."
            )
            return not_evaluated(self, subject, message, _STATE_HARDWARE)
        message = "Nothing opens it from the secured side: no REX device, manual release, reader or hardware."
        return stated(self, subject, False, message, severity=Severity.WARNING, remedy=_REMEDY)

    def _without_power(self, design: Design, door: DoorDesign) -> Finding:
        subject = door.subject
        if hardware_opens(design, door) is None:
            message = "Whether its hardware opens it from the secured side when power is lost is not stated."
            return not_evaluated(self, subject, message, _STATE_HARDWARE, about=_NO_POWER)
        message = "Without power nothing opens it from the secured side: its lock is fail-secure and its hardware does not open it."
        return stated(
            self,
            subject,
            False,
            message,
            severity=Severity.WARNING,
            remedy=_REMEDY_NO_POWER.format(lock=fail_safe_lock(door.opening)),
            about=_NO_POWER,
        )


def _opens(design: Design, door: DoorDesign) -> bool:
    opening, lock, controller = door.opening, lock_of(design, door), controller_of(design, door)
    asks = bool(opening.rex) and opening.rex_aux_input == "rex"
    badge = bool(opening.reader_out)
    if controller is not None and controller.has_reader and opening.controller_at == "secured":
        badge = True
    hardware = hardware_opens(design, door)
    if lock is not None and lock.kind == "electromagnetic-lock":
        hardware = False
    return asks or badge or bool(opening.release) or bool(hardware)
