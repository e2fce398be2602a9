"""Commands that write or inspect drawings and schedules."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from riserkit.commands.frame import AS_BUILT, AS_JSON, CLEAN, FIELD, FINDINGS, MAPPING, PLACE, answers, reading_options


@click.command(short_help="Check SITE and write drawings, schedules and findings.")
@click.argument("site", type=PLACE)
@click.option("-o", "--output", type=PLACE, required=True, help="Folder for the results, new or of an earlier build.")
@MAPPING
@click.option("--dxf", "dxf_version", default="R2018", show_default=True,
              type=click.Choice(["R2010", "R2013", "R2018"]), help="DXF version of the drawings.")  # fmt: skip
@click.option(
    "--prints",
    multiple=True,
    default=("overview",),
    show_default=True,
    type=click.Choice(["overview", "pdf", "png", "svg", "none"]),
    help="Also print: cover, plans and riser as overview.pdf, all sheets as set.pdf, or a picture of each. May be repeated.",
)
@click.option(
    "--blocks",
    type=PLACE,
    help="Folder of blocks (NAME.dxf) that override the shipped ones and those in SITE/blocks.",
)
@click.option(
    "--keep-edits", is_flag=True, help="Build into hand-edited results; edits, additions and deletions are kept."
)
@click.option("--details", default="both", show_default=True, type=click.Choice(["each", "typical", "both"]),
              help="A detail sheet for each opening, one for all wired alike, or both.")  # fmt: skip
@click.option("--door", "doors", multiple=True, metavar="MARK",
              help="Only this opening gets a sheet of its own. May be repeated.")  # fmt: skip
@FIELD
@click.option("--bcf", is_flag=True, help="Write findings.bcf too: findings for the building model, as BCF 3.0.")
@AS_BUILT
@answers
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
    field: bool,
    bcf: bool,
    as_built: bool,
) -> int:
    """Check SITE and write everything: drawings, schedules, findings. All of it appears, or none.

    With --keep-edits, a hand edit that the design contradicts stands on its sheet as a question; exit code 1 until settled.
    """
    from riserkit.commands.written import print_build
    from riserkit.reports.console import progress_bar
    from riserkit.results.build import BuildOptions, build_site

    with progress_bar() as progress:
        reading = reading_options(mapping)
        asked = BuildOptions(reading, dxf_version, prints, blocks, keep_edits, details, doors, field, as_built, bcf)
        built = build_site(site, output, asked, progress)
    print_build(built, output)
    return FINDINGS if built.checked.open_errors or (built.rebuilt and built.rebuilt.conflicts) else CLEAN


@click.command("field", short_help="Write papers for the crew: packets, lists, labels, workbook.")
@click.argument("site", type=PLACE)
@click.option("-o", "--output", type=PLACE, required=True, help="Folder for the papers, new or of an earlier run.")
@MAPPING
@click.option("--door", "doors", multiple=True, metavar="MARK",
              help="Only this opening gets a packet. May be repeated.")  # fmt: skip
@click.option("--closet", "closets", multiple=True, metavar="LABEL",
              help="Only this closet gets a packet. May be repeated.")  # fmt: skip
@answers
def field_papers(
    site: Path, output: Path, mapping: Path | None, doors: tuple[str, ...], closets: tuple[str, ...]
) -> int:
    """Write papers for the crew of SITE: packets, pick list, reel plan, labels, and a workbook to be filled in.

    Packets are PDF in two forms: A4 or letter, and one as wide as a telephone. To have them beside the drawings: build --field.
    """
    from riserkit.commands.written import print_papers
    from riserkit.reports.console import progress_bar
    from riserkit.results.field_site import FieldOptions, field_site

    with progress_bar() as progress:
        asked = FieldOptions(reading_options(mapping), doors, closets)
        checked, files = field_site(site, output, asked, progress)
    print_papers(files, output)
    return FINDINGS if checked.open_errors or files.failed else CLEAN


@click.command()
@click.argument("folder", type=PLACE)
@AS_JSON
@answers
def inspect(folder: Path, as_json: bool) -> int:
    """Say what on the drawings in FOLDER is not legible.

    FOLDER is one of results, or any with DXF drawings, edited by hand or not.
    """
    from riserkit.reports.console import progress_bar
    from riserkit.reports.inspection import inspection_json, print_inspection
    from riserkit.reports.printing import json_text
    from riserkit.results.inspect import inspect_folder

    with progress_bar() as progress:
        inspections = inspect_folder(folder, progress)
    if as_json:
        click.echo(json_text(inspection_json(inspections)))
    else:
        print_inspection(inspections)
    return FINDINGS if any(inspection.violations for inspection in inspections) else CLEAN
