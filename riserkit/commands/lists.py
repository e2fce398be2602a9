"""Commands that list what riserkit knows: rules, parts, tables, plugins."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riserkit.commands.frame import AS_JSON, CLEAN, FINDINGS, MAPPING, PLACE, answers, reading_options

if TYPE_CHECKING:
    from riserkit.rules._shared.page import Paged


@click.command()
@click.argument("name", required=False)
@AS_JSON
@answers
def rules(name: str | None, as_json: bool) -> int:
    """List the rules, or print the page of the rule NAME."""
    from riserkit.plugin.manager import installed_plugins
    from riserkit.reports.rules import print_rules

    plugins = installed_plugins()
    more: Iterable[Paged] = ()
    if plugins.implement("more_rules"):
        # they need the whole engine, which takes seconds to load
        from riserkit.pipeline import plugin_rules

        more = plugin_rules(plugins)
    print_rules(more, name, as_json=as_json)
    return CLEAN


@click.command()
@click.argument("site", type=PLACE, required=False)
@MAPPING
@AS_JSON
@answers
def parts(site: Path | None, mapping: Path | None, as_json: bool) -> int:
    """List the parts, and which values they lack.

    Those shipped, or with SITE all that this site may use.
    """
    from riserkit.reports.known import print_parts

    print_parts(site, reading_options(mapping), as_json=as_json)
    return CLEAN


@click.command()
@click.argument("site", type=PLACE, required=False)
@MAPPING
@AS_JSON
@answers
def cables(site: Path | None, mapping: Path | None, as_json: bool) -> int:
    """List the cable types.

    Those shipped, or with SITE all that this site may use.
    """
    from riserkit.reports.known import print_cables

    print_cables(site, reading_options(mapping), as_json=as_json)
    return CLEAN


@click.command()
@AS_JSON
@answers
def arrangements(as_json: bool) -> int:
    """List the wiring arrangements that an opening may have."""
    from riserkit.reports.known import print_arrangements

    print_arrangements(as_json=as_json)
    return CLEAN


@click.command()
@AS_JSON
@answers
def plugins(as_json: bool) -> int:
    """List the plugins, what each brings, and what was left out."""
    from riserkit.reports.known import print_plugins

    return FINDINGS if print_plugins(as_json=as_json) else CLEAN


@click.command()
@click.argument("table", required=False)
@AS_JSON
@answers
def tables(table: str | None, as_json: bool) -> int:
    """List the tables of a site, or the columns of TABLE.

    For each column, what may stand there and what counts when it is left out. They hold for CSV and JSON alike.
    """
    from riserkit.reports.tables import print_tables

    print_tables(table, as_json=as_json)
    return CLEAN
