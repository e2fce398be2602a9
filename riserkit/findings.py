"""Findings: one rule's verdict on one thing, as data. Their text is made at the edge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from riserkit.model.records import Acceptance


class Severity(StrEnum):
    """How much it matters, the worst first."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Verdict(StrEnum):
    """What the rule answers. Missing data is never a pass."""

    PASS = "pass"
    FAIL = "fail"
    NOT_EVALUATED = "not evaluated"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule's verdict on one thing.

    Args:
        rule: the rule's name in words, such as `channel-length`.
        verdict: pass, fail or not evaluated.
        severity: of a verdict that is not a pass.
        subject: what it is about: a mark, closet, switch, supply or cable subject, as an acceptance names it.
        subject_kind: `opening`, `closet`, `switch`, `supply`, `cable`, `pathway`, `label`, `sheet` or `site`.
        message: one plain sentence with the numbers.
        value, limit, unit: what was measured, against what; SI. None where the rule has no number.
        margin: distance from the limit in `unit`, positive inside, negative beyond.
        source: standard and clause with how sure, or `common practice, no source`.
        remedy: a way out that names a number; empty when it passes.
        acceptance: an engineer's acceptance, when the site has one for this rule and subject.
    """

    rule: str
    verdict: Verdict
    severity: Severity
    subject: str
    subject_kind: str
    message: str
    source: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    remedy: str = ""
    acceptance: Acceptance | None = None

    @property
    def is_open(self) -> bool:
        """Neither passed nor accepted."""
        return self.verdict is not Verdict.PASS and self.acceptance is None


def accept(findings: Iterable[Finding], acceptances: Iterable[Acceptance]) -> tuple[Finding, ...]:
    """The findings with the site's acceptances put on those they name."""
    by_key = {(a.rule, a.subject): a for a in acceptances}
    return tuple(
        replace(f, acceptance=by_key[(f.rule, f.subject)])
        if f.verdict is not Verdict.PASS and (f.rule, f.subject) in by_key
        else f
        for f in findings
    )
