"""From a table's header to fields: which column feeds which field, and in what unit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from riserkit.model.problems import Problem, Where, offer
from riserkit.model.tables import FieldFacts, fields_of
from riserkit.quantities.stated import unit_named
from riserkit_csv.mapping import MappingFile, TableMap
from riserkit_csv.table import CsvTable, plain


@dataclass(frozen=True, slots=True)
class Column:
    """One column that feeds one field. `unit` is that of its bare numbers, empty for the field's own."""

    index: int
    header: str
    facts: FieldFacts
    unit: str


@dataclass(frozen=True, slots=True)
class RowPlan:
    """How a table's rows are to be read.

    Args of note:
        absent: required fields that no column feeds; the header is reported for them once.
    """

    columns: tuple[Column, ...]
    absent: frozenset[str]
    problems: tuple[Problem, ...]


def known_names(name: str, settings: TableMap) -> frozenset[str]:
    """Column names that may be expected in a table, as `plain` writes them."""
    foreign = [source.column for source in settings.columns.values()]
    return frozenset(map(plain, [*fields_of(name), *foreign, *settings.ignore, *(k.column for k in settings.keep)]))


def unit_of(header: str, facts: FieldFacts) -> str:
    """The unit that a header's last word names for the field's quantity, when it is not the field's own."""
    word = plain(header).rpartition("_")[2]
    unit = unit_named(word, facts.suffix) if facts.suffix else ""
    return "" if unit.lower() == facts.suffix else unit


def match_name(header: str, fields: Mapping[str, FieldFacts]) -> tuple[FieldFacts, str] | None:
    """The field that a header names, and the unit it states: `Length (ft)` is `length_m`, in feet."""
    name = plain(header)
    if name in fields:
        return fields[name], ""
    stem, _, _ = name.rpartition("_")
    for facts in fields.values():
        if stem and facts.suffix and facts.name == f"{stem}_{facts.suffix}" and unit_of(header, facts):
            return facts, unit_of(header, facts)
    return None


def plan_columns(name: str, table: CsvTable, mapping: MappingFile) -> RowPlan:
    """Match the columns of a table to the fields of `name`, first by the mapping file, then by their own names."""
    where = Where(table.file, table.header_row)
    problems = list(_nameless(table, where))
    columns = list(_mapped(name, table, mapping, problems))
    columns += _own(name, table, mapping.table(name), columns, problems)
    settings = mapping.table(name)
    given = {c.facts.name for c in columns} | settings.defaults.keys() | settings.constants.keys()
    absent = frozenset(f.name for f in fields_of(name).values() if f.required and f.name not in given)
    for field in sorted(absent if table.header else ()):
        problems.append(Problem(where, field, "", "expected a column of this name; it is required"))
    return RowPlan(tuple(sorted(columns, key=lambda c: c.index)), absent, tuple(problems))


def _own(
    name: str, table: CsvTable, settings: TableMap, mapped: Sequence[Column], problems: list[Problem]
) -> Sequence[Column]:
    """Columns that bear the names of our fields, and a problem for each that is neither those nor to be ignored."""
    where = Where(table.file, table.header_row)
    found: list[Column] = []
    taken = {c.facts.name: c.index for c in mapped}
    passed = {c.index for c in mapped}
    for index, header in enumerate(table.header):
        if not header or _ignored(header, settings):
            continue
        match = match_name(header, fields_of(name))
        # A column that the mapping file gives another field still serves the field that cannot do without it.
        if index in passed and not (match and match[0].required and match[0].name not in taken):
            continue
        if match is None:
            # A column that only chooses rows need not be one of ours.
            told = "*" in settings.ignore or _filtered(header, settings)
            problems += [] if told else [_unknown(name, where, header)]
        elif taken.setdefault(match[0].name, index) != index:
            wanted = (
                f"expected one column for {match[0].name}; column {taken[match[0].name] + 1} is read as that already"
            )
            problems.append(Problem(where, header, "", wanted))
        else:
            found.append(Column(index, header, *match))
    return found


def _unknown(name: str, where: Where, header: str) -> Problem:
    hint = offer(plain(header), fields_of(name))
    remedy = "else take it out, or name it under 'ignore' or 'columns' in mapping.toml"
    return Problem(where, header, "", f"not a column of {name.replace('_', ' ')}; {hint}; {remedy}")


def _ignored(header: str, settings: TableMap) -> bool:
    return plain(header) in set(map(plain, settings.ignore))


def _filtered(header: str, settings: TableMap) -> bool:
    return any(plain(header) == plain(keep.column) for keep in settings.keep)


def _nameless(table: CsvTable, where: Where) -> Iterator[Problem]:
    for index, header in enumerate(table.header):
        filled = next((number for number, cells in table.rows if cells[index].strip()), 0) if not header else 0
        if filled:
            yield Problem(where, "", "", f"expected a name for column {index + 1}; it has a value in row {filled}")


def _mapped(name: str, table: CsvTable, mapping: MappingFile, problems: list[Problem]) -> Iterator[Column]:
    """Columns that the mapping file names, and a problem for each that is not there."""
    settings, fields = mapping.table(name), fields_of(name)
    place = {plain(header): index for index, header in reversed(list(enumerate(table.header)))}
    for field, source in settings.columns.items():
        index = place.get(plain(source.column))
        pointer = Where(mapping.name, pointer=f"{name}.columns.{field}")
        if field not in fields:
            continue  # reported with the mapping file
        if index is None:
            hint = offer(source.column, [h for h in table.header if h])
            problems.append(Problem(pointer, "", source.column, f"expected a column of {table.file}; {hint}"))
            continue
        facts = fields[field]
        unit = unit_named(source.unit, facts.suffix) if facts.suffix and source.unit else ""
        if source.unit and not unit:
            problems.append(Problem(pointer, "", source.unit, "expected a unit of this field's quantity, such as mm"))
        yield Column(index, table.header[index], facts, unit or unit_of(table.header[index], facts))
