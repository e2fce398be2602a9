"""The rule `no-suitable-wiring`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated, within
from riserkit.rules._shared.remedies import working_changes
from riserkit.wiring.closets import POE_CABLE
from riserkit.wiring.values import Candidate, DoorWiring

_NOTHING_TRIED_WORKS = "Change more than one part of the door: none of the changes tried makes it work."
_AS_BUILT: Final = "Correct what was built otherwise than drawn; or change the design and build that."


class NoSuitableWiring:
    """There is a way of wiring this opening with the parts at hand.

    Why:
        A lock, a controller and a cable that each look right may not make a door: the output too weak, the cable too
        thin, no supply where one is needed. Better known before the lock is mortised in.
    Measures:
        Every arrangement with every lock cable and every place of supply that was considered, against all its tests.
    Limit:
        One is feasible. Forced by the user, that one is. What could not be tested for lack of data is not passed.
    Remedy:
        The least change that gives a suitable wiring: a UPS stated, another device, lock, controller, cable or supply,
        no arrangement forced; or two of them. Each was tried by working out the door anew. Where none works, what is not
        met.
    Source:
        Common practice, no source; each test's limit is that of its own rule or part.
    """

    name: ClassVar[str] = "no-suitable-wiring"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening."""
        unsuitable = [door for door in design.doors if _is_unsuitable(door.wiring)]
        # What is in the wall is corrected, not chosen anew.
        built = design.site.as_built is not None
        remedies = (
            dict.fromkeys((d.mark for d in unsuitable), _AS_BUILT) if built else working_changes(design, unsuitable)
        )
        for door in design.doors:
            yield self._door(door, remedies.get(door.mark, ""))

    def _door(self, door: DoorDesign, remedy: str) -> Finding:
        wiring, subject = door.wiring, door.subject
        if wiring.missing:
            names = ", ".join(wiring.missing)
            return not_evaluated(
                self, subject, f"No arrangement can be judged; missing: {names}.",
                f"State {names}.",
            )  # fmt: skip
        if wiring.failure:
            found = not_evaluated(
                self, subject, f"The opening cannot be worked out: {wiring.failure}.",
                "Check the values of its parts and cables; where they are right, report the opening with its parts.",
            )  # fmt: skip
            return replace(found, severity=Severity.ERROR)
        if wiring.chosen is None or _is_unsuitable(wiring):
            return self._unsuitable(door, wiring.drawn, remedy)
        open_tests = [reason for reason in wiring.chosen.reasons if reason.passed is None]
        if open_tests:
            return not_evaluated(
                self, subject,
                f"{_name(wiring.chosen)} fails no test; not evaluated for lack of data: "
                f"{'; '.join(reason.text for reason in open_tests)}.",
                "State the missing values; see missing-data.",
            )  # fmt: skip
        forced = ", as forced" if wiring.forced else ""
        return stated(
            self, subject, True, f"Wired as {_name(wiring.chosen)}{forced}; {len(wiring.considered)} considered."
        )

    def _unsuitable(self, door: DoorDesign, closest: Candidate | None, remedy: str) -> Finding:
        subject = door.subject
        failed = closest.failed if closest else ()
        if closest is None or not failed:
            text = "No arrangement is suitable."
            return stated(self, subject, False, text, remedy=remedy or _NOTHING_TRIED_WORKS)
        not_met = "; ".join(reason.text for reason in failed)
        if remedy == _AS_BUILT:
            message = f"As built, {_name(closest)} is not suitable: {not_met}."
        elif door.wiring.forced:
            message = f"The forced arrangement {_name(closest)} is not suitable: {not_met}."
        else:
            message = f"No suitable arrangement among {len(door.wiring.considered)} considered; closest {_name(closest)}: {not_met}."
        remedy = remedy or f"{_NOTHING_TRIED_WORKS} Not met: {not_met}."
        first = failed[0]
        if (
            first.value is None
            or first.limit is None
            or within(first.value, first.limit, at_most=first.value > first.limit)
        ):
            return stated(self, subject, False, message, remedy=remedy)
        measure = Measure(first.value, first.limit, first.unit, first.value > first.limit)
        return measured(self, subject, measure, message, remedy=remedy)


def _is_unsuitable(wiring: DoorWiring) -> bool:
    unknown = wiring.missing or wiring.failure
    return not unknown and (wiring.chosen is None or not wiring.chosen.feasible)


def _name(candidate: Candidate) -> str:
    at = candidate.supply_at
    power = ", lock power over the PoE cable" if at == POE_CABLE else f", lock power from {at}" if at else ""
    return f"{candidate.arrangement} with {candidate.lock_cable}{power}"
