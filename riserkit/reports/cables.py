"""The cable types as a list."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rich.markup import escape

from riserkit.model.cabling import CableType
from riserkit.plugin.manager import installed_plugins
from riserkit.plugin.read import read_site
from riserkit.plugin.stock import whole_stock
from riserkit.reports.printing import plain_table, print_json, wide_console


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
