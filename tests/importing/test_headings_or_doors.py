"""Rows of a list told apart: headings, what stands above them, doors whose words are those of headings, notes below the doors."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.model.problems import InputError
from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import Cells, imported

HEADS = ("Mark", "Level", "Width (mm)", "Lock", "Reader", "Contact", "REX")
STRIKE = "electric strike 12 V fail secure"


@pytest.mark.parametrize(
    "marks", [("101", "102", "103"), ("Main entry", "Loading", "Plant")], ids=["with numbers", "in words"]
)
def test_a_door_whose_devices_are_words_of_headings_is_a_door(marks: tuple[str, ...], tmp_path: Path) -> None:
    """`maglock`, `DPS`, `no` are headings in other lists; rows of them were taken for a second table, and their doors were lost."""
    doors = (
        (marks[0], 1, 900, STRIKE, "card reader", "DPS", "exit button"),
        (marks[1], 1, 900, "maglock", "card reader", "door contact", "exit button"),
        (marks[2], 1, 900, "maglock", "reader", "contact", "no"),
    )
    site = imported(tmp_path, {"Doors": (HEADS, *doors)})
    found = rows(site, "openings")
    assert list(found) == list(marks)
    assert {door["contact"] for door in found.values()} == {"contact-reed"}
    assert {door["entry"] for door in found.values()} == {"reader"}


def test_a_cell_that_repeats_the_one_above_is_no_heading(tmp_path: Path) -> None:
    """Level 1 below level 1 stood for a heading `Level 1`, and width 900 for `Width (mm) 900`."""
    site = imported(tmp_path, {"Doors": (
        ("Mark", "Level", "Width (mm)", "Height (mm)", "Lock"),
        ("101", 1, 900, 2100, STRIKE), ("102", 1, 900, 2100, "maglock"),
    )})  # fmt: skip
    assert list(rows(site, "openings")) == ["101", "102"]


def test_headings_with_units_and_the_row_below_them_are_not_one_heading(tmp_path: Path) -> None:
    """`Door (no.) 101` is as good a heading as `Door (no.)`: the lower of two won, and the first door was lost."""
    cells = (("Door (no.)", "Width (mm)", "Height (mm)"), ("101", 900, 2100), ("102", 900, 2100))
    assert list(rows(imported(tmp_path, {"Doors": cells}), "openings")) == ["101", "102"]


@pytest.mark.parametrize("mark", ["Mark", "No."])
@pytest.mark.parametrize(
    "above",
    [
        (("Project:", "Town hall"), ("Date:", "4 May", "Rev:", "C")),
        (("NOTES:", "ALL LOCKS 12 VDC FAIL SECURE"),),
        (("NOTES:", "ALL LOCKS 12 VDC FAIL SECURE"), ("", "All doors 90 min rated")),
    ],
    ids=["labels", "note", "note and one below"],
)
def test_what_stands_above_the_headings_is_no_part_of_them_and_is_told(mark: str, above: Cells, tmp_path: Path) -> None:
    """A row of two cells right above the headings made one heading with each, of which none was known."""
    site = imported(tmp_path, {"Doors": (*above, (mark, *HEADS[1:]), ("101", 1, 900, STRIKE, "x", "x", ""))})
    assert rows(site, "openings")["101"]["lock"] == "strike-12-secure"
    told = texts(site, "left")
    assert all(str(text) in told for row in above for text in row)
    assert ("ALL LOCKS" in texts(site, "question")) == any("ALL LOCKS" in str(text) for row in above for text in row)


def test_words_above_the_headings_are_no_part_of_them_where_these_are_plain(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (("Town hall", "Issue C"), HEADS, ("101", 1, 900, STRIKE))})
    assert rows(site, "openings")["101"]["lock"] == "strike-12-secure"
    assert "words above the headings: Town hall, Issue C" in texts(site, "left")


def test_a_list_of_rooms_is_no_list_of_doors(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="expected a table of doors"):
        imported(tmp_path, {"Rooms": (("Room", "Room", "Size"), ("No.", "Floor", "Width"), ("R7", 1, 4000))})


def test_groups_above_headings_are_read_with_them(tmp_path: Path) -> None:
    """The number of a room and the width of a frame stay what they are."""
    site = imported(tmp_path, {"Doors": (
        ("Room", "Frame", "Door", "Door", "Door"), ("No.", "Width", "No.", "Width", "Lock"),
        ("R7", 1000, "101", 900, STRIKE), ("R8", 1000, "102", 900, STRIKE),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert {mark: door["width_m"] for mark, door in doors.items()} == {"101": "0.9", "102": "0.9"}


@pytest.mark.parametrize("head", [("NOTES", "1. All readers in brass"), ("Notes:",), ("Legend",)])
def test_notes_below_the_doors_are_no_doors(head: tuple[str, ...], tmp_path: Path) -> None:
    """A note's number stood for a mark, and its words for a level that the site then had."""
    notes = (head, ("1", "Locks fail secure"), ("", "2. Doors 101 and 102 are existing"))
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 1, 900, STRIKE), ("102", 1, 900, STRIKE), *notes,
                                         ("103", 1, 900, STRIKE))})  # fmt: skip
    assert list(rows(site, "openings")) == ["101", "102", "103"]
    assert list(rows(site, "levels")) == ["1"]
    assert all(note[-1] in texts(site, "left") for note in notes)
    assert "'1, Locks fail secure' stands outside the rows" in texts(site, "question")
