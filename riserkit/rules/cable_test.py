"""The rule `cable-test`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.returned import CableTest
from riserkit.quantities.printed import format_value
from riserkit.rules._shared.base import Measure, measured, not_evaluated, stated
from riserkit.standards.cabling import LOOP_RESISTANCE, PERMANENT_LINK_LOOP_MAX_OHM
from riserkit.standards.source import Source
from riserkit.wiring.cables import CableKind, DesignCable

FIELD_TEST = Source("ANSI/TIA-1152", "A", "field test results, PASS* and FAIL*", "from memory")


_CATEGORIES: Final = ("5e", "6", "6A", "7", "7A", "8")
"""In the order of what they ask (ANSI/TIA-568.2-D; 7 and 7A are of ISO/IEC 11801-1)."""
_CLASSES: Final = {"D": "5e", "E": "6", "EA": "6A", "F": "7", "FA": "7A", "I": "8", "II": "8"}
"""By class of a channel or permanent link the category that it takes (ISO/IEC 11801-1, from memory)."""
_CATEGORY: Final = re.compile(r"\bcat(?:egory|\.)?[ .-]*(5e|6a|6|7a|7|8)(?:\.[12])?\b", re.IGNORECASE)
_CLASS: Final = re.compile(r"\bclass (D|EA|E|FA|F|II|I)\b", re.IGNORECASE)


def _category(limit: str) -> str:
    """The category whose limit a tester names; empty where it names none.

    Examples:
        >>> _category("TIA Cat 6A Perm. Link"), _category("ISO PL class E"), _category("my own")
        ('6A', '6', '')
    """
    found = _CATEGORY.search(limit)
    if found:
        return found[1].lower() if found[1].lower() == "5e" else found[1].upper()
    named = _CLASS.search(limit)
    return _CLASSES[named[1].upper()] if named else ""


class CableTested:
    """Every copper data cable passed its field test.

    Why:
        A cable that tests short of its category may carry power and fail in data when it is warm, or the other way round. A
        result nearer to the limit than the tester is accurate says neither.
    Measures:
        The result of the field test of each copper data cable, its wire map, its insertion loss margin, and its loop resistance
        against that of a permanent link; and whether the limit tested to is that of the cable's category. Only on a site worked
        out as built.
    Limit:
        PASS. A marginal PASS* is a note; FAIL* and FAIL are errors, as a wire map that fails and a negative margin are.
        Loop resistance at most 21 ohm. A test to a lower category proves nothing of the cable's own.
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
                yield from self._limit(subject, cable, test, cable_type.category)

    def _limit(self, subject: tuple[str, str], cable: DesignCable, test: CableTest, category: str) -> Iterator[Finding]:
        """What the result says, by the limit that it was tested to."""
        if not test.result or category not in _CATEGORIES:
            return
        again = f"Test cable {cable.label} to the limit of category {category} and return the result."
        said = _category(test.limit)
        if not said:
            told = f"is {test.limit!r}, of no known category" if test.limit else "is not stated"
            yield not_evaluated(
                self, subject, f"The limit that cable {cable.label} was tested to {told}.",
                f"Return the limit as the tester names it, such as category {category} permanent link.", about="limit",
            )  # fmt: skip
        elif _CATEGORIES.index(said) < _CATEGORIES.index(category):
            words = f"Cable {cable.label} of category {category} was tested to {test.limit}: that says nothing of its own category."
            yield not_evaluated(self, subject, words, again, about="limit")

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
