"""The rules as a list and as pages, read off their own docstrings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Final

from rich.markup import escape

from riserkit.errors import RiserkitError
from riserkit.reports.printing import Console, plain_table, print_json, wide_console
from riserkit.rules._shared.page import Paged, RulePage, pages_of_package, read_page

_PACKAGES: Final = ("riserkit.rules", "riserkit.drawings.legibility")


def print_rules(more: Iterable[Paged], name: str | None, *, as_json: bool) -> None:
    """Print all rules and the checks of sheets, or the page of one.

    Args:
        more: rules of plugins.
        name: of the one whose page is printed; None for the list.
        as_json: print JSON.

    Raises:
        RiserkitError: there is no rule of that name.
    """
    shipped = (page for package in _PACKAGES for page in pages_of_package(package))
    pages = {page.name: page for page in (*shipped, *map(read_page, more))}
    if name is not None and name not in pages:
        raise RiserkitError(f"no rule {name!r}; expected one of {', '.join(sorted(pages))}")
    chosen = [pages[name]] if name else [pages[n] for n in sorted(pages)]
    if as_json:
        print_json([asdict(page) for page in chosen])
    elif name:
        _print_page(chosen[0])
    else:
        _print_list(chosen)


def _print_list(pages: Sequence[RulePage]) -> None:
    table = plain_table("rule", "what it checks", "source", no_wrap=("rule",))
    for page in pages:
        table.add_row(page.name, escape(page.summary), escape(page.source))
    wide_console().print(table)


def _print_page(page: RulePage) -> None:
    console = Console(highlight=False)
    console.print(f"[bold]{page.name}[/bold]: {escape(page.summary)}")
    for heading in ("why", "measures", "limit", "remedy", "source"):
        console.print(f"[bold]{heading.capitalize()}:[/bold] {escape(getattr(page, heading))}")
