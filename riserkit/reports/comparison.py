"""What differs from an issue, for people and as data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from riserkit.record.compare import Difference, SubjectChange
from riserkit.record.issue import Issue
from riserkit.reports.listing import plural
from riserkit.reports.printing import LINE, filled
from riserkit.rules._shared.page import pages_of_package

_FEW: Final = 3
"""Up to so many changes alike have a line each."""
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
        alike, others = _alike(subjects) if kind == "findings" else ((), subjects)
        for subject in others:
            yield from _lines(subject)
        yield from alike


def _alike(subjects: tuple[SubjectChange, ...]) -> tuple[tuple[str, ...], tuple[SubjectChange, ...]]:
    """Lines for findings of one rule that came, or went, at several things; and the changes that stand by themselves.

    A set as built has half a dozen of each door that nobody has returned, among which the others were lost.
    """
    rules = {page.name for page in pages_of_package("riserkit.rules")}
    found: dict[tuple[str, str, str], list[tuple[SubjectChange, str]]] = {}
    for subject in subjects:
        kind, *words = subject.subject.split(" ")
        at = next((n for n, word in enumerate(words) if n and word in rules), 0)
        if at and subject.change != "changed":
            found.setdefault((kind, subject.change, " ".join(words[at:])), []).append((subject, " ".join(words[:at])))
    many = {key: given for key, given in found.items() if len(given) > _FEW}
    folded = {id(subject) for given in many.values() for subject, _ in given}
    lines = [
        line
        for (kind, change, rule), given in many.items()
        for line in filled(
            f"{rule}: {change} at {len(given)} {plural(kind)}: {', '.join(name for _, name in given)}",
            LINE,
            "  ",
            "    ",
        )
    ]
    return tuple(lines), tuple(subject for subject in subjects if id(subject) not in folded)


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
