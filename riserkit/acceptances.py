"""What people have accepted is put on the findings it was written for, and on nothing else."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import Final

from riserkit.findings import Finding, Severity, Verdict
from riserkit.model.records import Acceptance
from riserkit.quantities.counting import counting_order
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import format_value

_WORST: Final = tuple(Severity)
_NAMED: Final = 6


def accept(findings: Iterable[Finding], acceptances: Iterable[Acceptance]) -> tuple[Finding, ...]:
    """The findings with the site's acceptances put on those that they cover.

    A finding that is named by an acceptance and not covered stays open, and says why.
    """
    by_key = grouped((a.key, a) for a in acceptances)
    found = tuple(findings)
    kinds: dict[tuple[str, str, str], set[str]] = {}
    for f in found:
        if f.key in by_key and f.verdict is not Verdict.PASS:
            kinds.setdefault(f.key, set()).add(f.subject_kind)
    return tuple(_accepted(f, by_key.get(f.key, []), kinds.get(f.key, set())) for f in found)


def _accepted(finding: Finding, given: Sequence[Acceptance], kinds: Collection[str]) -> Finding:
    if finding.verdict is Verdict.PASS or not given:
        return finding
    # A mark and an id may be spelt alike; what was accepted of the one was not accepted of the other.
    either = f"{' and '.join(sorted(kinds))} are both named {finding.subject}" if len(kinds) > 1 else ""
    covering = [a for a in given if not either and not uncovered(a, finding)]
    if covering:
        return replace(finding, acceptance=covering[-1])
    last, cause = given[-1], either or uncovered(given[-1], finding)
    again = f"The acceptance by {last.name} of {last.date.isoformat()} does not cover this: {cause}."
    return replace(finding, message=f"{finding.message} {again}")


def uncovered(acceptance: Acceptance, finding: Finding) -> str:
    """Why an acceptance that names a finding does not cover it; empty where it does."""
    return (
        _other_doors(acceptance, finding)
        or _severer(acceptance, finding)
        or _worse(acceptance, finding)
        or _unapproved(acceptance, finding)
    )


def _other_doors(acceptance: Acceptance, finding: Finding) -> str:
    # A load that is accepted grows with its doors; where there is no number, or a count of doors, the doors are named.
    by_doors = finding.value is None or finding.unit == "doors"
    asked = finding.concerns or (finding.serves if by_doors else ())
    more = sorted(set(asked) - acceptance.marks, key=counting_order)
    if not more:
        return ""
    rest = f" and {len(more) - _NAMED} more" if len(more) > _NAMED else ""
    return f"it was not written for {', '.join(more[:_NAMED])}{rest} (column doors)"


def _severer(acceptance: Acceptance, finding: Finding) -> str:
    if not acceptance.severity:
        return "an error is accepted with severity error" if finding.severity is Severity.ERROR else ""
    if _WORST.index(finding.severity) >= _WORST.index(Severity(acceptance.severity)):
        return ""
    return f"it was written for {_with_article(acceptance.severity)}, this is {_with_article(finding.severity)}"


def _with_article(severity: str) -> str:
    return f"{'an' if severity == Severity.ERROR else 'a'} {severity}"


def _worse(acceptance: Acceptance, finding: Finding) -> str:
    """A number is covered by a number that is no better; of doors that are named one by one the count says nothing."""
    if finding.value is None or finding.limit is None or finding.concerns:
        return (
            f"it was written for {acceptance.value}, this has no value" if _value_is_idle(acceptance, finding) else ""
        )
    if not acceptance.value:
        return f"it states no value; the value found is {format_value(finding.value, finding.unit)}"
    accepted = acceptance.value_in(finding.unit)
    if accepted is None:
        return f"it was written for {acceptance.value}, this is in {finding.unit}"
    beyond = finding.value - accepted if finding.value > finding.limit else accepted - finding.value
    alike = format_value(finding.value, finding.unit) == format_value(accepted, finding.unit)
    return "" if beyond <= 0 or alike else f"it was written for {acceptance.value}"


def _value_is_idle(acceptance: Acceptance, finding: Finding) -> bool:
    return bool(acceptance.value) and not finding.concerns


def _unapproved(acceptance: Acceptance, finding: Finding) -> str:
    if not finding.is_life_safety_error or (acceptance.authority and acceptance.reference):
        return ""
    return "a life-safety error is accepted only with the approving authority and its reference"


def accepted_text(acceptance: Acceptance) -> str:
    """Who accepted, when, by whose approval and why, as every paper prints it."""
    by = f"ACCEPTED BY {acceptance.name}, {acceptance.date.isoformat()}"
    approved = " ".join(filter(None, (acceptance.authority, acceptance.reference)))
    return f"{by}{f', approved by {approved}' if approved else ''}: {acceptance.reason}"
