"""A changed site, checked as if it had been read that way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from riserkit.model.assemble import TABLES, assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.model.stated import stated_records, stated_values
from riserkit.model.tables import fields_of

KEYS: Final = ("id", "mark")
Change = Mapping[str, Mapping[str, object] | None] | Sequence[Mapping[str, object]]
"""Rows by key, each with the fields that change, None to take the row out; or all rows of a table anew."""


def changed_site(site: Site, info: Mapping[str, object] | None, tables: Mapping[str, Change]) -> Site:
    """The site with these changes, every reference checked.

    Args:
        site: as it was.
        info: facts of the site that change.
        tables: by table what changes. A field that becomes None or empty is no longer stated.

    Raises:
        InputError: the changed site has problems; all of them are named.
        KeyError: there is no such table.
        TypeError: rows by key are given for a table whose rows have none.
    """
    unknown = sorted(set(tables) - set(TABLES))
    if unknown:
        raise KeyError(f"there is no table {unknown[0]!r}; a site has {', '.join(TABLES)}")
    facts = _merged(stated_values(site.info), info or {})
    rows = {table: _changed(site, table, tables.get(table, {})) for table in TABLES}
    records = {
        table: tuple(RawRecord(row, Where(table, number)) for number, row in enumerate(given, start=1))
        for table, given in rows.items()
    }
    return assemble_site(RawSite(RawRecord(facts, Where("info")) if facts else None, records))


def _changed(site: Site, table: str, change: Change) -> list[dict[str, Any]]:
    if not isinstance(change, Mapping):
        return [dict(row) for row in change]
    key = next((name for name in KEYS if name in fields_of(table)), "")
    if change and not key:
        raise TypeError(f"rows of {table} have no key; give all its rows as a list")
    # A shipped part or cable type that is changed becomes the site's own.
    every = {row.id: row for row in getattr(site, table)} if table in ("parts", "cable_types") else {}
    rows: dict[Any, dict[str, Any]] = {}
    for place, record in enumerate(stated_records(site, table)):
        rows[getattr(record, key) if key else place] = dict(stated_values(record))
    for name, fields in change.items():
        if fields is None:
            rows.pop(name, None)
        else:
            before = rows.get(name) or (dict(stated_values(every[name])) if name in every else {key: name})
            rows[name] = _merged(before, fields)
    return list(rows.values())


def _merged(before: Mapping[str, Any], fields: Mapping[str, object]) -> dict[str, Any]:
    merged = {**before, **fields}
    return {name: value for name, value in merged.items() if value is not None and value != ""}
