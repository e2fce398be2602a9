"""What lists say in a word, a number or a colour: readers on both sides, quantities, sizes in feet and inches, rows in red."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.styles import PatternFill

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import imported

STRIKE = "electric strike 12 V fail secure"


@pytest.mark.parametrize(
    ("cell", "entry", "out"),
    [("In/Out", "reader", True), ("both sides", "reader", True), ("(2)", "reader", True), ("yes", "reader", False),
     ("Entry only", "reader", False), ("exit", "", True)],
)  # fmt: skip
def test_readers_of_both_sides_are_two(cell: str, entry: str, out: bool, tmp_path: Path) -> None:
    """Of `In/Out` the reader on the way in was lost, of `both sides` and 2 the one on the way out."""
    site = imported(tmp_path, {"Doors": (("Door", "Width (mm)", "Lock", "Reader"), ("101", 900, STRIKE, cell),
                                         ("102", 900, STRIKE, "In/Out"))})  # fmt: skip
    door = rows(site, "openings")["101"]
    assert (door["entry"], door["reader_out"]) == (entry, "reader-out" if out else "")


@pytest.mark.parametrize(
    ("cell", "is_asked"), [("2", True), ("two", True), ("2 No.", True), ("one", False), ("1 ea", False)]
)
def test_a_quantity_in_words_is_a_quantity(cell: str, is_asked: bool, tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (("Door", "Width (mm)", "Lock", "Qty"), ("101", 900, STRIKE, cell))})
    assert ("the row of '101' stands for 2 doors" in texts(site, "question")) == is_asked
    assert ("Qty" in rows(site, "openings")["101"].get("remarks", "")) == is_asked


def test_a_size_in_feet_and_inches_without_signs_is_no_number_of_millimetres(tmp_path: Path) -> None:
    """3068 among feet and inches was a door 3.068 m wide, and its height was not there."""
    heads = ("Door", "Width", "Height", "Lock")
    site = imported(tmp_path, {"Doors": (heads, ("101", "3'-0\"", "7'-0\"", STRIKE), ("102", 3068, "", STRIKE))})
    door = rows(site, "openings")["102"]
    assert (door["width_m"], door["height_m"]) == ("0.914", "2.032")
    assert "the unit of bare numbers" not in texts(site, "question")


def test_a_mark_with_a_comma_for_a_dot_is_one_door_and_asked(tmp_path: Path) -> None:
    site = imported(
        tmp_path, {"Doors": (("Door", "Width (mm)", "Lock"), ("1,01", 900, STRIKE), ("101,102", 900, STRIKE))}
    )
    assert list(rows(site, "openings")) == ["1-01", "101", "102"]
    assert "'1,01' may be one door, or 2 (1, 01)" in texts(site, "question")


def test_a_mark_that_is_made_is_not_one_that_is_given_with_other_signs(tmp_path: Path) -> None:
    heads = ("Door", "Level", "Width (mm)", "Lock")
    site = imported(
        tmp_path, {"Doors": (heads, ("D-01", 1, 900, STRIKE), ("B", 1, 900, STRIKE), ("B", 2, 900, STRIKE))}
    )
    assert list(rows(site, "openings")) == ["D-01", "D02", "D03"]


def test_a_time_as_a_mark_is_asked(tmp_path: Path) -> None:
    site = imported(
        tmp_path, {"Doors": (("Door", "Width (mm)", "Lock"), ("01:05:00", 900, STRIKE), ("102", 900, STRIKE))}
    )
    assert "01:05:00 is a date and stands as a mark" in texts(site, "question")


def coloured(path: Path, **key: str) -> Path:
    """Ten doors, the third and the sixth of them red; `key`: by cell the words beside red."""
    book = openpyxl.Workbook()
    sheet = book.active
    red = PatternFill("solid", fgColor="FFFF0000")
    for row in (("Door", "Width (mm)", "Lock"), *((f"{n}", 900, STRIKE) for n in range(101, 111))):
        sheet.append(row)
    for cell in (*sheet[4], *sheet[7]):
        cell.fill = red
    for cell in sheet[2]:
        cell.fill = PatternFill("solid", fgColor="FFFFFFFF")
    for place, words in key.items():
        sheet[place].fill = red
        sheet[place].offset(0, 1).value = words
    book.save(path)
    return path


def test_rows_in_a_colour_of_the_key_are_asked(tmp_path: Path, site: Path) -> None:
    import_documents([coloured(tmp_path / "doors.xlsx", F3="Deleted")], site)
    assert "rows in the colour that F3 calls 'Deleted': 4, 7; colours are not read" in texts(site, "question")


def test_rows_in_a_colour_without_a_key_are_told_and_white_is_none(tmp_path: Path, site: Path) -> None:
    import_documents([coloured(tmp_path / "doors.xlsx")], site)
    assert "colour" not in texts(site, "question")
    assert texts(site, "left").count("rows with cells in a colour of their own: 4, 7; no words say what it means") == 1
    assert "colour of their own: 2" not in texts(site, "left")


@pytest.mark.parametrize("heading", ["HW Set", "Hardware"])
def test_devices_that_one_cell_names_one_after_the_other_are_all_read(heading: str, tmp_path: Path) -> None:
    """Of three devices in a cell one was read, and the lock was not even in the remarks."""
    words = "Electric strike, fail secure, 12 VDC, card reader and DPS"
    sheets = {"Doors": (("Door", "Width (mm)", heading), ("101", 900, "A" if heading == "HW Set" else words))}
    if heading == "HW Set":
        sheets["Sets"] = (("Set", "Items"), ("A", words))  # type: ignore[assignment]
    door = rows(imported(tmp_path, sheets), "openings")["101"]
    assert (door["lock"], door["fail_mode"], door["entry"], door["contact"]) == (
        "strike-12-secure", "fail-secure", "reader", "contact-reed",
    )  # fmt: skip


def test_a_voltage_in_a_column_of_its_own_is_the_lock_s_of_several_devices(tmp_path: Path) -> None:
    heads = ("Door", "Width (mm)", "Lock", "Voltage", "Fail mode")
    site = imported(tmp_path, {"Doors": (heads, ("101", 900, "Electric strike, DPS", "24 VDC", "fail safe"))})
    door = rows(site, "openings")["101"]
    assert (door["lock"], door["contact"]) == ("strike-24-safe", "contact-reed")


@pytest.mark.parametrize("count", ["2", "Two", "TWO (2)", "2 ea"])
def test_two_locks_of_a_set_in_a_word_are_two(count: str, tmp_path: Path) -> None:
    site = imported(tmp_path, {
        "Doors": (("Door", "Width (mm)", "Leaves", "HW Set"), ("101", 1800, 2, "1"), ("102", 900, 1, "B")),
        "Sets": (("HW Set", "Qty", "Description"), ("1", count, STRIKE), ("B", "1", STRIKE)),
    })  # fmt: skip
    assert list(rows(site, "openings")) == ["101", "102"]  # a set named 1 is no tick
    assert rows(site, "openings")["101"]["lock_count"] == "2"
