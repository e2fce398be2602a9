"""Inspects drawings as they lie on disk, and says of every sheet what a rule would say of a design."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from riserkit.acceptances import accept
from riserkit.checked import Checked
from riserkit.drawings.legibility.sheet import SHEET_CHECKS, inspect_sheet
from riserkit.drawings.legibility.values import SheetCheck, SheetInspection, Violation
from riserkit.drawings.processes import cores, done_in_order
from riserkit.errors import RiserkitError
from riserkit.findings import Finding, Harm, Severity, Verdict, by_harm
from riserkit.kept import KeptWork
from riserkit.pipeline import Progress, no_progress
from riserkit.results.folder import file_digest
from riserkit.rules._shared.page import read_page
from riserkit.rules._shared.unused import ACCEPTANCE_UNUSED, unused_acceptances

_LEAST_SHARED: Final = 4
"""Sheets below which a second process costs more than it saves."""
_DRAWINGS: Final = "drawings"
_INSPECTION: Final = "inspection"


def drawings_in(folder: Path) -> tuple[Path, ...]:
    """The drawings of a folder of results, or of a folder of drawings, sorted.

    Raises:
        RiserkitError: there is no such folder, or no drawing in it.
    """
    if not folder.is_dir():
        raise RiserkitError(f"{folder} is not a folder; expected one with DXF drawings, or the results of a build")
    inner = folder / _DRAWINGS
    found = sorted(p for p in (inner if inner.is_dir() else folder).iterdir() if p.suffix.lower() == ".dxf")
    if not found:
        raise RiserkitError(f"{folder} holds no drawing; expected DXF files in it, or in its folder {_DRAWINGS}")
    strange = next((p for p in found if not p.is_file()), None)
    if strange is not None:
        raise RiserkitError(f"{strange} is no file; expected a DXF file of that name, or take it out of the folder")
    return tuple(found)


def inspect_drawings(
    paths: Sequence[Path], progress: Progress = no_progress, known: Mapping[Path, SheetInspection] | None = None
) -> tuple[SheetInspection, ...]:
    """Inspect drawings, on all cores where it pays; results stand in the order of the paths.

    Args:
        paths: the files.
        progress: called for every sheet.
        known: inspections of files that have not changed since, which are not made again.

    Raises:
        RiserkitError: a file cannot be read as a drawing.
    """
    found = dict(known or {})
    left = [path for path in paths if path not in found]
    progress("inspecting", len(paths) - len(left), len(paths))
    for n, (path, inspection) in enumerate(zip(left, _inspected(left), strict=True), len(paths) - len(left) + 1):
        found[path] = inspection
        progress("inspecting", n, len(paths))
    return tuple(found[path] for path in paths)


def inspect_results(
    drawn: Mapping[Path, SheetInspection | None], folder: Path, kept: KeptWork, progress: Progress = no_progress,
    digests: Mapping[str, str] = MappingProxyType({}),
) -> tuple[SheetInspection, ...]:  # fmt: skip
    """Inspect the drawings of a folder of results that is being written.

    Args:
        drawn: the drawings, with the inspections that were made as they were drawn.
        folder: the new results.
        kept: inspections of drawings that are still the same; takes those of all.
        progress: called for every sheet.
        digests: of files in the folder by name, where they are known already; others are read for it.

    Raises:
        RiserkitError: a file cannot be read as a drawing.
    """
    names = {path: path.relative_to(folder).as_posix() for path in drawn}
    content = {path: digests.get(name) or file_digest(path) for path, name in names.items()}
    before = {path: kept.found(_INSPECTION, content[path], _inspection) for path in drawn}
    known = {path: found for path, made in drawn.items() if (found := before[path] or made) is not None}
    inspections = inspect_drawings(tuple(drawn), progress, known)
    for path, inspection in zip(drawn, inspections, strict=True):
        if before[path] is None:
            kept.keep(_INSPECTION, content[path], inspection, _inspection, asdict)
    return inspections


def _inspection(told: Mapping[str, Any]) -> SheetInspection:
    violations = tuple(Violation(**{**one, "model_ids": tuple(one["model_ids"])}) for one in told["violations"])
    unread = tuple((str(kind), int(count)) for kind, count in told["unread"])
    return SheetInspection(**{**told, "unread": unread, "violations": violations})


def _inspected(paths: Sequence[Path]) -> Iterator[SheetInspection]:
    yield from done_in_order(inspect_sheet, paths, cores(), _LEAST_SHARED, "inspected")


def inspect_folder(folder: Path | str, progress: Progress = no_progress) -> tuple[SheetInspection, ...]:
    """Inspect every drawing of a folder, drawn by riserkit, edited by hand, or both.

    Raises:
        RiserkitError: no such folder, no drawing in it, or one that cannot be read.
    """
    return inspect_drawings(drawings_in(Path(folder)), progress)


def sheet_findings(inspections: Iterable[SheetInspection]) -> tuple[Finding, ...]:
    """A warning for every violation, and a pass for every check that a sheet keeps, by check and sheet."""
    inspected = tuple(inspections)
    return tuple(
        finding for check in SHEET_CHECKS for inspection in inspected for finding in _of_check(check, inspection)
    )


def _of_check(check: SheetCheck, inspection: SheetInspection) -> Iterator[Finding]:
    violations = [v for v in inspection.violations if v.check == check.name]
    yield from (_fails(check, violation) for violation in violations)
    if not violations:
        message = f"Sheet {inspection.sheet}: {read_page(check).summary}"
        yield Finding(
            check.name,
            Verdict.PASS,
            Severity.WARNING,
            inspection.sheet,
            "sheet",
            message,
            check.source,
            harm=Harm.DRAFTING,
        )


def _fails(check: SheetCheck, violation: Violation) -> Finding:
    where = f"Sheet {violation.sheet}, zone {violation.zone} ({violation.x_mm:g}, {violation.y_mm:g}) mm"
    below = violation.measured < violation.limit
    margin = violation.measured - violation.limit if below else violation.limit - violation.measured
    return Finding(
        check.name, Verdict.FAIL, Severity.WARNING, violation.sheet, "sheet", f"{where}: {violation.message}",
        check.source, violation.measured, violation.limit, check.unit, margin, read_page(check).remedy, harm=Harm.DRAFTING,
    )  # fmt: skip


def with_sheets(checked: Checked, inspections: Iterable[SheetInspection]) -> Checked:
    """A design's findings with those of its sheets among them, acceptances applied to both."""
    site = checked.design.site
    sheets = accept(sheet_findings(inspections), site.acceptances)
    found = [*(f for f in checked.findings if f.rule != ACCEPTANCE_UNUSED), *sheets]
    return replace(checked, findings=tuple(sorted([*found, *unused_acceptances(site, found)], key=by_harm)))
