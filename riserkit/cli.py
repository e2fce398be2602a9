"""The commands. Each parses, calls one library function, prints, and exits 0 (clean), 1 (findings) or 2 (wrong use).

A command that is stopped exits with 128 and the signal's number, as shells have it. Nothing heavy is imported before a command needs it.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Literal, ParamSpec

import click

from riserkit import __version__
from riserkit.errors import RiserkitError
from riserkit.stopping import exit_code, stoppable

P = ParamSpec("P")
CLEAN, FINDINGS, WRONG_USE = 0, 1, 2


class _Place(click.Path):
    """A file or folder. Empty text, as an unset variable of a shell gives it, would mean the current folder."""

    name = "path"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """The path as stated."""
        if value == "":
            self.fail("expected a name; this is empty", param, ctx)
        return Path(str(super().convert(value, param, ctx)))  # type: ignore[arg-type]


_PLACE = _Place()


def _answers(command: Callable[P, int]) -> Callable[P, None]:
    """Turn a command's result into an exit code, and a mistake of the user's into one readable error."""

    @wraps(command)
    def run(*args: P.args, **named: P.kwargs) -> None:
        try:
            with stoppable():
                code = command(*args, **named)
                _flush()
        except RiserkitError as error:
            click.echo(f"riserkit: {error}", err=True)
            code = WRONG_USE
        except BrokenPipeError:
            # The reader of our output has gone, as with `| head`: nobody is left to be told.
            sys.stdout = None
            code = CLEAN
        except OSError as error:
            # Such as a full disk under the text that we print; what the disk did not take is not tried again.
            sys.stdout = None
            at = f" ({error.filename})" if error.filename else ""
            click.echo(f"riserkit: cannot go on: {error.strerror or error}{at}", err=True)
            code = WRONG_USE
        except KeyboardInterrupt as stop:
            click.echo("riserkit: stopped before the end", err=True)
            code = exit_code(stop)
        sys.exit(code)

    return run


def _flush() -> None:
    """Fail here, where it can be told, and not while Python ends."""
    if sys.stdout is not None:
        sys.stdout.flush()


def _options(mapping: Path | None) -> dict[str, str]:
    reader = click.get_current_context().meta.get("reader", "")
    return ({"mapping": str(mapping)} if mapping else {}) | ({"reader": reader} if reader else {})


_READER = click.option(
    "--reader", metavar="PLUGIN", expose_value=False,
    callback=lambda ctx, _, value: ctx.meta.update(reader=value or ""),
    help="The plugin to read SITE with, where two would.",
)  # fmt: skip
_ONLY_MAPPING = click.option(
    "--mapping",
    type=_PLACE,
    help="Mapping file for tables with column names of their own; mapping.toml in SITE if left out.",
)


def _MAPPING(command: Callable[..., None]) -> Callable[..., None]:  # noqa: N802 - stands among the other options
    """The options of reading: mapping file and reader."""
    return _ONLY_MAPPING(_READER(command))


_AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for machines.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="riserkit")
def main() -> None:
    """Turn a list of doors and a building into drawings that a field crew can build from, checked first.

    SITE is a folder of CSV tables or one JSON document. To begin: riserkit new FOLDER.

    Exit codes: 0 no open errors, 1 open errors, 2 wrong use or input that cannot be read.
    """
    # What the drawing library has to say goes to whoever sets up logging; without that it would print to the terminal.
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@main.command()
@click.argument("site", type=_PLACE)
@click.option(
    "-o", "--output", type=_PLACE, required=True, help="Folder for the results: a new one, or one of an earlier build."
)
@_MAPPING
@click.option("--dxf", "dxf_version", default="R2018", show_default=True,
              type=click.Choice(["R2010", "R2013", "R2018"]), help="DXF version of the drawings.")  # fmt: skip
@click.option(
    "--prints",
    multiple=True,
    type=click.Choice(["pdf", "png", "svg"]),
    help="Also print the sheets; pdf is one file, set.pdf. May be repeated.",
)
@click.option(
    "--blocks",
    type=_PLACE,
    help="Folder of blocks (NAME.dxf) that go before the shipped ones and those in SITE/blocks.",
)
@click.option(
    "--keep-edits", is_flag=True, help="Build into results edited by hand; edits, additions and deletions stay."
)
@click.option("--details", default="both", show_default=True, type=click.Choice(["each", "typical", "both"]),
              help="A detail sheet for each opening, one for all wired alike, or both.")  # fmt: skip
@click.option("--door", "doors", multiple=True, metavar="MARK",
              help="An opening that has a sheet of its own; others have none. May be repeated.")  # fmt: skip
@_answers
def build(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    site: Path,
    output: Path,
    mapping: Path | None,
    dxf_version: str,
    prints: tuple[str, ...],
    blocks: Path | None,
    keep_edits: bool,
    details: Literal["each", "typical", "both"],
    doors: tuple[str, ...],
) -> int:
    """Check SITE and write everything: drawings, schedules, findings. All of it appears, or none."""
    from riserkit.building import BuildOptions, build_site
    from riserkit.reports.console import print_build, progress_bar

    with progress_bar() as progress:
        asked = BuildOptions(_options(mapping), dxf_version, prints, blocks, keep_edits, details, doors)
        built = build_site(site, output, asked, progress)
    print_build(built, output)
    return FINDINGS if built.checked.open_errors else CLEAN


@main.command()
@click.argument("site", type=_PLACE)
@_MAPPING
@_AS_JSON
@click.option("--all", "everything", is_flag=True, help="Also list what is accepted and what passed.")
@click.option(
    "--door", "doors", multiple=True, metavar="MARK", help="Only what is about this opening. May be repeated."
)
@click.option("--level", "levels", multiple=True, metavar="ID", help="Only openings of this level. May be repeated.")
@click.option("--rule", "rules", multiple=True, metavar="NAME", help="Only this rule. May be repeated.")
@click.option("--severity", "least", default="warning", show_default=True,
              type=click.Choice(["error", "warning", "note"]), help="The least severity that is listed.")  # fmt: skip
@_answers
def check(  # noqa: PLR0913, PLR0917 - one parameter for each option of the command
    site: Path,
    mapping: Path | None,
    as_json: bool,
    everything: bool,
    doors: tuple[str, ...],
    levels: tuple[str, ...],
    rules: tuple[str, ...],
    least: str,
) -> int:
    """Check SITE against every rule and write nothing.

    Findings are listed by harm, one block for each opening; what passes is counted. The exit code is that of the
    openings and rules asked for. JSON has all their findings, whatever their severity.
    """
    from riserkit.findings import Severity
    from riserkit.pipeline import check_site
    from riserkit.reports.console import print_findings
    from riserkit.reports.findings import findings_json_parts
    from riserkit.reports.listing import Choice, chosen

    checked = check_site(site, _options(mapping))
    found = chosen(checked.design.site, checked.findings, Choice(doors, rules, levels))
    if as_json:
        for part in findings_json_parts(checked.design.site, found):
            click.echo(part, nl=False)
        click.echo()
    else:
        print_findings(checked.design.site, found, everything=everything, least=Severity(least))
    return FINDINGS if any(f.is_open and f.severity is Severity.ERROR for f in found) else CLEAN


@main.command()
@click.argument("site", type=_PLACE)
@click.argument("mark")
@_MAPPING
@_AS_JSON
@_answers
def explain(site: Path, mark: str, mapping: Path | None, as_json: bool) -> int:
    """Say how opening MARK of SITE can be wired, and why.

    Every wiring arrangement considered is listed, with the number that decided; then what the chosen one was proven to do.
    """
    from riserkit.explaining import explain_opening
    from riserkit.reports.console import print_explanation
    from riserkit.reports.explanation import explanation_json

    explained = explain_opening(site, mark, _options(mapping))
    if as_json:
        click.echo(explanation_json(explained))
    else:
        print_explanation(explained)
    return CLEAN if explained.wiring.chosen else FINDINGS


@main.command()
@click.argument("folder", type=_PLACE)
@_AS_JSON
@_answers
def inspect(folder: Path, as_json: bool) -> int:
    """Say what on the drawings in FOLDER is not legible.

    FOLDER is one of results, or any with DXF drawings, edited by hand or not.
    """
    from riserkit.inspecting import inspect_folder
    from riserkit.reports.console import progress_bar
    from riserkit.reports.inspection import inspection_json, print_inspection

    with progress_bar() as progress:
        inspections = inspect_folder(folder, progress)
    if as_json:
        click.echo(inspection_json(inspections))
    else:
        print_inspection(inspections)
    return FINDINGS if any(inspection.violations for inspection in inspections) else CLEAN


@main.command()
@click.argument("folder", type=_PLACE)
@_answers
def new(folder: Path) -> int:
    """Write a small starting site into FOLDER, with comments."""
    from riserkit.starter import write_starter

    write_starter(folder)
    click.echo(f"A site of two doors is in {folder}. Next: riserkit build {folder} -o {folder}-drawings")
    return CLEAN


@main.command()
@click.argument("name", required=False)
@_AS_JSON
@_answers
def rules(name: str | None, as_json: bool) -> int:
    """List the rules, or print the page of the rule NAME."""
    from riserkit.pipeline import plugin_rules
    from riserkit.reports.rules import print_rules

    return CLEAN if print_rules(plugin_rules(), name, as_json=as_json) else WRONG_USE


@main.command()
@click.argument("site", type=_PLACE, required=False)
@_MAPPING
@_AS_JSON
@_answers
def parts(site: Path | None, mapping: Path | None, as_json: bool) -> int:
    """List the parts, and which values they lack.

    Those shipped, or with SITE all that this site may use.
    """
    from riserkit.reports.parts import print_parts

    print_parts(site, _options(mapping), as_json=as_json)
    return CLEAN


@main.command()
@click.argument("site", type=_PLACE, required=False)
@_MAPPING
@_AS_JSON
@_answers
def cables(site: Path | None, mapping: Path | None, as_json: bool) -> int:
    """List the cable types.

    Those shipped, or with SITE all that this site may use.
    """
    from riserkit.reports.cables import print_cables

    print_cables(site, _options(mapping), as_json=as_json)
    return CLEAN


@main.command()
@_AS_JSON
@_answers
def arrangements(as_json: bool) -> int:
    """List the wiring arrangements that an opening may have."""
    from riserkit.reports.arrangements import print_arrangements

    print_arrangements(as_json=as_json)
    return CLEAN


@main.command()
@_AS_JSON
@_answers
def plugins(as_json: bool) -> int:
    """List the plugins, what each brings, and what was left out."""
    from riserkit.reports.plugins import print_plugins

    return FINDINGS if print_plugins(as_json=as_json) else CLEAN


@main.command()
@click.argument("site", type=_PLACE)
@click.argument("mark")
@_MAPPING
@click.option("--state", "states", multiple=True, metavar="NAME",
              help="An outside state that is on, for example B1.open. May be repeated.")  # fmt: skip
@click.option("--voltage", default="nominal", show_default=True, type=click.Choice(["nominal", "low", "high"]),
              help="Voltage of the supplies within their tolerance.")  # fmt: skip
@click.option("--conductor-c", default=20.0, show_default=True, help="Temperature of the conductors in °C.")
@_answers
def spice(
    site: Path, mark: str, mapping: Path | None, states: tuple[str, ...], voltage: str, conductor_c: float
) -> int:
    """Print the circuit of opening MARK of SITE as a SPICE deck.

    The deck stands for one state of the door and prints every voltage, to check them with another solver.
    """
    from riserkit.reports.spice import opening_deck

    click.echo(opening_deck(site, mark, states, voltage, conductor_c, _options(mapping)), nl=False)
    return CLEAN


@main.command()
@click.argument("table", required=False)
@_AS_JSON
@_answers
def tables(table: str | None, as_json: bool) -> int:
    """List the tables of a site, or the columns of TABLE.

    For each column, what may stand there and what counts when it is left out. They hold for CSV and JSON alike.
    """
    from riserkit.reports.tables import print_tables

    print_tables(table, as_json=as_json)
    return CLEAN
