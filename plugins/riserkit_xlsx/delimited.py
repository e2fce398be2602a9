"""A text table as a grid: encodings and delimiters as spreadsheets save them."""

from __future__ import annotations

import csv
import io
import re
from collections import deque
from itertools import islice
from pathlib import Path
from typing import Final

from riserkit_csv.decode import NotTextError, decode

from riserkit_xlsx.archive import refused
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid

_SEPARATOR: Final = re.compile(r"sep=.?", re.IGNORECASE)
"""The first line by which a spreadsheet is told what parts the cells."""


def read_delimited(path: Path) -> list[Grid]:
    """The table as one grid.

    Raises:
        InputError: it is no text.
    """
    try:
        text = decode(path.read_bytes())
    except NotTextError as error:
        raise refused(path, str(error)) from None
    head = text[:20_000]
    delimiter = (
        "\t" if path.suffix.lower() == ".tsv" else max(",;\t|", key=lambda sign: (_even(head, sign), head.count(sign)))
    )
    limit = csv.field_size_limit(len(text) + 1)
    try:
        rows: dict[int, list[str]] = {}
        beyond = 0
        reader, begun, ended = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), 0, 0
        for number, cells in enumerate(reader, 1):
            begun, ended = ended, reader.line_num
            if number > MOST_ROWS:
                beyond += any(map(str.strip, cells))
            elif any(map(str.strip, cells)) and not (number == 1 and _SEPARATOR.fullmatch(delimiter.join(cells))):
                beyond += any(map(str.strip, cells[MOST_COLUMNS:]))
                rows[number] = [" ".join(cell.split()) for cell in cells[:MOST_COLUMNS]]
        if ended > begun + 1 and _is_open(text, begun, delimiter):
            raise refused(path, f"expected a closing quote; one in line {begun + 1} is never closed")
    except csv.Error as error:
        raise refused(path, f"expected a text table; {error}") from None
    finally:
        csv.field_size_limit(limit)
    errors = {
        (number, column): cell
        for number, cells in rows.items()
        for column, cell in enumerate(cells)
        if cell.startswith(("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NUM!", "="))
    }
    for number, column in errors:
        rows[number][column] = ""
    return [Grid(path.name, rows, errors=errors, beyond=beyond)]


def _is_open(text: str, begun: int, delimiter: str) -> bool:
    """Whether a quote in the last row, which begins after so many lines, is never closed: it would swallow all that follows."""
    lines = islice(io.StringIO(text, newline=""), begun, None)
    try:
        deque(csv.reader(lines, delimiter=delimiter, strict=True), maxlen=0)
    except csv.Error as error:
        return "end of data" in str(error)
    return False


def _even(head: str, sign: str) -> int:
    """In how many of the first lines a delimiter occurs."""
    return sum(sign in line for line in head.splitlines()[:40])
