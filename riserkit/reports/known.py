"""What a site may use, as lists: parts with what each states, needs and lacks, cable types, wiring arrangements; and plugins."""

from __future__ import annotations

import inspect
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.markup import escape

from riserkit.model.cabling import CableType
from riserkit.model.parts import Part
from riserkit.plugin.arrangements import sound_arrangements
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.read import read_site
from riserkit.plugin.rules import sound_rules
from riserkit.plugin.stock import whole_stock
from riserkit.reports.printing import Console, filled, plain_table, print_json, text_width, wide_console
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS


def print_parts(path: Path | None, options: Mapping[str, str], *, as_json: bool) -> None:
    """Print the shipped parts, or all those a site may use.

    Raises:
        RiserkitError: the site's input has problems.
    """
    parts: Sequence[Part] = read_site(path, options).parts if path else whole_stock(installed_plugins()).parts
    if as_json:
        print_json([part_data(part) for part in parts])
        return
    console = Console(highlight=False)
    width = text_width(console)
    for part in parts:
        data = part_data(part)
        states = ", ".join(f"{name} {_shown(value)}" for name, value in data["states"].items())
        console.print(f"[bold]{escape(part.id)}[/bold], {part.kind}: {escape(part.title)}", soft_wrap=True)
        for text in (states, f"Lacks {', '.join(data['lacks'])}." if data["lacks"] else ""):
            for line in filled(text, width, "    ", "    "):
                console.print(escape(line), soft_wrap=True)


def part_data(part: Part) -> dict[str, Any]:
    """A part as plain data: what it states in SI, what the checks of its kind need, and what it lacks of that."""
    states = part.model_dump(exclude={"id", "kind", "title"}, exclude_none=True)
    return {
        "id": part.id,
        "kind": part.kind,
        "title": part.title,
        "states": {name: value for name, value in states.items() if value != "" and value is not False},
        "needs": list(part.needed()),
        "lacks": list(part.lacks()),
    }


def _shown(value: object) -> str:
    if value is True:
        return "yes"
    return f"{value:g}" if isinstance(value, float) else str(value)


def print_cables(path: Path | None, options: Mapping[str, str], *, as_json: bool) -> None:
    """Print the shipped cable types, or all those a site may use.

    Raises:
        RiserkitError: the site's input has problems.
    """
    types = read_site(path, options).cable_types if path else whole_stock(installed_plugins()).cable_types
    if as_json:
        print_json([cable_data(kind) for kind in types])
        return
    columns = ("cable type", "kind", "conductors", "gauge", "jacket", "outside mm", "title")
    table = plain_table(*columns, no_wrap=("cable type",))
    for kind in types:
        diameter = f"{kind.outside_diameter_m * 1000:.1f}" if kind.outside_diameter_m else "not stated"
        count = "4 pairs" if kind.kind == "category" else str(kind.conductors)
        jacket = escape(kind.jacket) or "not stated"
        table.add_row(kind.id, str(kind.kind), count, kind.gauge or "", jacket, diameter, escape(kind.title))
    wide_console().print(table)


def cable_data(kind: CableType) -> dict[str, Any]:
    """A cable type as plain data, SI."""
    return kind.model_dump(mode="json", exclude_none=True)


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
