"""Findings as a page lists them, and how each door stands by them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riserkit.acceptances import accepted_text
from riserkit.findings import Finding, Severity, Verdict, status
from riserkit.holds import is_holding
from riserkit.page.values import (
    ACCEPTED,
    ERROR,
    HELD,
    NOT_EVALUATED,
    NOTHING_OPEN,
    WARNING,
    DoorStatus,
    FindingView,
    Margin,
)
from riserkit.page.work import PageWork
from riserkit.quantities.printed import UnitSystem, format_pair, format_value

_BEYOND = 1.15
"""A bar ends this much beyond the greater of value and limit."""


def finding_views(work: PageWork) -> tuple[FindingView, ...]:
    """Every finding that does not pass, in the order of the list."""
    units: UnitSystem = work.design.site.info.unit_system
    levels = {door.mark: work.level_name(door) for door in work.design.doors}
    failing = (f for f in work.findings if f.verdict is not Verdict.PASS)
    return tuple(_view(work, f, n, units, levels) for n, f in enumerate(failing, 1))


def _view(work: PageWork, finding: Finding, number: int, units: UnitSystem, levels: dict[str, str]) -> FindingView:
    value, limit, margin = printed_numbers(finding, units)
    marks = work.marks_of(finding)
    given = finding.acceptance
    if finding.limit == 0:  # of what there should be none, the value says by how much
        margin = ""
    nearness = finding.margin / abs(finding.limit) if finding.margin is not None and finding.limit else None
    return FindingView(
        number=number, rule=finding.rule, about=finding.about, harm=str(finding.harm or "not stated"),
        severity=str(finding.severity), verdict=str(finding.verdict), status=status(finding), kind=finding.subject_kind,
        subject=finding.subject, message=finding.message, remedy=finding.remedy, source=finding.source,
        accepted="" if given is None else accepted_text(given), marks=marks,
        levels=tuple(dict.fromkeys(levels[mark] for mark in marks if mark in levels)),
        value=value, limit=limit, margin=margin, nearness=nearness, holds=is_holding(finding) and finding.is_open,
    )  # fmt: skip


def printed_numbers(finding: Finding, units: UnitSystem) -> tuple[str, str, str]:
    """Value, limit and margin as printed; empty where there is none."""
    if finding.value is None:
        return "", "", ""
    if finding.limit is None:
        return format_value(finding.value, finding.unit, units), "", ""
    value, limit = format_pair(finding.value, finding.limit, finding.unit, units)
    margin = "" if finding.margin is None else format_value(finding.margin, finding.unit, units)
    return value, limit, margin


def door_status(work: PageWork, mark: str, views: Sequence[FindingView]) -> DoorStatus:
    """How a door stands, by the gravest of what is said of it.

    Args:
        work: the site.
        mark: of the door.
        views: findings about it that do not pass.
    """
    opened = [view for view in views if view.status in (Severity.ERROR, Severity.WARNING)]
    if mark in work.holds:
        return HELD
    if any(view.severity == Severity.ERROR for view in opened):
        return ERROR
    if any(view.verdict == Verdict.FAIL for view in opened):
        return WARNING
    if opened:
        return NOT_EVALUATED
    if any(view.accepted and view.severity == Severity.ERROR for view in views):
        return ACCEPTED
    return NOTHING_OPEN


def margins(work: PageWork, mark: str) -> tuple[Margin, ...]:
    """Every number of a door against its limit, passes included, the least margin first."""
    units: UnitSystem = work.design.site.info.unit_system
    found = [(f, printed_numbers(f, units)) for f in _with_numbers(work.findings_of.get(mark, ()))]
    ordered = sorted(found, key=lambda one: _nearness(one[0]))
    return tuple(_margin(finding, *printed) for finding, printed in ordered)


def _with_numbers(findings: Sequence[Finding]) -> Iterator[Finding]:
    for finding in findings:
        if finding.value is not None and finding.limit is not None and finding.margin is not None:
            yield finding


def _nearness(finding: Finding) -> float:
    return (finding.margin or 0.0) / abs(finding.limit) if finding.limit else float("inf")


def _margin(finding: Finding, value: str, limit: str, margin: str) -> Margin:
    amount, most = abs(finding.value or 0.0), abs(finding.limit or 0.0)
    end = max(amount, most) * _BEYOND or 1.0
    what = f"{finding.rule}: {finding.about}" if finding.about else finding.rule
    beyond = (finding.limit or 0.0) - (finding.value or 0.0)
    # of a value on its limit the margin is nothing either way
    at_most = None if abs(beyond) <= 1e-9 * end else beyond * (finding.margin or 0.0) > 0
    word = "accepted" if finding.acceptance is not None else str(finding.verdict)
    return Margin(what, value, limit, margin, word, at_most, amount / end, most / end, finding.source)
