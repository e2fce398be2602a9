"""What differs from an issue, for people and as data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from riserkit.quantities.printed import UnitSystem, format_pair, format_value, upper_first
from riserkit.record.compare import Difference, FactChange, SubjectChange
from riserkit.record.issue import Issue
from riserkit.reports.lengths import FT_M
from riserkit.reports.listing import plural
from riserkit.reports.printing import LINE, filled
from riserkit.rules._shared.page import pages_of_package

_FEW: Final = 3
"""Up to so many changes alike have a line each."""
_COUNTED: Final = "materials_list"
_TOLD_WHOLE: Final = frozenset({"conductors", "ports"})
"""Kinds of which it is told where one that came or went is landed, or whose it is."""
_TO_A_TENTH: Final = frozenset({"cables", _COUNTED})
"""Kinds whose lengths are on record to a tenth of a metre: to a tenth of a foot they would not be those of the schedules."""
_UNITS: Final = {"m": "m", "c": "°C"}
_HEADINGS: Final = {
    "cable_types": "cable types used", "parts": "parts used", "ports": "switch ports", "upses": "UPSes", _COUNTED: "materials",
}  # fmt: skip


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


def comparison_lines(issue: Issue, difference: Difference, unit_system: UnitSystem = "metric") -> Iterator[str]:
    """The comparison to be read: a heading for each kind, under it what came, what went, and what was and is.

    Args:
        issue: which it is compared with.
        difference: all that differs.
        unit_system: the site's; facts stand in metres.
    """
    yield f"Compared with revision {issue.revision} of {issue.date.isoformat()}, {issue.purpose}"
    if issue.facts and _COUNTED not in issue.facts:
        yield "Materials are not compared: that issue was put on record by an earlier riserkit."
    if not difference:
        yield "No difference."
        return
    for kind, found in groupby(difference.subjects, key=lambda s: s.kind):
        subjects = tuple(found)
        yield ""
        yield f"{_heading(kind)}: {_counts(subjects)}"
        alike, others = _alike(subjects) if kind == "findings" else ((), subjects)
        for subject in others:
            yield from _lines(subject, unit_system)
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
    return upper_first(words)


def _counts(subjects: tuple[SubjectChange, ...]) -> str:
    found = {change: sum(s.change == change for s in subjects) for change in ("added", "removed", "changed")}
    return ", ".join(f"{number} {change}" for change, number in found.items() if number)


def _lines(subject: SubjectChange, system: UnitSystem) -> Iterator[str]:
    if subject.kind == _COUNTED:
        for fact in subject.facts:
            _, was, now = _printed(fact, system)
            yield f"  {subject.subject}: {was or 'none'} -> {now or 'none'}"
        return
    if subject.change != "changed":
        told = "".join(f", {_told(fact, system)}" for fact in subject.facts) if subject.kind in _TOLD_WHOLE else ""
        yield f"  {subject.subject}: {subject.change}{told}"
        return
    yield f"  {subject.subject}"
    for fact in subject.facts:
        name, was, now = _printed(fact, system)
        if not was:
            yield f"    {name}: {now} (was not stated)"
        elif not now:
            yield f"    {name}: no longer stated (was {was})"
        else:
            yield f"    {name}: {was} -> {now}"


def _told(fact: FactChange, system: UnitSystem) -> str:
    name, was, now = _printed(fact, system)
    return f"{name} {now or was}"


def _printed(fact: FactChange, system: UnitSystem) -> tuple[str, str, str]:
    """The name of a fact, what it was and what it is; lengths and temperatures in the site's units."""
    stem, _, suffix = fact.field.rpartition("_")
    unit, was, now = _UNITS.get(suffix, ""), _number(fact.was), _number(fact.is_now)
    if not unit or (was, now) == (None, None):
        return fact.field.replace("_", " "), fact.was, fact.is_now
    name = stem.replace("_", " ")
    if system == "imperial" and fact.kind in _TO_A_TENTH:
        feet = tuple("" if value is None else f"{value / FT_M:.0f} ft" for value in (was, now))
        if feet[0] != feet[1]:
            return name, feet[0], feet[1]
    if was is not None and now is not None:
        return (name, *format_pair(was, now, unit, system))
    return name, _quantity(was, unit, system), _quantity(now, unit, system)


def _quantity(value: float | None, unit: str, system: UnitSystem) -> str:
    return "" if value is None else format_value(value, unit, system)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
