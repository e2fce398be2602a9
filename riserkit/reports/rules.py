"""The rules as a list and as pages, read off their own docstrings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from rich.markup import escape
from rich.table import Table as RichTable

from riserkit.drawings.legibility.sheet import SHEET_CHECKS
from riserkit.errors import RiserkitError
from riserkit.reports.printing import Console, print_json
from riserkit.rules._shared.base import Rule
from riserkit.rules._shared.evaluate import every_rule
from riserkit.rules._shared.page import Paged, RulePage, read_page


def print_rules(more: Sequence[Rule], name: str | None, *, as_json: bool) -> bool:
    """Print all rules and the checks of sheets, or the page of one.

    Raises:
        RiserkitError: there is no rule of that name.
    """
    paged: tuple[Paged, ...] = (*every_rule(more), *SHEET_CHECKS)
    pages = {rule.name: read_page(rule) for rule in paged}
    if name is not None and name not in pages:
        raise RiserkitError(f"no rule {name!r}; expected one of {', '.join(sorted(pages))}")
    chosen = [pages[name]] if name else [pages[n] for n in sorted(pages)]
    if as_json:
        print_json([asdict(page) for page in chosen])
    elif name:
        _print_page(chosen[0])
    else:
        _print_list(chosen)
    return True


def _print_list(pages: Sequence[RulePage]) -> None:
    table = RichTable(box=None, pad_edge=False, header_style="bold")
    for column in ("rule", "what it checks", "source"):
        table.add_column(column, no_wrap=column == "rule", overflow="fold")
    for page in pages:
        table.add_row(page.name, escape(page.summary), escape(page.source))
    console = Console(highlight=False)
    (console if console.is_terminal else Console(highlight=False, width=160)).print(table)


def _print_page(page: RulePage) -> None:
    console = Console(highlight=False)
    console.print(f"[bold]{page.name}[/bold]: {escape(page.summary)}")
    for heading in ("why", "measures", "limit", "remedy", "source"):
        console.print(f"[bold]{heading.capitalize()}:[/bold] {escape(getattr(page, heading))}")
