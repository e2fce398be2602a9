"""A list as a hardware consultant writes it: headings over two rows under a merged group, abbreviations, two things in a cell."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from riserkit.importing.facts import At, DoorFact, RoomFact
from riserkit.importing.hardware import understand
from riserkit.importing.settings import CIRCULATION
from riserkit.importing.sides import Side, secured_side
from riserkit.model.stock import SHIPPED_STOCK
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts

LIST = (
    ("DOOR", "LOCATION", "SIZE", "", "RATING", "HDWR SET", "ACCESS CONTROL", "", "", "REMARKS"),
    ("NO.", "FROM / TO", "W x H", "THK", "(MIN)", "", "LOCK", "READER", "REX", ""),
    ("E-100", "Exterior / Corridor", "PR 3'-0\" x 7'-0\"", '1 3/4"', "-", "HW-04", "Maglock 24VDC", "Ext.", "Motion + PB", "Auto operator"),
    ("E-101", "Corridor to IT Room", "3'-0\" x 7'-0\"", '1 3/4"', "45", "HW-02", "El. strike FS 24V", "Corr.", "none", ""),
    ("E-102", "Corridor / Records", "3070", '1 3/4"', "NR", "HW-02", "Electric strike 12 VDC fail safe", "Corr.", "lever switch", ""),
    ("E-103", "Corridor / Office", "3'-0\" x 7'-0\"", '1 3/4"', "20 MIN", "HW-01", "-", "-", "-", "No access control"),
)  # fmt: skip
SETS = (
    ("SET", "QTY", "DESCRIPTION"), ("HW-04", 2, "Electromagnetic lock 24 VDC"), ("", 1, "Push to exit button, 30 s"),
    ("HW-02", 1, "Electric strike"), ("", 1, "Lever lockset"), ("HW-01", 1, "Passage set"),
)  # fmt: skip


@pytest.fixture
def imported(tmp_path: Path) -> Path:
    """The list imported by itself."""
    book = openpyxl.Workbook()
    doors = book.active
    assert doors is not None
    doors.title = "Schedule"
    doors.append(["DOOR & FRAME SCHEDULE (REV C)"])
    for row in LIST:
        doors.append(row)
    for merged in ("A1:J1", "C2:D2", "G2:I2"):
        doors.merge_cells(merged)
    sets = book.create_sheet("Hardware")
    for row in SETS:
        sets.append(row)
    book.save(tmp_path / "doors.xlsx")
    import_documents([tmp_path / "doors.xlsx"], tmp_path / "site")
    return tmp_path / "site"


def test_a_second_row_of_headings_is_no_door_and_says_what_is_below_it(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert sorted(doors) == ["E-100", "E-101", "E-102"]
    first = doors["E-100"]
    assert (first["type"], first["lock"], first["release"], first["entry"]) == (
        "double",
        "magnet-24-600",
        "release-30",
        "reader",
    )
    assert (first["unsecured_side"], first["secured_side"]) == ("Exterior", "Corridor")
    assert doors["E-101"]["secured_side"] == "IT Room"
    assert (doors["E-101"]["fire_rating_min"], doors["E-102"]["fire_rating_min"]) == ("45", "0")
    assert {door["width_m"] for door in doors.values()} == {"1.829", "0.914"}
    assert "Auto operator" in first["remarks"]


def test_two_locks_of_a_set_are_those_of_a_pair_only(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert {mark: door["lock_count"] for mark, door in doors.items()} == {"E-100": "2", "E-101": "", "E-102": ""}


def test_fs_is_asked_and_taken_for_neither(imported: Path) -> None:
    """Fail-safe in one office and fail-secure in the next: the wrong one locks people in, or unlocks a fire door."""
    door = rows(imported, "openings")["E-101"]
    assert (door["fail_mode"], door["lock"]) == ("", "")
    assert "FS of 'El. strike FS 24V' may be fail-safe or fail-secure" in texts(imported, "question")
    assert "strike-24-secure, strike-24-safe" in texts(imported, "question")


def test_of_two_devices_in_a_cell_neither_is_lost(imported: Path) -> None:
    assert rows(imported, "openings")["E-100"]["rex"] == "rex-motion"
    assert "rex-motion from 'Motion', rex-button from 'PB'; the first is taken" in texts(imported, "question")


def test_a_switch_in_the_lever_is_no_motion_sensor(imported: Path) -> None:
    assert rows(imported, "openings")["E-102"]["rex"] == "rex-bar"


def test_a_manual_release_is_a_button_on_the_wall() -> None:
    found = {
        words: understand([("Hardware", words)], SHIPPED_STOCK.parts, {}).values["release"][0]
        for words in ("Manual release", "Emergency release bar")
    }
    assert found == {"Manual release": "release-30", "Emergency release bar": "release-bar"}


@pytest.mark.parametrize(
    ("words", "lock"),
    [("Maglock 24VDC", "magnet-24-600"), ("Maglock 12 V", "magnet-12-300"), ("Maglock 12 V heavy duty", "magnet-12-600")],
)  # fmt: skip
def test_a_heavy_lock_is_meant_where_there_is_no_other(words: str, lock: str) -> None:
    assert understand([("Lock", words)], SHIPPED_STOCK.parts, {}).values["lock"][0] == lock


@pytest.mark.parametrize("mark", ["E-100", "100"])
def test_what_is_called_outside_is_never_the_secured_side(mark: str) -> None:
    """The inside of an outside door is often a corridor or a lobby, from which one comes at the doors further in."""
    at = At("plan")
    sides = (
        Side(90.0, RoomFact(at, "a", name="EXTERIOR")),
        Side(270.0, RoomFact(at, "b", number="100", name="CORRIDOR")),
    )
    found = secured_side(DoorFact(at, mark=mark), sides, CIRCULATION)
    assert found is not None
    assert (found.deg, found.why) == (270.0, "EXTERIOR is outside")


SCHEDULE = """Door Schedule,,,,,,,,,,,,
Mark,Level,Family and Type,Width,Height,From Room: Name,From Room: Number,To Room: Name,To Room: Number,Rating,Notes,Access Control Type
101A,Level 01,Single-Flush: 36" x 84",3' - 0",7' - 0",Lobby,100,Office,101,,,AC-1
102,Level 01,Single-Flush: 36" x 84",3' - 0",7' - 0",Corridor,110,Lab,102,45 min,,AC-2
110,Level 01,Double-Glass: 72" x 84",6' - 0",7' - 0",Exterior,,Lobby,100,,,AC-3
201,Level 01,Single-Flush: 36" x 84",3' - 0",7' - 0",Corridor,210,Storage,201,NR,,
Grand total: 4,,,,,,,,,,,
"""
TYPES = (
    ("TYPE", "LOCK", "POWER", "FAIL", "READER", "REX", "CONTACT", "NOTES"),
    ("AC-1", "Electric strike", "12VDC", "Secure", "Card", "-", "Yes", ""),
    ("AC-2", "Electrified mortise lock", "24VDC", "Secure", "Card", "in lockset", "Yes", "integral REX"),
    ("AC-3", "(2) Maglock", "24VDC", "Safe", "Card + keypad", "Motion", "(2)", "FACP release"),
)


def test_types_of_access_control_stand_for_what_their_table_says(tmp_path: Path) -> None:
    """A schedule out of a building model names them; what each is stands in a workbook of its own."""
    (tmp_path / "schedule.csv").write_text(SCHEDULE, encoding="utf-8")
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["ACCESS CONTROL TYPES"])
    for row in TYPES:
        sheet.append(row)
    book.save(tmp_path / "types.xlsx")
    import_documents([tmp_path / "schedule.csv", tmp_path / "types.xlsx"], tmp_path / "site")
    doors = rows(tmp_path / "site", "openings")
    found = {
        mark: [door[c] for c in ("type", "lock", "fail_mode", "lock_count", "contact", "rex")]
        for mark, door in doors.items()
    }
    assert found == {
        "101A": ["single", "strike-12-secure", "fail-secure", "", "contact-reed", ""],
        "102": ["single", "latch-24", "fail-secure", "", "contact-reed", "rex-bar"],
        "110": ["double", "magnet-24-600", "fail-safe", "2", "contact-reed", "rex-motion"],
    }
    assert "NOTES: FACP release" in doors["110"]["remarks"]
