"""The rule `tamper`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.confirmations import Condition, Confirmation
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import REX_EXPOSED, TAMPER, Property
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.confirming import who_confirmed
from riserkit.rules._shared.proving import asked, through_input, through_input_off_wall, unproven
from riserkit.rules._shared.together import Shared, deciding, grouped_findings
from riserkit.standards.egress_conditions import CONDITIONS

_WIRES: Final = "lock wires"
_REQUEST: Final = "request input"
_FIRST: Final = "Fix lock-follows-controller first."
_STOP: Final = (
    "Set the controller to ignore its REX/AUX input when removed from the wall and record requests-stop-off-wall in"
    " confirmations, with name and date, or put the controller on the secured side with only a reader outside."
)


class Tamper:
    """Nothing accessible from the unsecured side opens the door, through the lock's wires or through the request input.

    Why:
        A controller on the unsecured side comes off the wall with a screwdriver. Whatever is landed behind it
        is then in the hand of whoever holds it. An authenticated module keeps them off the lock, but not off the
        controller's own request input: two wires joined there are a request to exit like any other.
    Measures:
        Lock wires: every act, and every two acts together, on the accessible conductors and terminals: cut, joined, or
        fed with 12 or 24 V either way round, and the PoE cable unplugged, in every worst case of source voltage,
        temperature and cable length. The controller does not command release. A fail-safe lock counts as released below
        its pull-in voltage. Request input: whether a conductor cut or two terminals joined make the controller see a
        request to exit.
    Limit:
        No act opens the door; an opening through the request input is cleared by the confirmation
        `requests-stop-off-wall`, but not one at a reader outside, for its controller stays on the wall. It is an error, door
        by door, where the opening asks for its lock wiring to be secured; else one warning for all doors with the same
        remedy.
    Remedy:
        The arrangement that would cure it, where the input has to be landed, or what the controller has to be set to.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "tamper"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each way into an opening, one for doors alike."""
        for door in design.doors:
            proof = asked(door, TAMPER)
            if isinstance(proof, Unproven):
                yield unproven(self, door, proof)
        for finding in grouped_findings(self, design, _THROUGH_WIRES):
            yield _wires_only(finding, design)
        yield from grouped_findings(
            self, design, _THROUGH_INPUT, leave_out=lambda door: _stopped(design, door) is not None
        )
        for door in design.doors:
            given = _stopped(design, door)
            if given is not None:
                message = f"Its REX/AUX input is accessible. {CONDITIONS[given.condition]} {who_confirmed(given)}."
                yield stated(self, door.subject, True, message, about=_REQUEST)


def _stopped(design: Design, door: DoorDesign) -> Confirmation | None:
    """Who has confirmed that the input of this door is ignored off the wall; None also where nobody has to."""
    given = design.site.confirmed.get((door.mark, Condition.REQUESTS_STOP_OFF_WALL))
    return given if given is not None and through_input_off_wall(door) else None


def _wires_only(finding: Finding, design: Design) -> Finding:
    """A door whose lock wires hold and whose request input does not is not called safe."""
    door = design.door.get(finding.subject) if finding.subject_kind == "opening" else None
    if finding.verdict is not Verdict.PASS or door is None or not through_input(door):
        return finding
    more = "the door can still be released through its REX/AUX input"
    if _stopped(design, door) is not None:
        more = "the controller is confirmed to ignore its REX/AUX input when removed from the wall"
    return replace(finding, message=f"{finding.message.removesuffix('.')}; {more}.")


def _act(one: Property) -> str:
    """The act with the conductors' colours and where they are accessible."""
    return f"{one.attack} ({one.attacked_at})"


def _released(properties: Sequence[Property]) -> str:
    return "tampering from the unsecured side releases the lock"


def _requested(properties: Sequence[Property]) -> str:
    return "tampering from the unsecured side makes the controller read a request to exit and release"


_THROUGH_WIRES: Final = Shared(
    TAMPER, _released, _act, lambda one: one.cure or _FIRST, Severity.ERROR, Severity.WARNING, _WIRES
)
_THROUGH_INPUT: Final = Shared(
    REX_EXPOSED, _requested, deciding, lambda one: one.cure or _STOP, Severity.ERROR, Severity.WARNING, _REQUEST
)
