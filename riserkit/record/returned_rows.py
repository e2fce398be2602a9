"""From the sheets of returned files to rows, each with where it stood; and every cell that cannot be read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError

from riserkit.model.problems import Problem, Where, offer, shorten
from riserkit.model.raw import TextSheet
from riserkit.model.refusals import accepted
from riserkit.model.returned import FIELD_TABLES, HOLD_COLUMN, TEST_SHEETS, FieldTable, Returned
from riserkit.quantities.stated import parse_quantity

_NOT_A_LETTER: Final = re.compile(r"[\W_]+")
_FEET: Final = "ft"
_WHO: Final = ("by", "date", "instrument")
_HEADING_WITHIN: Final = 12
"""Rows in which the heading of a sheet is looked for, below its instruction."""


@dataclass(frozen=True, slots=True)
class FoundRow:
    """A row as it came back.

    Args:
        table: its table.
        row: what it says.
        where: file, sheet and row.
        cells: address of each column's cell.
        texts: what stands in them.
    """

    table: str
    row: Returned
    where: Where
    cells: Mapping[str, str] = field(default_factory=dict, repr=False)
    texts: Mapping[str, str] = field(default_factory=dict, repr=False)

    def problem(self, column: str, wanted: str) -> Problem:
        """A problem with one of its cells."""
        seen = self.texts.get(column, "")
        return Problem(_at(self.where, self.cells.get(column, "")), column, shorten(seen), wanted)


@dataclass(frozen=True)
class Who:
    """Who has filled in a file, where its rows do not say."""

    by: str = ""
    date: str = ""
    instrument: str = ""


def rows_of(file: str, sheets: Sequence[TextSheet], who: Who) -> tuple[list[FoundRow], list[Problem], list[str]]:
    """Every row that states something, every problem, and the sheets that were left alone.

    Args:
        file: its name.
        sheets: of it.
        who: of the whole return; the file's own table `crew` goes before it.
    """
    found: list[FoundRow] = []
    problems: list[Problem] = []
    left: list[str] = []
    read = [(sheet, _Reader.of(file, sheet, problems)) for sheet in sheets]
    readers = [reader for _, reader in read if reader is not None]
    crews = [reader for reader in readers if reader.table.name == "crew"]
    said = dict(vars(who))
    for reader in crews:
        said |= {name: text for values in reader.rows() for name, text in values.texts.items() if text}
    for reader in readers:
        if reader.table.name != "crew":
            found += reader.found(said, problems)
    left += [sheet.name for sheet, reader in read if reader is None]
    if not readers and not problems:
        names = ", ".join(FIELD_TABLES)
        problems.append(
            Problem(Where(file), "", "", f"expected a sheet, or a file, of one of these names: {names}; this has none")
        )
    return found, problems, left


@dataclass(frozen=True, slots=True)
class _Texts:
    number: int
    texts: Mapping[str, str]
    addresses: Mapping[str, str]
    errors: Mapping[str, str]
    beside: Mapping[str, str]
    """By address what stands beyond the headings, where nobody would read it."""


@dataclass(frozen=True)
class _Reader:
    """One sheet of a table that is filled in."""

    file: str
    sheet: TextSheet
    table: FieldTable
    heading: int
    columns: Mapping[int, tuple[str, str]]
    """By place the column and the unit that its heading states."""

    @classmethod
    def of(cls, file: str, sheet: TextSheet, problems: list[Problem]) -> _Reader | None:
        """The reader of a sheet; None where it is no table that is filled in."""
        table = _named(sheet.name, lone=sheet.lone)
        if table is None:
            return None
        where = Where(file if sheet.lone else f"{file}, {sheet.name}")
        known = set(table.columns)
        numbers = sorted(sheet.rows)[:_HEADING_WITHIN]
        heading = max(numbers, key=lambda n: sum(_column(c, known)[0] in known for c in sheet.rows[n]), default=0)
        names = [_column(cell, known) for cell in sheet.rows.get(heading, ())]
        found = {name for name, _ in names if name in known}
        missing = [name for name in table.record.needed() if name not in found]
        if missing or not found:
            problems.append(Problem(where, "", "", _heading_wanted(table, missing if found else ())))
            return None
        columns: dict[int, tuple[str, str]] = {}
        for place, (name, unit) in enumerate(names):
            if name in known:
                if name in {n for n, _ in columns.values()}:
                    problems.append(
                        Problem(_at(where, _address(heading, place)), "", name, "expected each column once")
                    )
                columns[place] = (name, unit)
        reader = cls(file, sheet, table, heading, columns)
        problems += reader._strange(where, names, known)
        return reader

    def _strange(self, where: Where, names: Sequence[tuple[str, str]], known: set[str]) -> Iterator[Problem]:
        """Columns that nobody reads, and that say something."""
        for place, (name, _) in enumerate(names):
            below = (self.sheet.rows[n] for n in self.sheet.rows if n > self.heading)
            if name not in {*known, *self.table.record.BESIDE, HOLD_COLUMN} and any(
                place < len(cells) and cells[place].strip() for cells in below
            ):
                cell = self.sheet.rows[self.heading][place]
                yield Problem(
                    _at(where, _address(self.heading, place)), "", shorten(cell),
                    f"not known for {self.table.name.replace('_', ' ')}; {offer(name, known)}",
                )  # fmt: skip

    def rows(self) -> Iterator[_Texts]:
        """Rows below the heading that have something in them."""
        for number in sorted(n for n in self.sheet.rows if n > self.heading):
            cells = self.sheet.rows[number]
            beside = {n: cells[n] for n in range(len(self.sheet.rows[self.heading]), len(cells)) if cells[n].strip()}
            texts, addresses, errors = {}, {}, {}
            for place, (name, unit) in self.columns.items():
                text = cells[place].strip() if place < len(cells) else ""
                addresses[name] = _address(number, place)
                if (number, place) in self.sheet.errors:
                    errors[name] = self.sheet.errors[number, place]
                texts[name] = f"{text} {unit}" if unit and _is_number(text) else text
            yield _Texts(number, texts, addresses, errors, {_address(number, n): text for n, text in beside.items()})

    def found(self, who: Mapping[str, str], problems: list[Problem]) -> Iterator[FoundRow]:
        """Rows that state something."""
        filled = self.table.record.FILLED
        for values in self.rows():
            where = (
                Where(self.file, values.number)
                if self.sheet.lone
                else Where(f"{self.file}, {self.sheet.name}", values.number)
            )
            problems += [
                Problem(
                    _at(where, values.addresses[name]),
                    name,
                    shorten(seen),
                    "expected a value, not a formula or an error",
                )
                for name, seen in values.errors.items()
            ]
            problems += [
                Problem(_at(where, address), "", shorten(text), "expected nothing here; no heading says what it is")
                for address, text in values.beside.items()
            ]
            if values.errors or not any(values.texts.get(name) for name in filled):
                continue
            texts = {name: text for name, text in values.texts.items() if text}
            missing = {name: text for name, text in who.items() if text and name not in texts}
            row = self._record({**texts, **missing, "file": self.file}, where, values, problems)
            if row is not None:
                yield FoundRow(self.table.name, row, where, values.addresses, texts)

    def _record(
        self, texts: Mapping[str, str], where: Where, values: _Texts, problems: list[Problem]
    ) -> Returned | None:
        try:
            return self.table.record.model_validate({name: self._said(name, text) for name, text in texts.items()})
        except ValidationError as error:
            for item in error.errors(include_url=False):
                name = str(item["loc"][0]) if item["loc"] else ""
                wanted = accepted(item, self.table.name, name)
                if item["type"] == "missing" and name in _WHO:
                    wanted = f"expected {_WANTED[name]}, here, in the table crew, or with --{name}"
                problems.append(
                    Problem(_at(where, values.addresses.get(name, "")), name, shorten(texts.get(name, "")), wanted)
                )
            return None

    def _said(self, name: str, text: str) -> Any:
        """A word of a choice as the table writes it."""
        choices = self.table.choices(name) if name in self.table.columns else ()
        return next((word for word in choices if word.casefold() == text.casefold()), text)


def comments_of(file: str, sheets: Sequence[TextSheet]) -> Iterator[tuple[str, str]]:
    """Comments beside cells of the tables that are filled in: where each is, and what it says.

    They are no cell of a table, so they go on record nowhere; whoever takes the return has to know of them.
    """
    for sheet in sheets:
        if _named(sheet.name, lone=sheet.lone) is not None:
            for (row, place), text in sorted(sheet.comments.items()):
                yield f"{file}{'' if sheet.lone else f', {sheet.name}'}, {_address(row, place)}", text


_WANTED: Final = {"by": "the name of whoever found it", "date": "the date as YYYY-MM-DD"}


def _heading_wanted(table: FieldTable, missing: Sequence[str]) -> str:
    """What a heading lacks that has some of a table's columns; all of them where it has none."""
    if not missing:
        return f"expected a heading with the columns {', '.join(table.columns)}"
    columns = f"column{'s' if len(missing) > 1 else ''} {', '.join(missing)}"
    return f"expected the {columns} in the heading too: without it nobody can tell what a row is about"


def _named(name: str, *, lone: bool) -> FieldTable | None:
    """The table of a sheet's name, or of a file's, which may say more: `crew 2 landings`."""
    plain = _plain(name).removeprefix("field_")
    if plain in FIELD_TABLES or not lone:
        return FIELD_TABLES.get(plain)
    words = f"_{plain}_"
    # Of a workbook it is one of the schedules, which may print what came back before; its sheet of readings is another.
    if f"_{TEST_SHEETS}_" in words:
        return FIELD_TABLES["readings"]
    return next((table for table in FIELD_TABLES.values() if table.name != "crew" and f"_{table.name}_" in words), None)


def _plain(text: str) -> str:
    return _NOT_A_LETTER.sub("_", text.casefold()).strip("_")


def _column(heading: str, known: set[str]) -> tuple[str, str]:
    """A column and the unit that its heading states in place of the table's own."""
    name = _plain(heading)
    if name == "file" and "photo" in known:  # as papers before called it
        name = "photo"
    if name in known or not name.endswith(f"_{_FEET}"):
        return name, ""
    metric = f"{name.removesuffix(f'_{_FEET}')}_m"
    return (metric, _FEET) if metric in known else (name, "")


def _is_number(text: str) -> bool:
    try:
        return (
            bool(text) and parse_quantity(text, "m") is not None and not any(ch.isalpha() or ch in "'\"" for ch in text)
        )
    except ValueError:
        return False


def _address(row: int, place: int) -> str:
    name, index = "", place + 1
    while index:
        index, rest = divmod(index - 1, 26)
        name = chr(ord("A") + rest) + name
    return f"{name}{row}"


def _at(where: Where, address: str) -> Where:
    return Where(where.file, 0, address) if address else where
