"""The commands. Each parses, calls one library function, prints, and exits 0 (clean), 1 (findings), 2 (wrong use) or 3 (it failed).

A command that is stopped exits with 128 and the signal's number, as shells have it. Nothing heavy is imported before a command needs it.
"""

from __future__ import annotations

import gc
import logging
import os
from typing import Any, Final

import click

from riserkit.commands.faults import diagnose
from riserkit.commands.frame import bounded
from riserkit.commands.lists import arrangements, cables, parts, plugins, rules, tables
from riserkit.commands.page import lesson, page, reference
from riserkit.commands.record import compare, issue, return_
from riserkit.commands.results import build, field_papers, inspect
from riserkit.commands.site import check, explain, import_, new, spice
from riserkit.errors import visible
from riserkit.version import __version__

_LOOK_AFTER: Final = 50_000
"""Things made between two looks for rings of garbage; Python's 700 took a twelfth of a build, for next to nothing is garbage."""

_ONE_THREAD: Final = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""What libraries of matrices that numpy may come with ask for how many threads they start."""


class _Commands(click.Group):
    def invoke(self, ctx: click.Context) -> Any:
        """As every group does; what was typed wrongly is repeated in few signs, and none of them commands a terminal."""
        try:
            return super().invoke(ctx)
        except click.UsageError as error:
            told = bounded(visible(error.format_message()))
            if told == error.format_message():
                raise
            raise click.UsageError(told, error.ctx) from error


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="riserkit")
def main() -> None:
    """Turn a list of doors and a building into drawings that a field crew can build from, checked first.

    SITE is a folder of CSV tables or one JSON document. To begin: riserkit new FOLDER.

    Exit codes: 0 no open errors, 1 open errors, 2 wrong use or input that cannot be read, 3 riserkit itself failed,
    128 and more ended by a signal.
    """
    # What the drawing library has to say goes to whoever sets up logging; without that it would print to the terminal.
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    gc.set_threshold(_LOOK_AFTER, *gc.get_threshold()[1:])
    # Matrices here are small and work is shared among processes: more threads in each wait for one another, which took a fifth of
    # the processor time of a page, and how a sum is split among them would make its last digit hang on the machine.
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")


for _command in (
    arrangements,
    build,
    cables,
    check,
    compare,
    diagnose,
    explain,
    field_papers,
    import_,
    inspect,
    issue,
    lesson,
    new,
    page,
    parts,
    plugins,
    reference,
    return_,
    rules,
    spice,
    tables,
):
    main.add_command(_command)
