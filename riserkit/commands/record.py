"""Commands about what is on record: issues of the set, and what has changed since."""

from __future__ import annotations

from pathlib import Path

import click

from riserkit.commands.frame import AS_JSON, CLEAN, FINDINGS, MAPPING, PLACE, answers, reading_options
from riserkit.errors import visible


@click.command()
@click.argument("site", type=PLACE)
@click.option("--with", "revision", metavar="LETTER", help="Revision to compare with; the last issued when left out.")
@MAPPING
@AS_JSON
@answers
def compare(site: Path, revision: str | None, mapping: Path | None, as_json: bool) -> int:
    """List what has changed in SITE since it was issued: was and is.

    Openings, wiring, cables, conductors, ports, parts, lengths and findings. The exit code is 1 where anything differs.
    """
    from riserkit.reports.comparison import comparison_json, comparison_lines
    from riserkit.reports.console import progress_bar
    from riserkit.reports.printing import json_text
    from riserkit.results.issue import compare_site

    with progress_bar() as progress:
        issue, difference = compare_site(site, revision, reading_options(mapping), progress)
    if as_json:
        click.echo(json_text(comparison_json(issue, difference)))
    else:
        for line in comparison_lines(issue, difference):
            click.echo(visible(line))
    return FINDINGS if difference else CLEAN
