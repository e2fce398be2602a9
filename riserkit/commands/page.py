"""Commands that write pages for a browser."""

from __future__ import annotations

from pathlib import Path

import click

from riserkit.commands.frame import AS_BUILT, CLEAN, FINDINGS, MAPPING, PLACE, answers, reading_options
from riserkit.errors import RiserkitError


@click.command(short_help="Write a page of SITE for a browser: plans, findings, doors.")
@click.argument("site", type=PLACE)
@click.option("-o", "--output", type=PLACE, required=True, help="Folder for the page, new or of an earlier run.")
@MAPPING
@AS_BUILT
@click.option("--results", type=PLACE, help="Folder of a build of SITE: what it has proven is not worked out again.")
@answers
def page(site: Path, output: Path, mapping: Path | None, as_built: bool, results: Path | None) -> int:
    """Write a page of SITE for a browser: plans, riser, findings, every door. It opens from disk, offline.

    All of it appears, or none. Open index.html in the folder.
    """
    from riserkit.commands.written import print_page
    from riserkit.reports.console import progress_bar
    from riserkit.results.page_site import PageOptions, page_site

    with progress_bar() as progress:
        asked = PageOptions(reading_options(mapping), as_built, results)
        checked, doors = page_site(site, output, asked, progress)
    print_page(doors, output)
    return FINDINGS if checked.open_errors else CLEAN


@click.command(short_help="Write every wiring arrangement as sheets, without a site.")
@click.option("-o", "--output", type=PLACE, required=True, help="Folder for the set, new or of an earlier run.")
@click.option("--arrangement", "names", multiple=True, metavar="NAME",
              help="Only this arrangement, see riserkit arrangements. May be repeated.")  # fmt: skip
@click.option("--pdf", is_flag=True, help="Also one PDF of all sheets.")
@answers
def reference(output: Path, names: tuple[str, ...], pdf: bool) -> int:
    """Write every wiring arrangement with its variants, without a site, on shipped generic parts: sheets and pages.

    For reference, not for construction at a particular door. What an arrangement cannot serve is listed with why.
    """
    from riserkit.commands.written import print_reference
    from riserkit.reference.write import write_reference
    from riserkit.reports.console import progress_bar

    with progress_bar() as progress:
        made, sheets = write_reference(output, names, pdf=pdf, progress=progress)
    print_reference(len(made.arrangements), sum(one.is_sound for one in made.judged), sheets, output)
    return CLEAN


@click.command(short_help="Write lessons to be printed: a complaint, a fault to find.")
@click.argument("site", type=PLACE, required=False)
@click.option("--reference", "of_reference", is_flag=True, help="Of reference doors, in place of a SITE.")
@click.option("-o", "--output", type=PLACE, required=True, help="Folder for the lessons, new or of an earlier run.")
@click.option("-n", "--count", type=click.IntRange(1, 500), default=20, show_default=True, help="How many.")
@click.option(
    "--seed", type=click.IntRange(min=0), default=1, show_default=True, help="The same number, the same lessons."
)
@MAPPING
@answers
def lesson(site: Path | None, of_reference: bool, output: Path, count: int, seed: int, mapping: Path | None) -> int:
    """Write lessons for the doors of SITE, to be printed: a complaint each, a fault to be found, the answers apart.

    With --reference for doors of the reference set, under the marks that riserkit reference gives them.
    """
    from riserkit.commands.written import print_lessons
    from riserkit.reports.console import progress_bar

    if (site is None) is not of_reference:
        raise RiserkitError("state a SITE, or --reference in its place")
    if site is None:
        from riserkit.reference.lessons import lesson_reference

        with progress_bar() as progress:
            lessons = lesson_reference(output, count, seed, progress)
    else:
        from riserkit.results.lesson_site import lesson_site

        lessons = lesson_site(site, output, count, seed, reading_options(mapping))
    print_lessons(lessons, output)
    return CLEAN
