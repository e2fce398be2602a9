"""A list of doors as facts: what each row says of its door, and what of the list was not understood."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts, HardwareSet
from riserkit.importing.names import level_named
from riserkit.importing.settings import DocumentSettings
from riserkit_xlsx.archive import refused
from riserkit_xlsx.blocks import ListBlock, find_blocks
from riserkit_xlsx.colours import said_by_colour
from riserkit_xlsx.continued import goes_on, joined, with_more
from riserkit_xlsx.controlled import with_control
from riserkit_xlsx.delimited import read_delimited
from riserkit_xlsx.dittos import only_repeats
from riserkit_xlsx.grid import BEYOND, Grid, address
from riserkit_xlsx.no_doors import (
    heads_doors,
    heads_notes,
    is_deleted,
    is_lone_note,
    is_note,
    is_of_others,
    is_page_number,
    is_total,
    says_deleted,
)
from riserkit_xlsx.opendocument import read_opendocument
from riserkit_xlsx.row import RowReader
from riserkit_xlsx.said_of_all import ask_of_all
from riserkit_xlsx.set_matrix import SetMatrix, matrices_of
from riserkit_xlsx.sets import headed_sets, sets_of
from riserkit_xlsx.several import doors_of_row
from riserkit_xlsx.titles import storey_of_sheet, words_above
from riserkit_xlsx.units import units_of

_MOST_CELLS: Final = 12
_MARK_LIKE = re.compile(r"[A-Za-z]{0,4}[ .\-]?\d{1,5}[A-Za-z]?(?:[.\-]\d{1,3}[A-Za-z]?)?")
_MOST_NAMED: Final = 12
_MOST_CHARS: Final = 120
_MOST_WORDS: Final = 40
_DATE = re.compile(
    r"\d{4}-\d\d-\d\d(?: [\d:.]+)?|\d\d:\d\d:\d\d|(?:\d{1,2}-)?(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)-\d{1,4}"
    r"|\d{1,2}-(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)",
    re.IGNORECASE,
)


def read_list(path: Path, settings: DocumentSettings) -> Facts:
    """Read a list of doors.

    Raises:
        InputError: it cannot be read, or no sheet of it has a table of doors or of hardware sets.
    """
    return _List(path, read_grids(path), settings).facts()


def read_grids(path: Path) -> list[Grid]:
    """Every sheet of a list, as its suffix says.

    Raises:
        InputError: it cannot be read.
    """
    suffix = path.suffix.lower()
    if suffix in (".xlsx", ".xlsm"):
        from riserkit_xlsx.workbook import read_workbook  # noqa: PLC0415 - only for workbooks

        return read_workbook(path)
    return read_opendocument(path) if suffix == ".ods" else read_delimited(path)


class _List:
    def __init__(self, path: Path, grids: Sequence[Grid], settings: DocumentSettings) -> None:
        self.path, self.grids, self.settings = path, grids, settings
        self.notes: list[DocumentNote] = []
        self.headings: dict[str, str] = {}
        self.sets: list[HardwareSet] = []
        self._titles: dict[int, list[str]] = {}
        self._outside: list[tuple[str, str]] = []

    def facts(self) -> Facts:
        doors: list[DoorFact] = []
        names = {grid.name for grid in self.grids}
        for name in self.settings.sheets:
            if name not in names:
                raise refused(
                    self.path,
                    f"expected a sheet {name!r}, which import.toml names; there are {', '.join(sorted(names))}",
                )
        tables, is_any = self._tables()
        for grid, block in tables:
            doors += self._doors(grid, block)
        if not is_any:
            raise refused(self.path, "expected a table of doors: no row looks like its headings (a mark and two more that are known); "
                                     "state header_row and columns in import.toml")  # fmt: skip
        if tables and not doors:
            self._note("question", "", "the list has headings and no row of a door", "look whether the rows are there")
        doors = joined(doors, self.notes)
        doors = with_control(doors, [block for _, block in tables], self.sets, self.path.name, self.notes)
        self.notes += ask_of_all(self.path.name, dict.fromkeys(self._outside), doors, self.sets)
        return Facts(
            self.path.name,
            "list",
            doors=tuple(doors),
            sets=tuple(self.sets),
            notes=tuple(self.notes),
            headings=self.headings,
        )

    def _tables(self) -> tuple[list[tuple[Grid, ListBlock]], bool]:
        """Tables of doors, and whether there is any table that is understood; hardware sets are taken on the way."""
        tables: list[tuple[Grid, ListBlock]] = []
        is_any = False
        for link in sorted({link for grid in self.grids for link in grid.links}):
            self._note("left", "", f"{link} of the workbook are neither run nor followed")
        found = [
            (grid, find_blocks(grid, self.settings.header_row, self.settings.columns)) for grid in self._read_grids()
        ]
        named = [
            name for grid, blocks in found for block in blocks if not block.is_sets for name in _sets_named(grid, block)
        ]
        for grid, listed in found:
            matrices = list(matrices_of(grid, named))
            blocks = list(_without(listed, matrices))
            is_any = is_any or bool(blocks or matrices)
            self.sets += [self._at_home(one) for matrix in matrices for one in matrix.sets]
            used = {row for b in blocks for row in (b.header_row, *b.rows, *b.repeated)}
            used |= {row for matrix in matrices for row in (matrix.header_row, *matrix.rows)}
            for block in blocks:
                self._said_again(grid, block)
                self._titles[id(block)] = self._words_above(grid, block, used)
                if block.is_sets:
                    self.sets += [self._at_home(one) for one in sets_of(grid, block)]
                else:
                    tables.append((grid, block))
            if not any(not b.is_sets for b in blocks):
                headed = [self._at_home(one) for one in headed_sets(grid, used, named)]
                self.sets += headed
                is_any = is_any or bool(headed)
                if not blocks and not matrices and not headed and grid.rows:
                    self._unread_sheet(grid)
        return tables, is_any

    def _read_grids(self) -> Iterator[Grid]:
        """The sheets that are to be read, with merged cells filled; what of the others is not read is told."""
        for grid in self.grids:
            if self.settings.sheets and grid.name not in self.settings.sheets:
                continue
            if grid.is_hidden and not self.settings.sheets:
                self._note(
                    "question",
                    f"sheet {grid.name}",
                    "the sheet is hidden and is not read",
                    "name it under sheets to read it",
                )
                continue
            if grid.beyond:
                self._note("question", f"sheet {grid.name}", f"{grid.beyond} rows or cells {BEYOND} are not read",
                           "clear them, or split the sheet")  # fmt: skip
            grid.filled()
            yield grid

    def _unread_sheet(self, grid: Grid) -> None:
        """Tell what a sheet says in which no table is found: notes that hold for every door may stand there."""
        for row in sorted(grid.rows)[:_MOST_WORDS]:
            if texts := [text for text in dict.fromkeys(grid.rows[row]) if text]:
                self._outside.append((f"sheet {grid.name}, row {row}", ", ".join(texts)))
                self._note("left", f"sheet {grid.name}, row {row}", f"no table is found here; its words are not read: {', '.join(texts)}",
                           "state in the tables what they say of doors")  # fmt: skip
        if len(grid.rows) > _MOST_WORDS:
            more = f"no table is found here; {len(grid.rows) - _MOST_WORDS} more rows are not read"
            self._note("left", f"sheet {grid.name}", more)

    def _words_above(self, grid: Grid, block: ListBlock, used: set[int]) -> list[str]:
        """What stands above a table, which is told."""
        titles: list[str] = []
        for row, words in words_above(grid, block, used):
            titles.append(words)
            self._outside.append((f"sheet {grid.name}, row {row}", words))
            self._note("left", f"sheet {grid.name}, row {row}", f"words above the headings: {words}")
        return titles

    def _said_again(self, grid: Grid, block: ListBlock) -> None:
        """Tell which cells say only that they say the same as another."""
        place = f"sheet {grid.name}"
        for is_similar, severity, what in (
            (False, "inferred", "cells that repeat another are read as it"),
            (True, "question", "cells that are similar to another's are read as the same"),
        ):
            told = [f"{one.at} ({one.words}) as {one.source}" for one in block.again
                    if one.source and one.is_similar == is_similar]  # fmt: skip
            for n in range(0, len(told), _MOST_CELLS):
                self._note(severity, place, f"{what}: {', '.join(told[n : n + _MOST_CELLS])}",
                           "write the value into the cell if another is meant")  # fmt: skip
        for one in block.again:
            if not one.source:
                self._note("question", f"{place}, {one.at}", f"{one.words!r} has no row above that it could repeat; the cell counts as "
                           "not stated", "write the value into the cell")  # fmt: skip

    def _at_home(self, one: HardwareSet) -> HardwareSet:
        return replace(one, at=At(self.path.name, one.at.place))

    def _note(self, severity: str, place: str, text: str, remedy: str = "") -> None:
        self.notes.append(DocumentNote(severity, At(self.path.name, place), text, remedy))  # type: ignore[arg-type]

    def _doors(self, grid: Grid, block: ListBlock) -> Iterator[DoorFact]:
        place = f"sheet {grid.name}"
        mark = block.column("mark")
        if mark is None:
            headings = ", ".join(filter(None, block.headings.values()))[:_MOST_CHARS]
            unread = f"a table without a column of marks is not read: {len(block.rows)} rows below {headings}"
            remedy = "say under columns which heading is the mark"
            self._note("left", f"{place}, row {block.header_row}", unread, remedy)
            return
        title = [text for text in dict.fromkeys(grid.rows.get(block.header_row - 1, ())) if text]
        if is_of_others(title):
            said = f"{title[0]}: its {len(block.rows)} rows are of no doors and are not read"
            self._note("left", f"{place}, row {block.header_row - 1}", said)
            return
        self._told_headings(grid, block, place)
        for text, is_asked in said_by_colour(grid, block):
            self._note(
                "question" if is_asked else "left",
                place,
                text,
                "state in the rows, or in openings.csv, what it says of doors",
            )
        units, told = units_of(grid, block)
        for severity, text, remedy in told:
            self._note(severity, f"{place}, row {block.header_row}", text, remedy)
        reader = RowReader(self.path.name, grid, block, units, self.notes)
        level, why = self._storey(grid, block)
        last: tuple[DoorFact, int, int | None] | None = None
        for row, section in self._door_rows(grid, block, mark):
            door = _in_section(reader.door(row), section)
            if level and not door.level:
                door = replace(door, level=level, inferred={**door.inferred, "level": why})
            if last is not None and (self._is_more(grid, row, mark, last[1]) or (goes_on(door) and row == last[1] + 1)):
                more = f"the row has no mark of its own and is read as more of door {last[0].mark}"
                self._note("inferred", f"{place}, row {row}", more, "state a mark in the list if it is another door")
                last = with_more(last[0], door), row, last[2]
                continue
            if last is not None:
                yield from doors_of_row(last[0], self.notes, last[2])
            last = door, row, reader.pieces(row)
            self._ask_of_mark(door, f"{place}, row {row}", grid.rows[row])
        if last is not None:
            yield from doors_of_row(last[0], self.notes, last[2])

    def _door_rows(self, grid: Grid, block: ListBlock, mark: int) -> Iterator[tuple[int, str]]:
        """The rows of a table that are of doors, each with the words of the row that heads its section."""
        place = f"sheet {grid.name}"
        section, used_section, in_notes = "", True, False
        others: list[int] = []
        hidden, struck = self._hidden(grid, block, place), self._struck(grid, block, place)
        for row in block.rows:
            texts = [text for text in dict.fromkeys(grid.rows[row]) if text]
            if (not texts and not any(r == row for r, _ in grid.errors)) or block.is_blank(grid, row):
                continue
            if self._is_skipped(grid, row, texts, (hidden, struck)):
                continue
            in_notes = heads_notes(texts) or (in_notes and is_note(texts))
            if in_notes or is_lone_note(texts):
                self._outside.append((f"{place}, row {row}", ", ".join(texts)))
                self._note(
                    "left",
                    f"{place}, row {row}",
                    f"{'notes below the rows' if in_notes else 'a note between the rows'}: {', '.join(texts)}",
                )
                continue
            if others and (heads_doors(texts) or any(others[-1] < head < row for head in block.repeated)):
                self._told_others(grid, others)
            if others or is_of_others(texts):
                others.append(row)
                continue
            if self._is_section(grid, row, texts, mark, block):
                if not used_section:
                    self._note("left", place, f"words between the rows: {section}")
                section, used_section = texts[0], False
                self._outside.append((f"{place}, row {row}", section))
                continue
            used_section = True
            yield row, section
        if not used_section:
            self._note("left", place, f"words below the rows: {section}")
        self._told_others(grid, others)

    def _told_others(self, grid: Grid, others: list[int]) -> None:
        """Say which rows are of another table than of doors, and begin anew."""
        if others:
            said = ", ".join(text for text in dict.fromkeys(grid.rows[others[0]]) if text)
            told = f"{said}: its {len(others) - 1} rows are of no doors and are not read"
            self._note("left", f"sheet {grid.name}, row {others[0]}", told)
        others.clear()

    def _ask_of_mark(self, door: DoorFact, place: str, cells: Sequence[str]) -> None:
        if not door.mark:
            said = ", ".join(dict.fromkeys(text for text in cells if text))[:80]
            self._note("question", place, f"the row has no mark: {said}", "state its mark in the list")
        elif only_repeats(door.mark):
            self._note(
                "question",
                place,
                f"{door.mark!r} stands as a mark, and no two doors have one mark",
                "state its mark in the list",
            )
        elif _DATE.fullmatch(door.mark):
            self._note("question", place, f"{door.mark} is a date and stands as a mark; a spreadsheet makes one of 1-2",
                       "write the mark into the list as text")  # fmt: skip

    def _is_more(self, grid: Grid, row: int, mark: int, above: int) -> bool:
        """Whether the mark of a row is that of the row above, in one merged cell."""
        return any(
            column <= mark < column + wide and first <= above < row < first + tall
            for (first, column), (tall, wide) in grid.spans.items()
        )

    def _is_skipped(
        self, grid: Grid, row: int, texts: Sequence[str], marked: tuple[Sequence[int], Sequence[int]]
    ) -> bool:
        """Whether a row is no door: hidden and struck ones that are to be left out, totals and page numbers."""
        place = f"sheet {grid.name}"
        hidden, struck = marked
        if row in struck and self.settings.struck == "skip":
            why = "struck out" if grid.is_struck(row) else "deleted"
            self._note("left", f"{place}, row {row}", f"{why}, left out: {', '.join(texts)[:80]}")
            return True
        if row in hidden and self.settings.hidden == "skip":
            self._note("left", f"{place}, row {row}", f"hidden, left out: {', '.join(texts)[:80]}")
            return True
        if is_total(texts) or is_page_number(texts) or is_deleted(texts):
            what = "total" if is_total(texts) else "page number" if is_page_number(texts) else "row that is not used"
            self._note("left", f"{place}, row {row}", f"taken for a {what} and skipped: {', '.join(texts)[:80]}")
            return True
        return False

    def _storey(self, grid: Grid, block: ListBlock) -> tuple[str, str]:
        """The level of a table's doors that name none, and what says so."""
        if self.settings.level:
            return self.settings.level, "import.toml"
        if block.column("level") is not None:
            return "", ""
        return storey_of_sheet(
            grid, self._titles.get(id(block), ()), is_file=self.path.suffix.lower() in (".csv", ".tsv")
        )

    def _hidden(self, grid: Grid, block: ListBlock, place: str) -> list[int]:
        """The hidden rows, which are asked about."""
        hidden = [row for row in block.rows if row in grid.hidden_rows]
        if hidden and self.settings.hidden != "skip":
            severity = "inferred" if self.settings.hidden == "keep" else "question"
            self._note(severity, place, f"{_are(hidden)} hidden or filtered out ({_some(hidden)}), and read",
                       'state hidden = "skip" to leave them out, "keep" if they count')  # fmt: skip
        return hidden

    def _struck(self, grid: Grid, block: ListBlock, place: str) -> list[int]:
        """The rows that are struck out, which are asked about; and struck cells, which are told."""
        struck = [row for row in block.rows if grid.is_struck(row)]
        if struck and self.settings.struck != "skip":
            severity = "inferred" if self.settings.struck == "keep" else "question"
            self._note(severity, place, f"{_are(struck)} struck out ({_some(struck)}), and read",
                       'state struck = "skip" to leave them out, "keep" if they count')  # fmt: skip
        gone = {row: words for row in block.rows if row not in struck and (words := says_deleted(grid, block, row))}
        if gone and self.settings.struck != "skip":
            severity = "inferred" if self.settings.struck == "keep" else "question"
            said = ", ".join(f"row {row}: {words[:40]!r}" for row, words in [*gone.items()][:_MOST_CELLS])
            self._note(severity, place, f"{_are([*gone])} of doors that words say are deleted ({said}), and read",
                       'state struck = "skip" to leave them out, "keep" if they count')  # fmt: skip
        rows = set(block.rows) - set(struck)
        cells = [address(*cell) for cell in sorted(grid.struck) if cell[0] in rows]
        if cells:
            more = ", ..." if len(cells) > _MOST_CELLS else ""
            self._note("inferred", place, f"cells that are struck out are read all the same: {', '.join(cells[:_MOST_CELLS])}{more}",
                       "empty them in the list if they do not hold")  # fmt: skip
        for cell, words in sorted(grid.struck_words.items())[:_MOST_CELLS]:
            if cell[0] in rows:
                kept = grid.get(*cell)
                self._note(
                    "inferred",
                    f"{place}, {address(*cell)}",
                    f"{words[:60]!r} is struck out in the cell and is not read; {kept[:60]!r} is",
                )
        if grid.comments:
            self._note(
                "inferred", place, f"{len(grid.comments)} comments beside cells: those of doors go to the remarks"
            )
        return [*struck, *gone]

    def _told_headings(self, grid: Grid, block: ListBlock, place: str) -> None:
        """Say what of the headings is not known, hidden or repeated."""
        for column, heading in block.headings.items():
            meaning = block.meanings[column]
            self.headings.setdefault(
                heading, meaning.removeprefix("hardware:") if not meaning.startswith("hardware:") else "hardware"
            )
            if not meaning:
                self.headings[heading] = "remarks"
                self._note("left", f"{place}, row {block.header_row}", f"heading {heading!r} is not known: its values go to the remarks",
                           f'state columns = {{ "{heading}" = ... }}')  # fmt: skip
            elif column in grid.hidden_columns:
                self._note(
                    "inferred",
                    place,
                    f"column {heading!r} is hidden, and is read all the same",
                    'mean "ignore" by it under columns',
                )
        if block.repeated:
            self._note("found", place, f"the heading is repeated in {len(block.repeated)} rows, which are skipped")

    def _is_section(self, grid: Grid, row: int, texts: Sequence[str], mark: int, block: ListBlock) -> bool:
        """Whether a row only heads those below it: one text, across the table or not like a mark."""
        if len(texts) != 1 or any(r == row for r, _ in grid.errors):
            return False
        filled = [c for c, text in enumerate(grid.rows[row]) if text]
        if len(filled) > 1 or filled[0] != mark:
            return True
        return bool(level_named(texts[0])) or not _MARK_LIKE.fullmatch(texts[0]) or len(block.headings) == 1


def _sets_named(grid: Grid, block: ListBlock) -> Iterator[str]:
    """The hardware sets that a table's doors name."""
    column = block.column("set")
    if column is not None:
        yield from (text for row in block.rows if (text := grid.get(row, column)))


def _without(blocks: Iterable[ListBlock], matrices: Sequence[SetMatrix]) -> Iterator[ListBlock]:
    """The tables without the rows that are a matrix's; one whose heading is a matrix's, or part of it, is none."""
    heads = {matrix.header_row - n for matrix in matrices for n in (0, 1)}
    rows = {row for matrix in matrices for row in (matrix.header_row, *matrix.rows)}
    for block in blocks:
        if block.header_row not in heads | rows:
            yield replace(block, rows=tuple(row for row in block.rows if row not in rows))


def _in_section(door: DoorFact, section: str) -> DoorFact:
    """A door with what the row that heads its section says: its level, or a remark."""
    level = level_named(section)
    if level and not door.level:
        name = section if len(section) <= 40 else level
        return replace(door, level=name, inferred={**door.inferred, "level": f"the section {section!r}"})
    return replace(door, remarks=(*door.remarks, f"section: {section}")) if section and not level else door


def _are(rows: Sequence[int]) -> str:
    return "1 row is" if len(rows) == 1 else f"{len(rows)} rows are"


def _some(names: Sequence[object]) -> str:
    return ", ".join(map(str, names[:_MOST_NAMED])) + (", ..." if len(names) > _MOST_NAMED else "")
