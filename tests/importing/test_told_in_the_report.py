"""What a list states and no column takes is named in the report, and what it states twice in two ways is asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents, reading_problems
from tests.importing.tables import rows, texts
from tests.importing.test_lists import _open_list, _open_row
from tests.importing.test_lists_in_short import imported

HEADS = ("Mark", "Width (mm)", "Lock", "Remarks", "Card reader")
STRIKE = "electric strike 12 V fail secure"


def test_hardware_that_names_nothing_known_is_told_and_not_only_remarked(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 900, "cylinder with knob", "", "x"), ("102", 900, STRIKE, "", "x"),
                                         ("103", 900, "cylinder with knob", "", "x"))})  # fmt: skip
    told = "words of hardware that name nothing known stand in the remarks: Lock: cylinder with knob"
    assert f"2 doors: {told} (101, 103)" in texts(site, "left").replace("Lock, lock:", "Lock:")


def test_items_of_a_set_that_name_nothing_known_are_told_once(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (("Item", "Mark", "Width (mm)", "HW Set"), (1, "101", 900, "A"), (2, "102", 900, "A")),
                               "Sets": (("A",), ("3 EA", "HINGES"), ("TWO", STRIKE))})  # fmt: skip
    left = texts(site, "left")
    assert "words of hardware set A that name nothing known stand in the remarks: 3 EA, HINGES (101, 102)" in left
    assert "heading 'Item' is not known" in left


def test_two_locks_of_a_single_door_are_one_and_told(tmp_path: Path) -> None:
    table = (
        ("Mark", "Width (mm)", "Lock", "Leaves"),
        ("101", 900, f"two {STRIKE}", 1),
        ("102", 1800, f"two {STRIKE}", 2),
    )
    site = imported(tmp_path, {"Doors": table})  # fmt: skip
    doors = rows(site, "openings")
    assert [doors[mark].get("lock_count", "") for mark in ("101", "102")] == ["", "2"]
    assert "door 101: two locks are listed, as of a pair; of a single door one is taken" in texts(site, "inferred")


@pytest.mark.parametrize(
    ("lock", "remark", "is_asked"),
    [(STRIKE, "FAIL SAFE", True), (STRIKE, "fail secure, see detail", False), ("", "to be fail safe", True),
     (STRIKE, "paint", False)],
)  # fmt: skip
def test_a_remark_that_speaks_of_another_fail_mode_is_asked(
    lock: str, remark: str, is_asked: bool, tmp_path: Path
) -> None:
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 900, lock, remark, "x"), ("102", 900, STRIKE, "", "x"))})
    assert rows(site, "openings")["101"]["fail_mode"] == ("fail-secure" if lock else "")
    assert (f"and its remarks say {remark!r}" in texts(site, "question")) == is_asked


def test_a_mark_that_only_says_ditto_is_asked(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 900, STRIKE, ""), ("DITTO", 900, STRIKE, ""))})
    assert "'DITTO' stands as a mark" in texts(site, "question")


def test_a_formula_without_a_saved_value_in_the_open_format_is_told(tmp_path: Path, site: Path) -> None:
    """It was an empty cell: a width that the list states was not there, and nobody said so."""
    row = _open_row("101", "915", "1")
    formula = '<table:table-cell table:formula="of:=[.B3]"/>'
    lines = [_open_row("Door No", "Width mm", "Level"), row.replace(_open_row("915").split(">", 1)[1].rsplit("<", 1)[0], formula),
             _open_row("102", "915", "1")]  # fmt: skip
    import_documents([_open_list(tmp_path / "list.ods", lines)], site)
    assert "Width mm: =[.B3] is a formula whose value was not saved" in texts(site, "question")
    assert rows(site, "openings")["101"]["width_m"] == ""


def test_a_german_list_states_access_and_what_a_lock_does_without_power(tmp_path: Path) -> None:
    site = imported(tmp_path, {"Türen": (
        ("Türnummer", "Breite (mm)", "Schloss", "Stromlos", "Zutritt"), ("T-1.01", 915, "E-Öffner 12 V", "verriegelt", "ja"),
        ("T-1.02", 915, "Türöffner 12 V, stromlos offen", "", "ja"), ("T-1.03", 915, "E-Öffner 12 V", "offen", "nein"),
    )})  # fmt: skip
    doors = rows(site, "openings")
    assert {mark: door["lock"] for mark, door in doors.items()} == {
        "T-1.01": "strike-12-secure",
        "T-1.02": "strike-12-safe",
    }


def test_what_every_new_row_lacks_is_one_line(tmp_path: Path) -> None:
    """A list of two hundred doors had four hundred lines of coordinates to be stated."""
    site = imported(tmp_path, {"Doors": (HEADS, *((f"{n}", 900, STRIKE, "", "x") for n in range(101, 141)))})
    lines = [line for line in reading_problems(site) if "x_m" in line]
    assert lines == ["openings.csv, rows 2 to 41, column x_m; expected a value here; this one is required"]


def test_a_folder_of_documents_is_told_apart_from_a_file(tmp_path: Path, site: Path) -> None:
    with pytest.raises(InputError, match="this is a folder: name the documents in it"):
        import_documents([tmp_path], site)


def test_a_table_without_marks_is_told_with_its_rows_and_headings(tmp_path: Path) -> None:
    types = (("Width (mm)", "Height (mm)", "Lock"), (900, 2100, STRIKE), (1000, 2100, STRIKE))
    site = imported(tmp_path, {"Doors": (HEADS, ("101", 900, STRIKE, "", "x")), "Types": types})
    assert "a table without a column of marks is not read: 2 rows below Width (mm), Height (mm), Lock" in texts(
        site, "left"
    )
