"""The rule `rex-exposed`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.proofs.values import REX_EXPOSED, Property
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.proving import through_input
from riserkit.rules._shared.together import Shared, deciding, told_together

_WAY_OUT: Final = (
    "Set the controller to ignore its REX/AUX input when removed from the wall and state requests_stop_off_wall, or mount it on"
    " the secured side with only a reader outside."
)
_STOPPED: Final = "Its REX/AUX input is accessible; the controller ignores it when removed from the wall, as stated."


class RexExposed:
    """Nothing within reach from the unsecured side asks the controller to release.

    Why:
        An authenticated module keeps strangers off the lock, but not off the controller's own request input:
        two wires joined there are a request to exit like any other.
    Measures:
        Whether a conductor cut or two terminals joined within reach make the second input read a request to
        exit.
    Limit:
        No such act, unless the opening states that its controller ignores requests while it is off the wall
        (`requests_stop_off_wall`). An error, opening by opening, where the lock wiring is to be secured: a door opened
        through its input is as open as one opened through its lock wires. Else a warning, once for all such doors.
    Remedy:
        Where the input has to be landed, or what the controller has to be set to.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "rex-exposed"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is proven, doors alike told once; of the others `lock-follows-controller` speaks."""
        yield from told_together(self, design, _SHARED, leave_out=_cleared)
        for door in design.doors:
            if _cleared(door):
                yield stated(self, ("opening", door.mark), True, _STOPPED)


def _cleared(door: DoorDesign) -> bool:
    return bool(door.opening.requests_stop_off_wall) and through_input(door)


def _words(properties: Sequence[Property]) -> str:
    return "tampering from the unsecured side reads as a request to exit and releases the door"


_SHARED: Final = Shared(REX_EXPOSED, _words, deciding, lambda _: _WAY_OUT, Severity.ERROR, Severity.WARNING)
