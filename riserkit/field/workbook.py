"""The workbook: every schedule on a sheet of its own, and a sheet for each table that a crew fills in.

Cells of text are text, and stay text when they are edited: nothing in them is taken for a formula, a number or a link. The
same tables give the same bytes.
"""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from riserkit.field.field_sheets import FieldSheet
from riserkit.model.returned import HOLD_COLUMN
from riserkit.reports.table import Cell, ReportTable, drawn_text

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

LISTS: Final = "lists"
"""Sheet, hidden, of the words that cells may hold."""
_LETTER: Final = 1
_A4: Final = 9
_DATE: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
_NOT_IN_NAME: Final = re.compile(r"[\[\]:*?/\\']")
_LONGEST_NAME: Final = 31
_MOST_CHARACTERS: Final = 32_767
_WIDTHS: Final = (8, 56)
_SPARE_ROWS: Final = 40
"""Empty rows at the end of a sheet to be filled in, for what no printed row is about."""


@dataclass(frozen=True)
class About:
    """What stands on the first sheet and in the head of every printed page.

    Args:
        project: number and name of the site.
        revision: in words.
        lines: what is to be known before the workbook is used.
        is_letter: printed on letter, else on A4.
    """

    project: str
    revision: str
    lines: tuple[str, ...]
    is_letter: bool = False


def workbook_bytes(
    about: About, tables: Sequence[ReportTable], sheets: Sequence[FieldSheet], lists: Mapping[str, Sequence[str]]
) -> bytes:
    """The workbook.

    Args:
        about: for the first sheet.
        tables: schedules, in order.
        sheets: to be filled in, in order.
        lists: by name the words that cells of `sheets` may hold.
    """
    from xlsxwriter import Workbook  # noqa: PLC0415 - loaded only where a workbook is written

    stream = io.BytesIO()
    book = Workbook(
        stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    )
    # no clock: the date in the file is nobody's
    book.set_properties({"title": about.project, "author": "riserkit", "created": datetime.datetime(2000, 1, 1)})
    styles = _Styles(book)
    names = _Names()
    _write_about(book, names.free("about"), about, (tables, sheets), styles)
    for table in tables:
        _write_schedule(book.add_worksheet(names.free(table.name)), table, about, styles)
    ranges = _ranges(lists)
    for sheet in sheets:
        _write_field(book.add_worksheet(names.free(f"field {sheet.table.name}")), sheet, about, styles, ranges)
    if lists:
        _write_lists(book.add_worksheet(LISTS), lists, styles)
    book.close()
    return stream.getvalue()


class _Names:
    """Names of sheets as spreadsheets allow them, no two alike."""

    def __init__(self) -> None:
        self._taken = {LISTS}

    def free(self, asked: str) -> str:
        name = plain = _NOT_IN_NAME.sub(" ", asked)[:_LONGEST_NAME].strip() or "sheet"
        number = 2
        while name.casefold() in self._taken:
            name = f"{plain[: _LONGEST_NAME - 4]} {number}"
            number += 1
        self._taken.add(name.casefold())
        return name


class _Styles:
    """Formats of cells."""

    def __init__(self, book: Workbook) -> None:
        def of(**said: Any) -> Format:
            return book.add_format({"valign": "top", **said})

        framed: dict[str, Any] = {"border": 1, "border_color": "#A0A0A0"}
        self.title = of(bold=True, font_size=14)
        self.plain = of(text_wrap=True)
        self.header = of(bold=True, text_wrap=True, bg_color="#D9D9D9", num_format="@", **framed)
        self.text = of(text_wrap=True, num_format="@", **framed)
        self.whole = of(num_format="0", **framed)
        self.number = of(num_format="0.0##", **framed)
        self.date = of(num_format="yyyy-mm-dd", **framed)
        self.held = of(text_wrap=True, num_format="@", bold=True, bg_color="#F2F2F2", **framed)
        self.printed = of(text_wrap=True, num_format="@", bg_color="#EDEDED", **framed)
        self.open_text = of(text_wrap=True, num_format="@", locked=False, **framed)
        self.open_number = of(num_format="0.0##", locked=False, **framed)
        self.open_date = of(num_format="yyyy-mm-dd", locked=False, **framed)
        self.instruction = of(bold=True)


def _write_about(
    book: Workbook, name: str, about: About, parts: tuple[Sequence[ReportTable], Sequence[FieldSheet]], styles: _Styles
) -> None:
    sheet = book.add_worksheet(name)
    sheet.set_column(0, 0, 100)
    sheet.write_string(0, 0, about.project, styles.title)
    sheet.write_string(1, 0, about.revision, styles.plain)
    tables, to_fill = parts
    lines = [
        *about.lines, "", "Schedules:", *(_title(table.name) for table in tables), "", "To be filled in:",
        *(f"field {one.table.name}: {one.table.title}. {one.table.instruction}" for one in to_fill),
    ]  # fmt: skip
    for n, line in enumerate(lines, 3):
        sheet.write_string(n, 0, line, styles.plain)
    _page(sheet, about, "about", landscape=False)


def _title(name: str) -> str:
    return name.replace("_", " ")


def _page(sheet: Worksheet, about: About, name: str, *, landscape: bool) -> None:
    if landscape:
        sheet.set_landscape()
    sheet.set_paper(_LETTER if about.is_letter else _A4)
    sheet.fit_to_pages(1, 0)
    sheet.set_header(f"&L{_in_header(about.project)}&R{_in_header(about.revision)}")
    sheet.set_footer(f"&L{_in_header(_title(name))}&Rpage &P of &N")


def _in_header(text: str) -> str:
    """Cut, for a header holds 255 signs; an ampersand begins a code."""
    return text.replace("&", "&&")[:90]


def _write_schedule(sheet: Worksheet, table: ReportTable, about: About, styles: _Styles) -> None:
    last = max(len(table.columns) - 1, 0)
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column, styles.header)
        sheet.set_column(place, place, _width((column, *(drawn_text(row[place]) for row in table.rows))), None)
    for n, row in enumerate(table.rows, 1):
        held = bool(table.held) and table.held[n - 1]
        for place, cell in enumerate(row):
            _write_cell(sheet, (n, place), cell, table.columns[place], styles, held=held)
    sheet.freeze_panes(1, 1)
    sheet.repeat_rows(0)
    sheet.autofilter(0, 0, max(len(table.rows), 1), last)
    sheet.print_area(0, 0, max(len(table.rows), 1), last)
    _page(sheet, about, table.name, landscape=len(table.columns) > 5)


def _write_cell(
    sheet: Worksheet, at: tuple[int, int], cell: Cell, column: str, styles: _Styles, *, held: bool = False
) -> None:
    row, place = at
    if cell is None or cell == "":
        sheet.write_blank(row, place, None, styles.held if held else styles.text)
    elif isinstance(cell, str):
        date = _date(cell) if column == "date" or column.endswith("_date") else None
        if date is not None:
            sheet.write_datetime(row, place, date, styles.date)
        else:
            sheet.write_string(row, place, cell[:_MOST_CHARACTERS], styles.held if held else styles.text)
    else:
        # a number is written as it is computed, and shown to three decimals
        sheet.write_number(row, place, cell, styles.whole if isinstance(cell, int) else styles.number)


def _date(text: str) -> datetime.datetime | None:
    try:
        return datetime.datetime.fromisoformat(text) if _DATE.fullmatch(text) and text >= "1900-03-01" else None
    except ValueError:
        return None


def _width(texts: Iterable[str]) -> float:
    least, most = _WIDTHS
    return min(most, max(least, 2 + max(map(len, texts), default=0)))


def _ranges(lists: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """By list where it stands on its sheet."""
    return {
        name: f"={LISTS}!${_letter(place)}$2:${_letter(place)}${len(words) + 1}"
        for place, (name, words) in enumerate(lists.items())
        if words
    }


def _letter(place: int) -> str:
    return chr(ord("A") + place)


def _write_lists(sheet: Worksheet, lists: Mapping[str, Sequence[str]], styles: _Styles) -> None:
    for place, (name, words) in enumerate(lists.items()):
        for n, word in enumerate((name, *words)):
            sheet.write_string(n, place, word, styles.text)
    sheet.hide()


def _write_field(sheet: Worksheet, field: FieldSheet, about: About, styles: _Styles, ranges: Mapping[str, str]) -> None:
    columns, printed = field.columns, len(field.table.printed)
    head, first = 2, 3
    last = first + len(field.rows) + (_SPARE_ROWS if field.has_spare_rows else 0) - 1
    sheet.write_string(0, 0, field.table.instruction, styles.instruction)
    held = [field.hold(row) for row in field.rows]
    marks = ", ".join(dict.fromkeys(row[0] for row, words in zip(field.rows, held, strict=True) if words))
    told = f"{field.banner}: {marks}. " if marks else ""
    sheet.write_string(
        1, 0, f"{told}{about.revision}. Grey cells are printed and not changed; fill in the white ones.",
        styles.instruction if told else styles.plain,
    )  # fmt: skip
    for place, column in enumerate(columns):
        sheet.write_string(head, place, field.heading(column), styles.header)
        cells = (row[place] for row in field.rows if place < len(row))
        sheet.set_column(place, place, _width((field.heading(column), *cells)))
    for n in range(first, last + 1):
        row = field.rows[n - first] if n - first < len(field.rows) else None
        for place, column in enumerate(columns):
            if row is not None and place < printed:
                _write_printed(sheet, (n, place), row[place], styles.held if held[n - first] else styles.printed)
            else:
                sheet.write_blank(n, place, None, _open_style(field, column, styles))
    if marks:
        sheet.write_string(head, len(columns), HOLD_COLUMN, styles.header)
        sheet.set_column(len(columns), len(columns), _width(held))
        for n, words in enumerate(held, first):
            _write_printed(sheet, (n, len(columns)), words, styles.held if words else styles.printed)
    right = len(columns) - (0 if marks else 1)
    for place, column in enumerate(columns):
        rule = _rule(field, column, ranges)
        if rule is not None:
            start = first if place >= printed else first + len(field.rows)
            if start <= last:
                sheet.data_validation(start, place, last, place, rule)
    sheet.freeze_panes(first, min(printed, 3))
    sheet.autofilter(head, 0, max(last, first), right)
    sheet.repeat_rows(head)
    sheet.print_area(0, 0, max(last, first), right)
    # without a password: it keeps a slip of the hand off, nothing else
    sheet.protect(
        "", {"autofilter": True, "sort": True, "format_columns": True, "format_rows": True, "select_locked_cells": True}
    )
    _page(sheet, about, f"field {field.table.name}", landscape=True)


def _write_printed(sheet: Worksheet, at: tuple[int, int], text: str, style: Format) -> None:
    if text:
        sheet.write_string(*at, text[:_MOST_CHARACTERS], style)
    else:
        sheet.write_blank(*at, None, style)


def _open_style(field: FieldSheet, column: str, styles: _Styles) -> Format:
    if column == "date":
        return styles.open_date
    return styles.open_number if field.is_number(column) else styles.open_text


def _rule(field: FieldSheet, column: str, ranges: Mapping[str, str]) -> dict[str, Any] | None:
    """What a cell may hold: words of the table are kept to, ids of the site are asked about, for new ones may be added."""
    words = field.table.choices(column)
    if words:
        return {
            "validate": "list",
            "source": list(words),
            "error_title": column,
            "error_message": f"One of: {', '.join(words)}."[:250],
        }
    if column in field.lists and field.lists[column] in ranges:
        return {
            "validate": "list", "source": ranges[field.lists[column]], "error_type": "warning", "error_title": column,
            "error_message": "Not one of the site's. Keep it only if it is added to the site's tables.",
        }  # fmt: skip
    if column == "date":
        return {
            "validate": "date", "criteria": ">=", "value": datetime.date(2000, 1, 1), "error_title": column,
            "error_message": "A date, as 2026-03-14.",
        }  # fmt: skip
    if field.is_number(column):
        return {
            "validate": "decimal", "criteria": ">=", "value": -1e6, "error_type": "warning", "error_title": column,
            "error_message": f"A number, in the unit of the heading: {field.heading(column)}.",
        }  # fmt: skip
    return None
