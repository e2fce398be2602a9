"""What a rule is: a name in words, a page of its own, and a function from a design to findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import ClassVar, Final, Protocol, runtime_checkable

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.rules._shared.page import RuleError

COMMON_PRACTICE: Final = "common practice, no source"
NO_CIRCUIT: Final = ("missing-data", "no-suitable-wiring", "no-cable-route")
"""Rules that say why a door has no circuit to look at."""
Subject = tuple[str, str]
"""What a finding is about: (kind, id), as `("opening", "101A")`."""

# Lengths and volts come out of sums of decimals: a nanometre beyond the limit is the limit.
_ROUNDING: Final = 1e-9


@runtime_checkable
class Rule(Protocol):
    """One rule. It states its `harm`: what comes of it when the rule is not kept.

    The class docstring is the rule's page, with the sections `Why`, `Measures`, `Limit`, `Remedy` and `Source`, in this
    order.
    """

    name: ClassVar[str]
    source: ClassVar[str]
    harm: ClassVar[Harm]

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for everything the rule speaks of, passes included."""
        ...


def harm_of(rule: object) -> Harm:
    """The harm that a rule states. There is none to assume: a rule that hides a danger must not be listed last.

    Raises:
        RuleError: it states none.
    """
    harm = getattr(rule, "harm", None)
    if not isinstance(harm, Harm):
        name = getattr(rule, "name", type(rule).__name__)
        raise RuleError(f"rule {name}: no harm stated; set harm to one of {', '.join(f'Harm.{h.name}' for h in Harm)}")
    return harm


@dataclass(frozen=True, slots=True)
class Measure:
    """What was measured against what, in SI. `at_most`: the value may not exceed the limit; else not fall below it."""

    value: float
    limit: float
    unit: str
    at_most: bool = True

    @property
    def margin(self) -> float:
        """Distance from the limit, positive inside."""
        return self.limit - self.value if self.at_most else self.value - self.limit

    @property
    def kept(self) -> bool:
        """Whether the value keeps its limit. The limit itself is kept."""
        return self.margin >= -_ROUNDING


def within(value: float, limit: float, *, at_most: bool = True) -> bool:
    """Whether a value keeps its limit. The limit itself is kept."""
    return Measure(value, limit, "", at_most).kept


def measured(  # noqa: PLR0913 - the fields of a finding, most of them named
    rule: Rule, subject: Subject, measure: Measure, message: str, *, severity: Severity = Severity.ERROR,
    remedy: str | Callable[[], str] = "", source: str = "", about: str = "",
) -> Finding:  # fmt: skip
    """A finding with a number. The limit itself passes.

    Args:
        rule: the rule that speaks.
        subject: (kind, id).
        measure: value, limit and unit.
        message: the whole sentence.
        severity: when it fails.
        remedy: text, or what works it out; only asked for when it fails, since the search for a remedy takes long.
        source: when it differs from the rule's own.
        about: which of the rule's conditions of this subject, where it has several.
    """
    passed = measure.kept
    way_out = "" if passed else remedy if isinstance(remedy, str) else remedy()
    return Finding(
        rule=rule.name, verdict=Verdict.PASS if passed else Verdict.FAIL, severity=severity, subject=subject[1],
        subject_kind=subject[0], message=message, source=source or rule.source,
        value=measure.value + 0.0,  # a current of minus nothing, as sums of currents leave it, is nothing
        limit=measure.limit, unit=measure.unit, margin=measure.margin, remedy=way_out, about=about,
        harm=rule.harm,
    )  # fmt: skip


def stated(  # noqa: PLR0913 - the fields of a finding, most of them named
    rule: Rule, subject: Subject, passed: bool, message: str, *, remedy: str = "", severity: Severity = Severity.ERROR,
    source: str = "", about: str = "",
) -> Finding:  # fmt: skip
    """A finding without a number: a fact that holds or does not."""
    return Finding(
        rule=rule.name, verdict=Verdict.PASS if passed else Verdict.FAIL, severity=severity, subject=subject[1],
        subject_kind=subject[0], message=message, source=source or rule.source, remedy="" if passed else remedy, about=about,
        harm=rule.harm,
    )  # fmt: skip


def follows(rule: Rule, subject: Subject, message: str, *, about: str = "") -> Finding:
    """Not evaluated because another rule has already said, with its own weight, that there is no circuit to look at."""
    found = not_evaluated(rule, subject, message, "See missing-data and no-suitable-wiring.", about=about)
    return replace(found, severity=Severity.NOTE, causes=NO_CIRCUIT)


def deciding_findings(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Of the findings about one thing all that do not pass; where all pass, the one nearest to its limit."""
    found = list(findings)
    failing = [finding for finding in found if finding.verdict is not Verdict.PASS]
    yield from failing or sorted(found, key=_nearness)[:1]


def _nearness(finding: Finding) -> float:
    """Margin as a share of the limit; a finding without a number comes last."""
    if finding.margin is None or not finding.limit:
        return float("inf")
    return abs(finding.margin / finding.limit)


def not_evaluated(rule: Rule, subject: Subject, message: str, remedy: str, *, about: str = "") -> Finding:
    """The rule cannot be evaluated for lack of data; says which."""
    return Finding(
        rule=rule.name, verdict=Verdict.NOT_EVALUATED, severity=Severity.WARNING, subject=subject[1],
        subject_kind=subject[0], message=message, source=rule.source, remedy=remedy, about=about,
        harm=rule.harm,
    )  # fmt: skip
