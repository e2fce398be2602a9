"""From raw records to a site, or to every problem there is.

A reader plugin knows a file format and nothing of doors: it yields raw records with where each one is. All
meaning is checked here, so that every input format answers alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from riserkit.model.base import Record
from riserkit.model.choices import folded
from riserkit.model.conflicts import conflicts
from riserkit.model.extent import far_off
from riserkit.model.info import SiteInfo
from riserkit.model.parts import Part
from riserkit.model.problems import InputError, Problem
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.references import reference_problems
from riserkit.model.refusals import accepted
from riserkit.model.site import Site
from riserkit.model.stock import SHIPPED_STOCK, Stock
from riserkit.model.tables import RECORDS, choices_of, fields_of

TABLES: Final[Mapping[str, TypeAdapter[Any]]] = {
    name: TypeAdapter(Part if name == "parts" else models[0]) for name, models in RECORDS.items() if name != "info"
}
_INFO: Final = TypeAdapter(SiteInfo)


def assemble_site(raw: RawSite, stock: Stock = SHIPPED_STOCK) -> Site:
    """Check everything and make the site.

    Args:
        raw: what a reader found.
        stock: parts and cable types that it may use without stating them.

    Raises:
        InputError: with every problem found, in the file, between the files and in single cells.
    """
    problems = list(raw.problems)
    good, refused = _sorted_out(raw, problems)
    said = {(problem.where, problem.column) for problem in problems}
    between = (*reference_problems(good, refused, stock), *conflicts(good, stock), *far_off(good))
    problems += [p for p in between if (p.where, p.column) not in said]
    if not raw.tables.get("openings") and not problems:
        problems.append(Problem(raw.place, "", "", "expected at least one opening; there is none"))
    if problems:
        raise InputError(problems)
    return _with_stock({table: tuple(made for made, _ in rows) for table, rows in good.items()}, stock)


def _sorted_out(
    raw: RawSite, problems: list[Problem]
) -> tuple[dict[str, list[tuple[Any, RawRecord]]], dict[str, list[RawRecord]]]:
    """By table, `info` included, the records that are well in themselves, and those refused."""
    good: dict[str, list[tuple[Any, RawRecord]]] = {}
    refused: dict[str, list[RawRecord]] = {}
    for table, adapter in {"info": _INFO, **TABLES}.items():
        good[table], refused[table] = [], []
        for given in _raw_records(raw, table):
            record, halves = _whole_characters(given)
            made, found = _record(table, adapter, record)
            problems += [*halves, *found]
            if made is None:
                refused[table].append(record)
            else:
                good[table].append((made, record))
    return good, refused


def _raw_records(raw: RawSite, table: str) -> Sequence[RawRecord]:
    if table != "info":
        return raw.tables.get(table, ())
    return () if raw.info is None else (raw.info,)


def _whole_characters(record: RawRecord) -> tuple[RawRecord, list[Problem]]:
    """The record without names and texts that hold half a surrogate pair: no file could be written with them."""
    bad = [n for n, v in record.values.items() if _halved(n) or (isinstance(v, str) and _halved(v))]
    if not bad:
        return record, []
    values = {name: value for name, value in record.values.items() if name not in bad}
    wanted = "expected whole characters; this has half of a surrogate pair"
    problems = [record.problem(name, record.values[name], wanted) for name in bad]
    return replace(record, values=values, reported=record.reported.union(bad)), problems


def _halved(text: str) -> bool:
    return not text.isascii() and any("\ud800" <= ch <= "\udfff" for ch in text)


def _record(table: str, adapter: TypeAdapter[Any], record: RawRecord) -> tuple[Record | None, list[Problem]]:
    try:
        made = adapter.validate_python(_said(table, record.values))
    except ValidationError as error:
        return None, list(_problems(table, error, record))
    # yes and no would count as 1 and 0 where a number belongs
    found = [
        record.problem(name, value, "expected a number or text, not yes or no")
        for name, value in record.values.items()
        if isinstance(value, bool) and fields_of(table)[name].kind != "yes-no"
    ]
    return made, found


def _said(table: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """The values as they are meant.

    Empty text is left out where that means the same as nothing, as programs write for a missing id. A word of a choice
    may be written in its other ways.
    """
    said = dict(values)
    for name, ways in choices_of(table).items():
        given = said.get(name)
        if isinstance(given, str):
            said[name] = ways.get(folded(given), given)
    if "" in values.values():
        fields = fields_of(table)
        return {n: v for n, v in said.items() if v != "" or n not in fields or not fields[n].may_be_empty}
    return said


def _problems(table: str, error: ValidationError, record: RawRecord) -> Iterator[Problem]:
    for item in error.errors(include_url=False):
        name = _field(item, record)
        if name not in record.reported:
            yield record.problem(name, record.values.get(name, ""), accepted(item, table, name))


def _field(item: Any, record: RawRecord) -> str:
    """The field that a refusal is about; empty when it is about the record as a whole."""
    if item["type"].startswith("union_tag"):
        return "kind"
    column = getattr(item.get("ctx", {}).get("error"), "column", "")
    if column:
        return str(column)
    # The tag of a part's kind is in the location before the field; only the field names a column.
    names = [x for x in item["loc"] if isinstance(x, str)]
    if item["type"] in {"missing", "extra_forbidden"}:
        return names[-1]
    return next((x for x in reversed(names) if x in record.values), "")


def _with_stock(tables: Mapping[str, tuple[Any, ...]], stock: Stock) -> Site:
    merged: dict[str, Any] = {
        **tables,
        "info": tables["info"][0] if tables["info"] else SiteInfo(),
        "parts": _merged(tables["parts"], stock.parts),
        "cable_types": _merged(tables["cable_types"], stock.cable_types),
    }
    # Every record is validated above; validating the whole again would only double the time at 10,000 openings.
    return Site.model_construct(None, **merged)


def _merged(own: Sequence[Any], shipped: Sequence[Any]) -> tuple[Any, ...]:
    """The user's own first, then the shipped ones that none of them replaces; a mere repetition replaces nothing."""
    shipped_by_id = {x.id: x for x in shipped}
    changed = tuple(x for x in own if shipped_by_id.get(x.id) != x)
    ids = {x.id for x in changed}
    return changed + tuple(x for x in shipped if x.id not in ids)
