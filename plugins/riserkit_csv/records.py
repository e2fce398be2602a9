"""From a table's rows to raw records, with the mapping file's filter, translations, defaults and constants."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.raw import RawRecord
from riserkit_csv.cells import FormulaError, Scalar, cell_reader, decimal_sign
from riserkit_csv.columns import RowPlan, plan_columns
from riserkit_csv.mapping import Keep, MappingFile
from riserkit_csv.table import CsvTable, plain

_MOST_MISSING: Final = 20
_MOST_OFFERED: Final = 2000
Row = tuple[int, list[str]]
Reader = tuple[int, str, Callable[[str], Scalar]]


@dataclass(frozen=True, slots=True)
class Extract:
    """What a table yields."""

    records: tuple[RawRecord, ...]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...] = ()


def extract(name: str, table: CsvTable, mapping: MappingFile) -> Extract:
    """Make the records of the table `name` of a site from a foreign or own table."""
    plan = plan_columns(name, table, mapping)
    problems = [*table.problems, *plan.problems]
    rows = _kept(name, table, mapping, problems)
    records = tuple(_records(name, table, rows, mapping, plan, problems))
    notes: tuple[str, ...] = ()
    if len(rows) < len(table.rows):
        notes = (f"{table.file}: {len(rows)} of {len(table.rows)} rows kept for {name} as {mapping.name} says",)
    return Extract(records, tuple(problems), notes)


def _records(
    name: str, table: CsvTable, rows: Sequence[Row], mapping: MappingFile, plan: RowPlan, problems: list[Problem]
) -> Iterator[RawRecord]:
    settings = mapping.table(name)
    decimal = decimal_sign(table, plan.columns, settings.decimal)
    readers = [
        (c.index, c.facts.name, cell_reader(c, settings.values.get(c.facts.name, {}), decimal)) for c in plan.columns
    ]
    names = {c.facts.name: c.header for c in plan.columns}
    fallback = _Fallback(name, mapping)
    for number, cells in rows:
        values, seen, formulas = _values(cells, readers)
        where = Where(table.file, number)
        problems += [Problem(where, names[f], shorten(cell), wanted) for f, cell, wanted in formulas]
        places = fallback.fill(values)
        yield RawRecord(values, where, names, seen, places, plan.absent.union(f for f, _, _ in formulas))


def _values(
    cells: Sequence[str], readers: Sequence[Reader]
) -> tuple[dict[str, Scalar], dict[str, str], list[tuple[str, str, str]]]:
    """Values by field, the cells that were changed on the way, and cells that are formulas."""
    values: dict[str, Scalar] = {}
    seen: dict[str, str] = {}
    formulas: list[tuple[str, str, str]] = []
    for index, field, read in readers:
        cell = cells[index].strip()
        if not cell:
            continue
        try:
            value = values[field] = read(cell)
        except FormulaError as error:
            formulas.append((field, cell, str(error)))
            continue
        if value == "":
            del values[field]  # a translation to nothing: the cell counts as empty
        elif value is not cell:
            seen[field] = cell
    return values, seen, formulas


class _Fallback:
    """Defaults and constants of a table, and where they stand."""

    def __init__(self, name: str, mapping: MappingFile) -> None:
        settings = mapping.table(name)
        self._defaults, self._constants = settings.defaults, settings.constants
        self._place = {
            part: {field: Where(mapping.name, pointer=f"{name}.{part}.{field}") for field in given}
            for part, given in (("defaults", self._defaults), ("constants", self._constants))
        }

    def fill(self, values: dict[str, Scalar]) -> Mapping[str, Where]:
        """Add what is missing and set what is constant; where those values stand."""
        if not self._defaults and not self._constants:
            return {}
        absent = {field: value for field, value in self._defaults.items() if field not in values}
        values.update(absent)
        values.update(self._constants)
        defaults = self._place["defaults"]
        return {field: defaults[field] for field in absent} | self._place["constants"]


def _kept(name: str, table: CsvTable, mapping: MappingFile, problems: list[Problem]) -> Sequence[Row]:
    """Rows that meet every condition; a condition that can meet nothing is a problem."""
    rows: Sequence[Row] = table.rows
    place = {plain(header): index for index, header in enumerate(table.header)}
    for number, keep in enumerate(mapping.table(name).keep):
        where = Where(mapping.name, pointer=f"{name}.keep.{number}")
        index = place.get(plain(keep.column))
        if index is None:
            hint = offer(keep.column, [h for h in table.header if h])
            problems.append(Problem(where, "", keep.column, f"expected a column of {table.file}; {hint}"))
            continue
        problems += _never_seen(keep, where, table, index)
        rows = [row for row in rows if _meets(keep, row[1][index].strip())]
    return rows


def _never_seen(keep: Keep, where: Where, table: CsvTable, index: int) -> Iterator[Problem]:
    seen = {cells[index].strip() for _, cells in table.rows}
    missing = [value for value in [*(keep.in_ or ()), *keep.not_in] if value not in seen]
    if len(missing) > _MOST_MISSING:
        wanted = f"expected values of column {keep.column} in {table.file}; {len(missing)} of them are not there"
        yield Problem(where, "", shorten(missing[0]), wanted)
    else:
        for value in missing:
            hint = offer(value, sorted(seen - {""})[:_MOST_OFFERED])
            yield Problem(where, "", value, f"expected a value of column {keep.column} in {table.file}; {hint}")


def _meets(keep: Keep, cell: str) -> bool:
    listed = (keep.in_ is None or cell in keep.wanted) and cell not in keep.unwanted
    return listed and (keep.filled is None or bool(cell) == keep.filled)
