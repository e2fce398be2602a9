"""Sheets that could not be drawn, as findings: a set with one of them is not whole, and nothing about it says that it is."""

from __future__ import annotations

from typing import Final

from riserkit.drawings.set.write import SetResult
from riserkit.findings import Finding, Harm, Severity, Verdict

NOT_DRAWN: Final = "sheet-not-drawn"


def not_drawn_findings(written: SetResult) -> tuple[Finding, ...]:
    """An error for each sheet in place of one that could not be drawn; nobody can accept it."""
    return tuple(
        Finding(
            rule=NOT_DRAWN, verdict=Verdict.NOT_EVALUATED, severity=Severity.ERROR, harm=Harm.DOES_NOT_WORK,
            subject=sheet.subject or sheet.sheet_id, subject_kind="opening" if sheet.subject else "sheet",
            source="this build", message=f"Sheet {sheet.sheet_id} is not drawn: {sheet.failed}",
            remedy="Build nothing from it. Report it with the site that caused it, or choose larger sheets where it says so.",
            about=sheet.sheet_id,
        )
        for sheet in written.sheets
        if sheet.failed
    )  # fmt: skip
