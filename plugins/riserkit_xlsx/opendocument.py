"""An open document's sheets as grids (OpenDocument 1.2, part 1, section 9), read with the standard library."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from xml.etree import ElementTree as ET

from riserkit_xlsx.archive import checked_archive, refused
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid

_TABLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE: Final = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT: Final = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def read_opendocument(path: Path) -> list[Grid]:
    """Every table of an open document.

    Raises:
        InputError: it is no such document, or too large a one.
    """
    parts = checked_archive(path)
    if "content.xml" not in parts:
        raise refused(path, "expected an open document; it has no content")
    try:
        with zipfile.ZipFile(path) as archive, archive.open("content.xml") as stream:
            root = ET.parse(stream).getroot()
    except (ET.ParseError, zipfile.BadZipFile, EOFError, ValueError) as error:
        raise refused(path, f"expected an open document; its content is broken ({str(error)[:80]})") from None
    return [_grid(table) for table in root.iter(f"{_TABLE}table")]


def _grid(table: ET.Element) -> Grid:
    rows: dict[int, list[str]] = {}
    spans: dict[tuple[int, int], tuple[int, int]] = {}
    errors: dict[tuple[int, int], str] = {}
    hidden: set[int] = set()
    number = 1
    for row in table.iter(f"{_TABLE}table-row"):
        repeated = int(row.get(f"{_TABLE}number-rows-repeated", "1"))
        cells = list(_cells(row, number, spans, errors))
        is_hidden = row.get(f"{_TABLE}visibility") in ("collapse", "filter")
        # Empty rows are repeated to the end of the sheet; only what has text is kept, however often.
        for n in range(number, min(number + repeated, MOST_ROWS + 1) if any(cells) else number + 1):
            if any(cells):
                rows[n] = list(cells)
            if is_hidden:
                hidden.add(n)
        number += repeated
    return Grid(table.get(f"{_TABLE}name", ""), rows, spans, errors, frozenset(hidden))


def _cells(
    row: ET.Element, number: int, spans: dict[tuple[int, int], tuple[int, int]], errors: dict[tuple[int, int], str]
) -> Iterator[str]:
    column = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        repeated = int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
        text = _text(cell)
        tall, wide = (int(cell.get(f"{_TABLE}number-{name}-spanned", "1")) for name in ("rows", "columns"))
        if tall > 1 or wide > 1:
            spans[number, column] = (tall, wide)
        if text.startswith(("#N/A", "#REF", "#VALUE", "#DIV", "#NAME", "Err:")) and cell.get(f"{_TABLE}formula"):
            errors[number, column] = text
            text = ""
        for _ in range(min(repeated, MOST_COLUMNS - column)):
            yield text
        column += repeated
        if column >= MOST_COLUMNS:
            return


def _text(cell: ET.Element) -> str:
    kind, value = cell.get(f"{_OFFICE}value-type", ""), cell.get(f"{_OFFICE}value")
    if kind == "float" and value is not None:
        number = float(value)
        return str(int(number)) if number.is_integer() and abs(number) < 1e15 else f"{number:.10g}"
    if kind == "boolean":
        return "yes" if cell.get(f"{_OFFICE}boolean-value") == "true" else "no"
    return " ".join(" ".join("".join(p.itertext()).split()) for p in cell.iter(f"{_TEXT}p")).strip()
