"""What differs from an issue, as it is read."""

from __future__ import annotations

import datetime

import pytest

from riserkit.record.compare import compare
from riserkit.record.issue import Issue
from riserkit.reports.comparison import comparison_lines

ISSUE = Issue("A", datetime.date(2026, 3, 9), "for construction", "A. Drafter", "", (), {}, ())


def lines(*subjects: str) -> list[str]:
    now = {"findings": {subject: {"status": "warning"} for subject in subjects}}
    return list(comparison_lines(ISSUE, compare({}, now)))[3:]


def test_findings_of_one_rule_at_many_doors_are_one_line_and_the_others_are_seen() -> None:
    many = [f"opening {mark} not-returned landings" for mark in ("101", "gate 2", "103", "104")]
    told = lines(*many, "opening 105 channel-length", "opening 101 not-returned readings")
    assert told == [
        "  opening 101 not-returned readings: added",
        "  opening 105 channel-length: added",
        "  not-returned landings: added at 4 openings: 101, 103, 104, gate 2",
    ]


@pytest.mark.parametrize(
    "subjects", [[f"opening {n} tamper" for n in "123"], [f"opening {n} of-a-plugin" for n in "1234"]]
)
def test_a_few_and_those_of_a_rule_not_known_here_stand_by_themselves(subjects: list[str]) -> None:
    assert lines(*subjects) == [f"  {subject}: added" for subject in subjects]
