"""The rule `entry-reader`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import Controller
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import controller_of

_OTHERWISE: Final = "; or state entry, remote or key, if nobody badges in here"

_ONE_READER: Final = (
    "Remove reader_in; state has_reader no of {controller} where it has none; or, where both are meant, as at a gate for cars and"
    " people, accept the finding."
)


class EntryReader:
    """Whoever may come in finds a reader on the unsecured side.

    Why:
        A controller moved to the secured side takes its own reader with it. The door then tests well from inside, and
        on the first morning nobody can badge in.
    Measures:
        Whether a reader is on the unsecured side: the one that the opening names as reader_in, or the
        controller's own where the controller is on the unsecured side.
    Limit:
        There is one, unless the opening states another way in (entry: remote or key). Two of them, or one beside another way
        in, are asked.
    Remedy:
        The reader to add, and what its controller needs for it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "entry-reader"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose controller is known."""
        for door in design.doors:
            controller = controller_of(design, door)
            if controller is not None:
                yield self._door(door, controller)

    def _door(self, door: DoorDesign, controller: Controller) -> Finding:
        opening, subject = door.opening, door.subject
        if opening.entry != "reader":
            way = {"remote": "it is released remotely", "key": "it is opened by key"}[opening.entry]
            if opening.reader_in:
                message = f"Entry by {opening.entry} is stated, and reader_in {opening.reader_in} too."
                return not_evaluated(self, subject, message, "State entry reader; or remove reader_in.")
            return stated(self, subject, True, f"No reader required: {way}.")
        has_own = controller.has_reader and opening.controller_at == "unsecured"
        if opening.reader_in:
            if has_own:
                message = (
                    f"Two readers on the unsecured side: reader_in {opening.reader_in}, and that of {controller.id}."
                )
                return not_evaluated(self, subject, message, _ONE_READER.format(controller=controller.id))
            return stated(self, subject, True, f"{opening.reader_in} is on the unsecured side.")
        if has_own:
            return stated(self, subject, True, "The controller's own reader is on the unsecured side.")
        message = f"Nobody can badge in: {controller.id} has no reader, and no reader_in is stated."
        if controller.has_reader:
            message = f"Nobody can badge in: {controller.id} is on the secured side with its reader, and no reader_in is stated."
        bus = "" if controller.reader_bus else ", and a controller with a reader bus"
        return stated(
            self, subject, False, message, remedy=f"State reader_in, a reader on the unsecured side{bus}{_OTHERWISE}."
        )
