"""Writes a drawing set: one DXF file a sheet, on all cores where it pays, each sheet dropped when it is written.

A design cannot be sent to another process, so the work is shared by forking, where that is safe: on Linux, from a
process without other threads. Elsewhere one process draws all. The files are the same either way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.dxf.beside import write_beside
from riserkit.drawings.dxf.blocks import forget_blocks, read_blocks
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.legibility.values import SheetInspection
from riserkit.drawings.prints.kept_pages import KeptPages
from riserkit.drawings.processes import ITEMS_A_CHILD, cores, done_as_they_end, may_fork, uncollected
from riserkit.drawings.set.ahead import DrawnAhead
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.drawings.set.reuse import EarlierSet, SheetOutcome, draw_into, take_over, take_over_print
from riserkit.quantities.grouping import grouped

PDF_NAME: Final = "set.pdf"
OVERVIEW_NAME: Final = "overview.pdf"
_OVERVIEW: Final = ("cover", "plan", "riser")
_LEAST_SHARED: Final = 8
"""Sheets below which a second process costs more than it saves."""
_BATCH: Final = 4
"""Sheets handed to a process at once; fewer of a small set, so that all processes end together."""

Progress = Callable[[str, int, int], None]
"""Told the stage, how many sheets are done, and of how many."""


@dataclass(frozen=True, slots=True)
class WrittenSheet:
    """One sheet written. `failed`: why it stands for one that could not be drawn; such a one is never taken over."""

    sheet_id: str
    title: str
    kind: str
    subject: str
    path: Path
    inputs: str = ""
    failed: str = ""
    on_record: str = ""


@dataclass(frozen=True, slots=True)
class SetResult:
    """What was written: sheets in the order of the set, then pictures and prints."""

    sheets: tuple[WrittenSheet, ...]
    pictures: tuple[Path, ...] = ()
    pdf: Path | None = None
    outcomes: tuple[SheetOutcome, ...] = ()

    @property
    def inspections(self) -> Mapping[Path, SheetInspection | None]:
        """Of every sheet in the order of the set; None where it was not inspected as it was drawn."""
        return {sheet.path: outcome.inspection for sheet, outcome in zip(self.sheets, self.outcomes, strict=True)}


def write_set(
    checked: Checked,
    folder: Path,
    options: SetOptions | None = None,
    progress: Progress | None = None,
    earlier: EarlierSet | None = None,
    ahead: Mapping[str, DrawnAhead] = MappingProxyType({}),
) -> SetResult:
    """Write the whole set into a folder that is there.

    Args:
        checked: the whole design with its findings.
        folder: takes the files; whoever asks makes it appear whole or not at all.
        options: see there.
        progress: told of every sheet done.
        earlier: the set written earlier; its sheets are taken over where nothing changed, and drawn into where a
            drafter edited them.
        ahead: sheets that are drawn already, by identification; each is taken where it would be drawn so again.

    Raises:
        DrawingError: a mark asked for is not one of the site's, no sheet at all can be drawn, or the folder cannot be written.
    """
    asked = options or SetOptions()
    report = progress or _no_progress
    earlier = earlier or EarlierSet(folder)
    before = earlier.sheets()
    jobs = plan_set(checked, asked, before=before)
    report("drawings", 0, len(jobs))
    outcomes: dict[str, SheetOutcome] = {}
    work = _Work(checked.design, folder, asked, earlier, ahead)
    for outcome in _written(work, [job for job in jobs if job.kind != "cover"]):
        outcomes[outcome.sheet_id] = outcome
        report("drawings", len(outcomes), len(jobs))
    if failed := [outcome.sheet_id for outcome in outcomes.values() if outcome.failed]:
        # The cover comes last, for its index says which sheets are not drawn; it cannot be known from the site alone.
        jobs = tuple(
            replace(job, inputs="") if job.kind == "cover" else job for job in plan_set(checked, asked, failed, before)
        )
    for outcome in _written(work, [job for job in jobs if job.kind == "cover"]):
        outcomes[outcome.sheet_id] = outcome
        report("drawings", len(outcomes), len(jobs))
    write_beside(folder)
    sheets = tuple(_sheet(job, folder, outcomes[job.sheet_id].failed) for job in jobs)
    del jobs, work  # what thousands of sheets are drawn from would stand beside the processes that print
    pictures = tuple(sheet.path.with_suffix(suffix) for sheet in sheets for suffix in _suffixes(asked))
    printed = sheets if asked.pdf else [s for s in sheets if s.kind in _OVERVIEW] if asked.overview else ()
    pdf = folder / (PDF_NAME if asked.pdf else OVERVIEW_NAME) if printed else None
    if pdf is not None:
        report("printing", 0, len(printed))
        _print(
            [sheet.path for sheet in printed], pdf, checked.design, asked, take_over_print(earlier, pdf, outcomes.values()),
            lambda done: report("printing", done, len(printed)),
        )  # fmt: skip
        report("printing", len(printed), len(printed))
    return SetResult(sheets, pictures, pdf, tuple(outcomes[sheet.sheet_id] for sheet in sheets))


def _print(
    paths: Sequence[Path], pdf: Path, design: Design, asked: SetOptions, is_there: bool, progress: Callable[[int], None]
) -> None:
    """Print sheets, unless the print is there; the few pages of an overview are kept, those of a whole set would fill a disk."""
    kept = None if asked.pdf else KeptPages(design.kept)
    if not is_there:
        from riserkit.drawings.prints.render import render_pdf  # noqa: PLC0415 - loads what prints

        render_pdf(paths, pdf, title=design.site.info.name, workers=asked.workers, progress=progress, kept=kept)
    elif kept is not None:
        kept.take_over(paths)


def _sheet(job: SheetJob, folder: Path, failed: str) -> WrittenSheet:
    inputs = "" if failed else job.inputs
    return WrittenSheet(
        job.sheet_id, job.title, job.kind, job.subject, folder / job.file_name, inputs, failed, job.on_record
    )


def _no_progress(_stage: str, _done: int, _total: int) -> None:
    pass


def _suffixes(options: SetOptions) -> tuple[str, ...]:
    return (*((".svg",) if options.svg else ()), *((".png",) if options.png else ()))


@dataclass(frozen=True)
class _Work:
    """What every sheet is written with."""

    design: Design
    folder: Path
    options: SetOptions
    earlier: EarlierSet
    ahead: Mapping[str, DrawnAhead]

    def drawn(self, job: SheetJob) -> DrawnAhead | None:
        """The sheet as it was drawn ahead, where it serves."""
        found = self.ahead.get(job.sheet_id)
        revised = self.options.revised.get(job.sheet_id)
        return found if found is not None and found.serves(self.design.site, job.sheet_id, revised) else None


def _written(work: _Work, jobs: Sequence[SheetJob]) -> Iterator[SheetOutcome]:
    """What was done for every sheet, in any order."""
    left = []
    for job in jobs:
        if take_over(job, work.folder, work.earlier, _suffixes(work.options)):
            yield SheetOutcome(job.sheet_id, "taken over")
        else:
            left.append(job)
    workers = _workers(len(left), work.options.workers)

    def write(batch: Sequence[int]) -> list[SheetOutcome]:
        return list(_each_written(work, [left[n] for n in batch]))

    if workers == 1:
        yield from _each_written(work, left)
        return
    is_long = len(left) >= ITEMS_A_CHILD
    if is_long:
        read_blocks(work.options.info.block_folders)
    for outcomes in done_as_they_end(write, _batches(left, workers), workers, "drew"):
        yield from outcomes
    if is_long:
        forget_blocks()


def _each_written(work: _Work, jobs: Sequence[SheetJob]) -> Iterator[SheetOutcome]:
    for job in jobs:
        with uncollected():
            outcome = _write(job, work)
        yield outcome


def _workers(jobs: int, asked: int | None) -> int:
    if asked is not None and asked < 1:
        raise DrawingError(f"{asked} processes cannot draw; ask for 1 or more, or leave it open")
    wanted = min(asked or cores(), max(jobs, 1))
    pays = jobs >= _LEAST_SHARED or asked is not None
    return wanted if pays and may_fork() else 1


def _batches(jobs: Sequence[SheetJob], workers: int) -> list[Sequence[int]]:
    """Jobs by number as they are handed out: those laid out alike together, yet none so many that others wait."""
    few = max(1, min(_BATCH, len(jobs) // (_BATCH * workers)))
    many = max(few, min(ITEMS_A_CHILD // _BATCH, len(jobs) // (_BATCH * workers)))
    kin = grouped((job.alike, n) for n, job in enumerate(jobs))
    return [
        members[n : n + size]
        for alike, members in kin.items()
        for size in [few if alike == "" else many]
        for n in range(0, len(members), size)
    ]


def _write(job: SheetJob, work: _Work) -> SheetOutcome:
    path, options = work.folder / job.file_name, work.options
    outcome = draw_into(work.design, job, path, work.earlier, options.info, options.inspects, work.drawn(job))
    if options.svg or options.png:
        _draw_pictures(path, options)
    return outcome


def _draw_pictures(path: Path, options: SetOptions) -> None:
    from riserkit.drawings.prints.render import render_png, render_svg  # noqa: PLC0415 - loads what prints

    if options.svg:
        render_svg(path, path.with_suffix(".svg"))
    if options.png:
        render_png(path, path.with_suffix(".png"), options.png_dpi)
