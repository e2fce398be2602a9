"""Papers for the crew written into a folder: packets, pick list, reel plan, labels, workbook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.design import DoorDesign
from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.drawings.processes import cores, done_in_order
from riserkit.field.about import FieldWork
from riserkit.field.blocks import Notice
from riserkit.field.closet import closet_paper
from riserkit.field.door import door_paper
from riserkit.field.field_sheets import field_sheets, word_lists
from riserkit.field.form import LETTER, TELEPHONE, PaperForm, paper_form
from riserkit.field.labels import label_pages, labels_table, wrap_labels
from riserkit.field.paper import Paper, pages_of
from riserkit.field.pick import pick_groups, pick_paper, pick_table
from riserkit.field.reels import reel_paper, reel_plan, reel_table
from riserkit.field.workbook import About, workbook_bytes
from riserkit.holds import DO_NOT_BUILD, HOLD_NOTE, heading_of
from riserkit.model.place import Closet
from riserkit.pipeline import Progress, no_progress
from riserkit.reports.table import ReportTable, to_csv
from riserkit.standards.egress import STANDING_CAUTIONS

FIELD: Final = "field"
WORKBOOK: Final = "schedules.xlsx"
TELEPHONES: Final = "telephone"
_LEAST_SHARED: Final = 8


@dataclass(frozen=True, slots=True)
class FieldFiles:
    """How many packets were written, and the names of those that could not be made and say so."""

    doors: int
    closets: int
    failed: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Job:
    """One packet, in both forms."""

    name: str
    door: DoorDesign | None = None
    closet: Closet | None = None


@dataclass(frozen=True, slots=True)
class _Packet:
    name: str
    wide: bytes
    narrow: bytes
    failed: bool = False


def write_field(
    work: FieldWork,
    folder: Path,
    tables: Sequence[ReportTable],
    doors: Sequence[DoorDesign] | None = None,
    closets: Sequence[Closet] | None = None,
    progress: Progress = no_progress,
) -> FieldFiles:
    """Write the papers into `field/` of a folder, and the workbook beside it.

    Args:
        work: the site.
        folder: a new folder of results.
        tables: schedules, for the workbook.
        doors: those that get a packet; all when left out. Lists and plans are of the whole site all the same.
        closets: those that get a packet; all when left out.
        progress: told of every packet.
    """
    design = work.design
    wanted = design.doors if doors is None else tuple(doors)
    rooms = design.site.closets if closets is None else tuple(closets)
    place = folder / FIELD
    (place / TELEPHONES).mkdir(parents=True)
    jobs = [*(_Job(f"door-{d.mark}", door=d) for d in wanted), *(_Job(f"closet-{c.id}", closet=c) for c in rooms)]
    failed = []
    for n, packet in enumerate(_packets(work, jobs), 1):
        (place / f"{packet.name}.pdf").write_bytes(packet.wide)
        (place / TELEPHONES / f"{packet.name}.pdf").write_bytes(packet.narrow)
        failed += [packet.name] if packet.failed else []
        progress("field papers", n, len(jobs))
    more = _write_lists(work, place)
    about = _about(work)
    book = workbook_bytes(about, (*tables, *more), field_sheets(work, wanted), word_lists(design))
    (folder / WORKBOOK).write_bytes(book)
    return FieldFiles(len(wanted), len(rooms), tuple(failed))


def _packets(work: FieldWork, jobs: Sequence[_Job]) -> Iterator[_Packet]:
    # read before the fork, so that no child works it out again
    _ = work.holds, work.facts, work.last_issued, work.findings_of
    yield from done_in_order(lambda n: _packet(work, jobs[n]), range(len(jobs)), cores(), _LEAST_SHARED, "papered")


def _packet(work: FieldWork, job: _Job) -> _Packet:
    def paper(form: PaperForm) -> Paper:
        return door_paper(work, job.door, form) if job.door is not None else closet_paper(work, job.closet)  # type: ignore[arg-type]

    forms = (paper_form(work.design.site.info), TELEPHONE)
    try:
        wide, narrow = (paper_pdf(paper(form), form) for form in forms)
        return _Packet(job.name, wide, narrow)
    except FAILURES as error:  # one packet that fails leaves the others
        failing = _not_made(work, job, failure_words(error))
        wide, narrow = (paper_pdf(failing, form) for form in forms)
        return _Packet(job.name, wide, narrow, failed=True)


def _not_made(work: FieldWork, job: _Job, why: str) -> Paper:
    """In place of a packet that cannot be made: nobody may take its absence for a door without work."""
    subject = f"Door {job.door.mark}" if job.door is not None else f"Closet {job.closet.id if job.closet else ''}"
    words = "This packet could not be made; do not build from an earlier one. Report it to the office."
    made = work.paper(subject, "Packet not made", (Notice(f"{DO_NOT_BUILD}: no packet", f"{words} Why: {why}."),))
    return replace(made, hold=DO_NOT_BUILD, approved_by="")


def paper_pdf(paper: Paper, form: PaperForm) -> bytes:
    """A paper as a PDF."""
    return pdf_bytes(pages_of(paper, form), title=f"{paper.subject}, {paper.project}")


def _write_lists(work: FieldWork, place: Path) -> tuple[ReportTable, ...]:
    """Pick list, reel plan and labels, as papers and as tables."""
    form = paper_form(work.design.site.info)
    groups, plan, labels = pick_groups(work), reel_plan(work), wrap_labels(work)
    tables = (pick_table(work, groups), reel_table(work, plan), labels_table(labels))
    for table in tables:
        (place / f"{table.name}.csv").write_text(to_csv(table), "utf-8", newline="")
    for name, paper in (("pick_list", pick_paper(work, groups)), ("reel_plan", reel_paper(work, plan))):
        for folder, one in ((place, form), (place / TELEPHONES, TELEPHONE)):
            (folder / f"{name}.pdf").write_bytes(paper_pdf(paper, one))
    told = f"{work.project}; {work.revision.words}"
    (place / "labels.pdf").write_bytes(pdf_bytes(label_pages(labels, form, told), title=f"Labels, {work.project}"))
    return tables


def _about(work: FieldWork) -> About:
    info = work.design.site.info
    lines = (
        f"Status: {info.status}.",
        *((f"{heading_of(work.design)}: {', '.join(work.holds.held)}. {HOLD_NOTE}",) if work.holds.held else ()),
        "Lengths are in the unit that a heading ends in; an empty cell is not known.",
        *STANDING_CAUTIONS,
    )
    return About(work.project, work.revision.words, lines, is_letter=paper_form(info) is LETTER)
