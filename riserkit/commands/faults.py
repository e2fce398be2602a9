"""Commands for whoever looks for a fault."""

from __future__ import annotations

from pathlib import Path

import click

from riserkit.commands.frame import AS_JSON, CLEAN, FINDINGS, MAPPING, PLACE, answers, reading_options
from riserkit.errors import visible


@click.command(short_help="Say which faults explain what is read and seen at a door.")
@click.argument("site", type=PLACE)
@click.argument("mark")
@MAPPING
@AS_JSON
@click.option("--reading", "readings", multiple=True, metavar="TEXT",
              help="What a meter shows: red lead, black lead, value, unit, state, such as 'Y1.+ Y1.- 3.0 V idle', or the "
                   "number on the test sheet, such as '7: 3.0 V'. May be repeated.")  # fmt: skip
@click.option("--sees", "sights", multiple=True, metavar="TEXT",
              help="What is seen without a meter, such as 'REX no effect' or 'lock locked in released'. May be repeated.")  # fmt: skip
@click.option(
    "--ignore-returned", is_flag=True, help="Leave out the readings that came back of this door (riserkit return)."
)
@answers
def diagnose(
    site: Path,
    mark: str,
    mapping: Path | None,
    as_json: bool,
    readings: tuple[str, ...],
    sights: tuple[str, ...],
    ignore_returned: bool,
) -> int:
    """Say which faults explain what is read and seen at opening MARK of SITE, and which reading to take next.

    Without any reading it says where to begin. Readings that came back of the door are used, and it says so.
    Exit code 1 where something is not as at a healthy door.
    """
    from riserkit.reports.diagnosis import diagnose_opening, diagnosis_json, diagnosis_lines
    from riserkit.reports.printing import print_json
    from riserkit.troubleshooting.diagnose import Conclusion

    asked = reading_options(mapping)
    found = diagnose_opening(site, mark, readings, sights, asked, uses_returned=not ignore_returned)
    if as_json:
        print_json(diagnosis_json(found))
    else:
        for line in diagnosis_lines(found):
            click.echo(visible(line))
    return CLEAN if found.found.verdict is Conclusion.HEALTHY else FINDINGS
