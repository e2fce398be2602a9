"""A workbook's sheets as grids."""

from __future__ import annotations

import datetime
import math
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from riserkit_xlsx.archive import checked_archive, refused, why_broken
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid
from riserkit_xlsx.shown import as_formatted

_UNCACHED = re.compile(
    rb'<c r="([A-Z]{1,3})([0-9]{1,7})"[^>]*>\s*<f\b([^<]*?)(?:/>|>([^<]*)</f>)\s*(?:<v\s*/>|<v></v>)?\s*</c>'
)
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml")
_MERGED = re.compile(
    rb"<(?:\w+:)?mergeCell\b[^>]*\bref\s*=\s*[\"']\$?([A-Za-z]{1,3})\$?([0-9]{1,7}):\$?([A-Za-z]{1,3})\$?([0-9]{1,7})"
)
_MOST_COMMENT: Final = 2_000
_MOST_FORMULAS: Final = 10_000
_MOST_MERGED: Final = 1_000_000


def read_workbook(path: Path) -> list[Grid]:
    """Every worksheet of a workbook.

    Raises:
        InputError: it is no workbook, or too large a one.
    """
    from openpyxl.reader.excel import ExcelReader  # noqa: PLC0415  takes a while to load

    class SheetReader(ExcelReader):  # type: ignore[misc]
        """Passes over sheets that are a chart: they hold no cells, and the library stumbles over some of them."""

        def read_chartsheet(self, sheet: Any, rel: Any) -> None:
            """Read nothing."""

    parts = checked_archive(path)
    texts = _sheet_texts(path, parts)
    if any(_merged(text) > _MOST_MERGED for text in texts.values()):
        # The library makes a cell of each that a merged one covers.
        raise refused(
            path, f"expected merged cells that cover at most {_MOST_MERGED} cells of a sheet; take them apart"
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that it does not keep
            # from an open file: of one that it opens itself and finds broken, the library leaves the end open
            with path.open("rb") as stream:
                reader = SheetReader(stream, data_only=True, keep_links=False, rich_text=True)
                reader.read()
            book = reader.wb
        uncached = dict(_uncached(book, texts))
        links = [*(["macros"] if any("vbaProject" in name for name in parts) else []),
                 *(["links to other workbooks"] if any("externalLinks/" in name for name in parts) else [])]  # fmt: skip
        return [_grid(sheet, uncached.get(sheet.title, {}), links) for sheet in book.worksheets]
    except MemoryError:
        raise refused(path, "it takes more memory to read than there is") from None
    except Exception as error:  # the library raises whatever a broken part leads it to
        raise refused(path, f"expected a workbook; this one is broken ({why_broken(error)})") from None


def _grid(sheet: Any, uncached: Mapping[tuple[int, int], str], links: list[str]) -> Grid:
    rows: dict[int, list[str]] = {}
    errors: dict[tuple[int, int], str] = dict(uncached)
    beyond = 0
    struck: set[tuple[int, int]] = set()
    struck_words: dict[tuple[int, int], str] = {}
    comments: dict[tuple[int, int], str] = {}
    colours: dict[tuple[int, int], str] = {}
    fills = _fills(sheet.parent)
    struck_fonts = {n for n, font in enumerate(sheet.parent._fonts) if font.strike}
    # Only cells that are there: a sheet with one cell in its last corner would else be read as thousands of millions.
    for (row, column), cell in sorted(sheet._cells.items()):
        value = cell.value
        if cell.comment is not None and row <= MOST_ROWS and column <= MOST_COLUMNS:
            comments[row, column - 1] = " ".join(str(cell.comment.text).split())[:_MOST_COMMENT]
        if cell.has_style and cell._style.fillId in fills and row <= MOST_ROWS and column <= MOST_COLUMNS:
            colours[row, column - 1] = fills[cell._style.fillId]
        if value is None:
            continue
        if row > MOST_ROWS or column > MOST_COLUMNS:
            beyond += 1
            continue
        if cell.data_type == "e" or (isinstance(value, float) and not math.isfinite(value)):
            errors[row, column - 1] = str(value)
            continue
        if isinstance(value, list):
            value, gone = _without_struck(value, (row, column - 1), struck)
            struck_words.update(gone)
        text = value if type(value) is str else _text(cell, value)
        text = text.strip() if "\n" not in text else " ".join(text.split())
        if text and struck_fonts and cell.has_style and cell._style.fontId in struck_fonts:
            struck.add((row, column - 1))
        if text:
            cells = rows.setdefault(row, [])
            if len(cells) < column:
                cells.extend([""] * (column - len(cells)))
            cells[column - 1] = text
    for row, column in errors:
        cells = rows.setdefault(row, [])
        cells.extend([""] * (column + 1 - len(cells)))
    spans = {
        (m.min_row, m.min_col - 1): (
            min(m.max_row, MOST_ROWS) - m.min_row + 1,
            min(m.max_col, MOST_COLUMNS) - m.min_col + 1,
        )
        for m in sheet.merged_cells.ranges
    }
    hidden, columns = _hidden(sheet)
    is_hidden = sheet.sheet_state != "visible"
    for row, column in comments:
        cells = rows.setdefault(row, [])
        cells.extend([""] * (column + 1 - len(cells)))
    return Grid(
        sheet.title, rows, spans, errors, hidden, columns, is_hidden, frozenset(struck), comments, links, beyond,
        struck_words, colours,
    )  # fmt: skip


def _fills(book: Any) -> Mapping[int, str]:
    """By number the fills of one colour, other than white."""
    found = {}
    for n, fill in enumerate(book._fills):
        colour = getattr(fill, "fgColor", None)
        if getattr(fill, "fill_type", None) == "solid" and colour is not None:
            name = f"{colour.type} {colour.value} {colour.tint}"
            if colour.type != "rgb" or str(colour.value)[2:].upper() != "FFFFFF":
                found[n] = name
    return found


def _hidden(sheet: Any) -> tuple[frozenset[int], frozenset[int]]:
    """The rows and the columns that are hidden."""
    columns: set[int] = set()
    for size in sheet.column_dimensions.values():
        if size.hidden and size.min is not None:
            columns.update(range(size.min - 1, min(size.max, MOST_COLUMNS)))
    return frozenset(row for row, size in sheet.row_dimensions.items() if size.hidden), frozenset(columns)


def _without_struck(
    runs: list[Any], place: tuple[int, int], struck: set[tuple[int, int]]
) -> tuple[str, Mapping[tuple[int, int], str]]:
    """What a text of several fonts says, and by its place what of it is struck out; all of it struck is a struck cell."""
    kept: list[str] = []
    gone: list[str] = []
    for run in runs:
        font = getattr(run, "font", None)
        (gone if font is not None and font.strike else kept).append(str(run))
    if gone and not "".join(kept).strip():
        struck.add(place)
        return " ".join(gone), {}
    return "".join(kept), {place: " ".join(" ".join(gone).split())[:_MOST_COMMENT]} if gone else {}


def _text(cell: Any, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) or (isinstance(value, float) and value.is_integer() and abs(value) < 1e15):
        return as_formatted(value, str(int(value)), cell.number_format)
    if isinstance(value, float):
        return as_formatted(value, f"{value:.10g}", cell.number_format)
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat(" ")
    return str(value)


def _sheet_texts(path: Path, parts: Mapping[str, int]) -> Mapping[str, bytes]:
    """The sheets as they stand in the file, by part.

    Raises:
        InputError: one is compressed in a way that cannot be read, or damaged.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            return {name: archive.read(name) for name in parts if _SHEET.fullmatch(name)}
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OSError, RuntimeError) as error:
        raise refused(path, f"expected a workbook; this one is broken ({why_broken(error)})") from None


def _merged(text: bytes) -> int:
    """How many cells of a sheet merged ones cover."""
    count = 0
    for match in _MERGED.finditer(text):
        left, top, right, bottom = _column(match[1]), int(match[2]), _column(match[3]), int(match[4])
        count += max(0, right - left + 1) * max(0, bottom - top + 1)
    return count


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def _uncached(book: Any, texts: Mapping[str, bytes]) -> Iterator[tuple[str, dict[tuple[int, int], str]]]:
    """By sheet the formulas whose value was never saved, which the library takes for empty cells."""
    if not any(b"<f" in text for text in texts.values()):
        return
    for sheet in book.worksheets:
        text = texts.get(_part(sheet, list(texts)), b"")
        found: dict[tuple[int, int], str] = {}
        for match in _UNCACHED.finditer(text):
            if len(found) < _MOST_FORMULAS:
                formula = (match[4] or b"").decode("utf-8", "replace")
                found[int(match[2]), _column(match[1]) - 1] = f"={formula[:60]}"
        yield sheet.title, found


def _part(sheet: Any, names: list[str]) -> str:
    """The part that a sheet was read from: by its number, which the library keeps in reading order."""
    path = str(getattr(sheet, "path", "")).lstrip("/")
    if path in names:
        return path
    index = sheet.parent.worksheets.index(sheet)
    ordered = sorted(names, key=lambda name: int("".join(ch for ch in name.rpartition("/")[2] if ch.isdigit()) or 0))
    return ordered[index] if index < len(ordered) else ""
