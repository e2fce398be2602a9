"""Writes a reference set: sheets, pages and a table of all that was tried, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.dxf.document import write_whole
from riserkit.drawings.prints.render import render_pdf
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.set.write import PDF_NAME
from riserkit.page.work import PageWork
from riserkit.page.write import write_page
from riserkit.pipeline import Progress, no_progress
from riserkit.reference.doors import NAME
from riserkit.reference.judged import ReferenceSet, reference_set
from riserkit.reference.sheets import plan_reference
from riserkit.reference.words import CAUTION, HEADING, faults_worth_knowing
from riserkit.reports.table import ReportTable
from riserkit.reports.test_sheet import door_tests
from riserkit.results.build import write_table
from riserkit.results.folder import DRAWINGS, OutputError, looked_over, whole_folder
from riserkit.standards.sheets import door_sheet_id
from riserkit.wiring.choose.judge import Temperatures

PAGE: Final = "page"
VARIANTS: Final = "variants"
"""The table of a reference set, by which a later one knows it."""


def write_reference(
    output: Path, names: Sequence[str] = (), *, pdf: bool = False, progress: Progress = no_progress
) -> tuple[ReferenceSet, int]:
    """Try every variant with every arrangement, and write what came of it.

    Args:
        output: the folder; replaced when all in it is as riserkit wrote it.
        names: of the arrangements wanted; empty for all.
        pdf: also one PDF of all sheets.
        progress: told of every step.

    Returns:
        The set, and how many sheets it has.

    Raises:
        RiserkitError: no such arrangement, or the folder cannot be written.
    """
    target, found = looked_over(output)
    if found.stats and f"{VARIANTS}.csv" not in found.stats:
        raise OutputError(f"{output} holds results of another kind, which would be gone; name another folder with -o")
    reference = reference_set(names, progress=progress)
    design = reference.checked.design
    tests = dict(door_tests(design).items())
    sheets = plan_reference(reference, tests, _faults(reference, progress))
    with whole_folder(target, None, found) as folder:
        paths = _draw(sheets, folder / DRAWINGS, progress)
        if pdf:
            render_pdf(paths, folder / PDF_NAME, title=NAME)
        write_table(folder, reference_table(reference))
        (folder / PAGE).mkdir()
        write_page(_page_work(reference, tests, sheets), folder / PAGE, progress)
    return reference, len(sheets)


def _faults(reference: ReferenceSet, progress: Progress) -> Mapping[str, tuple[str, ...]]:
    """Of the first door with each lock of an arrangement: what stands beside it changes little of what fails."""
    first: dict[tuple[str, str], str] = {}
    for one in reference.judged:
        if one.is_sound:
            first.setdefault((one.door.arrangement, one.door.variant.lock.name), one.door.mark)
    design = reference.checked.design
    info, found = design.site.info, {}
    for n, mark in enumerate(first.values(), 1):
        circuit = design.door[mark].wiring.circuit
        if circuit is not None:
            found[mark] = tuple(faults_worth_knowing(circuit, Temperatures.of(info)))
        progress("faults", n, len(first))
    return found


def _draw(sheets: Sequence[SheetJob], folder: Path, progress: Progress) -> list[Path]:
    folder.mkdir()
    paths = []
    for n, sheet in enumerate(sheets, 1):
        paths.append(folder / f"{sheet.sheet_id}.dxf")
        write_whole(paths[-1], sheet.draw().to_bytes())
        progress("drawings", n, len(sheets))
    return paths


def reference_table(reference: ReferenceSet) -> ReportTable:
    """Every variant at every arrangement: whether it can be wired so, on which sheet, else why not."""
    columns = ("arrangement", "variant", "verdict", "sheet", "controller", "why")
    return ReportTable(VARIANTS, columns, tuple(_rows(reference)))


def _rows(reference: ReferenceSet) -> Iterator[tuple[str, ...]]:
    for one in reference.judged:
        verdict = "suitable" if one.is_sound else "not suitable" if one.meant else "another kind of door"
        sheet = door_sheet_id(one.door.mark) if one.is_sound else ""
        yield (
            one.door.arrangement, one.door.variant.name, verdict, sheet, one.door.controller, "; ".join(one.why),
        )  # fmt: skip


def _page_work(reference: ReferenceSet, tests: Mapping[str, DoorTest], sheets: tuple[SheetJob, ...]) -> PageWork:
    checked = reference.checked
    asked = SetOptions(info=DrawingInfo(), tests=tests)
    groups = {one.door.mark: a.title for a in reference.arrangements for one in reference.of(a)}
    return PageWork(
        checked.design, checked.findings, tests, asked, f"{HEADING}. {CAUTION}", sheets=sheets, groups=groups
    )
