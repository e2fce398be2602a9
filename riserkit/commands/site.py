"""Commands about a site: start one, take documents into it, check it, explain a door, hand its circuit to another solver."""

from __future__ import annotations

from pathlib import Path

import click

from riserkit.commands.frame import AS_BUILT, AS_JSON, CLEAN, FINDINGS, MAPPING, PLACE, answers, reading_options
from riserkit.errors import visible


@click.command(short_help="Check SITE against every rule and list the findings.")
@click.argument("site", type=PLACE)
@MAPPING
@AS_JSON
@AS_BUILT
@click.option("--all", "everything", is_flag=True, help="Also list what is accepted and what passed.")
@click.option("--door", "doors", multiple=True, metavar="MARK", help="Only findings of this opening. May be repeated.")
@click.option("--level", "levels", multiple=True, metavar="ID", help="Only findings of this level. May be repeated.")
@click.option("--rule", "rules", multiple=True, metavar="NAME", help="Only findings of this rule. May be repeated.")
@click.option("--severity", "least", default="warning", show_default=True,
              type=click.Choice(["error", "warning", "note"]), help="Lowest severity listed.")  # fmt: skip
@click.option(
    "--bcf", type=PLACE, metavar="FILE", help="Write the findings listed to FILE for the building model, as BCF 3.0."
)
@answers
def check(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    site: Path,
    mapping: Path | None,
    as_json: bool,
    as_built: bool,
    everything: bool,
    doors: tuple[str, ...],
    levels: tuple[str, ...],
    rules: tuple[str, ...],
    least: str,
    bcf: Path | None,
) -> int:
    """Check SITE against every rule and write nothing but what --bcf asks for.

    Findings are listed by harm, one block for each opening; what passes is counted. The exit code is that of the
    openings and rules asked for. JSON has all their findings, whatever their severity.
    """
    from riserkit.findings import Severity
    from riserkit.pipeline import check_site
    from riserkit.reports.console import print_findings, progress_bar
    from riserkit.reports.findings import findings_json_parts
    from riserkit.reports.listing import FindingFilter, chosen
    from riserkit.reports.printing import json_text

    if bcf is not None:
        from riserkit.results.bcf_file import bcf_place, model_link, write_bcf

        bcf_place(bcf)
    with progress_bar() as progress:
        checked = check_site(site, reading_options(mapping), progress=progress, as_built=as_built)
    found = chosen(checked.design.site, checked.findings, FindingFilter(doors, rules, levels))
    if bcf is not None:
        stated = checked.design.site
        write_bcf(bcf, stated, found, model_link(site, stated), Severity(least))
    if as_json:
        for part in findings_json_parts(checked.design.site, found):
            click.echo(json_text(part), nl=False)
        click.echo()
    else:
        print_findings(checked.design.site, found, everything=everything, least=Severity(least))
    return FINDINGS if any(f.is_open and f.severity is Severity.ERROR for f in found) else CLEAN


@click.command()
@click.argument("site", type=PLACE)
@click.argument("mark")
@MAPPING
@AS_JSON
@answers
def explain(site: Path, mark: str, mapping: Path | None, as_json: bool) -> int:
    """Say how opening MARK of SITE can be wired, and why.

    Every wiring arrangement considered is listed, with the number that decided; then what the chosen one was proven to do.
    """
    from riserkit.reports.console import print_explanation
    from riserkit.reports.explained import explain_opening, explanation_json
    from riserkit.reports.printing import json_text

    explained = explain_opening(site, mark, reading_options(mapping))
    if as_json:
        click.echo(json_text(explanation_json(explained)))
    else:
        print_explanation(explained)
    return CLEAN if explained.wiring.chosen else FINDINGS


@click.command()
@click.argument("folder", type=PLACE)
@answers
def new(folder: Path) -> int:
    """Write a small starting site into FOLDER, with comments."""
    from riserkit.starter.tables import write_starter

    write_starter(folder)
    click.echo(visible(f"A site of two doors is in {folder}. Next: riserkit build {folder} -o {folder}-drawings"))
    return CLEAN


@click.command()
@click.argument("site", type=PLACE)
@click.argument("mark")
@MAPPING
@click.option("--state", "states", multiple=True, metavar="NAME",
              help="An outside state that is on, for example B1.open. May be repeated.")  # fmt: skip
@click.option("--voltage", default="nominal", show_default=True, type=click.Choice(["nominal", "low", "high"]),
              help="Voltage of the supplies within their tolerance.")  # fmt: skip
@click.option("--conductor-c", default=20.0, show_default=True, help="Temperature of the conductors in °C.")
@answers
def spice(
    site: Path, mark: str, mapping: Path | None, states: tuple[str, ...], voltage: str, conductor_c: float
) -> int:
    """Print the circuit of opening MARK of SITE as a SPICE deck.

    The deck is of one state of the door and prints every voltage, to check them with another solver.
    """
    from riserkit.reports.spice import opening_deck

    click.echo(visible(opening_deck(site, mark, states, voltage, conductor_c, reading_options(mapping))), nl=False)
    return CLEAN


@click.command("import", short_help="Make tables of floor plans, building models and door lists.")
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
