"""The register of a set, and the transmittal that goes with an issue."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from riserkit.model.site import Site
from riserkit.quantities.counting import counted
from riserkit.record.issue import Issue, IssuedSheet
from riserkit.reports.table import ReportTable

_NAMED: Final = 12


def register_table(issues: Sequence[Issue]) -> ReportTable:
    """One row a sheet: its title, its revision, and the revisions that it has gone through.

    Args:
        issues: the first issued first, at least one.
    """
    columns = ("sheet", "title", "revision", "date", "status", "history")
    rows = tuple(
        (s.number, s.title, s.revision, s.date.isoformat(), "VOID" if s.void else issues[-1].purpose, _history(s, issues))
        for s in issues[-1].sheets
    )  # fmt: skip
    return ReportTable("register", columns, rows)


def _history(sheet: IssuedSheet, issues: Sequence[Issue]) -> str:
    through = [
        issue.revision
        for issue in issues
        if any(s.number == sheet.number and s.revision == issue.revision for s in issue.sheets)
    ]
    return " ".join(through)


def transmittal_table(site: Site, issue: Issue) -> ReportTable:
    """One row a sheet that goes out with an issue, and what changed on it."""
    columns = ("project", "sheet", "title", "revision", "date", "purpose", "what_changed")
    project = site.info.project
    rows = tuple(
        (project, s.number, s.title, s.revision, s.date.isoformat(), issue.purpose, what_changed(s, issue))
        for s in issue.sheets
    )
    return ReportTable("transmittal", columns, rows)


def what_changed(sheet: IssuedSheet, issue: Issue) -> str:
    """What an issue changed on a sheet, in words; of a typical first which openings came or left, as it split or merged."""
    moved = f"{sheet.note}; " if sheet.note and sheet.revision == issue.revision else ""
    return moved + _lines_changed(sheet, issue)


def _lines_changed(sheet: IssuedSheet, issue: Issue) -> str:
    if sheet.void:
        return "VOID: its subject is gone" if sheet.revision == issue.revision and not sheet.note else "VOID"
    if sheet.revision != issue.revision:
        return "unchanged"
    if sheet.is_new:
        return "first issue of this sheet"
    if not sheet.changed:
        return "lines removed or moved to another sheet, or its purpose"
    named = [name.replace(":", " ").replace("/", " ") for name in sheet.changed]
    more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
    return ", ".join(named[:_NAMED]) + more


def sheet_counts(issue: Issue) -> str:
    """How many sheets an issue revises, leaves and withdraws; a sheet that is void is none of the set."""
    live = [sheet for sheet in issue.sheets if not sheet.void]
    revised = sum(sheet.revision == issue.revision for sheet in live)
    void = sum(sheet.void and sheet.revision == issue.revision for sheet in issue.sheets)
    counts = [
        f"{counted(revised, 'sheet')} at this revision",
        f"{len(live) - revised} unchanged" if revised < len(live) else "",
        f"{void} void" if void else "",
    ]
    return ", ".join(filter(None, counts))


def issue_lines(issue: Issue, record: Path) -> Iterator[str]:
    """What an issue is, to be printed."""
    yield f"Revision {issue.revision} of {issue.date.isoformat()}, {issue.purpose}: {sheet_counts(issue)}"
    yield f"On record in {record}; keep that file with the site."
