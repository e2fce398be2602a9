"""The rule `tamper`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import TAMPER, Property
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.proving import asked, unproven
from riserkit.rules._shared.together import Shared, told_together

_FIRST: Final = "Mend 1 thing first: see lock-follows-controller."


class Tamper:
    """Nothing within reach from the unsecured side releases the lock.

    Why:
        A controller on the unsecured side comes off the wall with a screwdriver. Whatever is landed behind it
        is then in the hand of whoever holds it.
    Measures:
        Every act, and every two acts together, on the conductors and terminals within reach: cut, joined, or
        fed with 12 or 24 V either way round, and the data cable unplugged. The controller does not command
        release. A fail-safe lock counts as released below its pull-in voltage.
    Limit:
        No act releases any lock. It is an error, door by door, where the opening asks for its lock wiring to be secured;
        else a warning, told once for all doors with the same cure.
    Remedy:
        The arrangement that would cure it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "tamper"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening, doors alike told once."""
        for door in design.doors:
            proof = asked(door, TAMPER)
            if isinstance(proof, Unproven):
                yield unproven(self, door, proof)
        yield from told_together(self, design, _SHARED)


def _act(one: Property) -> str:
    """The act with the conductors' colours and where they are within reach."""
    return one.words.removeprefix("From the unsecured side: ").removesuffix(".")


def _words(properties: Sequence[Property]) -> str:
    return "an act from the unsecured side releases the lock"


_SHARED: Final = Shared(TAMPER, _words, _act, lambda one: one.cure or _FIRST, Severity.ERROR, Severity.WARNING)
