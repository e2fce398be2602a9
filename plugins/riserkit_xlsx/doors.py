"""A list of doors as facts: what each row says of its door, and what of the list was not understood."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts, HardwareSet
from riserkit.importing.names import level_named
from riserkit.importing.settings import DocumentSettings
from riserkit_xlsx.archive import refused
from riserkit_xlsx.blocks import ListBlock, find_blocks
from riserkit_xlsx.delimited import read_delimited
from riserkit_xlsx.grid import BEYOND, Grid, address
from riserkit_xlsx.headings import unit_of_heading
from riserkit_xlsx.opendocument import read_opendocument
from riserkit_xlsx.row import RowReader, joined, row_controls
from riserkit_xlsx.sets import headed_sets, sets_of
from riserkit_xlsx.sizes import likely_unit, numbers_of

_MOST_CELLS: Final = 12
_TOTAL = re.compile(r"(?:grand |sub[- ]?)?totals?\b.*|sum\b.*|count\b.*|number of doors.*|summe.*", re.IGNORECASE)
_MARK_LIKE = re.compile(r"[A-Za-z]{0,4}[ .\-]?\d{1,5}[A-Za-z]?(?:[.\-]\d{1,3}[A-Za-z]?)?")
_MOST_NAMED: Final = 12
_BARE = re.compile(r"\d+(?:[.,]\d+)?")


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
        doors = self._controlled(doors, [block for _, block in tables])
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
            blocks = find_blocks(grid, self.settings.header_row, self.settings.columns)
            used = {row for b in blocks for row in (b.header_row, *b.rows, *b.repeated)}
            for block in blocks:
                is_any = True
                if block.is_sets:
                    self.sets += [self._at_home(one) for one in sets_of(grid, block)]
                else:
                    tables.append((grid, block))
            if not any(not b.is_sets for b in blocks):
                headed = [
                    self._at_home(one) for one in headed_sets(grid, used if any(b.is_sets for b in blocks) else set())
                ]
                self.sets += headed
                is_any = is_any or bool(headed)
        return tables, is_any

    def _at_home(self, one: HardwareSet) -> HardwareSet:
        return replace(one, at=At(self.path.name, one.at.place))

    def _note(self, severity: str, place: str, text: str, remedy: str = "") -> None:
        self.notes.append(DocumentNote(severity, At(self.path.name, place), text, remedy))  # type: ignore[arg-type]

    def _doors(self, grid: Grid, block: ListBlock) -> Iterator[DoorFact]:
        place = f"sheet {grid.name}"
        mark = block.column("mark")
        if mark is None:
            self._note("left", f"{place}, row {block.header_row}", "a table without a column of marks is not read",
                       "say under columns which heading is the mark")  # fmt: skip
            return
        self._told_headings(grid, block, place)
        reader = RowReader(self.path.name, grid, block, self._units(grid, block), self.notes)
        section, used_section = "", True
        hidden, struck = self._hidden(grid, block, place), self._struck(grid, block, place)
        for row in block.rows:
            texts = [text for text in dict.fromkeys(grid.rows[row]) if text]
            if not texts and not any(r == row for r, _ in grid.errors):
                continue
            if self._is_skipped(row, texts, (hidden, struck), place):
                continue
            if self._is_section(grid, row, texts, mark, block):
                if not used_section:
                    self._note("left", place, f"words between the rows: {section}")
                section, used_section = texts[0], False
                continue
            used_section = True
            door = reader.door(row)
            door = _in_section(door, section)
            if not door.mark:
                self._note(
                    "question",
                    f"{place}, row {row}",
                    f"the row has no mark: {', '.join(texts)[:80]}",
                    "state its mark in the list",
                )
            yield door
        if not used_section:
            self._note("left", place, f"words below the rows: {section}")

    def _is_skipped(
        self, row: int, texts: Sequence[str], marked: tuple[Sequence[int], Sequence[int]], place: str
    ) -> bool:
        """Whether a row is no door: hidden and struck ones that are to be left out, and totals."""
        hidden, struck = marked
        if row in struck and self.settings.struck == "skip":
            self._note("left", f"{place}, row {row}", f"struck out, left out: {', '.join(texts)[:80]}")
            return True
        if row in hidden and self.settings.hidden == "skip":
            self._note("left", f"{place}, row {row}", f"hidden, left out: {', '.join(texts)[:80]}")
            return True
        if texts and _TOTAL.fullmatch(texts[0]):
            self._note("left", f"{place}, row {row}", f"taken for a total and skipped: {', '.join(texts)[:80]}")
            return True
        return False

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
        return struck

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

    def _units(self, grid: Grid, block: ListBlock) -> Mapping[str, str]:
        """By meaning the unit of bare numbers: the heading's, else that in which the column's numbers are sizes of doors."""
        found: dict[str, str] = {}
        widths, heights = [], []
        for meaning in ("width_m", "leaf_width_m", "clear_width_m", "height_m", "size"):
            column = block.column(meaning)
            if column is None:
                continue
            found[meaning] = _unit(unit_of_heading(block.headings[column]))
            texts = [grid.get(row, column) for row in block.rows]
            if meaning == "size":
                wide, high = numbers_of(texts)
                widths += wide
                heights += high
            else:
                (heights if meaning == "height_m" else widths).extend(
                    float(text.replace(",", ".")) for text in texts if _BARE.fullmatch(text)
                )
        stated = {unit for unit in found.values() if unit}
        unit = stated.pop() if len(stated) == 1 else likely_unit(widths, heights)
        place = f"sheet {grid.name}, row {block.header_row}"
        lacking = [meaning for meaning, known in found.items() if not known]
        if lacking and (widths or heights) and unit:
            self._note("inferred", place, f"bare numbers of {', '.join(lacking)} are read as {unit}: from the sizes that doors have",
                       "write the unit into the heading")  # fmt: skip
        elif lacking and (widths or heights):
            self._note("question", place, f"the unit of bare numbers of {', '.join(lacking)} is not known; they go to the remarks",
                       "write the unit into the heading, such as Width (mm)")  # fmt: skip
        return {meaning: known or unit for meaning, known in found.items()}

    def _controlled(self, doors: Sequence[DoorFact], blocks: Sequence[ListBlock]) -> list[DoorFact]:
        """Which rows are of doors with access control, and how many are not."""
        columns = {
            m
            for block in blocks
            for m in block.meanings.values()
            if m == "controlled" or m.startswith("hardware:") or m == "set"
        }
        told = [row_controls(door, self.sets) for door in doors]
        if not columns or not any(told):
            if doors:
                why = "nothing in it speaks of access control" if not columns else "no row of it states any"
                self._note(
                    "inferred",
                    "",
                    f"all {len(doors)} rows are taken for controlled doors: {why}",
                    "take out those that are not",
                )
            return list(doors)
        off = [door for door, is_on in zip(doors, told, strict=True) if not is_on]
        if off:
            self._note("inferred", "", f"{len(doors) - len(off)} of {len(doors)} rows kept: {len(off)} have no access control "
                       f"({_some([d.mark or str(d.at) for d in off])})", 'state doors.keep = "all" to take them too')  # fmt: skip
        return [replace(door, controlled=is_on) for door, is_on in zip(doors, told, strict=True)]


def _in_section(door: DoorFact, section: str) -> DoorFact:
    """A door with what the row that heads its section says: its level, or a remark."""
    level = level_named(section)
    if level and not door.level:
        name = section if len(section) <= 40 else level
        return replace(door, level=name, inferred={**door.inferred, "level": f"the section {section!r}"})
    return replace(door, remarks=(*door.remarks, f"section: {section}")) if section and not level else door


def _unit(text: str) -> str:
    return {"inch": "in", "inches": "in", "feet": "ft"}.get(text, text)


def _are(rows: Sequence[int]) -> str:
    return "1 row is" if len(rows) == 1 else f"{len(rows)} rows are"


def _some(names: Sequence[object]) -> str:
    return ", ".join(map(str, names[:_MOST_NAMED])) + (", ..." if len(names) > _MOST_NAMED else "")
