"""The rule `no-suitable-wiring`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.quantities.printed import format_at_least
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated, within
from riserkit.rules._shared.lookups import DATA_CABLE, counted
from riserkit.wiring.reason import Reason
from riserkit.wiring.values import Candidate, DoorWiring


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
        The test that the nearest one misses and by how much; where the user forces one that fails, the one that would
        do.
    Source:
        Common practice, no source; each test's limit is that of its own rule or part.
    """

    name: ClassVar[str] = "no-suitable-wiring"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening."""
        for door in design.doors:
            yield self._door(door)

    def _door(self, door: DoorDesign) -> Finding:
        wiring, subject = door.wiring, ("opening", door.mark)
        if wiring.missing:
            names = ", ".join(wiring.missing)
            return not_evaluated(
                self, subject, f"No arrangement can be judged; missing: {names}.",
                f"State {counted(len(wiring.missing), 'value')}: {names}.",
            )  # fmt: skip
        if wiring.failure:
            found = not_evaluated(
                self, subject, f"The opening cannot be worked out: {wiring.failure}.",
                "Check the values of its parts and cables; where they are right, report the opening with its parts.",
            )  # fmt: skip
            return replace(found, severity=Severity.ERROR)
        if wiring.chosen is None or not wiring.chosen.feasible:
            return self._infeasible(door, wiring.chosen or wiring.nearest)
        open_tests = [reason for reason in wiring.chosen.reasons if reason.passed is None]
        if open_tests:
            return not_evaluated(
                self, subject,
                f"{_name(wiring.chosen)} fails no test, but {counted(len(open_tests), 'test lacks', 'tests lack')} data: "
                f"{'; '.join(reason.text for reason in open_tests)}.",
                f"State what {counted(len(open_tests), 'test needs', 'tests need')}; see missing-data.",
            )  # fmt: skip
        forced = ", as forced" if wiring.forced else ""
        return stated(
            self, subject, True, f"Wired as {_name(wiring.chosen)}{forced}; {len(wiring.considered)} considered."
        )

    def _infeasible(self, door: DoorDesign, nearest: Candidate | None) -> Finding:
        subject, count = ("opening", door.mark), len(door.wiring.considered)
        failed = nearest.failed if nearest else ()
        if nearest is None or not failed:
            return stated(
                self, subject, False, f"None of {counted(count, 'arrangement')} considered is feasible.",
                remedy=f"Name parts for 1 arrangement, such as a relay with a supply.{_unforced(door.wiring)}",
            )  # fmt: skip
        what = "The forced arrangement" if door.wiring.forced else f"None of {count} considered is feasible; nearest,"
        message = f"{what} {_name(nearest)}, fails {counted(len(failed), 'test')}: {'; '.join(r.text for r in failed)}."
        remedy = f"{' '.join(_way_out(reason) for reason in failed)}{_unforced(door.wiring)}"
        first = failed[0]
        if (
            first.value is None
            or first.limit is None
            or within(first.value, first.limit, at_most=first.value > first.limit)
        ):
            return stated(self, subject, False, message, remedy=remedy)
        measure = Measure(first.value, first.limit, first.unit, first.value > first.limit)
        return measured(self, subject, measure, message, remedy=remedy)


def _name(candidate: Candidate) -> str:
    at = candidate.supply_at
    power = ", lock power over the data cable" if at == DATA_CABLE else f", lock power from {at}" if at else ""
    return f"{candidate.arrangement} with {candidate.lock_cable}{power}"


def _way_out(reason: Reason) -> str:
    if reason.value is None or reason.limit is None:
        return f"Mend 1 thing, {reason.name}: {reason.text}."
    way = "less" if reason.value > reason.limit else "more"
    return f"For {reason.name}, {format_at_least(abs(reason.value - reason.limit), reason.unit)} {way} would do."


def _unforced(wiring: DoorWiring) -> str:
    if not wiring.forced:
        return ""
    feasible = min((c for c in wiring.considered if c.feasible), key=lambda c: (c.cost, _name(c)), default=None)
    return f" Not forced, {_name(feasible)} would do." if feasible else ""
