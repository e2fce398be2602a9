"""Builds everything for a site: checked, drawn, listed, and put in place whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from riserkit.checked import Checked
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.revisions.values import SheetRevisions, new_lines
from riserkit.drawings.set.ahead import DrawnAhead
from riserkit.drawings.set.content import set_content
from riserkit.drawings.set.plan import Details, SetOptions, own_sheets
from riserkit.drawings.set.reuse import EarlierSet
from riserkit.drawings.set.write import SetResult, write_set
from riserkit.errors import RiserkitError
from riserkit.findings import Finding
from riserkit.kept import KeptWork
from riserkit.model.site import Site
from riserkit.pipeline import AS_BUILT, BLOCKS, Progress, no_progress, read_to_work, work_out
from riserkit.plugin.code import code_digest
from riserkit.plugin.failures import failure_findings
from riserkit.plugin.files import write_plugin_files
from riserkit.plugin.manager import installed_plugins
from riserkit.plugin.read import folder_of
from riserkit.record.facts import as_recorded
from riserkit.record.history import clouded, deltas, lines_of
from riserkit.record.issue import Issue
from riserkit.reports.findings import findings_json_parts, findings_table
from riserkit.reports.materials.facts import design_facts
from riserkit.reports.schedules.site import issued_labels_table, schedule_words
from riserkit.reports.table import ReportTable, to_csv
from riserkit.reports.test_sheet import door_tests
from riserkit.results.folder import DRAWINGS, Found, WrittenFiles, looked_over, place_of, whole_folder
from riserkit.results.inspect import inspect_results, with_sheets
from riserkit.results.keep_edits import (
    REPORT,
    Rebuilt,
    carry_over,
    earlier_set,
    enter_sheets,
    gone_sheets,
    notes_table,
    rebuild_json,
    rebuild_table,
)
from riserkit.results.kept_file import read_kept, write_kept
from riserkit.results.not_drawn import not_drawn_findings
from riserkit.results.photographs import write_photographs
from riserkit.results.site_tables import sheet_tables, site_tables

# What goes with papers, photographs and building models is loaded for builds that write some: a fifth of what all builds load.
if TYPE_CHECKING:
    from riserkit.reports.bcf import ModelLink
    from riserkit.results.field import FieldFiles

SCHEDULES: Final = "schedules"
BCF: Final = "findings.bcf"


@dataclass(frozen=True, slots=True)
class BuildOptions:
    """How to build.

    Args:
        reading: settings of the input format, such as `mapping`.
        dxf_version: R2010, R2013 or R2018.
        prints: any of `pdf`, `png`, `svg`, or `overview`: a PDF of cover, plans and riser.
        blocks: a folder of blocks that goes before the site's own `blocks` folder and the shipped ones.
        keep_edits: build into results that a drafter has edited, keeping all edits.
        details: a detail sheet for each opening, one for all wired alike (`typical`), or both.
        doors: marks of the openings that have sheets of their own; empty for all that `details` gives one.
        field: write papers for the crew and the workbook too.
        as_built: show what was built, whatever the site's status.
        bcf: write the findings for the building model too.
    """

    reading: Mapping[str, str] = field(default_factory=dict)
    dxf_version: str = "R2018"
    prints: tuple[str, ...] = ()
    blocks: Path | None = None
    keep_edits: bool = False
    details: Details = "both"
    doors: tuple[str, ...] = ()
    field: bool = False
    as_built: bool = False
    bcf: bool = False


@dataclass(frozen=True, slots=True)
class Built:
    """What was built.

    `first`: the file to open first, a print where there is one; `not_drawn`: sheets that failed; `gone`: sheets of the
    earlier results that are no more; `papers`: those for the crew, where they were asked for.
    """

    checked: Checked
    sheets: int
    tables: int
    rebuilt: Rebuilt | None = None
    first: Path | None = None
    not_drawn: int = 0
    gone: tuple[str, ...] = ()
    papers: FieldFiles | None = None


def build_site(
    source: Site | Path | str, output: Path | str, options: BuildOptions | None = None, progress: Progress = no_progress
) -> Built:
    """Read, design, check and write everything into `output`.

    Args:
        source: a site, or where it stands.
        output: the folder of results; replaced when all in it is as riserkit wrote it, or edits are to be kept.
            Sheets drawn from the same as before are taken over from it.
        options: see there.
        progress: told of every step.

    Raises:
        RiserkitError: the input has problems, something cannot be drawn as asked, or the folder cannot be written.
    """
    asked = options or BuildOptions()
    target, found = looked_over(output, keeps_foreign=asked.keep_edits)
    kept = kept_work(target)
    progress("reading", 0, 1)
    site, issues = (
        (source, ()) if isinstance(source, Site) else read_to_work(source, asked.reading, as_built=asked.as_built)
    )
    progress("reading", 1, 1)
    checked = _not_issued(work_out(site, progress=progress, kept=kept), issues)
    drawn = set_options(None if isinstance(source, Site) else Path(source), asked, revised_sheets(issues))
    if site.as_built is not None and issues and issues[-1].purpose != AS_BUILT:
        drawn = replace(drawn, revised=_since(issues, checked, drawn, progress))
    photos = None if isinstance(source, Site) else _photos(Path(source), site)
    model = _model(source, site) if asked.bcf else None
    return _build(checked, target, found, Wanted(asked, drawn, issues, photos, model=model), progress)


def _photos(source: Path, site: Site) -> Path | None:
    """Where photographs of what was built are kept; None where nothing was."""
    if site.as_built is None:
        return None
    from riserkit.record.photos import photos_folder  # noqa: PLC0415 - loads the library of pictures

    return photos_folder(source)


def _model(source: Site | Path | str, site: Site) -> ModelLink:
    from riserkit.reports.bcf import ModelLink  # noqa: PLC0415
    from riserkit.results.bcf_file import model_link  # noqa: PLC0415 - loads what imports documents

    return ModelLink() if isinstance(source, Site) else model_link(Path(source), site)


def _not_issued(checked: Checked, issues: Sequence[Issue]) -> Checked:
    """The site, said to have changed since the last issue where it has: its sheets must not pass for those that went out."""
    if not issues:
        return checked
    last, site = issues[-1], checked.design.site
    is_other_kind = site.as_built is not None and last.purpose != AS_BUILT
    if not is_other_kind:
        facts = design_facts(checked.design, checked.findings)
        if as_recorded(last.facts, facts) == facts:
            return checked
    site = site.model_copy(update={"changed_since": last.revision})
    return replace(checked, design=replace(checked.design, site=site))


def _since(
    issues: Sequence[Issue], checked: Checked, drawn: SetOptions, progress: Progress
) -> Mapping[str, SheetRevisions]:
    """What is clouded on sheets as built that have not been issued so: all that differs from the last issue."""
    plain, _ = with_tables(checked, replace(drawn, revised={}))
    was, marked = lines_of(issues[-1]), deltas(issues)
    return {
        sheet.sheet_id: SheetRevisions(new_lines(was, sheet.content), marked.get(sheet.sheet_id, ()))
        for sheet in set_content(checked, plain, progress)
    }


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is written of a site that is worked out.

    Args:
        options: of the build; reading, prints and blocks have gone into `drawn`.
        drawn: what is asked of the drawings.
        issues: on record, the first issued first; papers for the crew state their revision.
        photos: where photographs of the site are kept.
        more: writes further files into the new folder before it is put in place.
        model: what of the site came from a building model, where findings are to be written for it.
        tables: every table of the site, where `drawn` has been given those that it draws; made when left out.
        ahead: sheets that are drawn already, by identification.
    """

    options: BuildOptions
    drawn: SetOptions
    issues: Sequence[Issue] = ()
    photos: Path | None = None
    more: Callable[[Path], None] = lambda _: None
    model: ModelLink | None = None
    tables: tuple[ReportTable, ...] = ()
    ahead: Mapping[str, DrawnAhead] = field(default_factory=dict)


def build_checked(
    checked: Checked, output: Path | str, wanted: Wanted, progress: Progress = no_progress, found: Found | None = None
) -> Built:
    """Write everything of a site that is worked out and checked.

    Args:
        checked: the site.
        output: the folder of results, as `build_site` has it.
        wanted: see there.
        progress: told of every step.
        found: the folder as it was looked over before; looked over now when left out.

    Raises:
        RiserkitError: something cannot be drawn as asked, or the folder cannot be written.
    """
    if found is None:
        _, found = looked_over(output, keeps_foreign=wanted.options.keep_edits)
    return _build(checked, place_of(Path(output)), found, wanted, progress)


def kept_work(*outputs: Path | str) -> KeptWork:
    """What was worked out for folders of results, to be used again where nothing it rests on has changed."""
    return read_kept(tuple(place_of(Path(output)) for output in outputs), code_digest(installed_plugins()))


def _build(checked: Checked, target: Path, found: Found, asked: Wanted, progress: Progress) -> Built:
    keeps_edits = asked.options.keep_edits
    drawn, tables = (asked.drawn, asked.tables) if asked.tables else with_tables(checked, asked.drawn)
    ledger, rebuilt, papers = WrittenFiles(), None, None
    earlier = earlier_set(target, found, DRAWINGS, keeps_gone=keeps_edits)
    with whole_folder(target, ledger, found, keeps_foreign=keeps_edits) as folder:
        written = _draw(checked, folder, drawn, progress, earlier, asked.ahead)
        enter_sheets(ledger, found, written, folder)
        inspections = inspect_results(written.inspections, folder, checked.design.kept, progress, ledger.digests)
        of_design = checked.findings
        checked = with_sheets(checked, inspections)
        checked = replace(checked, findings=(*not_drawn_findings(written), *checked.findings))
        checked = _with_plugin_files(checked, folder)
        tables = _with_sheets(tables, checked, written)
        listed = _list(checked, tables, folder)
        if asked.options.field:
            papers = _write_papers(checked, of_design, folder, replace(asked, drawn=drawn), tables, progress)
        write_photographs(checked, folder, asked.issues, asked.photos)
        if asked.model is not None:
            from riserkit.results.bcf_file import write_bcf  # noqa: PLC0415 - loads what imports documents

            write_bcf(folder / BCF, checked.design.site, checked.findings, asked.model)
        write_kept(folder, checked.design.kept)
        asked.more(folder)
        if keeps_edits:
            rebuilt = carry_over(target, found, folder, written, ledger, DRAWINGS)
            _report(rebuilt, folder)
    first = written.pdf or next((sheet.path for sheet in written.sheets), None)
    shown = target / first.relative_to(folder) if first else None
    failed = sum(bool(s.failed) for s in written.sheets)
    return Built(
        checked, len(written.sheets), listed, rebuilt, shown, failed, gone_sheets(found, written, DRAWINGS), papers
    )


def _write_papers(
    checked: Checked,
    of_design: Sequence[Finding],
    folder: Path,
    asked: Wanted,
    tables: Sequence[ReportTable],
    progress: Progress,
) -> FieldFiles:
    """Papers for the crew; `of_design` are the findings without those of the drawings."""
    from riserkit.field.about import FieldWork  # noqa: PLC0415
    from riserkit.results.field import write_field  # noqa: PLC0415 - loads all papers and the workbook

    drawn = asked.drawn
    blocks = drawn.info.block_folders
    work = FieldWork(checked.design, checked.findings, drawn.tests, asked.issues, blocks, of_design)
    return write_field(work, folder, tables, progress=progress)


def with_tables(checked: Checked, drawn: SetOptions) -> tuple[SetOptions, tuple[ReportTable, ...]]:
    """What is asked of the drawings, with the schedules and test sheets that stand on them; and every table of the site."""
    tests = door_tests(checked.design)
    tables = site_tables(checked, tests)
    own, words = own_sheets(checked.design, drawn), schedule_words(checked.design)
    return replace(drawn, tests=tests, tables=sheet_tables(tables, own, words)), tables


def revised_sheets(issues: Sequence[Issue]) -> Mapping[str, SheetRevisions]:
    """What is clouded and marked with deltas on the sheets of a set with these issues."""
    clouds, marked = clouded(issues), deltas(issues)
    return {number: SheetRevisions(clouds.get(number, {}), marked.get(number, ())) for number in marked}


def _with_sheets(tables: Sequence[ReportTable], checked: Checked, written: SetResult) -> tuple[ReportTable, ...]:
    """The tables, with the numbers of sheets on record beside the labels."""
    sheets = {sheet.on_record: sheet.sheet_id for sheet in written.sheets if sheet.on_record}
    record = issued_labels_table(checked.design, sheets)
    return tuple(record if table.name == record.name else table for table in tables)


def _with_plugin_files(checked: Checked, folder: Path) -> Checked:
    """Write the files of plugins; what one of them failed at is among the findings too."""
    plugins = installed_plugins()
    before = set(failure_findings(plugins.log))
    write_plugin_files(plugins, checked.design, checked.findings, folder)
    failed = [finding for finding in failure_findings(plugins.log) if finding not in before]
    return replace(checked, findings=(*checked.findings, *failed)) if failed else checked


def _report(rebuilt: Rebuilt, folder: Path) -> None:
    for table in (rebuild_table(rebuilt), notes_table(rebuilt)):
        write_table(folder, table)
    (folder / f"{REPORT}.json").write_text(rebuild_json(rebuilt) + "\n", "utf-8")


def set_options(path: Path | None, asked: BuildOptions, revised: Mapping[str, SheetRevisions]) -> SetOptions:
    """What is asked of the drawings.

    Args:
        path: where the site stands, for its own blocks.
        asked: of the build.
        revised: what is clouded and marked with deltas, by sheet.

    Raises:
        RiserkitError: there is no such folder of blocks.
    """
    return SetOptions(
        revised=revised,
        doors=asked.doors or True,
        details=asked.details,
        info=DrawingInfo(
            dxf_version=asked.dxf_version,
            block_folders=_block_folders(path, asked.blocks),
            background_folder=folder_of(path) if path is not None else None,
        ),
        svg="svg" in asked.prints,
        png="png" in asked.prints,
        pdf="pdf" in asked.prints,
        overview="overview" in asked.prints,
        inspects=True,
        code=code_digest(installed_plugins()),
    )


def _block_folders(path: Path | None, asked: Path | None) -> tuple[Path, ...]:
    folders = []
    if asked is not None:
        if not asked.is_dir():
            raise RiserkitError(f"--blocks {asked}: there is no such folder; expected one with DXF files of blocks")
        folders.append(asked)
    if path is not None and (path / BLOCKS).is_dir():
        folders.append(path / BLOCKS)
    return tuple(folders)


def _draw(
    checked: Checked, folder: Path, options: SetOptions, progress: Progress, earlier: EarlierSet,
    ahead: Mapping[str, DrawnAhead],
) -> SetResult:  # fmt: skip
    drawings = folder / DRAWINGS
    drawings.mkdir()
    return write_set(checked, drawings, options, progress, earlier, ahead)


def _list(checked: Checked, tables: Sequence[ReportTable], folder: Path) -> int:
    design, findings = checked.design, checked.findings
    schedules = folder / SCHEDULES
    schedules.mkdir()
    for table in tables:
        write_table(schedules, table)
    findings_list = findings_table(findings)
    write_table(folder, findings_list)
    with (folder / "findings.json").open("w", encoding="utf-8") as stream:
        stream.writelines(findings_json_parts(design.site, findings))
        stream.write("\n")
    return len(tables) + 1


def write_table(folder: Path, table: ReportTable) -> None:
    """Write a table as CSV under its own name."""
    with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as stream:
        stream.write(to_csv(table))
