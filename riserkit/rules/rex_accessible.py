"""The rule `rex-accessible`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import RexSensor
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import hardware_opens, lock_of
from riserkit.wiring.lengths import rex_place

_REMEDY: Final = (
    "Mount it out of arm's reach from the gap or behind a plate, and of a motion sensor mask the field that reaches through;"
    " then state rex_accessible no. People leaving still have to find it and reach it."
)


class RexAccessible:
    """Nobody works the REX device, the manual release or the handle inside from the unsecured side.

    Why:
        Through the bars of a gate an arm or a stick reaches the exit switch or the lever, and a sensor sees the hand. Under a
        door a wire or a warm bag does. No conductor has to be touched: the door opens as it does for whoever leaves.
    Measures:
        What the opening states of it. A gate that has a REX device, a manual release or hardware that opens it from inside has
        to state it, and so has a door with a motion sensor whose lock wiring is to be secured. Behind other doors they count
        as out of reach until the opening states otherwise.
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
        """A finding for each opening with such a device that has to state it, and for each that does."""
        for door in design.doors:
            opening, names = door.opening, _opens(design, door)
            gate = bool(names) and opening.type == "gate"
            if opening.rex_accessible is not None or gate or _seen_under_the_leaf(design, door):
                yield self._door(door, " and ".join(names))

    def _door(self, door: DoorDesign, names: str) -> Finding:
        opening, subject = door.opening, door.subject
        if not names:
            message = "rex_accessible is stated; the opening has no REX device on its input, no manual release and no hardware inside."
            remedy = "Remove rex_accessible, or state the device."
            return stated(self, subject, False, message, remedy=remedy, severity=Severity.NOTE)
        if opening.rex_accessible is None:
            through = "through or over the gate" if opening.type == "gate" else "under or beside the leaf"
            message = f"Whether its {names} can be worked from the unsecured side, {through}, is not stated."
            return not_evaluated(self, subject, message, "State rex_accessible, yes or no.")
        if not opening.rex_accessible:
            return stated(self, subject, True, f"Its {names} cannot be worked from the unsecured side.")
        return stated(
            self, subject, False, f"Its {names} can be worked from the unsecured side: anybody opens it.", remedy=_REMEDY,
            severity=Severity.ERROR if opening.lock_wiring_secured else Severity.WARNING,
        )  # fmt: skip


def _opens(design: Design, door: DoorDesign) -> tuple[str, ...]:
    """What opens it from inside, in words."""
    opening, lock = door.opening, lock_of(design, door)
    held = lock is not None and lock.kind == "electromagnetic-lock"
    there = (
        ("REX device", bool(opening.rex) and opening.rex_aux_input == "rex"),
        ("manual release", bool(opening.release)),
        ("handle or bar", bool(hardware_opens(design, door)) and not held),
    )
    return tuple(name for name, is_there in there if is_there)


def _seen_under_the_leaf(design: Design, door: DoorDesign) -> bool:
    """A motion sensor opens a door whose wires are to be secured: what is pushed under the leaf must not."""
    opening, rex = door.opening, design.site.part.get(door.opening.rex)
    sees = isinstance(rex, RexSensor) and rex_place(rex) == "rex-sensor" and opening.rex_aux_input == "rex"
    return sees and opening.lock_wiring_secured
