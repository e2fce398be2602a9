"""The site's own facts: `site.csv`, a table of key and value."""

from __future__ import annotations

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.raw import RawRecord
from riserkit.model.tables import fields_of
from riserkit_csv.cells import FormulaError, Scalar, cell_reader, decimal_sign
from riserkit_csv.columns import Column, match_name
from riserkit_csv.mapping import MappingFile
from riserkit_csv.table import CsvTable, plain

KEYS = ("key", "value")


class InfoRows:
    """Gathers the facts row by row, each with its own place."""

    def __init__(self, decimal: str) -> None:
        self.values: dict[str, Scalar] = {}
        self.names: dict[str, str] = {}
        self.cells: dict[str, str] = {}
        self.places: dict[str, Where] = {}
        self.problems: list[Problem] = []
        self._decimal = decimal

    def add(self, where: Where, key: str, cell: str) -> None:
        """Take one row."""
        match = match_name(key, fields_of("info"))
        if match is None:
            hint = offer(plain(key), fields_of("info"))
            self.problems.append(Problem(where, "key", shorten(key), f"not a key of site.csv; {hint}"))
            return
        name = match[0].name
        if name in self.places:
            wanted = f"expected each key once; row {self.places[name].row} has it"
            self.problems.append(Problem(where, "key", shorten(key), wanted))
            return
        self.places[name], self.names[name] = where, key
        if not cell:
            return
        try:
            self.values[name] = cell_reader(Column(1, key, *match), {}, self._decimal)(cell)
            self.cells[name] = cell
        except FormulaError as error:
            self.problems.append(Problem(where, key, shorten(cell), str(error)))


def extract_info(table: CsvTable | None, mapping: MappingFile) -> tuple[RawRecord | None, list[Problem]]:
    """The site's facts from `site.csv` and the mapping file's `[site]`, or None when neither says anything."""
    settings = mapping.table("site")
    rows = InfoRows(_decimal(table, settings.decimal))
    problems = list(table.problems) if table else []
    if table and table.header and tuple(map(plain, table.header)) != KEYS:
        where, seen = Where(table.file, table.header_row), shorten(",".join(table.header))
        problems.append(Problem(where, "", seen, "expected a header of two columns: key,value"))
    elif table and table.header:
        for number, cells in table.rows:
            rows.add(Where(table.file, number), cells[0].strip(), cells[1].strip())
    for part, given in (("defaults", settings.defaults), ("constants", settings.constants)):
        for name, value in given.items():
            if part == "constants" or name not in rows.values:
                rows.values[name] = value
                rows.places[name] = Where(mapping.name, pointer=f"site.{part}.{name}")
                rows.cells.pop(name, None)
                rows.names.pop(name, None)
    place = Where(table.file if table else mapping.name)
    record = RawRecord(rows.values, place, rows.names, rows.cells, rows.places) if rows.values else None
    return record, problems + rows.problems


def _decimal(table: CsvTable | None, stated: str) -> str:
    if table is None or len(table.header) != len(KEYS):
        return stated or "."
    facts = fields_of("info")["cords_total_m"]
    return decimal_sign(table, (Column(1, "value", facts, ""),), stated)
