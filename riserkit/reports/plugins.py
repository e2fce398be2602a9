"""The plugins as a list: what each brings, and what was left out and why."""

from __future__ import annotations

from rich.markup import escape

from riserkit.plugin.arrangements import sound_arrangements
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.rules import sound_rules
from riserkit.plugin.stock import whole_stock
from riserkit.reports.printing import Console, print_json


def print_plugins(*, as_json: bool) -> bool:
    """Print the installed plugins; whether anything of them was left out."""
    plugins = installed_plugins()
    _ask(plugins)
    failures = [str(failure) for failure in plugins.log]
    if as_json:
        listed = [{"plugin": name, "hooks": list(hooks)} for name, hooks in plugins.named()]
        print_json({"plugins": listed, "left_out": failures})
        return bool(failures)
    console = Console(highlight=False)
    for name, hooks in plugins.named():
        console.print(f"[bold]{escape(name)}[/bold]: {', '.join(hooks) or 'no hook'}")
    for failure in failures:
        console.print(escape(failure))
    return bool(failures)


def _ask(plugins: Plugins) -> None:
    """Ask for all that can be asked for without a site, so that what fails is listed."""
    sound_rules(plugins)
    sound_arrangements(plugins)
    whole_stock(plugins)
