"""An open document's sheets as grids (OpenDocument 1.2, part 1, section 9), read with the standard library."""

from __future__ import annotations

import math
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from xml.etree import ElementTree as ET

from riserkit_xlsx.archive import checked_archive, refused, why_broken
from riserkit_xlsx.grid import MOST_COLUMNS, MOST_ROWS, Grid
from riserkit_xlsx.open_styles import OFFICE, TABLE, OpenStyles, comment_of, paragraphs, styles_of, words_of
from riserkit_xlsx.shown import as_saved

_MOST_DIGITS: Final = 10
_MOST_WORDS: Final = 2_000
_MOST_ALIKE: Final = 10_000
_MOST_OF_A_FORMULA: Final = 60
_WIDEST_COLOURED: Final = 100
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
        roots = [_part(path, name) for name in ("content.xml", "styles.xml") if name in parts]
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
        styles = styles_of(roots)
        return [_grid(table, styles) for table in roots[0].iter(f"{TABLE}table")]
    except _BrokenError as error:
        raise refused(path, str(error)) from None


def _part(path: Path, name: str) -> ET.Element:
    with zipfile.ZipFile(path) as archive, archive.open(name) as stream:
        return ET.parse(stream).getroot()


class _BrokenError(ValueError):
    """Something in a table that no program would write."""


def _count(element: ET.Element, name: str) -> int:
    """How often a row or cell is repeated, or how many it covers (positiveInteger, sections 19.675 to 19.680)."""
    text = element.get(f"{TABLE}number-{name}", "1")
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS and int(text)):
        raise _BrokenError(f"expected a whole number of at least 1 as number-{name}; this has {text[:40]!r}")
    return int(text)


@dataclass(slots=True)
class _Beside:
    """What is to be known of the cells of a table beside their texts, by (row, column)."""

    spans: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    struck: set[tuple[int, int]] = field(default_factory=set)
    comments: dict[tuple[int, int], str] = field(default_factory=dict)
    struck_words: dict[tuple[int, int], str] = field(default_factory=dict)
    colours: dict[tuple[int, int], str] = field(default_factory=dict)


def _grid(table: ET.Element, styles: OpenStyles) -> Grid:
    rows: dict[int, list[str]] = {}
    marks, hidden = _Beside(), set[int]()
    usual, unseen = _columns(table)
    number, beyond = 1, 0
    for row in table.iter(f"{TABLE}table-row"):
        repeated = _count(row, "rows-repeated")
        cells, cut = _cells(row, number, marks, styles, usual)
        beyond += cut
        is_hidden = row.get(f"{TABLE}visibility") in ("collapse", "filter")
        # Empty rows are repeated to the end of the sheet; only what has text is kept, however often.
        many = repeated if any(cells) else 1
        if many > _MOST_ALIKE:
            wanted = f"expected no row that is repeated {many} times and says something; clear the rows below the list"
            raise _BrokenError(wanted)
        struck = [column for at, column in marks.struck if at == number] if many > 1 else []
        for n in range(number, min(number + many, MOST_ROWS + 1)):
            if any(cells):
                rows[n] = list(cells)
                marks.struck |= {(n, column) for column in struck}
            if is_hidden:
                hidden.add(n)
        if any(cells):
            beyond += max(0, number + repeated - max(number, MOST_ROWS + 1))
        number += repeated
    is_unseen = table.get(f"{TABLE}style-name", "") in styles.unseen
    return Grid(
        table.get(f"{TABLE}name", ""), rows, marks.spans, marks.errors, frozenset(hidden), unseen, is_unseen,
        frozenset(marks.struck), marks.comments, beyond=beyond, struck_words=marks.struck_words, colours=marks.colours,
    )  # fmt: skip


def _columns(table: ET.Element) -> tuple[list[str], frozenset[int]]:
    """The style of the cells of each column that name none, and the columns that are hidden."""
    usual: list[str] = []
    hidden = set()
    for column in table.iter(f"{TABLE}table-column"):
        many = min(_count(column, "columns-repeated"), MOST_COLUMNS - len(usual))
        if column.get(f"{TABLE}visibility") in ("collapse", "filter"):
            hidden |= set(range(len(usual), len(usual) + many))
        usual += [column.get(f"{TABLE}default-cell-style-name", "")] * many
    return usual, frozenset(hidden)


def _cells(
    row: ET.Element, number: int, marks: _Beside, styles: OpenStyles, usual: Sequence[str]
) -> tuple[list[str], int]:
    """The texts of a row, and how many of its cells that say something lie beyond the last column."""
    texts: list[str] = []
    column, beyond = 0, 0
    of_row = row.get(f"{TABLE}default-cell-style-name", "")
    for cell in row:
        if cell.tag not in (f"{TABLE}table-cell", f"{TABLE}covered-table-cell"):
            continue
        repeated = _count(cell, "columns-repeated")
        text = _text(cell)
        tall, wide = (_count(cell, f"{name}-spanned") for name in ("rows", "columns"))
        if column >= MOST_COLUMNS:
            beyond += bool(text)
            continue
        if tall > 1 or wide > 1:
            marks.spans[number, column] = (tall, wide)
        if text.startswith(_ERRORS) and (cell.get(f"{TABLE}formula") or text == _NO_NUMBER):
            marks.errors[number, column] = text
            text = ""
        elif not text and (formula := cell.get(f"{TABLE}formula")) and not cell.get(f"{OFFICE}value-type"):
            # `of:=[.C4]`: a formula whose value was never saved is no empty cell
            marks.errors[number, column] = f"={formula.partition('=')[2][:_MOST_OF_A_FORMULA]}"
        shown = min(repeated, MOST_COLUMNS - column)
        style = cell.get(f"{TABLE}style-name") or of_row or (usual[column] if column < len(usual) else "")
        if style in styles.colours and shown <= _WIDEST_COLOURED and number <= MOST_ROWS:
            # a row that is coloured to the end of the sheet is its last cell's too, which says nothing
            marks.colours.update({(number, n): styles.colours[style] for n in range(column, column + shown)})
        if text and styles.is_struck(cell, style):
            marks.struck |= {(number, n) for n in range(column, column + shown)}
        elif text and cell.get(f"{OFFICE}value-type", "") == "string":
            kept, gone = styles.parted(cell)
            if gone:
                text = kept
                marks.struck_words[number, column] = gone[:_MOST_WORDS]
        if comment := comment_of(cell):
            marks.comments[number, column] = comment
        texts += [text] * shown
        column += repeated
    return texts, beyond


def _text(cell: ET.Element) -> str:
    kind, value = cell.get(f"{OFFICE}value-type", ""), cell.get(f"{OFFICE}value")
    if kind == "float" and value is not None:
        try:
            number = float(value)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            return _NO_NUMBER
        plain = str(int(number)) if number.is_integer() and abs(number) < 1e15 else f"{number:.10g}"
        return as_saved(number, plain, words_of(paragraphs(cell)))
    if kind == "boolean":
        return "yes" if cell.get(f"{OFFICE}boolean-value") == "true" else "no"
    return words_of(paragraphs(cell))
