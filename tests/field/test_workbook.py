"""The workbook, read by another library than the one that writes it."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import column_index_from_string
from openpyxl.utils.cell import coordinate_from_string
from openpyxl.workbook import Workbook

from riserkit.checked import Checked
from riserkit.field.about import FieldWork
from riserkit.field.field_sheets import field_sheets, word_lists
from riserkit.field.workbook import About, workbook_bytes
from riserkit.model.returned import FIELD_TABLES
from riserkit.reports.table import ReportTable
from riserkit.results.build import site_tables
from riserkit.results.field import write_field

ABOUT = About("PL-01 Potter's Lane & Sons", "Revision A, 2026-03-01", ("Caution.",))
FORMULAS = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    '=HYPERLINK("x")',
    "http://x.example",
    "{=A1}",
    "'=1",
    "\t=1",
    "00123",
    "1E5",
    "TRUE",
)


@pytest.fixture(scope="module")
def book(papers: Path) -> Workbook:
    return openpyxl.load_workbook(papers / "schedules.xlsx")


def opened(*tables: ReportTable) -> Workbook:
    return openpyxl.load_workbook(io.BytesIO(workbook_bytes(ABOUT, tables, (), {})))


def schedules(book: Workbook) -> Iterator[Any]:
    return (s for s in book if not s.title.startswith("field ") and s.title not in ("about", "lists"))


def test_every_schedule_stands_in_it_cell_by_cell(work: FieldWork, book: Workbook) -> None:
    tables = site_tables(Checked(work.design, tuple(work.findings)), work.tests)
    assert len(tables) > 10
    numbers = 0
    for table in tables:
        rows = [list(row) for row in book[table.name].iter_rows(values_only=True)]
        assert tuple(rows[0]) == table.columns
        assert len(rows) - 1 == len(table.rows)
        for ours, theirs in zip(table.rows, rows[1:], strict=True):
            for one, other in zip(ours, theirs, strict=True):
                assert other == (None if one == "" else one)
                numbers += isinstance(other, float)
    assert numbers > 100


def test_headers_are_frozen_filtered_and_repeated_and_what_prints_is_stated(book: Workbook) -> None:
    found = list(schedules(book))
    assert {s.title for s in found} >= {"openings", "conductors", "reel_plan", "pick_list", "labels"}
    for sheet in found:
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref.startswith("A1:")
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.print_area.endswith(f"{sheet.auto_filter.ref.split(':')[1][0]}${max(sheet.max_row, 2)}")
        assert (sheet.page_setup.fitToHeight, sheet.page_setup.paperSize) == (0, 9)
        assert not sheet.protection.sheet


def test_text_stays_text_whatever_it_begins_with() -> None:
    sheet = opened(ReportTable("t", ("text",), tuple((text,) for text in FORMULAS)))["t"]
    for cell, text in zip(sheet["A"][1:], FORMULAS, strict=True):
        assert (cell.value, cell.data_type, cell.number_format) == (text, "s", "@")
        assert cell.hyperlink is None


def test_cells_have_the_type_of_what_they_say() -> None:
    rows = ((7, 1 / 3, "2026-03-01", "2026-03-01", None), (0, -2.5, "not dated", "x", ""))
    sheet = opened(ReportTable("t", ("pieces", "length_m", "work_date", "note", "blank"), rows))["t"]
    first, second = (list(row) for row in sheet.iter_rows(min_row=2, values_only=True))
    assert first == [7, 1 / 3, datetime.datetime(2026, 3, 1), "2026-03-01", None]
    assert second == [0, -2.5, "not dated", "x", None]
    assert sheet["C2"].number_format == "yyyy-mm-dd"


def test_names_of_sheets_are_those_that_a_spreadsheet_allows() -> None:
    tables = [ReportTable(name, ("a",), ((1,),)) for name in ("x" * 40, "X" * 40, "a/b:c", "lists", "about")]
    names = opened(*tables).sheetnames
    assert len({name.casefold() for name in names}) == len(names) == 6
    assert all(len(name) <= 31 and not set(name) & set("[]:*?/\\") for name in names)


@pytest.mark.parametrize("name", FIELD_TABLES)
def test_a_sheet_to_fill_in_keeps_what_is_printed_and_opens_what_is_not(book: Workbook, name: str) -> None:
    table, sheet = FIELD_TABLES[name], book[f"field {name}"]
    assert sheet["A1"].value == table.instruction
    assert tuple(cell.value for cell in sheet[3]) == table.columns
    assert sheet.protection.sheet
    assert sheet.freeze_panes.endswith("4")
    for cell, column in zip(sheet[4], table.columns, strict=True):
        is_printed = column in table.printed and name != "photos"
        assert cell.protection.locked == is_printed, column
        assert cell.value is None or is_printed


def test_cells_with_words_of_their_own_offer_them(work: FieldWork, book: Workbook) -> None:
    rules: dict[tuple[str, str], Any] = {}
    for name, table in FIELD_TABLES.items():
        sheet = book[f"field {name}"]
        for rule in sheet.data_validations.dataValidation:
            letters, _ = coordinate_from_string(str(rule.sqref).split(":", maxsplit=1)[0])
            rules[name, table.columns[column_index_from_string(letters) - 1]] = rule
    for name, table in FIELD_TABLES.items():
        for column in table.columns:
            words = table.choices(column)
            if words:
                assert rules[name, column].formula1 == f'"{",".join(words)}"'
                assert rules[name, column].errorStyle in (None, "stop")
    lists = {cells[0].value: [c.value for c in cells[1:] if c.value] for cells in book["lists"].columns}
    assert lists == {name: list(words) for name, words in word_lists(work.design).items()}
    assert rules["devices", "fitted_part"].errorStyle == "warning"
    assert rules["devices", "fitted_part"].formula1 == f"lists!$E$2:$E${len(work.design.site.part) + 1}"
    assert rules["ports", "used_port"].formula1 == f"lists!$C$2:$C${len(work.design.labels.port) + 1}"


def test_rows_to_fill_in_are_those_of_the_drawings(work: FieldWork) -> None:
    sheets = {sheet.table.name: sheet for sheet in field_sheets(work, work.design.doors)}
    netlists = {door.mark: door.wiring.netlist for door in work.design.doors}
    ends = {(mark, str(c.a), str(c.b)) for mark, n in netlists.items() if n is not None for c in n.conductors}
    assert {(r[0], r[4], r[5]) for r in sheets["landings"].rows if r[4]} == ends
    spares = [(mark, f"{mark}-{s.cable}", s.colour) for mark, n in netlists.items() if n is not None for s in n.spares]
    assert [(r[0], r[2], r[3]) for r in sheets["landings"].rows if not r[4]] == spares
    assert len(sheets["readings"].rows) == sum(len(test.readings) for test in work.tests.values())
    assert {r[0] for r in sheets["lengths"].rows} == {c.label or c.subject for c in work.design.cables}
    assert {r[0] for r in sheets["cable_tests"].rows} == {"1A-A01", "1A-A02"}
    assert sheets["doors"].rows == (("1", "Street door"), ("2", "Kiln room"))
    assert {r[1] for r in sheets["devices"].rows if r[0] == "2"} == {
        "K1",
        "B1",
        "B2",
        "K2",
        "X1",
        "G1",
        "S1",
        "M1",
        "R1",
    }
    for name, sheet in sheets.items():
        assert all(len(row) == len(FIELD_TABLES[name].printed) for row in sheet.rows)
    one = {sheet.table.name: sheet for sheet in field_sheets(work, work.design.doors[:1])}
    assert {r[0] for r in one["landings"].rows} == {"1"}
    assert {r[0] for r in one["lengths"].rows} == {"1A-A01", "1-W2", "1-W3", "1-W4"}


def test_lengths_are_filled_in_in_the_sites_own_unit(work: FieldWork) -> None:
    sheet = next(s for s in field_sheets(work, ()) if s.table.name == "lengths")
    assert sheet.heading("length_m") == "length_m"
    imperial = type(sheet)(sheet.table, sheet.rows, "imperial")
    assert imperial.heading("length_m") == "length_ft"


def test_the_same_tables_give_the_same_bytes(work: FieldWork) -> None:
    sheets, lists = field_sheets(work, work.design.doors), word_lists(work.design)
    table = ReportTable("t", ("a",), (("x",),))
    one, other = (workbook_bytes(ABOUT, (table,), sheets, lists) for _ in range(2))
    assert one == other
    with zipfile.ZipFile(io.BytesIO(one)) as archive:
        assert {info.date_time[0] for info in archive.infolist()} == {1980}
        assert b"2000-01-01" in archive.read("docProps/core.xml")


def test_every_row_about_a_door_on_hold_says_so_and_no_other(held_work: FieldWork) -> None:
    tables = site_tables(Checked(held_work.design, tuple(held_work.findings)), held_work.tests)
    sheets = field_sheets(held_work, held_work.design.doors)
    made = openpyxl.load_workbook(io.BytesIO(workbook_bytes(ABOUT, tables, sheets, word_lists(held_work.design))))
    cables = {c.label or c.subject: c.mark for c in held_work.design.cables}
    told = 0
    for sheet in made:
        start = 3 if sheet.title.startswith("field ") else 1
        heads = [cell.value for cell in sheet[start]]
        by = next((name for name in ("opening", "cable") if name in heads), None)
        if sheet.title in ("about", "lists", "field photos") or by is None:
            continue
        rows = [dict(zip(heads, row, strict=True)) for row in sheet.iter_rows(min_row=start + 1, values_only=True)]
        held = [row for row in rows if row[by] is not None and cables.get(row[by], row[by]) == "2"]
        if sheet.title == "test_sheets":  # lines of a door in their order: the first says it
            assert str(held[0]["what"]).startswith("HOLD")
            continue
        for row in rows:
            assert any(str(cell).startswith("HOLD") for cell in row.values()) == (row in held), (sheet.title, row)
        told += len(held)
        if start == 3 and held:
            assert sheet["A2"].value.startswith("HOLD - DO NOT BUILD: ")
            assert sheet.cell(4, len(heads)).protection.locked
    assert told > 60


def test_the_first_sheet_names_the_doors_on_hold(held_work: FieldWork, tmp_path: Path) -> None:
    write_field(held_work, tmp_path, (), (), ())
    about = openpyxl.load_workbook(tmp_path / "schedules.xlsx")["about"]
    assert any(str(cell.value).startswith("HOLD - DO NOT BUILD: 2. ") for cell in about["A"])
