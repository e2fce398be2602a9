"""Findings: one rule's verdict on one thing, as data. Their text is made at the edge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from riserkit.quantities.counting import Counting, counting_order

if TYPE_CHECKING:
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


class Harm(StrEnum):
    """What comes of it when a rule is not kept, the worst first; findings are listed in this order."""

    LIFE_SAFETY = "life safety"
    INTRUSION = "intrusion"
    DOES_NOT_WORK = "does not work"
    CODE = "code"
    DRAFTING = "drafting"


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
        remedy: an instruction, with the number that decides where there is one; empty when it passes.
        acceptance: an engineer's acceptance, when the site has one for this rule and subject that covers its value.
        concerns: marks of the openings that a finding of the site is about, where one finding covers them.
        serves: marks of the openings that hang on what it is about, such as a supply, where it does not pass; `check` puts
            them on. An error there is an error at each of them.
        about: which of several conditions of its subject it judges, such as `highest voltage`; empty where the rule has
            one. No two findings share rule, subject and condition, so that an acceptance means one thing.
        causes: rules one of which has said of the same subject why this could not be evaluated, or why it fails; a list
            folds it under that.
        harm: what comes of it; None until `check` puts the rule's on it.
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
    concerns: tuple[str, ...] = ()
    about: str = ""
    causes: tuple[str, ...] = ()
    harm: Harm | None = None
    serves: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[str, str, str]:
        """Rule, subject and condition, by which an acceptance names it."""
        return self.rule, self.subject, self.about

    @property
    def is_open(self) -> bool:
        """Neither passed nor accepted."""
        return self.verdict is not Verdict.PASS and self.acceptance is None

    @property
    def is_life_safety_error(self) -> bool:
        """An error, open or accepted, by which people may come to harm."""
        failed = self.verdict is not Verdict.PASS and self.severity is Severity.ERROR
        return failed and self.harm in {None, Harm.LIFE_SAFETY}


AT_A_DOOR: Final = frozenset({"opening", "cable", "label"})
"""Kinds of subjects that are of an opening, under its mark."""
ACCEPTED_LIFE_SAFETY: Final = "accepted life-safety error"
_HARMS: Final = {harm: place for place, harm in enumerate(Harm)}
_SEVERITIES: Final = {severity: place for place, severity in enumerate(Severity)}
FindingOrder = tuple[int, Counting, str, int, str, str, str]


def by_harm(finding: Finding) -> FindingOrder:
    """The order of findings: by harm, then subject as a person counts (2 before 10), then the worst severity.

    A finding that no rule has put a harm on comes first: nothing is known of how little it matters.
    """
    place = -1 if finding.harm is None else _HARMS[finding.harm]
    return (
        place, counting_order(finding.subject), finding.subject_kind, _SEVERITIES[finding.severity], finding.rule,
        finding.about, finding.message,
    )  # fmt: skip


def status(finding: Finding) -> str:
    """The status of a finding in words: `pass`, `accepted`, or its severity; a life-safety error stays marked as one."""
    if finding.verdict is Verdict.PASS:
        return "pass"
    if finding.acceptance is None:
        return str(finding.severity)
    return ACCEPTED_LIFE_SAFETY if finding.is_life_safety_error else "accepted"


def at_openings(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings; those of many openings in short at each of these instead.

    What fails at a switch, supply, UPS or closet is repeated in short at each opening that it serves too. What is said at an
    opening does not depend on how many others there are.
    """
    for finding in findings:
        if not finding.concerns:
            yield replace(finding, serves=()) if finding.serves else finding
        holding = finding.verdict is not Verdict.PASS and finding.severity is Severity.ERROR
        for mark in finding.concerns or (finding.serves if holding else ()):
            yield replace(
                finding, subject=mark, subject_kind="opening", value=None, limit=None, margin=None, unit="", concerns=(),
                serves=(),
                message=f"Applies to this opening, see {finding.rule} of {kind_words(finding.subject_kind)} {finding.subject}.",
            )  # fmt: skip


def kind_words(subject_kind: str) -> str:
    """The kind of a subject as it is printed within a sentence."""
    return "UPS" if subject_kind == "ups" else subject_kind
