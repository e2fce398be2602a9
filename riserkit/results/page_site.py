"""A site's page in a folder of its own, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from riserkit.page.work import PageWork
from riserkit.page.write import write_page
from riserkit.pipeline import Checked, Progress, no_progress, read_to_work, work_out
from riserkit.reports.test_sheet import door_tests
from riserkit.results.build import DRAWINGS, BuildOptions, kept_proofs, set_options
from riserkit.results.folder import OutputError, look_over, place_of, recover, refuse_to_lose, whole_folder
from riserkit.results.proofs_kept import write_proofs


@dataclass(frozen=True, slots=True)
class PageOptions:
    """How to write a page.

    Args:
        reading: settings of the input format, such as `mapping`.
        as_built: show what was built, whatever the site's status.
    """

    reading: Mapping[str, str] = field(default_factory=dict)
    as_built: bool = False


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
    target = place_of(output)
    recover(target)
    found = look_over(target)
    if any(name.startswith(f"{DRAWINGS}/") for name in found.stats):
        raise OutputError(f"{output} holds drawings, which would be gone; name another folder with -o")
    refuse_to_lose(target, found)
    proofs = kept_proofs(target)
    progress("reading", 0, 1)
    site, _issues = read_to_work(source, asked.reading, as_built=asked.as_built)
    progress("reading", 1, 1)
    checked = work_out(site, progress=progress, record=proofs)
    drawn = set_options(source, BuildOptions(asked.reading), {})
    work = PageWork(checked.design, checked.findings, door_tests(checked.design, proofs), drawn, site.info.status)
    with whole_folder(target, None, found) as folder:
        written = write_page(work, folder, progress)
        write_proofs(folder, proofs)
    return checked, written
