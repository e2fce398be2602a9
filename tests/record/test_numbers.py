"""Numbers once issued keep their subject for good, over any series of issues: sheets, typicals, ports, cables, openings.

Labels alone are tried by `tests/network/test_labels_invariants`; here the record of issues carries them, sheets among them.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.set.content import SheetSaid
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.kept import KeptWork
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.pipeline import design_site
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue, issue_json, read_issue
from riserkit.results.issue import NewIssue, _Follows, _labels
from tests.conftest import OPENING

LETTERS = "ABCDE"
KEPT = KeptWork()
KINDS: tuple[dict[str, Any], ...] = (
    {"lock": "strike-12-secure", "fail_mode": "fail-secure", "egress": "mechanical"},
    {"lock": "strike-12-safe", "fail_mode": "fail-safe", "egress": "mechanical"},
    {"lock": "latch-24", "fail_mode": "fail-secure", "egress": "mechanical"},
)
LEVELS = {"L1": 0, "L2": 4}


@st.composite
def sites(draw: st.DrawFn) -> dict[str, Any]:
    """Three to six doors of three kinds on two levels, the same few names each time: doors go, come back, and become others."""
    marks = draw(st.lists(st.sampled_from(["1", "2", "3", "10", "1A", "A"]), unique=True, min_size=3, max_size=6))
    openings = [
        {
            **OPENING,
            **draw(st.sampled_from(KINDS)),
            "mark": mark,
            "level": draw(st.sampled_from(list(LEVELS))),
            "x_m": 3 * n,
        }
        for n, mark in enumerate(marks)
    ]
    ports = draw(st.sampled_from([2, 4, 8]))
    return {
        "levels": [{"id": name, "elevation_m": at} for name, at in LEVELS.items()],
        "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}, {"id": "C2", "level": "L2", "x_m": 0, "y_m": 0}],
        "switches": [{"id": f"S{n}", "closet": f"C{n}", "ports": ports, "poe_class": 4, "poe_budget_w": 400} for n in (1, 2)],
        "openings": openings,
    }  # fmt: skip


def _site(tables: dict[str, Any]) -> Site:
    """As a reader of tables would hand it over: with the shipped parts."""
    rows = {
        name: tuple(RawRecord(row, Where(name, n)) for n, row in enumerate(found, 2)) for name, found in tables.items()
    }
    return assemble_site(RawSite(None, rows))


def _said(made: Design) -> tuple[SheetSaid, ...]:
    jobs = plan_set(Checked(made), SetOptions(details="both", workers=1))
    return tuple(SheetSaid(j.sheet_id, j.title, j.kind, j.subject, {}, j.on_record) for j in jobs)


def _subjects(made: Design, said: tuple[SheetSaid, ...]) -> Mapping[tuple[str, str], str]:
    """By kind and number what it stands for."""
    labels = made.labels
    found = {("sheet", s.sheet_id): s.on_record for s in said if s.on_record}
    found |= {("detail", s.sheet_id): s.subject for s in said if s.kind == "detail"}
    for kind, table in (
        ("port", labels.port),
        ("cable", labels.cable),
        ("opening", labels.opening),
        ("closet", labels.closet),
    ):
        found |= {(kind, label): subject for subject, label in table.items()}
    return found


@given(st.lists(sites(), min_size=2, max_size=3))
@settings(max_examples=5, deadline=None)
@pytest.mark.slow
def test_a_number_never_changes_its_subject(series: list[dict[str, Any]]) -> None:
    issues: list[Issue] = []
    stood: dict[tuple[str, str], str] = {}
    numbers: set[str] = set()
    for letter, tables in zip(LETTERS, series, strict=False):
        made = design_site(with_issues(_site(tables), issues), kept=KEPT)
        said = _said(made)
        now = _subjects(made, said)
        other = {key: (stood[key], subject) for key, subject in now.items() if stood.get(key, subject) != subject}
        assert not other
        stood |= now
        new = NewIssue(letter, datetime.date(2026, 3, 1), "for construction", "A. Drafter")
        sheets = tuple(_Follows(new, issues, {}).sheets(said))
        # None is dropped: what is gone is void, and keeps its place in the register.
        numbers |= {s.sheet_id for s in said}
        assert {sheet.number for sheet in sheets} == numbers
        assert {sheet.number for sheet in sheets if sheet.void} == numbers - {s.sheet_id for s in said}
        issue = Issue(letter, new.date, new.purpose, new.name, "", _labels(Checked(made, ()), said), {}, sheets)
        issues.append(read_issue(issue_json(issue), letter))
