"""A site's page in a folder of its own, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from riserkit.checked import Checked
from riserkit.design import wire_openings
from riserkit.field.about import FieldWork
from riserkit.model.site import Site
from riserkit.page.work import PageWork
from riserkit.page.write import write_page
from riserkit.pipeline import Progress, no_progress, plugin_arrangements, read_to_work, work_out
from riserkit.quantities.printed import upper_first
from riserkit.record.issue import Issue
from riserkit.reports.test_sheet import door_tests
from riserkit.results.build import BuildOptions, kept_work, revised_sheets, set_options
from riserkit.results.folder import CONTENTS, OutputError, own_folder, whole_folder
from riserkit.results.kept_file import write_kept
from riserkit.version import __version__
from riserkit.wiring.values import DoorWiring


@dataclass(frozen=True, slots=True)
class PageOptions:
    """How to write a page.

    Args:
        reading: settings of the input format, such as `mapping`.
        as_built: show what was built, whatever the site's status.
        results: a folder of results whose kept work is used again where nothing it rests on has changed.
    """

    reading: Mapping[str, str] = field(default_factory=dict)
    as_built: bool = False
    results: Path | None = None


def page_site(
    source: Path, output: Path, options: PageOptions | None = None, progress: Progress = no_progress
) -> tuple[Checked, int]:
    """Read, design and check a site, and write its page.

    Args:
        source: where the site stands.
        output: the folder; replaced when all in it is as riserkit wrote it, and it holds no drawings.
        options: see there.
        progress: told of every step.

    Returns:
        The site with its findings, and how many doors have a page.

    Raises:
        RiserkitError: the input has problems, or the folder cannot be written.
    """
    asked = options or PageOptions()
    target, found = own_folder(output)
    if asked.results is not None and not (asked.results / CONTENTS).is_file():
        raise OutputError(f"{asked.results} holds no results of a build; expected a folder that riserkit build wrote")
    # a table of the bench may be taken over from an earlier page, all else from a build too
    kept = kept_work(target, *filter(None, [asked.results]))
    progress("reading", 0, 1)
    site, issues = read_to_work(source, asked.reading, as_built=asked.as_built)
    progress("reading", 1, 1)
    checked = work_out(site, progress=progress, kept=kept)
    work = _work(source, checked, issues)
    with whole_folder(target, None, found) as folder:
        written = write_page(work, folder, progress, target)
        write_kept(folder, kept)
    return checked, written


def _work(source: Path, checked: Checked, issues: Sequence[Issue]) -> PageWork:
    design, tests = checked.design, door_tests(checked.design)
    crew = FieldWork(design, checked.findings, tests, issues)
    changed = {door.mark: ", ".join(crew.revision_of(door).changed) for door in design.doors}
    status = design.site.info.status
    return PageWork(
        design, checked.findings, tests, set_options(source, BuildOptions(), revised_sheets(issues)),
        issue=f"{upper_first(status)}. {crew.revision.words}",
        changed={mark: words for mark, words in changed.items() if words},
        version=f"riserkit {__version__}", judged=_judged(design.site),
    )  # fmt: skip


def _judged(site: Site) -> Mapping[str, DoorWiring]:
    """Every opening's wiring with all candidates judged, which a design need not do."""
    wirings = wire_openings(site, site.openings, plugin_arrangements(), everything=True)
    return {wiring.mark: wiring for wiring in wirings}
