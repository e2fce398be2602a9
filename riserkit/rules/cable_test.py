"""The rule `cable-test`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.returned import CableTest
from riserkit.quantities.printed import format_value
from riserkit.rules._shared.base import Measure, measured, not_evaluated, stated
from riserkit.standards.cabling import LOOP_RESISTANCE, PERMANENT_LINK_LOOP_MAX_OHM
from riserkit.standards.source import Source
from riserkit.wiring.cables import CableKind, DesignCable

FIELD_TEST = Source("ANSI/TIA-1152", "A", "field test results, PASS* and FAIL*", "from memory")


class CableTested:
    """Every copper data cable passed its field test.

    Why:
        A cable that tests short of its category may carry power and fail in data when it is warm, or the other way round. A
        result nearer to the limit than the tester is accurate says neither.
    Measures:
        The result of the field test of each copper data cable, its wire map, its insertion loss margin, and its loop resistance
        against that of a permanent link. Only on a site worked out as built.
    Limit:
        PASS. A marginal PASS* is a note; FAIL* and FAIL are errors, as a wire map that fails and a negative margin are.
        Loop resistance at most 21 ohm.
    Remedy:
        Terminate it anew, test it again and return the test; or replace it.
    Source:
        ANSI/TIA-1152-A, field test results (from memory); ISO/IEC 11801-1, loop resistance (from memory).
    """

    name: ClassVar[str] = "cable-test"
    source: ClassVar[str] = FIELD_TEST.cite()
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each copper data cable."""
        built = design.site.as_built
        if built is None:
            return
        for cable in design.pathway_cables:
            cable_type = design.site.cable_type.get(cable.cable_type)
            if cable.kind is CableKind.LOCK_POWER or cable_type is None or cable_type.kind != "category":
                continue
            test = built.test_of.get(cable.label) or built.test_of.get(cable.subject)
            subject = ("opening", cable.mark) if cable.mark else ("cable", cable.subject)
            if test is None or not test.result:
                yield not_evaluated(
                    self, subject, f"No field test of cable {cable.label} came back.", f"Test cable {cable.label} and return the result.",
                    about="result",
                )  # fmt: skip
            if test is not None:
                yield from self._tested(subject, cable, test)

    def _tested(self, subject: tuple[str, str], cable: DesignCable, test: CableTest) -> Iterator[Finding]:
        who = f"{test.by}, {test.date.isoformat()}, {test.instrument}"
        to = f" to {test.limit}" if test.limit else ""
        remedy = "Terminate it anew, test it again and return the test; or replace it."
        failing = [
            *([f"result {test.result}"] if test.result in ("FAIL", "FAIL*") else []),
            *(["wire map fails"] if test.wire_map == "fail" else []),
            *([f"insertion loss margin {test.insertion_loss_margin_db:g} dB"]
              if test.insertion_loss_margin_db is not None and test.insertion_loss_margin_db < 0 else []),
        ]  # fmt: skip
        if failing:
            words = f"Field test of {cable.label}{to}: {', '.join(failing)} ({who})."
            yield stated(self, subject, False, words, remedy=remedy, about="result")
        elif test.result == "PASS*":
            words = f"Field test of {cable.label}{to}: PASS*, nearer to the limit than the tester is accurate ({who})."
            yield stated(self, subject, False, words, remedy=remedy, severity=Severity.NOTE, about="result")
        elif test.result:
            yield stated(
                self, subject, True, f"Field test of {cable.label}{to}: {test.result} ({who}).", about="result"
            )
        if test.loop_ohm is not None:
            shown = format_value(test.loop_ohm, "ohm")
            yield measured(
                self, subject, Measure(test.loop_ohm, PERMANENT_LINK_LOOP_MAX_OHM, "ohm"),
                f"Loop resistance of {cable.label} {shown}, at most {PERMANENT_LINK_LOOP_MAX_OHM:g} ohm ({who}).",
                remedy="Terminate it anew: a poor joint adds resistance; or replace it.", about="loop resistance",
                source=LOOP_RESISTANCE.cite(),
            )  # fmt: skip
