"""The tables of a site and their columns: what each may contain, in which unit, and what it is taken for when left out."""

from __future__ import annotations

import datetime
import inspect
import typing
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final

from pydantic_core import PydanticUndefined
from rich.markup import escape

from riserkit.errors import RiserkitError
from riserkit.model.choices import EXPLAINED
from riserkit.model.references import CABLE_KINDS, LISTS, PART_KINDS, REFERENCES
from riserkit.model.refusals import UNIT_SHOWN
from riserkit.model.tables import RECORDS, FieldFacts, fields_of, words_of_choice
from riserkit.reports.printing import plain_table, print_json, wide_console
from riserkit.standards.egress_conditions import CONDITIONS

_KINDS: Final[Mapping[str, str]] = {
    "number": "a number",
    "whole": "a whole number",
    "yes-no": "yes or no",
    "text": "text",
}
_SITE: Final = "info"


@dataclass(frozen=True, slots=True)
class ColumnPage:
    """One column: its name, what it may contain, what it is taken for when left out, and what its words mean."""

    name: str
    accepts: str
    left_out: str
    words: Mapping[str, str]


def table_names() -> tuple[str, ...]:
    """The tables as files name them; the site's own facts are `site`."""
    return tuple("site" if name == _SITE else name for name in RECORDS)


def columns_of(table: str) -> tuple[ColumnPage, ...]:
    """Every column of a table, in the order of the model.

    Raises:
        RiserkitError: there is no such table.
    """
    name = _known(table)
    return tuple(
        ColumnPage(f.name, _accepts(name, f), _left_out(name, f), dict(_explained().get(f"{name}.{f.name}", {})))
        for f in fields_of(name).values()
    )


def _explained() -> Mapping[str, Mapping[str, str]]:
    """What the words of a column mean; what a confirmation confirms stands with the building code."""
    return {**EXPLAINED, "confirmations.condition": CONDITIONS}


def print_tables(table: str | None, *, as_json: bool) -> None:
    """Print the tables, or the columns of one.

    Raises:
        RiserkitError: there is no such table.
    """
    chosen = (table,) if table else table_names()
    if as_json:
        pages = {name: [asdict(column) for column in columns_of(name)] for name in chosen}
        print_json(pages)
    elif table:
        _print_columns(table)
    else:
        _print_list()


def _known(table: str) -> str:
    if table not in table_names():
        raise RiserkitError(f"no table {table!r}; expected one of {', '.join(table_names())}")
    return _SITE if table == "site" else table


def _print_list() -> None:
    listing = plain_table("table", "one row is", "required columns", no_wrap=("table",))
    for name in table_names():
        first = RECORDS[_known(name)][0]
        what = "A part, of one of many kinds." if name == "parts" else _text(first).partition("\n\n")[0]
        required = ", ".join(f.name for f in fields_of(_known(name)).values() if f.required)
        listing.add_row(name, escape(" ".join(what.split())), required or "none")
    wide_console().print(listing)


def _print_columns(table: str) -> None:
    columns = columns_of(table)
    console = wide_console()
    for model in RECORDS[_known(table)]:
        console.print(escape(_text(model).replace("Args of note:", "Of note:")))
    if table == "site":
        console.print("\nIn site.csv each of these is a row of two columns, key and value.")
    console.print()
    listing = plain_table("column", "accepts", "when left out", no_wrap=("column",))
    for column in columns:
        listing.add_row(column.name, escape(column.accepts), escape(column.left_out))
    console.print(listing)
    for column in columns:
        if column.words:
            console.print(f"\n{column.name}:")
            for word, meaning in column.words.items():
                console.print(f"  {escape(word)}: {escape(meaning)}")


def _text(model: type[Any]) -> str:
    return inspect.getdoc(model) or ""


def _accepts(table: str, facts: FieldFacts) -> str:
    """What may stand in a column, in words; bounds and choices are read off the model."""
    annotation, metadata = _declared(table, facts.name)
    choices = tuple(choice for choice in words_of_choice(annotation) if choice)
    if choices:
        return ", ".join(choices)
    target = REFERENCES.get(table, {}).get(facts.name)
    if target:
        kinds = PART_KINDS.get(table, {}).get(facts.name) or CABLE_KINDS.get(table, {}).get(facts.name)
        return f"an id of {target}" + (f", of kind {' or '.join(kinds)}" if kinds else "")
    if several := LISTS.get(table, {}).get(facts.name):
        return f"ids of {several} parted by commas, or none"
    what = f"a quantity in {UNIT_SHOWN[facts.suffix]}" if facts.suffix else _KINDS[facts.kind]
    if datetime.date in {annotation, *typing.get_args(annotation), *map(_plain, typing.get_args(annotation))}:
        what = "a date as YYYY-MM-DD"
    return ", ".join(dict.fromkeys([what, *_bounds((*metadata, *_nested(annotation)))]))


def _declared(table: str, name: str) -> tuple[Any, tuple[Any, ...]]:
    model = next(m for m in RECORDS[table] if name in m.model_fields)
    info = model.model_fields[name]
    annotations = [m.model_fields[name].annotation for m in RECORDS[table] if name in m.model_fields]
    # A column of several kinds of part, such as their kind, may hold whatever any of them allows.
    annotation = typing.Union[tuple(annotations)] if len(annotations) > 1 else info.annotation  # noqa: UP007 - of a tuple
    return annotation, tuple(info.metadata)


def _plain(annotation: Any) -> Any:
    """A type without what is annotated to it."""
    return typing.get_args(annotation)[0] if typing.get_origin(annotation) is typing.Annotated else annotation


def _nested(annotation: Any) -> Iterator[Any]:
    for argument in typing.get_args(annotation):
        if typing.get_origin(argument) is typing.Annotated:
            yield from getattr(argument, "__metadata__", ())


def _bounds(metadata: tuple[Any, ...]) -> Iterator[str]:
    words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
    for item in (inner for given in metadata for inner in getattr(given, "metadata", (given,))):
        for name, word in words.items():
            bound = getattr(item, name, None)
            if isinstance(bound, (int, float)):
                yield f"{word} {bound:g}"


def _left_out(table: str, facts: FieldFacts) -> str:
    if facts.required:
        return "must be stated"
    default = next(m for m in RECORDS[table] if facts.name in m.model_fields).model_fields[facts.name].default
    if default is None or default == "" or default is PydanticUndefined:
        return ""
    if isinstance(default, bool):
        return "yes" if default else "no"
    return f"{default:g}" if isinstance(default, float) else str(default)
