"""The workbook goes out, is filled in, and comes back: what the crew wrote is on record, and a blank one says nothing."""

from __future__ import annotations

import datetime
import io
import shutil
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from riserkit.field.about import FieldWork
from riserkit.field.field_sheets import field_sheets
from riserkit.field.workbook import About, workbook_bytes
from riserkit.model.problems import InputError
from riserkit.record.returned_rows import Who
from riserkit.record.returns import as_built_of, read_returns
from riserkit.results.return_site import ReturnOptions, return_site

SITE = Path(__file__).parents[2] / "sample_drawings" / "first-look" / "site"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SITE, tmp_path / "site"))


def fill(sheet: Worksheet, about: dict[str, str], **said: object) -> None:
    """Write into the one row of a sheet whose printed cells are these."""
    columns = [cell.value for cell in sheet[3]]
    rows = [
        row
        for row in sheet.iter_rows(min_row=4)
        if all(row[columns.index(name)].value == text for name, text in about.items())
    ]
    assert len(rows) == 1, (sheet.title, about)
    for name, value in said.items():
        cell = rows[0][columns.index(name)]
        assert not cell.protection.locked
        cell.value = value


def test_what_the_crew_fills_in_is_on_record(papers: Path, site: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(papers / "schedules.xlsx")
    crew = book["field crew"]
    crew["A4"], crew["B4"], crew["C4"] = "J. Rivers", datetime.date(2026, 5, 4), "Meter 7"
    fill(book["field doors"], {"opening": "1"}, done="yes")
    fill(book["field landings"], {"opening": "2", "from_terminal": "K2.NC"}, as_drawn="no", landed_from="K2.NO")
    fill(book["field landings"], {"opening": "1", "no": "8"}, as_drawn="yes")
    fill(book["field readings"], {"opening": "2", "what": "lock M1, far end"}, reading="13.2")
    fill(book["field lengths"], {"cable": "1A-A02"}, length_m=23.4)
    fill(
        book["field cable_tests"],
        {"cable": "1A-A02"},
        wire_map="pass",
        loop_ohm=4.2,
        result="PASS",
        limit="permanent link",
    )
    fill(book["field devices"], {"opening": "2", "device": "K1"}, serial="S-1", mac="02:00:5E:10:00:0A")
    fill(book["field ports"], {"opening": "2"}, used_port="1A.R1-A:05")
    free = book["field photos"]
    free["A4"], free["B4"], free["C4"] = "2", "door-2.jpg", "junction box open"
    filled = tmp_path / "filled.xlsx"
    book.save(filled)
    taken = return_site(site, [filled])
    assert taken.rows == {
        "doors": 1, "landings": 2, "readings": 1, "lengths": 1, "cable_tests": 1, "devices": 1, "ports": 1, "photos": 1,
    }  # fmt: skip
    found = as_built_of(read_returns(site))
    (moved,) = (row for row in found.landings if row.opening == "2")
    assert (moved.landed_from, moved.by, moved.date) == ("K2.NO", "J. Rivers", datetime.date(2026, 5, 4))
    assert [row.length_m for row in found.lengths] == [23.4]
    assert [(row.photo, row.shows, row.file) for row in found.photos] == [
        ("door-2.jpg", "junction box open", "filled.xlsx")
    ]


def test_the_column_of_holds_comes_back_unread(held_work: FieldWork, site: Path, tmp_path: Path) -> None:
    made = workbook_bytes(About("", "", ()), (), field_sheets(held_work, held_work.design.doors), {})
    book = openpyxl.load_workbook(io.BytesIO(made))
    assert book["field doors"]["H3"].value == "hold"
    fill(book["field doors"], {"opening": "2"}, done="no", reason="on hold", by="J. Rivers")
    book["field doors"]["F5"] = datetime.date(2026, 5, 4)
    book.save(tmp_path / "filled.xlsx")
    assert return_site(site, [tmp_path / "filled.xlsx"]).rows == {"doors": 1}


def test_a_blank_workbook_says_nothing(papers: Path, site: Path) -> None:
    taken = return_site(site, [papers / "schedules.xlsx"])
    assert taken.record is None
    assert not read_returns(site)


def test_a_printed_cell_that_was_changed_after_all_is_found_out(papers: Path, site: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(papers / "schedules.xlsx")
    book["field crew"]["A4"], book["field crew"]["B4"] = "J. Rivers", datetime.date(2026, 5, 4)
    fill(book["field landings"], {"opening": "2", "from_terminal": "K2.NC"}, as_drawn="yes")
    row = next(r for r in book["field landings"].iter_rows(min_row=4) if r[4].value == "K2.NC")
    row[4].value = "K2.NO"
    book.save(tmp_path / "filled.xlsx")
    with pytest.raises(InputError, match="another revision of the papers"):
        return_site(site, [tmp_path / "filled.xlsx"])


@pytest.mark.parametrize(
    ("text", "place", "wanted"),
    [
        ("cable,length_m,by,date\n1A-A01,24,A. Name,2026-03-01,,junk\n", "F2", "expected nothing here"),
        ("cable,length_m,by,date\n1A-A01,24,A. Name,2026-03-01\n", "--date", "expected a date as YYYY-MM-DD"),
    ],
)
def test_what_nobody_would_read_of_a_return_is_told(
    site: Path, tmp_path: Path, text: str, place: str, wanted: str
) -> None:
    (tmp_path / "lengths.csv").write_text(text, "utf-8")
    date = "31.12.2026" if place == "--date" else ""
    with pytest.raises(InputError) as told:
        return_site(site, [tmp_path / "lengths.csv"], ReturnOptions(who=Who(date=date)))
    assert [(place in str(p.where), p.accepted[: len(wanted)]) for p in told.value.problems] == [(True, wanted)]
