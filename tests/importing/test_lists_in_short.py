"""Lists that leave things to their reader: cells that repeat others, storeys as sheets, several doors or rows in one, deleted doors."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import openpyxl
import pytest
from riserkit_xlsx.columns import fail_mode_in_column
from riserkit_xlsx.shown import as_saved

from riserkit.importing.facts import At, DoorFact, Facts
from riserkit.importing.gather import gather
from riserkit.importing.hardware import understand
from riserkit.importing.settings import ImportSettings
from riserkit.model.stock import SHIPPED_STOCK
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts

Cells = Iterable[Sequence[object]]


def book(path: Path, sheets: Mapping[str, Cells], merged: Sequence[str] = ()) -> Path:
    """A workbook of sheets; `merged` are ranges of the first."""
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, cells in sheets.items():
        sheet = made.create_sheet(name)
        for row in cells:
            sheet.append(row)
    for one in merged:
        made.worksheets[0].merge_cells(one)
    made.save(path)
    return path


def imported(tmp_path: Path, sheets: Mapping[str, Cells], merged: Sequence[str] = ()) -> Path:
    site = tmp_path / "site"
    import_documents([book(tmp_path / "doors.xlsx", sheets, merged)], site)
    return site


HEADS = ("Door No.", "Width (mm)", "Fire rating", "Access control", "Lock", "Remarks")


def test_a_cell_that_says_ditto_says_what_the_one_above_says(tmp_path: Path) -> None:
    """`DITTO` below `no` is no word of a device; `same as 101` is what door 101 has there."""
    site = imported(tmp_path, {"Doors": (
        HEADS, ("101", 915, "90 min", "yes", "Maglock 24 VDC", "a"), ("102", '"', "DITTO", "do.", "ditto", "ditto"),
        ("103", 1015, "", "no", "none", "b"), ("104", "same", "", "DITTO", "as above", ""),
        ("105", 815, "45 min", "yes", "same as 101", "same as 101"),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert sorted(doors) == ["101", "102", "105"]
    second = doors["102"]
    assert (second["width_m"], second["fire_rating_min"], second["lock"], second["remarks"]) == (
        "0.915",
        "90",
        "magnet-24-600",
        "a",
    )
    assert (doors["105"]["lock"], doors["105"]["remarks"]) == ("magnet-24-600", "same as 101")
    assert "E6 (same as 101) as E2" in texts(site, "inferred")


def test_a_ditto_below_nothing_is_asked(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 915, "ditto", "yes", "Maglock 24 VDC", ""))})
    assert rows(site, "openings")["101"].get("fire_rating_min", "") == ""
    assert "'ditto' has no row above that it could repeat" in texts(site, "question")


def test_a_number_below_room_is_no_mark(tmp_path: Path) -> None:
    heads = (("Room", "", "Door", "", "Detail"), ("No.", "Name", "No.", "Width (mm)", "No."))
    site = imported(
        tmp_path,
        {"Doors": (*heads, ("100", "Lobby", "100-1", 915, "7"), ("100", "Lobby", "100-2", 815, "8"))},
        ("A1:B1", "C1:D1"),
    )
    doors = rows(site, "openings")
    assert {mark: (d["name"], d["width_m"]) for mark, d in doors.items()} == {
        "100-1": ("Lobby", "0.915"),
        "100-2": ("Lobby", "0.815"),
    }
    assert "Room No.: 100" in doors["100-1"]["remarks"]


@pytest.mark.parametrize("merged", [("B1:C1", "D1:E1"), ()])
def test_feet_and_inches_in_columns_of_their_own(merged: Sequence[str], tmp_path: Path) -> None:
    heads = (("Door", "Width", "", "Height", "", "Lock"), ("", "ft", "in", "ft", "in", ""))
    site = imported(tmp_path, {"Doors": (*heads, ("1", 2, 10, 6, 8, "Maglock 24 VDC"))}, merged)
    door = rows(site, "openings")["1"]
    assert (door["width_m"], door["height_m"]) == ("0.864", "2.032")


def test_a_sheet_for_each_storey(tmp_path: Path) -> None:
    """Doors of one number on two storeys are two, and a title counts where no sheet's name tells."""
    heads = ("Door", "Width (mm)", "Lock")
    site = imported(tmp_path, {
        "Level 1": (heads, ("101", 915, "Maglock 24 V")), "Level 2": (heads, ("101", 1015, "Maglock 24 V")),
        "Sheet3": (("Doors of the third floor",), (), heads, ("301", 815, "Maglock 24 V")),
        "Level 4-6": (heads, ("401", 815, "Maglock 24 V")),
    })  # fmt: skip
    found = {(door["level"], door["width_m"]) for door in rows(site, "openings").values()}
    assert found == {("Level-1", "0.915"), ("Level-2", "1.015"), ("Third-floor", "0.815"), ("", "0.815")}
    assert "words above the headings: Doors of the third floor" in texts(site, "left")


def test_words_of_sheets_without_a_table_are_told(tmp_path: Path) -> None:
    notes = (("GENERAL NOTES",), ("1. ALL LOCKS ARE FAIL SAFE",))
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 915, "", "yes", "Maglock 24 V", "")), "Notes": notes})
    assert "its words are not read: 1. ALL LOCKS ARE FAIL SAFE" in texts(site, "left")


def test_page_numbers_head_no_section(tmp_path: Path) -> None:
    door = (915, "", "yes", "Maglock 24 V", "")
    site = imported(tmp_path, {"Doors": (HEADS, ("101", *door), ("Page 1 of 2",), HEADS, ("102", *door))})
    assert {d.get("remarks", "") for d in rows(site, "openings").values()} == {""}


def test_deleted_doors_are_asked_about(tmp_path: Path) -> None:
    door = (915, "", "yes", "Maglock 24 V")
    sheets = {"Doors": (
        HEADS, ("101", *door, ""), ("102", *door, "DELETED"), ("103 (VOID)", *door, ""), ("104", *door, "Door removed in addendum 2"),
        ("105", *door, "Remove closer"), ("NOT USED",), ("106", *door, ""),
    )}  # fmt: skip
    site = imported(tmp_path, sheets)
    assert "3 rows are of doors that words say are deleted" in texts(site, "question")
    assert len(rows(site, "openings")) == 6
    assert not rows(site, "openings")["106"]["remarks"]
    again = tmp_path / "again"
    again.mkdir()
    (again / "import.toml").write_text('[document."doors.xlsx"]\nstruck = "skip"\n', "utf-8")
    import_documents([tmp_path / "doors.xlsx"], again)
    assert sorted(rows(again, "openings")) == ["101", "105", "106"]


def test_a_row_for_several_doors(tmp_path: Path) -> None:
    lock = "Maglock 24 V"
    site = imported(tmp_path, {"Doors": (
        ("Door", "Width (mm)", "Lock", "Qty"), ("101, 102", 915, lock, 2), ("103 to 105", 915, lock, 3), ("106-108", 915, lock, 3),
        ("109-111", 915, lock, ""), ("112 A/B", 915, lock, ""), ("113", 915, lock, 2), ("1-114", 915, lock, 1),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert sorted(doors) == ["1-114", *(str(n) for n in range(101, 109)), "109-111", "112 A-B", "113"]
    asked = texts(site, "question")
    assert "'109-111' may be one door, or 3 (109, 110, 111)" in asked
    assert "'112 A/B' may be one door, or 2 (112A, 112B)" in asked
    assert "the row of '113' stands for 2 doors" in asked
    assert "1-114" not in asked.replace("1-114, ", "").replace(", 1-114", "")


def test_a_door_over_several_rows(tmp_path: Path) -> None:
    """An item of hardware in each row; a row without a mark makes no door."""
    site = imported(tmp_path, {"Doors": (
        ("Opening", "Qty", "Hardware item", "Location"), ("101", 3, "Hinge", "Lobby"), ("", 2, "Electric strike 24 VDC fail secure", ""),
        ("", 1, "Card reader", ""), ("102", 1, "Maglock 12 VDC", "Lab"),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert {mark: door["lock"] for mark, door in doors.items()} == {"101": "strike-24-secure", "102": "magnet-12-300"}
    assert doors["101"]["entry"] == "reader"
    assert "3 x Hinge" in doors["101"]["remarks"]
    assert "read as more of door 101" in texts(site, "inferred")


def test_a_mark_merged_over_rows_is_one_door(tmp_path: Path) -> None:
    sheets = {"Doors": (HEADS, ("101", 915, "", "yes", "Maglock 24 V", "a"), ("", 915, "", "yes", "", "b"))}
    site = imported(tmp_path, sheets, ("A2:A3",))
    assert rows(site, "openings")["101"]["remarks"] == "a; b"
    assert "is listed again" not in texts(site, "question")


def test_sets_are_headed_with_more_than_their_name(tmp_path: Path) -> None:
    sets = (
        ("SET 1 - PAIRS",), ("Qty", "Unit", "Item"), (2, "EA", "Electric strike 24 VDC fail secure"), ("HW-2",),
        ("Qty", "Unit", "Item"), (1, "EA", "Maglock 24 VDC"),
    )  # fmt: skip
    doors = (("Door", "Width (mm)", "HW set", "Remarks"), ("101", 1830, "1", "PR. entrance"), ("102", 915, "HW-2", ""))
    found = rows(imported(tmp_path, {"Doors": doors, "Sets": sets}), "openings")
    first, second = found["101"], found["102"]
    assert (first["lock"], first["lock_count"], first["type"]) == ("strike-24-secure", "2", "double")
    assert second["lock"] == "magnet-24-600"
    assert "Qty" not in first["remarks"] + second["remarks"]


def test_two_locks_of_a_wide_door_are_asked(tmp_path: Path) -> None:
    sheets = {"Doors": (HEADS, ("101", 1830, "", "yes", "2 x Maglock 24 V", ""))}
    assert "nothing says that it is a pair; one is taken" in texts(imported(tmp_path, sheets), "question")


def test_numbers_are_read_as_they_are_shown(tmp_path: Path) -> None:
    path = tmp_path / "doors.xlsx"
    book(path, {"Doors": (
        ("Door", "Width", "Lock"), (1.1, 915, "Maglock 24 V"), (1.1, 1.2, "Maglock 24 V"), (5, 36, "Maglock 24 V"),
        (datetime.date(2026, 1, 2), 915, "Maglock 24 V"), (11, 915, "Maglock 24 V"),
    )})  # fmt: skip
    made = openpyxl.load_workbook(path)
    sheet = made["Doors"]
    for place, shape in {"A2": "0.00", "A4": '"D-"000', "B3": '0.00" m"', "B4": '0\\"'}.items():
        sheet[place].number_format = shape
    made.save(path)
    import_documents([path], tmp_path / "site")
    doors = rows(tmp_path / "site", "openings")
    widths = {mark: door["width_m"] for mark, door in doors.items()}
    assert widths == {"1.10": "0.915", "1.1": "1.2", "D-005": "0.914", "2026-01-02": "0.915", "11": "0.915"}
    assert "2026-01-02 is a date and stands as a mark" in texts(tmp_path / "site", "question")
    assert as_saved(5.0, "5", "D-005") == "D-005"


def test_of_marks_that_differ_by_a_sign_each_finds_its_own_door() -> None:
    """Door 101 is not 1.01 where there are both; where there is one alone it is, and the report says so."""
    drawn = [DoorFact(At("plan.dxf"), mark=mark, width_m=width_m) for mark, width_m in (("101", 0.8), ("1-11", 0.9))]
    plan = Facts("plan.dxf", "plan", doors=tuple(drawn))

    def widths(*marks: str) -> tuple[dict[str, float | None], str]:
        rows = tuple(DoorFact(At("doors.csv"), mark=mark, controlled=True) for mark in marks)
        found = gather([plan, Facts("doors.csv", "list", doors=rows)], ImportSettings(), ())
        return {door.mark: door.width_m for door in found.doors}, " ".join(note.text for note in found.notes)

    assert widths("1.01", "101", "11-1")[0] == {"1.01": None, "101": 0.8, "11-1": 0.9}
    assert widths("1.11", "11-1")[0] == {"1.11": 0.9, "11-1": None}
    alone, said = widths("1.01")
    assert alone == {"1.01": 0.8}
    assert "the names differ by signs only" in said


@pytest.mark.parametrize(
    ("words", "lock"),
    [("Electric strike fail secure 24 VDC", "strike-24-secure"), ("Electric strike fail secure 24 VAC", ""),
     ("Electrified lockset 120 V", ""), ("Electric strike fail secure 12/24VDC", ""), ("Maglock 24V AC/DC", "magnet-24-600")],
)  # fmt: skip
def test_a_voltage_that_no_part_has_is_asked(words: str, lock: str) -> None:
    found = understand([("Lock", words)], SHIPPED_STOCK.parts, {})
    assert found.values.get("lock", ("",))[0] == lock
    assert bool(found.asked) == (not lock)


def test_columns_of_voltage_and_fail_mode_that_do_not_decide(tmp_path: Path) -> None:
    strike = "Electric strike"
    heads = ("Door", "Width (mm)", "Lock", "Voltage", "Fail mode")
    site = imported(
        tmp_path,
        {"Doors": (heads, ("1", 915, strike, "12/24VDC", "fail safe"), ("2", 915, strike, "24 VDC", "FS"))},
    )
    doors = rows(site, "openings")
    assert {door.get("lock", "") for door in doors.values()} == {""}
    assert doors["2"]["fail_mode"] == ""
    assert "'Electric strike, 12/24 V, fail-safe' may be strike-12-safe, strike-24-safe" in texts(site, "question")
    assert "FS of 'FS' may be fail-safe or fail-secure" in texts(site, "question")
    assert fail_mode_in_column("FS") == ""


def test_what_is_yet_to_be_decided_is_asked(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (
        HEADS, ("101", 915, "1.5", "", "TBD", ""), ("102", 915, "0.33 h", "yes", "Maglock 24 V", ""),
        ("103", 915, "B-LABEL", "yes", "Maglock 24 V", ""),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert (doors["101"]["fire_rating_min"], doors["102"]["fire_rating_min"], doors["103"]["fire_rating_min"]) == (
        "90",
        "20",
        "",
    )
    assert "'TBD' is yet to be decided" in texts(site, "question")
    assert "fire ratings that are not understood stand in the remarks: 'B-LABEL'" in texts(site, "left")


@pytest.mark.parametrize(("width", "read"), [(915, ""), (1830, "1.83")])
def test_a_pair_as_wide_as_one_leaf_is_asked(width: int, read: str, tmp_path: Path) -> None:
    """Offices state the width of both leaves or of one, and half a width is no finding of any check."""
    heads = ("Door", "Leaves", "Width (mm)", "Lock")
    site = imported(tmp_path, {"Doors": (heads, ("1", "Pair", width, "Maglock 24 V"), ("2", 1, 915, "Maglock 24 V"))})
    doors = rows(site, "openings")
    assert (doors["1"]["width_m"], doors["2"]["width_m"]) == (read, "0.915")
    asked = "a width of 0.915 m of a pair may be that of one leaf" in texts(site, "question")
    assert asked == (not read)


def test_a_lock_that_is_called_both_is_asked() -> None:
    words = "Electric strike 24 V fail secure (fail safe on fire alarm)"
    found = understand([("Lock", words)], SHIPPED_STOCK.parts, {})
    assert not {"lock", "fail_mode"} & set(found.values)
    assert any("names fail-safe and fail-secure" in str(one) for one in found.asked)
