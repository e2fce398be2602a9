"""Hardware sets as a matrix, a column for each, and doors that name a set otherwise than its table does."""

from __future__ import annotations

from pathlib import Path

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import imported

DOORS = (("Door", "Width", "HW Set"), ("101", "3'-0\"", 1), ("102", "3'-0\"", "02"), ("103", "3'-0\"", "HW-3"))
MATRIX = (
    ("HARDWARE SET MATRIX",),
    ("Item", "Set 01", "Set 02", "Set 03"),
    ("Hinges", 3, 3, 6),
    ("ELECTRIFIED HARDWARE", "ELECTRIFIED HARDWARE", "ELECTRIFIED HARDWARE", "ELECTRIFIED HARDWARE"),
    ("Electric strike, fail secure, 24 VDC", 1, None, None),
    ("Maglock 24 VDC 600 lb", None, "●", 2),
    ("Card reader", "X", "-", "X"),
    ("Door position switch", 1, 1, 2),
)


def test_a_set_has_what_its_column_ticks_or_counts(tmp_path: Path) -> None:
    """The title above is no set called MATRIX, and a heading merged across the sets is an item of none."""
    site = imported(tmp_path, {"Doors": DOORS, "Sets": MATRIX})
    doors = rows(site, "openings")
    found = {mark: (row["lock"], row["entry"], row["contact"]) for mark, row in doors.items()}
    assert found == {
        "101": ("strike-24-secure", "reader", "contact-reed"),
        "102": ("magnet-24-600", "", "contact-reed"),
        "103": ("magnet-24-600", "reader", "contact-reed"),
    }
    assert "ELECTRIFIED" not in doors["101"]["remarks"]
    assert "doors.xlsx: 3 doors, 3 hardware sets" in texts(site, "found")
    assert "of a single door one is taken: 2 x Maglock 24 VDC 600 lb" in texts(site, "inferred")


def test_sets_are_named_in_the_row_below_a_group(tmp_path: Path) -> None:
    """`Hardware group` merged above the names, and words in place of a tick."""
    site = imported(tmp_path, {
        "HW": (("Hardware", "Hardware group", None), (None, "A", "B"), ("Electric strike", "24 V fail secure", "12 V fail secure"),
               ("DPS", "x", "")),
        "Doors": (("Mark", "Size", "Hardware group"), ("D1", "3070", "A"), ("D2", "3070", "B")),
    }, ("B1:C1", "A1:A2"))  # fmt: skip
    doors = rows(site, "openings")
    assert [(doors[m]["lock"], doors[m]["contact"]) for m in ("D1", "D2")] == [
        ("strike-24-secure", "contact-reed"),
        ("strike-12-secure", ""),
    ]
    assert "2 doors, 2 hardware sets" in texts(site, "found")


def test_a_matrix_below_the_doors_is_no_door(tmp_path: Path) -> None:
    path = tmp_path / "türen.csv"
    path.write_bytes(
        "Tür-Nr.;Geschoss;Breite;Beschlag\r\nT-01;EG;1010;A\r\nT-02;EG;1010;B\r\n;;;\r\nBeschlag;A;B;\r\n"
        "Türöffner Arbeitsstrom 24V;1;;\r\nHaftmagnet 24V;;1;\r\n".encode("cp1252")
    )
    site = tmp_path / "site"
    import_documents([path], site)
    doors = rows(site, "openings")
    assert {mark: row["lock"] for mark, row in doors.items()} == {"T-01": "strike-24-secure", "T-02": "magnet-24-600"}
    assert [row["id"] for row in rows(site, "levels").values()] == ["EG"]


def test_doors_that_are_set_names_are_no_matrix(tmp_path: Path) -> None:
    """A row of a list whose cells are like names of sets is a door."""
    cells = (
        ("Door", "Access type", "HW Set", "Lock"),
        *((f"{n}", "1", "2", "Maglock 24 VDC") for n in range(1, 5)),
    )
    assert sorted(rows(imported(tmp_path, {"Doors": cells}), "openings")) == ["1", "2", "3", "4"]


def test_a_set_of_another_spelling_is_told_and_one_of_two_is_asked(tmp_path: Path) -> None:
    """`1` is the only set 01; `2` is either of `02` and `HW-2`."""
    items = ("Electric strike, fail secure, 24 VDC", "DPS")
    table = [("Set", "Item"), *((name, item) for name in ("01", "02", "HW-2") for item in items)]
    site = imported(tmp_path, {"Doors": (*DOORS[:2], ("102", "3'-0\"", "2")), "Sets": table})
    assert rows(site, "openings")["101"]["lock"] == "strike-24-secure"
    assert rows(site, "openings")["102"].get("lock", "") == ""
    assert (
        "door 101: the hardware set is read as the one that doors.xlsx describes under another name: 1 as 01"
        in texts(site, "inferred")
    )
    assert "door 102: the hardware set may be 02 or HW-2; none is taken: 2" in texts(site, "question")


def test_a_lock_that_is_electrified_behind_a_comma_is_one(tmp_path: Path) -> None:
    """And of a lock with a voltage it is the fail mode that is asked."""
    site = imported(tmp_path, {"Doors": (
        ("Door", "Width", "Lock"), ("1", "3'-0\"", "Mortise lock, electrified, 24 V, fail secure"), ("2", "3'-0\"", "Motorschloss 24V"),
    )})  # fmt: skip
    assert rows(site, "openings")["1"]["fail_mode"] == "fail-secure"
    asked = texts(site, "question")
    assert "'Motorschloss 24V' may be latch-24, latch-24-safe; state fail-safe or fail-secure there" in asked
