"""The rule `lock-fixing`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated
from riserkit.rules._shared.lookups import lock_of
from riserkit.rules._shared.said import FRAMELESS, NO_HINGES, said_at
from riserkit.standards.locks import LOCKS_IN_LEAF

_AT_FRAME: Final = frozenset({"electromagnetic-lock", "strike"})
_SETTLE: Final = (
    "Settle with the supplier of the door what they are fixed to, such as a bracket or clamp on the glass, a patch fitting, a"
    " profile above it or a lock in the floor, and where their cables run; put it into the remarks, and accept the finding."
)
_STATE_LEAF: Final = (
    "State in_leaf of {lock}: no, where it is in no leaf on hinges, but in a post, header or operator; else yes."
)


class LockFixing:
    """A lock and a contact have something that they are fixed to.

    Why:
        Sheets show a magnet and a contact at the door's head, and a strike in the frame. A frameless glass door has neither, and
        glass that is toughened cannot be drilled: the crew stands before it with parts that fit nowhere. A latch is drawn in a
        leaf, with a power transfer at its hinges; a turnstile or a shutter has no hinges.
    Measures:
        Openings whose name or remarks speak of frameless or all-glass doors, or of no frame or header, with a magnet, a strike
        or a contact; openings with a latch or exit device that does not state `in_leaf`, whose name or remarks, or whose
        lock's title, speak of a turnstile, a shutter, a barrier, a portal or a sliding door.
    Limit:
        None is met by words alone: the fixing is settled, and the finding accepted; or `in_leaf` of the lock is stated.
    Remedy:
        What to settle, or to state.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "lock-fixing"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each such opening."""
        for door in design.doors:
            where, said = said_at(door.opening, FRAMELESS)
            parts = _at_frame(design, door) if said else ()
            if parts:
                verb = "is" if len(parts) == 1 else "are"
                message = f"{where} {said!r}; what {' and '.join(parts)} {verb} fixed to is not stated."
                yield not_evaluated(self, door.subject, message, _SETTLE)
            yield from self._in_leaf(design, door)

    def _in_leaf(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        lock = lock_of(design, door)
        if lock is None or lock.kind not in LOCKS_IN_LEAF or lock.in_leaf is not None:
            return
        where, said = said_at(door.opening, NO_HINGES)
        if not said and (in_title := NO_HINGES.search(lock.title)):
            where, said = f"Title of {lock.id} says", in_title[0]
        if said:
            message = f"{where} {said!r}; {lock.id} is drawn in a leaf, its wires over a power transfer at the hinges."
            yield not_evaluated(self, door.subject, message, _STATE_LEAF.format(lock=lock.id), about="in_leaf")


def _at_frame(design: Design, door: DoorDesign) -> tuple[str, ...]:
    """Parts of the opening that stand at its frame."""
    lock = lock_of(design, door)
    locks = (lock.id,) if lock is not None and lock.kind in _AT_FRAME else ()
    return (*locks, door.opening.contact) if door.opening.contact else locks
