"""The rule `rex-accessible`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated

_REMEDY: Final = (
    "Mount it out of arm's reach from the gap or behind a plate, and of a motion sensor mask the field that reaches through;"
    " then state rex_accessible no. People leaving still have to find it and reach it."
)


class RexAccessible:
    """Nobody works the REX device or the manual release from the unsecured side.

    Why:
        Through the bars of a gate an arm or a stick reaches the exit switch, and a sensor sees the hand. No wire has to be
        touched: the door opens as it does for whoever leaves.
    Measures:
        What the opening states of it; a gate that has a REX device or a manual release has to state it. Behind a door they
        count as out of reach until the opening states otherwise.
    Limit:
        They cannot be worked from there. It is an error where the opening asks for its lock wiring to be secured, else a
        warning.
    Remedy:
        Where to mount it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "rex-accessible"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each gate with such a device, and for each opening that states it."""
        for door in design.doors:
            opening = door.opening
            has_one = bool(opening.release) or (bool(opening.rex) and opening.rex_aux_input == "rex")
            if opening.rex_accessible is not None or (has_one and opening.type == "gate"):
                yield self._door(door, has_one=has_one)

    def _door(self, door: DoorDesign, *, has_one: bool) -> Finding:
        opening, subject = door.opening, ("opening", door.mark)
        if not has_one:
            message = "rex_accessible is stated; the opening has no REX device on its input and no manual release."
            remedy = "Remove rex_accessible, or state the device."
            return stated(self, subject, False, message, remedy=remedy, severity=Severity.NOTE)
        names = " and ".join(
            name for name, there in (("REX device", opening.rex), ("manual release", opening.release)) if there
        )
        if opening.rex_accessible is None:
            message = (
                f"Whether its {names} can be worked from the unsecured side, through or over the gate, is not stated."
            )
            return not_evaluated(self, subject, message, "State rex_accessible, yes or no.")
        if not opening.rex_accessible:
            return stated(self, subject, True, f"Its {names} cannot be worked from the unsecured side.")
        return stated(
            self, subject, False, f"Its {names} can be worked from the unsecured side: anybody opens it.", remedy=_REMEDY,
            severity=Severity.ERROR if opening.lock_wiring_secured else Severity.WARNING,
        )  # fmt: skip
