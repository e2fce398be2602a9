"""From a table's text to its header and rows, with the row number of each."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

from riserkit.model.problems import Problem, Where, shorten
from riserkit.model.raw import MOST_FIELDS

DELIMITERS: Final = ",;\t"
_SEPARATOR_LINE = re.compile(r"^sep=([,;|:\t])\s*$", re.IGNORECASE)
_NOT_A_LETTER = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class CsvTable:
    """A table as it is in the file.

    Args of note:
        header: the column names as written, trailing nameless ones cut off.
        header_row: the number of the header's row, 0 when there is none.
        rows: number and cells of every row that has something in it, as many cells as there are columns.
    """

    file: str
    delimiter: str
    header: tuple[str, ...]
    header_row: int
    rows: tuple[tuple[int, list[str]], ...]
    problems: tuple[Problem, ...]


def plain(name: str) -> str:
    """A column's or file's name without case, spaces, brackets and underscores: `Length (m)` is `length_m`."""
    return _NOT_A_LETTER.sub("_", name.casefold()).strip("_")


class _Lines:
    """Lines for the csv reader, comments blanked; `fresh` says that a row, not a cell's next line, begins."""

    def __init__(self, text: str) -> None:
        self._lines = io.StringIO(text, newline="")
        self.fresh = True

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = next(self._lines)
        if self.fresh and line.lstrip().startswith("#"):
            line = "\n"
        self.fresh = False
        return line


def read_table(file: str, text: str, known: Collection[str], delimiter: str = "") -> CsvTable:
    """Split a table into rows.

    Args:
        file: its name, for problems.
        text: the whole table.
        known: column names that may be expected, as `plain` writes them; they tell delimiters apart.
        delimiter: as stated by the user; empty finds it in the header.
    """
    stated = _SEPARATOR_LINE.match(text.partition("\n")[0])
    if stated:
        text = "#" + text
        delimiter = delimiter or stated[1]
    problems: list[Problem] = []
    with _any_length(text):
        delimiter = delimiter or _sniff(text, known)
        rows = list(_rows(file, text, delimiter, problems))
    if not rows:
        problems.append(Problem(Where(file, 1), "", "", "expected a header row with the names of the columns"))
        return CsvTable(file, delimiter, (), 0, (), tuple(problems))
    number, header = rows[0]
    while header and not header[-1].strip():
        header.pop()
    if len(header) > MOST_FIELDS:
        wanted = f"expected at most {MOST_FIELDS} columns; this row has {len(header)}"
        problems.append(Problem(Where(file, number), "", "", wanted))
        return CsvTable(file, delimiter, (), 0, (), tuple(problems))
    even = _even(file, rows[1:], header, problems)
    return CsvTable(file, delimiter, tuple(h.strip() for h in header), number, tuple(even), tuple(problems))


def _sniff(text: str, known: Collection[str]) -> str:
    lines = _Lines(text)
    header = ""
    for line in lines:
        lines.fresh = True
        if line.strip():
            header = line
            break
    return max(DELIMITERS, key=lambda d: _fit(header, d, known))


def _fit(header: str, delimiter: str, known: Collection[str]) -> tuple[int, int]:
    names = next(csv.reader([header.rstrip("\r\n")], delimiter=delimiter), [])
    return sum(plain(name) in known for name in names), len(names)


@contextmanager
def _any_length(text: str) -> Iterator[None]:
    """Cells as long as the whole table, which the csv module would refuse; the models bound what is kept of them."""
    limit = csv.field_size_limit(len(text) + 1)
    try:
        yield
    finally:
        csv.field_size_limit(limit)


def _rows(file: str, text: str, delimiter: str, problems: list[Problem]) -> Iterator[tuple[int, list[str]]]:
    lines, number = _Lines(text), 0
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        lines.fresh = True
        number += 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            problems.append(Problem(Where(file, number), "", "", _broken(error)))
            continue
        if any(map(str.strip, cells)):
            yield number, cells


def _broken(error: csv.Error) -> str:
    if "end of data" in str(error):
        return "expected a closing quote; the one that opens in this row is never closed"
    return 'expected a quote inside a quoted cell to be doubled (""), and nothing after the closing one'


def _even(
    file: str, rows: list[tuple[int, list[str]]], header: list[str], problems: list[Problem]
) -> Iterator[tuple[int, list[str]]]:
    """Rows cut to the header's width when only empty cells are cut; the others are problems."""
    width = len(header)
    for number, cells in rows:
        beyond = [cell for cell in cells[width:] if cell.strip()]
        if len(cells) < width or beyond:
            seen = shorten(beyond[0].strip()) if beyond else ""
            accepted = f"expected {width} cells as in the header; this row has {len(cells)}"
            problems.append(Problem(Where(file, number), "", seen, accepted))
        yield number, (cells + [""] * (width - len(cells)))[:width]
