"""Commands about what is on record: issues of the set, and what has changed since."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from riserkit.commands.frame import AS_BUILT, AS_JSON, CLEAN, FIELD, FINDINGS, MAPPING, PLACE, answers, reading_options
from riserkit.errors import visible


@click.command(short_help="List what has changed in SITE since an issue: was and is.")
@click.argument("site", type=PLACE)
@click.option("--with", "revision", metavar="LETTER", help="Revision to compare with; the last issued when left out.")
@MAPPING
@AS_JSON
@AS_BUILT
@answers
def compare(site: Path, revision: str | None, mapping: Path | None, as_json: bool, as_built: bool) -> int:
    """List what has changed in SITE since it was issued: was and is.

    Openings, wiring, cables, conductors, ports, parts, lengths and findings. The exit code is 1 where anything differs.
    """
    from riserkit.reports.comparison import comparison_json, comparison_lines
    from riserkit.reports.console import progress_bar
    from riserkit.reports.printing import json_text
    from riserkit.results.issue import compare_site

    with progress_bar() as progress:
        found = compare_site(site, revision, reading_options(mapping), progress, as_built=as_built)
    if as_json:
        click.echo(json_text(comparison_json(found.issue, found.difference)))
    else:
        for line in comparison_lines(found.issue, found.difference, found.unit_system):
            click.echo(visible(line))
    return FINDINGS if found.difference else CLEAN


@click.command(short_help="Issue SITE: build the set, cloud what changed, record it.")
@click.argument("site", type=PLACE)
@click.option(
    "-o", "--output", type=PLACE, required=True, help="Folder for the issued set, new or of an earlier build."
)
@click.option("--revision", required=True, metavar="LETTER", help="A, B, C and on; without I, O, Q, S, X and Z.")
@click.option(
    "--date", required=True, type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help="Date of the issue."
)
@click.option("--for", "purpose", required=True, type=click.Choice(["approval", "construction", "as-built"]),
              help="What the set may be used for; printed on every sheet.")  # fmt: skip
@click.option("--by", "name", required=True, metavar="NAME", help="Who issues it.")
@click.option("--note", default="", metavar="TEXT", help="What it is about, for the table of revisions.")
@click.option(
    "--keep-edits", is_flag=True, help="Issue into hand-edited results; edits, additions and deletions are kept."
)
@click.option("--prints", multiple=True, default=("pdf",), show_default=True,
              type=click.Choice(["overview", "pdf", "png", "svg", "none"]), help="As for build.")  # fmt: skip
@FIELD
@MAPPING
@answers
def issue(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    site: Path,
    output: Path,
    revision: str,
    date: datetime,
    purpose: str,
    name: str,
    note: str,
    keep_edits: bool,
    prints: tuple[str, ...],
    field: bool,
    mapping: Path | None,
) -> int:
    """Issue SITE: build the set, cloud what changed since the last issue, and put the issue on record.

    Only sheets that changed take the new revision. The record stands in SITE/issues and is kept with the site.
    """
    from riserkit.commands.written import print_build
    from riserkit.reports.console import progress_bar
    from riserkit.reports.register import issue_lines
    from riserkit.results.build import BuildOptions
    from riserkit.results.issue import NewIssue, issue_site

    status = {"approval": "for approval", "construction": "for construction", "as-built": "as built"}[purpose]
    new = NewIssue(revision, date.date(), status, name, note)  # type: ignore[arg-type]
    with progress_bar() as progress:
        asked = BuildOptions(reading_options(mapping), prints=prints, keep_edits=keep_edits, field=field)
        issued = issue_site(site, output, new, asked, progress)
    print_build(issued.built, output)
    for line in issue_lines(issued.issue, issued.record):
        click.echo(visible(line))
    return FINDINGS if issued.built.checked.open_errors else CLEAN


@click.command("return", short_help="Take what a crew brings back of SITE and put it on record.")
@click.argument("site", type=PLACE)
@click.argument("files", type=PLACE, nargs=-1, required=True)
@click.option("--by", default="", metavar="NAME", help="Who filled in the files, where they do not say.")
@click.option("--date", default="", metavar="YYYY-MM-DD", help="When, where they do not say.")
@click.option("--instrument", default="", metavar="TEXT", help="With which instrument, where they do not say.")
@click.option("--take", multiple=True, metavar="FILE",
              help="Where files disagree, or one differs from what is on record, this one holds. May be repeated.")  # fmt: skip
@click.option("--photos", multiple=True, type=PLACE, metavar="FOLDER",
              help="Where photographs are, when they are not beside the files. May be repeated.")  # fmt: skip
@MAPPING
@answers
def return_(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    site: Path,
    files: tuple[Path, ...],
    by: str,
    date: str,
    instrument: str,
    take: tuple[str, ...],
    photos: tuple[Path, ...],
    mapping: Path | None,
) -> int:
    """Take what a crew brings back of SITE: workbooks (.xlsx) or tables (.csv), FILES, filled in on site.

    Lengths, cable tests, readings, landings, devices, ports, doors not done and photographs. Every row is checked, and
    nothing is taken while one is wrong or two disagree. The record stands in SITE/as-built; the design stays as it is.
    """
    from riserkit.record.returned_rows import Who
    from riserkit.reports.console import progress_bar
    from riserkit.reports.returned import return_lines
    from riserkit.results.return_site import ReturnOptions, return_site

    names = tuple(Path(name).name for name in take)
    with progress_bar() as progress:
        asked = ReturnOptions(reading_options(mapping), Who(by, date, instrument), names, photos)
        taken = return_site(site, files, asked, progress)
    for line in return_lines(taken):
        click.echo(visible(line))
    return FINDINGS if taken.questions else CLEAN
