"""What goes to a terminal or a pipe: signs that command a terminal are written out, and what it cannot encode as well."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Sequence
from typing import Any, Final

import click
from rich.console import Console as RichConsole
from rich.table import Table
from rich.text import Text

from riserkit.errors import visible

_NARROWEST: Final = 40
LINE: Final = 80
"""Letters of a line of text where no terminal says its own."""
_WIDEST: Final = 100


class Console(RichConsole):
    """Prints text of any origin: only what this program itself styles reaches the terminal as a command."""

    def render_str(self, text: str, **named: Any) -> Text:
        """Every text, also those in tables, comes through here."""
        return super().render_str(visible(text), **named)


def wide_console(width: int = 160, *, stderr: bool = False) -> Console:
    """A console that is this wide unless a terminal has its own width: the usual 80 columns cut tables in a log."""
    console = Console(stderr=stderr, highlight=False)
    return console if console.is_terminal else Console(stderr=stderr, highlight=False, width=width)


def text_width(console: RichConsole) -> int:
    """Letters of a line of text: a terminal's own width within reason, the usual one where there is none."""
    return min(max(console.width, _NARROWEST), _WIDEST) if console.is_terminal else LINE


def filled(text: str, width: int, first: str, then: str) -> list[str]:
    """Text in lines; a designation is never broken at a hyphen: it would be read, or looked up, as two.

    Args:
        text: in one paragraph.
        width: letters of a line.
        first: begins the first line.
        then: begins the others.
    """
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=then, break_on_hyphens=False, break_long_words=False
    )


def plain_table(*columns: str, no_wrap: Sequence[str]) -> Table:
    """An empty table without rules, to be printed on a console."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for column in columns:
        table.add_column(column, no_wrap=column in no_wrap, overflow="fold")
    return table


def print_json(value: object) -> None:
    """Print data as JSON, as `json_text` has it."""
    click.echo(json_text(json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False)))


def json_text(text: str) -> str:
    r"""JSON with the same meaning that any terminal may have and the output can encode: signs escaped as \\uXXXX.

    Such signs are in strings only, so that each may be escaped where it is.
    """
    plain = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "").startswith("utf")
    if plain and text.replace("\n", "").isprintable():
        return text
    return "".join(ch if _stays(ch, plain=plain) else json.dumps(ch)[1:-1] for ch in text)


def _stays(ch: str, *, plain: bool) -> bool:
    return (ch.isascii() and (ch == "\n" or ch.isprintable())) or (plain and visible(ch) == ch)
