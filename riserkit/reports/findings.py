"""Findings as JSON and as rows of a table."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from riserkit.findings import Finding
from riserkit.model.site import Site
from riserkit.reports.table import ReportTable

COLUMNS = (
    "harm", "rule", "about", "verdict", "severity", "kind", "subject", "value", "limit", "margin", "unit", "message", "remedy", "source",
    "accepted_by", "accepted_on", "accepted_because", "authority", "reference", "concerns",
)  # fmt: skip

_ENCODE: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
_ENCODE_LINES: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",\n   ", ": ")).encode
"""The same with each value of an object on a line of its own."""


def finding_data(finding: Finding) -> dict[str, Any]:
    """A finding as plain data, SI units."""
    accepted = finding.acceptance
    return {
        "harm": str(finding.harm or ""),
        "rule": finding.rule,
        "about": finding.about,
        "verdict": str(finding.verdict),
        "severity": str(finding.severity),
        "kind": finding.subject_kind,
        "subject": finding.subject,
        "value": finding.value,
        "limit": finding.limit,
        "margin": finding.margin,
        "unit": finding.unit,
        "message": finding.message,
        "remedy": finding.remedy,
        "source": finding.source,
        "accepted_by": accepted.name if accepted else None,
        "accepted_on": accepted.date.isoformat() if accepted else None,
        "accepted_because": accepted.reason if accepted else None,
        "authority": accepted.authority if accepted else None,
        "reference": accepted.reference if accepted else None,
        "concerns": list(finding.concerns),
    }


def findings_json_parts(site: Site, findings: Iterable[Finding]) -> Iterator[str]:
    """The same document piece by piece, so that a campus need not stand in memory once more as text."""
    name = json.dumps(site.info.name, ensure_ascii=False)
    yield f'{{\n "site": {name},\n "findings": ['
    between, end = "\n  ", "]\n}"
    for finding in findings:
        yield between + _indented(finding_data(finding))
        between, end = ",\n  ", "\n ]\n}"
    yield end


def _indented(data: Mapping[str, Any]) -> str:
    """An object as `json.dumps(..., indent=1)` sets it two deep; with an indent the library writes every value in plain Python."""
    if any(isinstance(value, list) and value for value in data.values()):
        lines = ",\n   ".join(f'"{name}": {_value(value)}' for name, value in data.items())
    else:
        lines = _ENCODE_LINES(data)[1:-1]
    return f"{{\n   {lines}\n  }}"


def _value(value: object) -> str:
    if isinstance(value, list) and value:
        return "[\n    " + ",\n    ".join(map(_ENCODE, value)) + "\n   ]"
    return _ENCODE(value)


def findings_table(findings: Iterable[Finding]) -> ReportTable:
    """All findings as a table."""
    rows = []
    for finding in findings:
        data = {**finding_data(finding), "concerns": ", ".join(finding.concerns)}
        rows.append(tuple(data[column] for column in COLUMNS))
    return ReportTable("findings", COLUMNS, tuple(rows))
