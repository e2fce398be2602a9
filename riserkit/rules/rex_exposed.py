"""The rule `rex-exposed`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.proofs.values import REX_EXPOSED, Property
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.together import Shared, deciding, told_together

_WAY_OUT: Final = (
    "Set the controller to ignore its second input while it is off the wall, or put it on the secured side with 1 reader"
    " alone outside."
)


class RexExposed:
    """Nothing within reach from the unsecured side asks the controller to release.

    Why:
        An authenticated module keeps strangers off the lock, but not off the controller's own request input:
        two wires joined there are a request to exit like any other.
    Measures:
        Whether a conductor cut or two terminals joined within reach make the second input read a request to
        exit.
    Limit:
        No such act. A note, told once for all such doors; a warning, door by door, where the opening asks
        for its lock wiring to be secured: whether the controller ignores requests while it is off the wall is its own
        affair.
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
        yield from told_together(self, design, _SHARED)


def _words(properties: Sequence[Property]) -> str:
    return "an act from the unsecured side makes the controller see a request to exit, and release"


_SHARED: Final = Shared(REX_EXPOSED, _words, deciding, lambda _: _WAY_OUT, Severity.WARNING, Severity.NOTE)
