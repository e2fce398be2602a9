"""Schedules over several pages, in several languages' habits: headings repeated with other merged cells, heights first, marks in runs."""

from __future__ import annotations

from pathlib import Path

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import imported

HEADS = (
    ("OPENING", "", "DOOR", "", "", "FRAME", "REV"),
    ("NO", "LOCATION", "SIZE", "", "HAND", "MATL", ""),
    ("", "", "WIDTH", "HEIGHT", "", "", ""),
)


def test_headings_of_three_rows_are_repeated_with_other_merged_cells(tmp_path: Path) -> None:
    """No row of them is a door, and what stands in the first alone, as of revisions, is a heading."""
    cells = (("BUILDING C",), ("Issue 3", "2026-02-11"), *HEADS, ("C101", "LOBBY", "3'-0\"", "7'-0\"", "LHR", "HM", "^2"),
             ("C103 (DELETED)",), ("SHEET 1 OF 2",), *HEADS, ("C104", "STAIR", "6'-0\"", "7'-0\"", "RH", "HM", ""),
             ("Zwischensumme", "", "", "", "", "", 2))  # fmt: skip
    site = imported(tmp_path, {"D": cells}, ("A3:B3", "C3:E3", "C4:D4"))
    doors = rows(site, "openings")
    assert {mark: (door["width_m"], door["height_m"]) for mark, door in doors.items()} == {
        "C101": ("0.914", "2.134"),
        "C104": ("1.829", "2.134"),
    }
    assert doors["C101"]["remarks"] == "MATL: HM; REV: ^2"
    assert "the heading is repeated in 3 rows" in texts(site, "found")
    assert "taken for a row that is not used and skipped: C103 (DELETED)" in texts(site, "left")
    assert "taken for a total and skipped: Zwischensumme" in texts(site, "left")


def test_a_size_with_the_height_first(tmp_path: Path) -> None:
    cells = (
        ("Door Number", "Leaf Size (HxWxT)", "FRL"),
        ("G.01", "2100x920x40", "-/60/30"),
        ("G.02", "2040 x 820", "-/-/-"),
    )
    doors = rows(imported(tmp_path, {"D": cells}), "openings")
    found = [(door["width_m"], door["height_m"], door["fire_rating_min"]) for door in doors.values()]
    assert found == [("0.92", "2.1", "60"), ("0.82", "2.04", "0")]


def test_a_size_in_german(tmp_path: Path) -> None:
    cells = (("Tür", "Türblatt BxH", "Anz. Flügel", "Feuerwiderstand", "Bem."), ("T1", "0,885 x 2,135", "1", "T30-1-RS", "neu"),
             ("T2", "2 x 1,01 x 2,135", "2", "T90-2", ""))  # fmt: skip
    doors = rows(imported(tmp_path, {"D": cells}), "openings")
    columns = ("type", "width_m", "height_m", "fire_rating_min")
    assert [[door[c] for c in columns] for door in doors.values()] == [
        ["single", "0.885", "2.135", "30"],
        ["double", "2.02", "2.135", "90"],
    ]


def test_a_voltage_below_lock_that_names_no_kind_of_lock_is_asked(tmp_path: Path) -> None:
    """Its fail mode was taken, and the voltage lost."""
    cells = (
        ("Door", "Width", "Lock", "Access Ctrl"),
        ("1", 900, "24V fail secure", "X"),
        ("2", 900, "12 VDC", "X"),
        ("3", 900, "", "-"),
    )
    site = imported(tmp_path, {"D": cells})
    assert sorted(rows(site, "openings")) == ["1", "2"]
    assert rows(site, "openings")["1"]["fail_mode"] == "fail-secure"
    asked = texts(site, "question")
    assert "door 1: lock: '24V fail secure' names no kind of lock" in asked
    assert "door 2: lock: '12 VDC' names no kind of lock" in asked


def test_a_run_of_marks_with_hyphens(tmp_path: Path) -> None:
    cells = (("Door ID", "Qty", "Width", "DC"), ("A-02..A-04", 3, 900, "Y"), ("A-06-A-07", 2, 900, "Y"))
    doors = rows(imported(tmp_path, {"D": cells}), "openings")
    assert list(doors) == ["A-02", "A-03", "A-04", "A-06", "A-07"]
    assert {door["contact"] for door in doors.values()} == {"contact-reed"}


def test_a_schedule_in_two_columns_of_a_sheet(tmp_path: Path) -> None:
    """The doors of the right half were remarks of those of the left; a half that is shorter has no row without a mark."""
    heads = ("DOOR", "SIZE", "LOCK")
    cells = ((*heads, "", *heads), ("1", "900x2100", "Maglock 24 VDC", "", "11", "800x2100", "Electric strike 12 V fail secure"),
             ("2", "900x2100", "DITTO", "", "12", "800x2100", "ditto"), ("3", "900x2100", "Maglock 24 VDC"))  # fmt: skip
    site = imported(tmp_path, {"D": cells})
    found = {mark: (door["width_m"], door["lock"]) for mark, door in rows(site, "openings").items()}
    assert found == {
        **dict.fromkeys("123", ("0.9", "magnet-24-600")),
        **dict.fromkeys(("11", "12"), ("0.8", "strike-12-secure")),
    }
    assert "has no mark" not in texts(site, "question")
    told = texts(site, "inferred")
    assert "read as more of door" not in told
    assert told.count("C3 (DITTO) as C2") == told.count("G3 (ditto) as G2") == 1


def test_tables_of_windows_and_frames_are_of_no_doors(tmp_path: Path) -> None:
    """And doors go on below them where their heading is repeated."""
    heads = ("MARK", "WIDTH", "HEIGHT", "TYPE")
    cells = (("DOOR SCHEDULE",), heads, ("1", 900, 2100, "A"), ("FRAME TYPES",), ("TYPE", "WIDTH", "HEIGHT", "MATERIAL"),
             ("F1", 950, 2150, "HM"), heads, ("2", 900, 2100, "A"), ("WINDOW SCHEDULE",),
             ("MARK", "WIDTH", "HEIGHT", "TYPE", "GLASS"), ("W1", 1200, 1500, "FIXED", "LAM"))  # fmt: skip
    site = imported(tmp_path, {"D": cells})
    assert list(rows(site, "openings")) == ["1", "2"]
    left = texts(site, "left")
    assert "FRAME TYPES: its 2 rows are of no doors and are not read" in left
    assert "WINDOW SCHEDULE: its 1 rows are of no doors and are not read" in left


def test_a_typical_row_says_how_many_doors_it_stands_for(tmp_path: Path) -> None:
    cells = (("Door", "Width", "Remarks"), ("102-104", 900, "TYP. OF 3"), ("105-107", 900, "TYP. OF 2"))
    assert list(rows(imported(tmp_path, {"D": cells}), "openings")) == ["102", "103", "104", "105-107"]


def test_a_mag_is_a_lock_and_a_mag_stripe_is_none(tmp_path: Path) -> None:
    cells = (
        ("Door", "Width", "Mag", "Card reader"),
        ("1", 900, "24 VDC 600 lb", "mag stripe reader"),
        ("2", 900, "", "mag stripe reader"),
    )
    doors = rows(imported(tmp_path, {"D": cells}), "openings")
    assert [(door.get("lock", ""), door["entry"]) for door in doors.values()] == [
        ("magnet-24-600", "reader"),
        ("", "reader"),
    ]


def test_the_line_that_names_the_delimiter_is_none_of_the_list(tmp_path: Path) -> None:
    path = tmp_path / "doors.csv"
    path.write_bytes("sep=;\r\nDoor;Width\r\n1;900\r\n".encode("utf-16"))
    import_documents([path], tmp_path / "site")
    assert list(rows(tmp_path / "site", "openings")) == ["1"]
    assert "sep=" not in texts(tmp_path / "site", "left")
