"""An open document's sheets as grids (OpenDocument 1.2, part 1, section 9), read with the standard library."""

from __future__ import annotations

import math
import zipfile
import zlib
from pathlib import Path
from typing import Final
from xml.etree import ElementTree as ET

from riserkit_xlsx.archive import checked_archive, refused, why_broken
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid

_TABLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE: Final = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT: Final = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_MOST_DIGITS: Final = 10
_MOST_ALIKE: Final = 10_000
_NO_NUMBER: Final = "#NUM!"
_ERRORS: Final = ("#N/A", "#REF", "#VALUE", "#DIV", "#NAME", "#NUM", "Err:")


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
    except (
        ET.ParseError,
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        ValueError,
        LookupError,
        NotImplementedError,
    ) as error:
        raise refused(path, f"expected an open document; its content is broken ({why_broken(error)})") from None
    try:
        return [_grid(table) for table in root.iter(f"{_TABLE}table")]
    except _BrokenError as error:
        raise refused(path, str(error)) from None


class _BrokenError(ValueError):
    """Something in a table that no program would write."""


def _count(element: ET.Element, name: str) -> int:
    """How often a row or cell is repeated, or how many it covers (positiveInteger, sections 19.675 to 19.680)."""
    text = element.get(f"{_TABLE}number-{name}", "1")
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS and int(text)):
        raise _BrokenError(f"expected a whole number of at least 1 as number-{name}; this has {text[:40]!r}")
    return int(text)


def _grid(table: ET.Element) -> Grid:
    rows: dict[int, list[str]] = {}
    spans: dict[tuple[int, int], tuple[int, int]] = {}
    errors: dict[tuple[int, int], str] = {}
    hidden: set[int] = set()
    number, beyond = 1, 0
    for row in table.iter(f"{_TABLE}table-row"):
        repeated = _count(row, "rows-repeated")
        cells, cut = _cells(row, number, spans, errors)
        beyond += cut
        is_hidden = row.get(f"{_TABLE}visibility") in ("collapse", "filter")
        # Empty rows are repeated to the end of the sheet; only what has text is kept, however often.
        many = repeated if any(cells) else 1
        if many > _MOST_ALIKE:
            wanted = f"expected no row that is repeated {many} times and says something; clear the rows below the list"
            raise _BrokenError(wanted)
        for n in range(number, min(number + many, MOST_ROWS + 1)):
            if any(cells):
                rows[n] = list(cells)
            if is_hidden:
                hidden.add(n)
        if any(cells):
            beyond += max(0, number + repeated - max(number, MOST_ROWS + 1))
        number += repeated
    return Grid(table.get(f"{_TABLE}name", ""), rows, spans, errors, frozenset(hidden), beyond=beyond)


def _cells(
    row: ET.Element, number: int, spans: dict[tuple[int, int], tuple[int, int]], errors: dict[tuple[int, int], str]
) -> tuple[list[str], int]:
    """The texts of a row, and how many of its cells that say something lie beyond the last column."""
    texts: list[str] = []
    column, beyond = 0, 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        repeated = _count(cell, "columns-repeated")
        text = _text(cell)
        tall, wide = (_count(cell, f"{name}-spanned") for name in ("rows", "columns"))
        if column >= MOST_COLUMNS:
            beyond += bool(text)
            continue
        if tall > 1 or wide > 1:
            spans[number, column] = (tall, wide)
        if text.startswith(_ERRORS) and (cell.get(f"{_TABLE}formula") or text == _NO_NUMBER):
            errors[number, column] = text
            text = ""
        texts += [text] * min(repeated, MOST_COLUMNS - column)
        column += repeated
    return texts, beyond


def _text(cell: ET.Element) -> str:
    kind, value = cell.get(f"{_OFFICE}value-type", ""), cell.get(f"{_OFFICE}value")
    if kind == "float" and value is not None:
        try:
            number = float(value)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            return _NO_NUMBER
        return str(int(number)) if number.is_integer() and abs(number) < 1e15 else f"{number:.10g}"
    if kind == "boolean":
        return "yes" if cell.get(f"{_OFFICE}boolean-value") == "true" else "no"
    return " ".join(" ".join("".join(p.itertext()).split()) for p in cell.iter(f"{_TEXT}p")).strip()
