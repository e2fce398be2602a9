"""The rule `undetected-fault`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.proofs.values import UNDETECTED_FAULT, Property
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.together import Shared, deciding, grouped_findings, span

_WAY_OUT: Final = (
    "Use a lock with a bond contact or a latch contact on its keeper, closed while it holds: it goes on the door input in"
    " series with the door contact. Otherwise try the door by hand at every inspection."
)


class UndetectedFault:
    """No single fault leaves the door unlocked without the inputs showing it.

    Why:
        A door that is unlocked while both inputs read as ever looks locked to everybody but a thief.
    Measures:
        Every single fault of the circuit at rest that leaves a lock unlocked while door and REX/AUX input read
        as in the sound circuit and the controller runs.
    Limit:
        There is none. One note for all such doors: few openings have an input
        that watches the lock itself.
    Remedy:
        The contact that would show it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "undetected-fault"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose circuit is checked, one for doors alike; of the others `lock-follows-controller` speaks."""
        yield from grouped_findings(self, design, _SHARED)


def _words(properties: Sequence[Property]) -> str:
    return f"{span(properties)} single faults leave the door unlocked while both inputs read normal"


_SHARED: Final = Shared(UNDETECTED_FAULT, _words, deciding, lambda _: _WAY_OUT, None, Severity.NOTE)
