"""Notes that hold for a whole list set nothing and are asked, wherever in it they stand."""

from __future__ import annotations

from pathlib import Path

import pytest
from riserkit_xlsx.said_of_all import fields_said

from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import imported

HEADS = ("Door No.", "Width (mm)", "Lock", "Fail mode")
NOTE = "ALL LOCKS 24 VDC FAIL SAFE U.N.O."
DOORS = (
    ("101", 915, "Electric strike", ""),
    ("102", 915, "Electric strike 12 VDC fail secure", ""),
    ("103", 915, "Electric strike", "fail secure"),
    ("104", 915, "", "fail secure"),
)
ASKED = f"'{NOTE}' stands outside the rows and sets nothing; it speaks of lock, its voltage, fail_mode"


@pytest.mark.parametrize("where", ["above", "first", "between", "below", "sheet"])
def test_a_note_of_all_doors_is_asked_and_sets_nothing(where: str, tmp_path: Path) -> None:
    note = ((NOTE,),)
    table = {
        "above": (*note, HEADS, *DOORS), "first": (HEADS, *note, *DOORS), "between": (HEADS, DOORS[0], *note, *DOORS[1:]),
        "below": (HEADS, *DOORS, *note), "sheet": (HEADS, *DOORS),
    }[where]  # fmt: skip
    site = imported(tmp_path, {"Doors": table, **({"Notes": (("General",), *note)} if where == "sheet" else {})})
    doors = rows(site, "openings")
    assert {mark: (door["lock"], door["fail_mode"]) for mark, door in doors.items()} == {
        "101": ("", ""), "102": ("strike-12-secure", "fail-secure"), "103": ("", "fail-secure"), "104": ("", "fail-secure"),
    }  # fmt: skip
    asked = texts(site, "question")
    assert f"{ASKED} (3 of 4 doors state no voltage, 1 of 4 doors state no fail_mode)" in asked
    assert asked.count(NOTE) == 1


@pytest.mark.parametrize(
    "words", ["Door list - level 2", "Access control doors", "ALL DIMENSIONS IN mm", "Issue 3, for construction",
     "Card readers", "Ground floor"]
)  # fmt: skip
def test_titles_are_not_asked(words: str, tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": ((words,), HEADS, *DOORS)})
    assert "outside the rows" not in texts(site, "question")


def test_what_a_set_says_counts(tmp_path: Path) -> None:
    site = imported(tmp_path, {
        "Doors": (("ALL LOCKS FAIL SAFE",), ("Door No.", "Width (mm)", "HW set"), ("101", 915, "A"), ("102", 915, "B")),
        "Sets": (("Set", "Item"), ("A", "Electric strike 24 VDC fail secure"), ("B", "Electric strike 24 VDC")),
    })  # fmt: skip
    assert "(1 of 2 doors state no fail_mode)" in texts(site, "question")


@pytest.mark.parametrize(
    ("words", "fields"),
    [("LOCKS RELEASE ON FIRE ALARM", ("lock", "fire_relay")), ("Strikes: FSE", ("lock", "fail_mode")),
     ("Each door has a door contact", ("devices at the door",)), ("All doors 60 min fire rated", ("fire_rating_min",))],
)  # fmt: skip
def test_fields_that_a_note_speaks_of(words: str, fields: tuple[str, ...]) -> None:
    assert fields_said(words) == fields
