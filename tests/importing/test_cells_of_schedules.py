"""What cells of door schedules say that is no plain value: not decided yet, similar to another door, a pair's width, nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.importing.ratings import minutes_of
from tests.importing.tables import report, rows, texts
from tests.importing.test_lists_in_short import imported


@pytest.mark.parametrize(("text", "minutes"), [
    ("60/60/30", 60), ("-/30/30", 30), ("FRL -/120/30", 120), ("60/-/-", None), ("-/-/-", 0),
    ("EI 60", 60), ("EI 120", 120), ("EI2 120", 120), ("EI 230", 30), ("REI 120", 120), ("EI1-90-C", 90), ("EI60/Sa", 60),
    ("R60", None), ("F90", 90), ("1 1/2 HR", 90), ("1-1/2", 90), ("1½ h", 90), ("1,5 h", 90), ("2 heures", 120), ("C - 3/4 HR", 45),
    ("60 mins.", 60), ("B", None), ("B LABEL 90", 90), ("60 MIN W/ S LABEL", 60), ("45 min/60 min", None), ("ohne", 0), ("NFR", 0),
])  # fmt: skip
def test_ratings_of_many_offices(text: str, minutes: float | None) -> None:
    assert minutes_of(text)[0] == minutes


def test_integrity_is_told(tmp_path: Path) -> None:
    site = imported(tmp_path, {"D": (("Door", "Width", "Fire rating"), ("1", 900, "-/60/30"), ("2", 900, "60/-/-"))})
    assert rows(site, "openings")["1"]["fire_rating_min"] == "60"
    assert "'-/60/30' is read as 60 min of integrity" in texts(site, "inferred")
    assert "fire rating '60/-/-' is not understood" in texts(site, "left")


def test_what_is_not_decided_is_asked_once(tmp_path: Path) -> None:
    cells = (
        ("Door", "Width", "Fire rating", "HW Set"),
        ("1", "TBD", "90", "TBD"),
        ("2", 900, "?", "TBD"),
        ("3", 900, 90, ""),
    )
    site = imported(tmp_path, {"D": cells})
    asked = "4 doors: yet to be decided in the list: HW Set (1, 2); Width (1); Fire rating (2)"
    assert asked in texts(site, "question")
    assert "is not understood" not in texts(site, "left")
    assert "no table describes" not in texts(site, "question")
    assert rows(site, "openings")["2"]["remarks"] == "Fire rating: ?; HW Set: TBD"


def test_a_similar_cell_is_read_and_asked(tmp_path: Path) -> None:
    site = imported(tmp_path, {"D": (("Door", "Width", "HW Set"), ("101", 900, "4"), ("102", 900, "SIM TO 101"))})
    assert "similar to another's are read as the same: C3 (SIM TO 101) as C2" in texts(site, "question")
    assert "SIM" not in rows(site, "openings")["102"]["remarks"]


def test_a_pair_in_a_column_of_widths(tmp_path: Path) -> None:
    cells = (
        ("Door", "Width", "Height"),
        ("1", "PR 3'-0\"", "7'-0\""),
        ("2", "PR 6'-0\"", "7'-0\""),
        ("3", "3'-0\"", "7'-0\""),
    )
    doors = rows(imported(tmp_path, {"D": cells}), "openings")
    assert [(doors[m]["type"], doors[m]["width_m"]) for m in "123"] == [
        ("double", "1.829"),
        ("double", "1.829"),
        ("", "0.914"),
    ]


def test_a_note_between_the_rows_is_of_no_door(tmp_path: Path) -> None:
    cells = (
        ("Door", "Width", "Remarks"),
        ("1", 900, "-"),
        ("NOTE: ALL HM FRAMES WELDED",),
        ("2", 900, "N/A"),
        ("TOTAL", 2),
    )
    site = imported(tmp_path, {"D": cells})
    assert [row.get("remarks", "") for row in rows(site, "openings").values()] == ["", ""]
    assert "a note between the rows: NOTE: ALL HM FRAMES WELDED" in texts(site, "left")


def test_a_total_is_no_size(tmp_path: Path) -> None:
    """The 8 doors of a total do not say that bare numbers are feet, of which there are none."""
    site = imported(tmp_path, {"D": (("Door", "Width", "Height"), ("1", "3'-0\"", "7'-0\""), ("TOTAL", 8))})
    assert [line for line in report(site, "inferred") if "bare numbers" in line["text"]] == []
