"""A text table as a grid: encodings and delimiters as spreadsheets save them."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from riserkit_csv.decode import NotTextError, decode

from riserkit_xlsx.archive import refused
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid


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
        for number, cells in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), 1):
            if number > MOST_ROWS:
                break
            if any(map(str.strip, cells)):
                rows[number] = [" ".join(cell.split()) for cell in cells[:MOST_COLUMNS]]
    except csv.Error as error:
        raise refused(path, f"expected a text table; {error}") from None
    finally:
        csv.field_size_limit(limit)
    errors = {
        (number, column): cell
        for number, cells in rows.items()
        for column, cell in enumerate(cells)
        if cell.startswith(("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "="))
    }
    for number, column in errors:
        rows[number][column] = ""
    return [Grid(path.name, rows, errors=errors)]


def _even(head: str, sign: str) -> int:
    """In how many of the first lines a delimiter occurs."""
    return sum(sign in line for line in head.splitlines()[:40])
