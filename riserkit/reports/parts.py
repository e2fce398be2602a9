"""The parts catalogue as a list: what each part states, needs and lacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.markup import escape

from riserkit.model.parts import Part
from riserkit.plugin.manager import installed_plugins
from riserkit.plugin.read import read_site
from riserkit.plugin.stock import whole_stock
from riserkit.reports.printing import plain_table, print_json, wide_console


def print_parts(path: Path | None, options: Mapping[str, str], *, as_json: bool) -> None:
    """Print the shipped parts, or all those a site may use.

    Raises:
        RiserkitError: the site's input has problems.
    """
    parts: Sequence[Part] = read_site(path, options).parts if path else whole_stock(installed_plugins()).parts
    if as_json:
        print_json([part_data(part) for part in parts])
        return
    table = plain_table("part", "kind", "title", "states", "lacks", no_wrap=("part", "kind"))
    for part in parts:
        data = part_data(part)
        states = ", ".join(f"{name} {_shown(value)}" for name, value in data["states"].items())
        table.add_row(part.id, part.kind, escape(part.title), escape(states), ", ".join(data["lacks"]) or "nothing")
    wide_console(180).print(table)


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
