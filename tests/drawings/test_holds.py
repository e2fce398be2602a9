"""What a crew may not build from says so: on every paper of a door on HOLD, and on no paper of any other.

Read from the written files: DXF texts and attributes, CSV cells. Findings are dealt out by chance over generated sites.
"""

from __future__ import annotations

import csv
import datetime
import io
import runpy
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import pytest

from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.holds import read_holds
from riserkit.model.records import Acceptance
from riserkit.reports.table import to_csv
from riserkit.results.site_tables import sheet_tables, site_tables
from riserkit.standards.sheets import failure_sheet_id

MADE: dict[str, Any] = runpy.run_path(str(Path(__file__).with_name("generated_sites.py")))
APPROVER = "M. Ferreira"
SMALL = (0, 6, 10, 14, 18, 20, 22, 31, 32, 42, 43, 49)
"""Sites of 5 to 17 openings: one on one level, and others with levels, closets and pathways."""
CASES = [
    (0, 0),
    *(pytest.param(case, marks=pytest.mark.sweep) for case in [(43, 5), *((n, s) for n in SMALL for s in (1, 2, 3))]),
]
"""Site and seed of its findings."""
OF_A_DOOR = {
    "openings": 0, "horizontal_cables": 3, "device_cables": 1, "conductors": 0, "spare_conductors": 0,
    "materials_by_door": 0, "test_sheets": 0,
}  # fmt: skip
"""Tables with the column that has the opening's mark."""
ACCEPTANCE = Acceptance(
    rule="release-by-hand", subject="-", reason="tested", name="R. Ashdown", date=datetime.date(2026, 5, 4),
    severity="error", authority="Fire prevention bureau", reference="26-114",
)  # fmt: skip


class Written(NamedTuple):
    """A set on disk: each sheet's texts and the approver in its title block, each table's rows, and the marks on HOLD."""

    design: Design
    jobs: dict[str, SheetJob]
    texts: dict[str, tuple[str, ...]]
    approver: dict[str, str]
    tables: dict[str, list[dict[str, str]]]
    held: frozenset[str]
    undesigned: frozenset[str]
    accepted: frozenset[str]
    typicals: tuple[tuple[str, ...], ...]

    def why(self, mark: str) -> str:
        """What its papers say first of why a door is on HOLD."""
        return "not designed" if mark in self.undesigned else "release-by-hand"


def error(subject: str, harm: Harm, kind: str = "opening", **more: Any) -> Finding:
    said = f"The rule is not kept at {subject}."
    return Finding(
        "release-by-hand",
        Verdict.FAIL,
        Severity.ERROR,
        subject,
        kind,
        said,
        "common practice, no source",
        harm=harm,
        **more,
    )


def dealt(marks: tuple[str, ...], seed: int) -> tuple[tuple[Finding, ...], frozenset[str], frozenset[str]]:
    """Findings of every sort over some of the doors; the marks that they put on HOLD, and those with one accepted."""
    chance = Random(seed)
    lot = list(marks)
    chance.shuffle(lot)
    by_harm, at_cable, concerned, code, warned, accepted = lot[0], lot[1], lot[2], lot[3], lot[3], lot[4]
    harm = chance.choice([Harm.LIFE_SAFETY, Harm.INTRUSION, Harm.DOES_NOT_WORK])
    found = (
        error(by_harm, harm),
        error(at_cable, Harm.DOES_NOT_WORK, "cable"),
        error("site", Harm.INTRUSION, "site", concerns=(concerned,)),
        error(code, Harm.CODE),
        replace(error(warned, Harm.LIFE_SAFETY), severity=Severity.WARNING),
        error(accepted, Harm.LIFE_SAFETY, acceptance=ACCEPTANCE),
        replace(error(lot[3], Harm.LIFE_SAFETY), verdict=Verdict.PASS),
    )
    return found, frozenset((by_harm, at_cable, concerned)), frozenset((accepted,))


def texts_of(path: Path) -> Iterator[tuple[str, str]]:
    """(tag of an attribute or empty, text) of a sheet."""
    document = read_dxf(path)
    for space in (
        document.modelspace(),
        *(document.paperspace(name) for name in document.layout_names_in_taborder()[1:]),
    ):
        for entity in space:
            if entity.dxftype() == "TEXT":
                yield "", entity.dxf.text
            elif entity.dxftype() == "MTEXT":
                yield "", entity.plain_text()
            elif entity.dxftype() == "INSERT":
                yield from ((attribute.dxf.tag, attribute.dxf.text) for attribute in entity.attribs)


@pytest.fixture(scope="module", params=CASES, ids=str)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Written:
    patch = pytest.MonkeyPatch()
    patch.setattr(
        "riserkit.reports.test_sheet._cached_gaps", lambda *_: ""
    )  # which miswirings show takes a minute, and is not asked
    number, seed = request.param
    site = MADE["generated_site"](number)
    made = design(site.model_copy(update={"info": site.info.model_copy(update={"approved_by": APPROVER})}))
    marks = tuple(door.mark for door in made.doors if door.wiring.netlist is not None or door.cable is not None)
    findings, held, accepted = dealt(marks, seed)
    undesigned = frozenset(door.mark for door in made.doors if door.wiring.missing)
    tables = site_tables(Checked(made, findings))
    patch.undo()
    jobs = plan_set(Checked(made, findings), SetOptions(tables=sheet_tables(tables)))
    folder, texts, approver = tmp_path_factory.mktemp("set"), {}, {}
    for job in jobs:
        job.draw().save(folder / job.file_name)
        found = list(texts_of(folder / job.file_name))
        texts[job.sheet_id] = tuple(text for _, text in found)
        approver[job.sheet_id] = next(text for tag, text in found if tag == "APPROVED_BY")
    # as where no opening has a sheet of its own, so that every one of them has its row
    typicals = plan_set(Checked(made, findings), SetOptions(cover=False, plans=False, riser=False, details="typical"))
    drawn = []
    for job in typicals:
        job.draw().save(folder / "typical.dxf")
        drawn.append(tuple(text for _, text in texts_of(folder / "typical.dxf")))
    rows = {table.name: list(csv.DictReader(io.StringIO(to_csv(table)))) for table in tables}
    return Written(made, {job.sheet_id: job for job in jobs}, texts, approver, rows, held | undesigned,
                   undesigned, accepted, tuple(drawn))  # fmt: skip


@pytest.mark.slow
def test_open_errors_of_the_gravest_harms_hold_a_door(written: Written) -> None:
    marks = tuple(d.mark for d in written.design.doors if d.wiring.netlist is not None or d.cable is not None)
    findings, held, accepted = dealt(marks, 3)
    holds = read_holds(written.design, findings)
    assert set(holds.held) == held | written.undesigned
    assert set(holds.accepted) == accepted
    code = {finding.subject for finding in findings if finding.harm is Harm.CODE}
    assert set(holds.first) == code - set(holds.held)
    assert all(holds.words(mark).startswith("Resolve before work: ") for mark in holds.first)
    (mark,) = accepted
    accepted_words = "ACCEPTED BY R. Ashdown, Fire prevention bureau 26-114: release-by-hand"
    assert mark in holds or holds.words(mark) == accepted_words
    assert holds.words("no such door") == ""


def test_a_doors_own_sheets_say_hold_and_no_others_do(written: Written) -> None:
    seen = set()
    for sheet_id, job in written.jobs.items():
        if job.kind == "door" and job.subject:
            said = any(
                text.startswith("HOLD - DO NOT BUILD: ") and f": {written.why(job.subject)}" in text
                for text in written.texts[sheet_id]
            )
            assert said == (job.subject in written.held), sheet_id
            seen.add(job.subject)
    assert seen >= written.held


def test_no_sheet_with_hold_says_who_approved(written: Written) -> None:
    for sheet_id, texts in written.texts.items():
        if any("HOLD" in text for text in texts):
            assert written.approver[sheet_id] == "HOLD", sheet_id
            assert not any(APPROVER in text for text in texts), sheet_id
    for sheet_id, job in written.jobs.items():
        if job.kind == "door" and job.subject not in written.held and sheet_id != failure_sheet_id(job.subject):
            drawn = written.design.door[job.subject].wiring.chosen  # none where no wiring is suitable
            sound = drawn is not None and not drawn.failed
            assert written.approver[sheet_id] == (APPROVER if sound else "not approved"), sheet_id


@pytest.mark.parametrize("table", OF_A_DOOR)
def test_rows_of_a_held_door_say_hold_and_no_others_do(written: Written, table: str) -> None:
    rows = written.tables[table]
    if not rows:
        pytest.skip(f"no {table} at this site")
    column = list(rows[0])[OF_A_DOOR[table]]
    for mark in {row[column] for row in rows if row[column]}:
        mine = [row for row in rows if row[column] == mark]
        if table == "test_sheets":
            assert mine[0]["what"].startswith(f"HOLD: {written.why(mark)}") == (mark in written.held)
        else:
            first = f"HOLD: {written.why(mark)}"
            assert all(row["hold"].startswith(first) == (mark in written.held) for row in mine), mark
        told = [text for row in mine for text in row.values() if text and text.startswith("ACCEPTED BY R. Ashdown")]
        assert bool(told) == (mark in written.accepted - written.held), mark


def test_the_typical_marks_the_row_of_a_held_door(written: Written) -> None:
    for mark in written.held:
        assert any(mark in texts and any(t.startswith("HOLD:") for t in texts) for texts in written.typicals), mark


def test_plan_and_riser_mark_held_doors_and_no_others(written: Written) -> None:
    plans = [t for i, texts in written.texts.items() if written.jobs[i].kind == "plan" for t in texts]
    risers = [t for i, texts in written.texts.items() if written.jobs[i].kind == "riser" for t in texts]
    labels = written.design.labels.opening
    # of the letters HOLD one stands in each sheet's title block, one in its legend
    for words, kind in ((plans, "plan"), (risers, "riser")):
        sheets = sum(job.kind == kind and written.approver[i] == "HOLD" for i, job in written.jobs.items())
        # openings at one place share a label, a line for each
        said = sum(text == "HOLD" or text.startswith("HOLD ") for text in words)
        assert said - 2 * sheets == len(written.held), kind
    # alone below its HOLD, or in the line that openings at one place have each
    assert all(
        labels[mark] in plans or any(t.startswith(f"HOLD {labels[mark]} ") for t in plans) for mark in written.held
    )


def test_the_cover_lists_what_is_on_hold(written: Written) -> None:
    cover = [text for i, texts in written.texts.items() if written.jobs[i].kind == "cover" for text in texts]
    assert {text for text in cover if text in {d.mark for d in written.design.doors}} == written.held
    titles = [text for text in cover if text.startswith("HOLD: Door")]
    assert len(titles) >= len(written.held)


def test_the_site_orders_nothing_that_held_doors_alone_need(written: Written) -> None:
    rows = [row for row in written.tables["materials"] if row["kind"] != "note"]
    per_door = written.tables["materials_by_door"]
    for row in rows:
        same = [r for r in per_door if all(r[k] == row[k] for k in ("kind", "item", "description")) and r["pieces"]]
        if same and row["pieces"] and sum(float(r["pieces"]) for r in same) == float(row["pieces"]):
            only_held = {r["opening"] for r in same} <= written.held
            assert (row["hold"] == "HOLD: Do not order until resolved") == only_held, row
            waits = sum(float(r["pieces"]) for r in same if r["opening"] in written.held)
            assert bool(row["hold"]) == bool(waits), row
