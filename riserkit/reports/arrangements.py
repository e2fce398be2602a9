"""The wiring arrangements as a list."""

from __future__ import annotations

import inspect

from rich.markup import escape

from riserkit.plugin.arrangements import sound_arrangements
from riserkit.plugin.manager import installed_plugins
from riserkit.reports.printing import Console, print_json
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS


def print_arrangements(*, as_json: bool) -> None:
    """Print every wiring arrangement that may be chosen, in order of rank."""
    found = sorted(
        (*SHIPPED_ARRANGEMENTS, *sound_arrangements(installed_plugins())), key=lambda one: (one.rank, one.name)
    )
    listed = [
        {"name": one.name, "rank": one.rank, "title": one.title, "about": inspect.getdoc(type(one)) or ""}
        for one in found
    ]
    if as_json:
        print_json(listed)
        return
    console = Console(highlight=False, soft_wrap=True)
    for one in listed:
        about = " ".join(str(one["about"]).split())
        console.print(f"[bold]{one['name']}[/bold]: {escape(str(one['title']))}. {escape(about)}")
    console.print("\nThe lowest suitable rank is selected; state `arrangement` of an opening to force one.")
