"""What differs from an issue, for people and as data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from riserkit.record.compare import Difference, SubjectChange
from riserkit.record.issue import Issue

_HEADINGS: Final = {"cable_types": "cable types used", "parts": "parts used", "ports": "switch ports", "upses": "UPSes"}


def comparison_json(issue: Issue, difference: Difference) -> str:
    """All of it for machines."""
    data = {
        "compared_with": {"revision": issue.revision, "date": issue.date.isoformat(), "purpose": issue.purpose},
        "changes": [
            {
                "kind": s.kind,
                "subject": s.subject,
                "change": s.change,
                "fields": {f.field: {"was": f.was, "is": f.is_now} for f in s.facts},
            }
            for s in difference.subjects
        ],
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


def comparison_lines(issue: Issue, difference: Difference) -> Iterator[str]:
    """The comparison to be read: a heading for each kind, under it what came, what went, and what was and is."""
    yield f"Compared with revision {issue.revision} of {issue.date.isoformat()}, {issue.purpose}"
    if not difference:
        yield "No difference."
        return
    for kind, found in groupby(difference.subjects, key=lambda s: s.kind):
        subjects = tuple(found)
        yield ""
        yield f"{_heading(kind)}: {_counts(subjects)}"
        for subject in subjects:
            yield from _lines(subject)


def _heading(kind: str) -> str:
    words = _HEADINGS.get(kind, kind.replace("_", " "))
    return words[0].upper() + words[1:]


def _counts(subjects: tuple[SubjectChange, ...]) -> str:
    found = {change: sum(s.change == change for s in subjects) for change in ("added", "removed", "changed")}
    return ", ".join(f"{number} {change}" for change, number in found.items() if number)


def _lines(subject: SubjectChange) -> Iterator[str]:
    if subject.change != "changed":
        yield f"  {subject.subject}: {subject.change}"
        return
    yield f"  {subject.subject}"
    for fact in subject.facts:
        name = fact.field.replace("_", " ")
        if not fact.was:
            yield f"    {name}: {fact.is_now} (was not stated)"
        elif not fact.is_now:
            yield f"    {name}: no longer stated (was {fact.was})"
        else:
            yield f"    {name}: {fact.was} -> {fact.is_now}"
