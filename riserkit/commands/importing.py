"""The command that takes documents into a site."""

from __future__ import annotations

from pathlib import Path

import click

from riserkit.commands.frame import AS_JSON, CLEAN, FINDINGS, PLACE, answers


@click.command("import")
@click.argument("sources", type=PLACE, nargs=-1, required=True)
@click.option("--into", "site", type=PLACE, required=True, help="Folder of tables, new or of an earlier import.")
@click.option("--dry-run", is_flag=True, help="Say what would change; write nothing.")
@click.option("--propose", is_flag=True, help="Write only a first draft of SITE/import.toml, with what was guessed.")
@AS_JSON
@answers
def import_(sources: tuple[Path, ...], site: Path, dry_run: bool, propose: bool, as_json: bool) -> int:
    """Import SOURCES (floor plans, building models, door lists) into the tables of a site.

    What the user changed in the tables stays. The exit code is 1 while anything waits for an answer.
    """
    from riserkit.errors import visible
    from riserkit.reports.importing import print_import
    from riserkit.results.import_site import import_documents, reading_problems, report_json

    done = import_documents(sources, site, dry_run=dry_run, propose=propose)
    if propose:
        click.echo(visible(done.settings_draft if dry_run else f"Written: {site / 'import.toml'}"))
        return CLEAN
    if as_json:
        click.echo(visible(report_json(done.lines)), nl=False)
    else:
        print_import(done.lines, done.files, site, () if dry_run else reading_problems(site), dry_run=dry_run)
    return FINDINGS if done.is_open else CLEAN
