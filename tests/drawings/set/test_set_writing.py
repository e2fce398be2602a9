"""The set: the same files however many processes draw them, whole, named after their sheets, told of as they come."""

from __future__ import annotations

import gc
import runpy
import threading
import weakref
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.drawings.door import sheets
from riserkit.drawings.dxf.beside import BESIDE
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import BlockError, DrawingError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.prints import render
from riserkit.drawings.processes import may_fork
from riserkit.drawings.set import plan as set_plan
from riserkit.drawings.set import write as set_write
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.drawings.set.write import write_set
from riserkit.findings import Finding
from riserkit.rules._shared.evaluate import check

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "riser_sites.py"))


@cache
def _archive() -> tuple[Design, tuple[Finding, ...]]:
    made = design(SITES["archive"]())
    return made, check(made)


DIAGRAMS = SetOptions(cover=False, plans=False, details="each")
"""Riser and doors alone."""


def test_doors_come_in_the_order_of_their_marks_and_then_the_riser() -> None:
    made, findings = _archive()
    jobs = plan_set(Checked(made, findings), DIAGRAMS)
    assert jobs[-1].sheet_id == "T-601"
    marks = [job.subject for job in jobs if job.kind == "door"]
    assert marks != [door.mark for door in made.doors]
    numbers = sorted(int(door.mark) for door in made.doors if door.mark.isdigit())
    assert marks[: len(numbers)] == [str(n) for n in numbers]
    assert marks[len(numbers) :] == sorted(door.mark for door in made.doors if not door.mark.isdigit())
    assert len({job.file_name.lower() for job in jobs}) == len(jobs)


def test_what_all_openings_are_called_is_gathered_once_for_the_set(monkeypatch: pytest.MonkeyPatch) -> None:
    made, findings = _archive()
    gathered = []
    monkeypatch.setattr(set_plan, "taken_ids", lambda site: gathered.append(site) or frozenset())
    monkeypatch.setattr(sheets, "taken_ids", lambda _: pytest.fail("a list of all openings for one of them"))
    assert len(plan_set(Checked(made, findings), DIAGRAMS)) > len(gathered) == 1


def test_only_what_is_asked_for_is_planned() -> None:
    made, findings = _archive()
    assert [job.kind for job in plan_set(Checked(made, findings), replace(DIAGRAMS, doors=False))] == ["riser"]
    jobs = plan_set(Checked(made, findings), replace(DIAGRAMS, riser=False, doors=("VAULT", "101")))
    assert [job.subject for job in jobs] == ["101", "VAULT"]
    with pytest.raises(DrawingError, match="no opening is marked 999"):
        plan_set(Checked(made, findings), replace(DIAGRAMS, doors=("101", "999")))


@pytest.mark.slow
def test_what_keeps_its_digest_keeps_its_bytes() -> None:
    """Plans, riser, cover and schedules are taken over by what they show: none that would be drawn otherwise may be."""
    made, findings = _archive()
    site, asked = made.site, SetOptions(doors=False)
    first, *others = site.openings

    def of(**changed: Any) -> Design:
        return design(site.model_copy(update=changed))

    variants = {
        "door's name": (of(openings=(first.model_copy(update={"name": "Boiler room"}), *others)), findings),
        "door gone": (of(openings=tuple(others)), findings),
        "closet's name": (of(closets=tuple(c.model_copy(update={"name": "Attic"}) for c in site.closets)), findings),
        "nothing found": (made, ()),
    }
    before = {job.sheet_id: job for job in plan_set(Checked(made, findings), asked)}
    drawn: dict[str, bytes] = {}
    stayed = changed = 0
    for what, (other, found) in variants.items():
        for job in plan_set(Checked(other, found), asked):
            was = before.get(job.sheet_id)
            if was is None or was.inputs != job.inputs:
                changed += 1
                continue
            stayed += 1
            drawn.setdefault(job.sheet_id, was.draw().to_bytes())
            assert job.draw().to_bytes() == drawn[job.sheet_id], (what, job.sheet_id)
    assert stayed >= len(variants) and changed >= len(variants)


@pytest.mark.slow
def test_a_sheet_inspected_as_drawn_says_what_its_file_says(tmp_path: Path) -> None:
    """A plan with views of another scale, a door with dimensions, and the riser; a drafter's file is read back anyway."""
    made, findings = _archive()
    result = write_set(
        Checked(made, findings),
        tmp_path,
        SetOptions(cover=False, doors=("101",), details="each", workers=1, inspects=True),
    )
    assert {sheet.kind for sheet in result.sheets} >= {"plan", "door", "riser"}
    assert all(found == inspect_sheet(path) for path, found in result.inspections.items())
    assert not [found for found in result.inspections.values() if found is None or found.letters == 0]


def test_title_block_says_which_sheet_and_not_of_how_many(tmp_path: Path) -> None:
    made, findings = _archive()
    result = write_set(Checked(made, findings), tmp_path, replace(DIAGRAMS, doors=("101",), workers=1))
    told = []
    for sheet in result.sheets:
        doc: Any = read_dxf(sheet.path)
        names = doc.layouts.names_in_taborder()
        assert names[1] == sheet.sheet_id
        title = next(e for e in doc.layouts.get(names[1]) if e.dxftype() == "INSERT" and e.dxf.name == "title_block")
        values = {a.dxf.tag: a.dxf.text for a in title.attribs}
        assert values["NUMBER"] == sheet.sheet_id
        assert values["OWNER"] + values["OWNER_2"] == "Harbour Archive Trust"
        assert values["DATE"] == "2026-05-04"
        assert values["REV"] == "A"
        told.append(values["SHEET"])
    assert len(told) == 2
    # of the sheets of one detail alone: one door more may not change every other sheet
    assert not any(" of " in sheet and sheet != "1 of 1" for sheet in told)


@pytest.mark.skipif(not may_fork(), reason="this process may not fork: another thread runs, or it is no Linux")
@pytest.mark.slow
def test_two_processes_write_the_same_bytes_as_one(tmp_path: Path) -> None:
    made, findings = _archive()
    marks = tuple(door.mark for door in made.doors[:2])
    files = []
    for workers in (1, 2):
        folder = tmp_path / str(workers)
        folder.mkdir()
        result = write_set(Checked(made, findings), folder, replace(DIAGRAMS, doors=marks, workers=workers))
        drawn = [*(sheet.path.name for sheet in result.sheets), *BESIDE]
        assert sorted(p.name for p in folder.iterdir()) == sorted(drawn)
        files.append({sheet.sheet_id: sheet.path.read_bytes() for sheet in result.sheets})
    assert len(files[0]) == 3
    assert files[0] == files[1]


def test_progress_is_told_of_every_sheet(tmp_path: Path) -> None:
    made, findings = _archive()
    told: list[tuple[str, int, int]] = []
    write_set(
        Checked(made, findings), tmp_path, replace(DIAGRAMS, doors=("101", "102"), workers=1),
        lambda stage, done, total: told.append((stage, done, total)),
    )  # fmt: skip
    assert told == [("drawings", n, 3) for n in range(4)]


@pytest.mark.slow
def test_pictures_and_the_print_of_the_set(tmp_path: Path) -> None:
    """One PDF with a page and a bookmark for each sheet, and every mark in its text."""
    made, findings = _archive()
    options = replace(DIAGRAMS, doors=("101",), svg=True, png=True, png_dpi=40, pdf=True, workers=1)
    result = write_set(Checked(made, findings), tmp_path, options)
    assert [p.name for p in result.pictures] == ["T-501-101.svg", "T-501-101.png", "T-601.svg", "T-601.png"]
    assert all(p.stat().st_size > 1000 for p in result.pictures)
    assert result.pdf is not None
    pdf = PdfReader(result.pdf)
    assert len(pdf.pages) == 2
    assert len(pdf.outline) == 2
    text = pdf.pages[1].extract_text()
    for door in made.doors:
        assert made.labels.opening[door.mark] in text
        assert door.cable is not None
        assert made.labels.cable[door.cable.subject] in text


def test_what_sheets_are_drawn_from_is_let_go_before_they_are_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, findings = _archive()
    jobs: list[weakref.ref[SheetJob]] = []
    left: list[list[SheetJob | None]] = []

    def planned(*asked: Any, **options: Any) -> tuple[SheetJob, ...]:
        found = plan_set(*asked, **options)
        jobs.extend(map(weakref.ref, found))
        return found

    def printed(*_asked: Any, **_options: Any) -> None:
        gc.collect()
        left.append([job for one in jobs if (job := one()) is not None])

    monkeypatch.setattr(set_write, "plan_set", planned)
    monkeypatch.setattr(render, "render_pdf", printed)
    write_set(Checked(made, findings), tmp_path, replace(DIAGRAMS, doors=("101",), pdf=True, workers=1))
    assert jobs
    assert left == [[]]


@pytest.mark.parametrize("version", ["R2010", "R2013", "R2018"])
def test_every_version_of_dxf_that_is_asked_for(version: str, tmp_path: Path) -> None:
    made, findings = _archive()
    result = write_set(
        Checked(made, findings), tmp_path, replace(DIAGRAMS, doors=(), info=DrawingInfo(dxf_version=version))
    )
    doc = read_dxf(result.sheets[0].path)
    assert doc.acad_release == version
    assert not doc.audit().errors


def test_an_error_that_every_sheet_would_meet_stops_the_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made, findings = _archive()

    def fails() -> Canvas:
        raise BlockError("block lock cannot be read")

    jobs = tuple(SheetJob(f"T-{n}", "", fails) for n in range(10))
    monkeypatch.setattr(set_write, "plan_set", lambda *_, **__: jobs)
    for workers in (1, 2):
        with pytest.raises(DrawingError, match="block lock cannot be read"):
            write_set(Checked(made, findings), tmp_path, SetOptions(workers=workers))


def test_no_forking_beside_other_threads() -> None:
    """A lock held by another thread at the fork would never be released in the child."""
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        assert not may_fork()
    finally:
        stop.set()
        thread.join()


def test_fewer_than_one_process_is_refused(tmp_path: Path) -> None:
    made, findings = _archive()
    with pytest.raises(DrawingError, match="0 processes"):
        write_set(Checked(made, findings), tmp_path, replace(DIAGRAMS, doors=(), workers=0))


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    made, findings = _archive()
    with pytest.raises(DrawingError, match="cannot write"):
        write_set(Checked(made, findings), tmp_path / "absent", replace(DIAGRAMS, doors=(), workers=1))


def test_one_size_throughout_where_asked_and_every_layer_is_on_the_cover() -> None:
    """The cover's table has each layer that anything of the set is drawn on, with its colour; all print black by the plot styles."""
    site = SITES["archive"]()
    made = design(site.model_copy(update={"info": site.info.model_copy(update={"sheet_size": "A1"})}))
    jobs = plan_set(Checked(made), SetOptions(doors=("101", "102"), details="each"))
    canvases = {job.sheet_id: job.draw() for job in jobs}
    assert {canvas.size.name for canvas in canvases.values()} == {"ISO A1"}
    assert {job.kind for job in jobs} >= {"cover", "plan", "door", "riser"}
    used: dict[str, int] = {}
    for canvas in canvases.values():
        for layout in canvas.doc.layouts:
            for entity in layout:
                layer: Any = canvas.doc.layers.get(entity.dxf.layer)
                used[entity.dxf.layer] = layer.color
    cover: Any = canvases["T-001"].doc.modelspace().query("TEXT MTEXT")
    told = {entity.plain_text() for entity in cover}
    view = {"0", "T-ANNO-NPLT"}
    assert {name for name in used if name not in told} <= view
    assert all(str(colour) in told for name, colour in used.items() if name not in view)
