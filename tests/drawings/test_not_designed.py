"""A door that nobody can wire as stated is on HOLD on every paper, and what lists it beside others names no approver."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator

import pytest

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.drawings.typical.gather import typicals
from riserkit.field.about import FieldWork
from riserkit.field.pick import pick_groups
from riserkit.reports.table import to_csv
from riserkit.results.site_tables import sheet_tables, site_tables
from riserkit.rules._shared.evaluate import check

APPROVER = "M. Ferreira"
WIRED = {"lock": "strike-12-secure", "fail_mode": "fail-secure", "egress": "mechanical", "free_egress_hardware": True}
WHY = "not designed (missing: lock)"


@pytest.fixture(scope="module")
def made(site_of: Callable[..., Design]) -> Design:
    """Two openings wired alike, and 103 without a lock."""
    alike = [{**WIRED, "x_m": 1.0 + 4 * n, "y_m": 3.0} for n in range(2)]
    return site_of(*alike, {"x_m": 12.0, "y_m": 3.0}, approved_by=APPROVER, name="Annex", sheet_size="ISO A1")


@pytest.fixture(scope="module")
def checked(made: Design) -> Checked:
    return Checked(made, tuple(check(made)))


@pytest.fixture(scope="module")
def jobs(checked: Checked) -> dict[str, SheetJob]:
    tables = sheet_tables(site_tables(checked))
    return {job.sheet_id: job for job in plan_set(checked, SetOptions(tables=tables))}


def words_of(job: SheetJob) -> Iterator[tuple[str, str]]:
    """(tag of an attribute or empty, text) of a sheet as drawn."""
    doc = job.draw().doc
    for space in doc.layouts:
        for entity in space:
            if entity.dxftype() == "INSERT":
                yield from ((attribute.dxf.tag, attribute.dxf.text) for attribute in entity.attribs)
            elif entity.dxftype() in ("TEXT", "MTEXT"):
                yield "", " ".join(entity.plain_text().split())


def approver(words: list[tuple[str, str]]) -> str:
    return next(text for tag, text in words if tag == "APPROVED_BY")


def test_its_own_sheet_says_hold_and_names_no_approver(jobs: dict[str, SheetJob]) -> None:
    words = list(words_of(jobs["T-501-103"]))
    assert ("", f"HOLD - DO NOT BUILD: {WHY}, see findings") in words
    assert approver(words) == "HOLD"
    sound = list(words_of(jobs["T-501-101"]))
    assert approver(sound) == APPROVER
    assert not [text for _, text in sound if "HOLD" in text]


def test_its_sheet_calls_nothing_unstated_that_is_stated(jobs: dict[str, SheetJob]) -> None:
    """Its controller is stated, and with it a class; only without a circuit nobody knows what asks for one."""
    words = [text for _, text in words_of(jobs["T-501-103"])]
    assert words[words.index("Without power") + 1] == "not stated", "it has no lock to go by"
    assert words[words.index("PoE class of port; of device") + 1].endswith("; not known")


def test_a_typical_that_lists_it_beside_its_own_openings_names_no_approver(jobs: dict[str, SheetJob]) -> None:
    words = list(words_of(jobs["T-511"]))
    told = [text for _, text in words]
    assert "HOLD: on no typical, see own sheets and findings" in told
    assert "103" in told
    assert approver(words) == "HOLD"
    assert APPROVER not in told


def test_openings_of_a_typical_stand_in_the_order_of_their_marks(site_of: Callable[..., Design]) -> None:
    made = site_of(*({**WIRED, "mark": mark, "x_m": 4.0 * n} for n, mark in enumerate(("110", "9", "B2", "102"))))
    (typical,) = typicals(made)
    assert [door.mark for door in typical.doors] == ["9", "102", "110", "B2"]


@pytest.mark.parametrize(("kind", "said"), [("plan", "HOLD"), ("riser", "HOLD"), ("cover", "HOLD: Door 103")])
def test_plan_riser_and_index_mark_it(jobs: dict[str, SheetJob], kind: str, said: str) -> None:
    for job in jobs.values():
        if job.kind == kind:
            words = list(words_of(job))
            assert any(text == said and tag != "APPROVED_BY" for tag, text in words), job.sheet_id
            assert approver(words) == "HOLD"


def test_the_index_says_it_of_a_typical_that_lists_it(jobs: dict[str, SheetJob]) -> None:
    told = [text for _, text in words_of(jobs["T-001"])]
    start = told.index("T-511")
    assert "HOLD: 103" in " ".join(told[start : start + 5])


def test_every_row_about_it_says_so(checked: Checked) -> None:
    wanted = {"openings", "horizontal_cables", "materials_by_door", "test_sheets"}
    seen: set[str] = set()
    for table in site_tables(checked):
        if table.name in wanted:
            rows = list(csv.DictReader(io.StringIO(to_csv(table))))
            mine = [row for row in rows if "103" in row.values()]
            words = f"HOLD: {WHY}; see findings"
            first = [row for row in mine if any(text.startswith(words) for text in row.values() if text)]
            # of the steps of a test sheet the first says it
            assert first == (mine[:1] if table.name == "test_sheets" else mine), table.name
            assert not [row for row in rows if row not in mine and any("HOLD" in str(v) for v in row.values())]
            seen |= {table.name} if mine else set()
    assert seen == wanted


def test_nothing_is_picked_for_it(checked: Checked) -> None:
    groups = pick_groups(FieldWork(checked.design, checked.findings, {}))
    assert [(g.doors, g.held) for g in groups if g.held] == [(("101", "102"), ("103",))]
