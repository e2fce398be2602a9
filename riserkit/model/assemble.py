"""From raw records to a site, or to every problem there is.

A reader plugin knows a file format and nothing of doors: it yields raw records with where each one stands. All
meaning is checked here, so that every input format answers alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from riserkit.model import catalogue
from riserkit.model.base import Record
from riserkit.model.cabling import CableType, PathwaySegment, Run
from riserkit.model.opening import Opening
from riserkit.model.parts import Part
from riserkit.model.place import Building, Closet, Level, PathwayNode, Room, Wall
from riserkit.model.power import Supply, Switch
from riserkit.model.problems import InputError, Problem, Where, shorten
from riserkit.model.records import Acceptance, IssuedLabel, Revision
from riserkit.model.references import reference_problems
from riserkit.model.site import Site, SiteInfo

_MISSING: Final = "expected a value here; this one is required"


@dataclass(frozen=True, slots=True)
class RawRecord:
    """One record as read: values by field name, and where it stands.

    `columns` gives the user's own column name for a field when it differs.
    """

    values: Mapping[str, Any]
    where: Where
    columns: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RawSite:
    """All that a reader found. `info` may be absent; `problems` are those of the file format itself."""

    info: RawRecord | None
    tables: Mapping[str, Sequence[RawRecord]]
    problems: tuple[Problem, ...] = ()
    place: Where = field(default_factory=lambda: Where("site"))


TABLES: Final[Mapping[str, TypeAdapter[Any]]] = {
    "buildings": TypeAdapter(Building),
    "levels": TypeAdapter(Level),
    "closets": TypeAdapter(Closet),
    "switches": TypeAdapter(Switch),
    "supplies": TypeAdapter(Supply),
    "pathway_nodes": TypeAdapter(PathwayNode),
    "pathway_segments": TypeAdapter(PathwaySegment),
    "cable_types": TypeAdapter(CableType),
    "parts": TypeAdapter(Part),
    "openings": TypeAdapter(Opening),
    "runs": TypeAdapter(Run),
    "rooms": TypeAdapter(Room),
    "walls": TypeAdapter(Wall),
    "issued_labels": TypeAdapter(IssuedLabel),
    "acceptances": TypeAdapter(Acceptance),
    "revisions": TypeAdapter(Revision),
}
_INFO: Final = TypeAdapter(SiteInfo)


def assemble_site(raw: RawSite) -> Site:
    """Check everything and make the site.

    Raises:
        InputError: with every problem found, in the file, between the files and in single cells.
    """
    problems = list(raw.problems)
    info = SiteInfo()
    if raw.info is not None:
        made, found = _record(_INFO, raw.info)
        problems += found
        info = made if isinstance(made, SiteInfo) else info
    good: dict[str, list[tuple[Any, RawRecord]]] = {}
    for table, adapter in TABLES.items():
        good[table] = []
        for record in raw.tables.get(table, ()):
            made, found = _record(adapter, record)
            problems += found
            if made is not None:
                good[table].append((made, record))
    # A record that was refused still counts as known, or each mention of it would be reported as dangling too.
    named = {t: {str(_name(r.values, t)) for r in raw.tables.get(t, ())} for t in TABLES}
    problems += reference_problems(info, raw, good, named)
    if not raw.tables.get("openings") and not problems:
        problems.append(Problem(raw.place, "", "", "expected at least one opening; there is none"))
    if problems:
        raise InputError(problems)
    return _with_catalogue(info, {table: tuple(m for m, _ in rows) for table, rows in good.items()})


def _name(values: Mapping[str, Any], table: str) -> object:
    return values.get("mark" if table == "openings" else "id", "")


def _record(adapter: TypeAdapter[Any], record: RawRecord) -> tuple[Record | None, list[Problem]]:
    try:
        return adapter.validate_python(dict(record.values)), []
    except ValidationError as error:
        return None, list(_problems(error, record))


def _problems(error: ValidationError, record: RawRecord) -> Iterator[Problem]:
    for item in error.errors(include_url=False):
        # The tag of a part's kind stands in the location before the field; only the field names a column.
        names = [
            str(x) for x in item["loc"] if (isinstance(x, str) and x in record.values) or item["type"] == "missing"
        ]
        name = str(item["loc"][-1]) if item["loc"] else ""
        column = name if name in names or item["type"] in {"extra_forbidden", "missing"} else "".join(names[-1:])
        seen = record.values.get(column, "") if column else ""
        yield Problem(record.where, record.columns.get(column, column), shorten(seen), _accepted(item))


def _accepted(item: Any) -> str:
    kind, context = item["type"], item.get("ctx", {})
    plain = {
        "missing": _MISSING,
        "extra_forbidden": "this column is not known here; remove it, or name it in the mapping file",
        "int_parsing": "expected a whole number",
        "int_type": "expected a whole number",
        "int_from_float": "expected a whole number",
        "float_parsing": "expected a number",
        "float_type": "expected a number",
        "bool_parsing": "expected yes or no",
        "bool_type": "expected yes or no",
        "string_type": "expected text",
        "union_tag_not_found": "expected a kind",
    }
    if kind in plain:
        return plain[kind]
    if kind == "value_error":
        return str(context["error"])
    if kind in {"literal_error", "enum"}:
        return f"expected {context['expected']}"
    if kind == "union_tag_invalid":
        return f"expected one of {context['expected_tags']}"
    if kind == "string_pattern_mismatch":
        return f"expected letters, digits, '.', '-' or '_' as in the pattern {context['pattern']}"
    return f"expected: {item['msg'][0].lower()}{item['msg'][1:]}"


def _with_catalogue(info: SiteInfo, tables: Mapping[str, tuple[Any, ...]]) -> Site:
    own_parts = {p.id for p in tables["parts"]}
    own_cables = {c.id for c in tables["cable_types"]}
    parts = tables["parts"] + tuple(p for p in catalogue.PARTS if p.id not in own_parts)
    cables = tables["cable_types"] + tuple(c for c in catalogue.CABLE_TYPES if c.id not in own_cables)
    merged: dict[str, Any] = {**tables, "info": info, "parts": parts, "cable_types": cables}
    # Every record is validated above; validating the whole again would only double the time at 10,000 openings.
    return Site.model_construct(None, **merged)
