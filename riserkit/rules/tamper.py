"""The rule `tamper`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import TAMPER, Property
from riserkit.rules._shared.base import COMMON_PRACTICE
from riserkit.rules._shared.proving import asked, through_input, unproven
from riserkit.rules._shared.together import Shared, told_together

_FIRST: Final = "Fix lock-follows-controller first."
_INPUT: Final = "the door can still be released through its REX/AUX input, see rex-exposed"


class Tamper:
    """Nothing accessible from the unsecured side releases the lock through its wires.

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
        for finding in told_together(self, design, _SHARED):
            yield _wires_only(finding, design)


def _wires_only(finding: Finding, design: Design) -> Finding:
    """A door whose lock wires hold and whose request input does not is not called safe."""
    door = design.door.get(finding.subject) if finding.subject_kind == "opening" else None
    if finding.verdict is not Verdict.PASS or door is None or not through_input(door):
        return finding
    stopped = bool(door.opening.requests_stop_off_wall)
    more = "the controller ignores its REX/AUX input when removed from the wall, as stated" if stopped else _INPUT
    return replace(finding, message=f"{finding.message.removesuffix('.')}; {more}.")


def _act(one: Property) -> str:
    """The act with the conductors' colours and where they are within reach."""
    return one.words.removeprefix("From the unsecured side: ").removesuffix(".")


def _words(properties: Sequence[Property]) -> str:
    return "tampering from the unsecured side releases the lock"


_SHARED: Final = Shared(TAMPER, _words, _act, lambda one: one.cure or _FIRST, Severity.ERROR, Severity.WARNING)
