"""The rule `dated-after-issue`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.records import Date
from riserkit.rules._shared.base import COMMON_PRACTICE, Subject, not_evaluated, stated


class DatedAfterIssue:
    """Nothing that drawings rest on is dated later than the drawings.

    Why:
        A confirmation dated next month has not been given. Printed on a drawing of today it is a promise taken for a fact.
    Measures:
        The dates of confirmations, acceptances and revisions against issue_date.
    Limit:
        None is later.
    Remedy:
        The date to check: that of the record, or the drawings' own.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "dated-after-issue"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each record that is dated later; none where none is. Without issue_date one that says so."""
        site = design.site
        if "issue_date" not in site.info.model_fields_set:
            if next(_records(design), None) is not None:
                yield not_evaluated(
                    self, ("site", site.info.name),
                    "The drawings' issue_date is not stated, so no date of a confirmation, acceptance or revision is compared.",
                    "State issue_date of the site.",
                )  # fmt: skip
            return
        issued = site.info.issue_date
        for subject, date, what in _records(design):
            if date > issued:
                yield stated(
                    self, subject, False,
                    f"{what} is dated {date.isoformat()}, after the drawings' issue_date, {issued.isoformat()}.",
                    severity=Severity.WARNING, about=what,
                    remedy="Correct its date, or state the issue_date of the drawings that it belongs to.",
                )  # fmt: skip


def _records(design: Design) -> Iterator[tuple[Subject, Date, str]]:
    """(subject, date, what it is)."""
    site = design.site
    whole = ("site", site.info.name)
    for given in site.confirmations:
        yield ("opening", given.opening), given.date, f"Confirmation {given.condition.value} by {given.name}"
    for one in site.acceptances:
        subject = ("opening", one.subject) if one.subject in site.opening else whole
        yield subject, one.date, f"Acceptance of {one.rule} at {one.subject} by {one.name}"
    for revision in site.revisions:
        yield whole, revision.date, f"Revision {revision.index}"
