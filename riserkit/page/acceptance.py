"""What the composer of acceptances needs of every finding, so that its row covers what it is written for."""

from __future__ import annotations

import datetime
from typing import Any, Final

from riserkit.acceptances import uncovered
from riserkit.findings import Finding
from riserkit.model.records import Acceptance
from riserkit.page.values import FindingView
from riserkit.quantities.counting import counting_order
from riserkit.quantities.printed import format_value

COLUMNS: Final = (
    "rule",
    "subject",
    "about",
    "severity",
    "value",
    "doors",
    "reason",
    "name",
    "date",
    "authority",
    "reference",
)
"""Of the row that is composed; a table of acceptances is read by the names of its columns."""
_UNITS: Final = ("m", "V", "A", "W", "s", "ohm", "°C", "%", "doors", "ports")


def acceptance_data(finding: Finding, view: FindingView) -> dict[str, Any]:
    """One finding: what of its row is given, and what else it asks for. `uncovered` says why no row would cover it."""
    given = {
        "rule": finding.rule, "subject": finding.subject, "about": finding.about, "severity": str(finding.severity),
        "value": _value(finding), "doors": ", ".join(_doors(finding)),
    }  # fmt: skip
    return {
        "number": view.number, "title": f"{view.subject}: {view.rule}{f', {view.about}' if view.about else ''}",
        "message": view.message, "given": given, "lifeSafety": finding.is_life_safety_error,
        "uncovered": _why_uncovered(finding, given),
    }  # fmt: skip


def _value(finding: Finding) -> str:
    """The value as printed where that covers it, else with all its digits."""
    if finding.value is None or finding.limit is None or finding.concerns or finding.unit not in _UNITS:
        return ""
    shown = format_value(finding.value, finding.unit)
    return shown if _reads(shown, finding) else f"{finding.value!r} {finding.unit}"


def _reads(text: str, finding: Finding) -> bool:
    accepted = _row(finding, {"value": text}).value_in(finding.unit)
    if accepted is None or finding.value is None or finding.limit is None:
        return False
    beyond = finding.value - accepted if finding.value > finding.limit else accepted - finding.value
    return beyond <= 0 or format_value(accepted, finding.unit) == format_value(finding.value, finding.unit)


def _doors(finding: Finding) -> tuple[str, ...]:
    by_doors = finding.value is None or finding.unit == "doors"
    return tuple(sorted(finding.concerns or (finding.serves if by_doors else ()), key=counting_order))


def _row(finding: Finding, given: dict[str, str]) -> Acceptance:
    return Acceptance(
        **{"rule": finding.rule, "subject": finding.subject, **given}, reason="reason", name="Name",
        date=datetime.date(2000, 1, 1), authority="authority", reference="reference",
    )  # fmt: skip


def _why_uncovered(finding: Finding, given: dict[str, str]) -> str:
    return uncovered(_row(finding, given), finding)
