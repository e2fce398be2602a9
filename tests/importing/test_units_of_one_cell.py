"""Numbers in a column of sizes that are in another unit than the rest of it: read where one unit alone fits, and told."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts


def imported(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "doors.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    site = tmp_path / "site"
    import_documents([path], site)
    return site


@pytest.mark.parametrize(("cell", "told"), [("0.915", "B3: 0.915 as 0.915 m"), ("1.600", "B3: 1.600 as 1.6 m")])
def test_thousands_are_told(cell: str, told: str, tmp_path: Path) -> None:
    site = imported(tmp_path, "Door,Width mm,Lock", "1,915,Maglock 24 V", f"2,{cell},Maglock 24 V")
    assert float(rows(site, "openings")["2"]["width_m"]) == float(cell)
    assert told in texts(site, "inferred")
    assert "B2" not in texts(site, "inferred")


@pytest.mark.parametrize(
    ("heading", "usual", "cell", "read", "told"),
    [("Width (mm)", "915", "36", "0.914", "in in"), ("Width (in)", "36", "915", "0.915", "in mm"),
     ("Width (mm)", "915", "0.9", "0.9", "in m"),
     ("Height (mm)", "2100", "84", "2.134", "in in"), ("Height (in)", "84", "2100", "2.1", "in mm")],
)  # fmt: skip
def test_the_one_unit_that_fits_is_taken_and_told(
    heading: str, usual: str, cell: str, read: str, told: str, tmp_path: Path
) -> None:
    site = imported(tmp_path, f"Door,{heading},Lock", f"1,{usual},Maglock 24 V", f"2,{cell},Maglock 24 V")
    column = "width_m" if heading.startswith("Width") else "height_m"
    assert rows(site, "openings")["2"][column] == read
    assert f"B3: {cell} {told}" in texts(site, "inferred")


def test_a_slip_is_not_read_as_another_unit(tmp_path: Path) -> None:
    """9.15 feet is a door, and 9.15 among millimetres is 915 with a point too many."""
    site = imported(tmp_path, "Door,Width (mm),Lock", "1,915,Maglock 24 V", "2,9.15,Maglock 24 V")
    assert rows(site, "openings")["2"]["width_m"] == ""
    assert "is no width of a door" in texts(site, "question")


@pytest.mark.parametrize(("number", "read"), [("3", "0.003"), ("72", "0.072")])
def test_a_number_that_two_units_fit_is_asked(number: str, read: str, tmp_path: Path) -> None:
    """3 is a wide door in metres and a usual one in feet; 72 a leaf in centimetres and a pair in inches."""
    site = imported(tmp_path, "Door,Width (mm),Lock", "1,915,Maglock 24 V", f"2,{number},Maglock 24 V")
    assert rows(site, "openings")["2"]["width_m"] == ""
    assert f"door 2: {read} m is no width of a door" in texts(site, "question")


def test_a_size_in_a_list_of_inches(tmp_path: Path) -> None:
    site = imported(
        tmp_path, "Door,Size,Lock", "1,36 x 84,Maglock 24 V", "2,900 x 2100,Maglock 24 V", "3,600 x 2100,Maglock 24 V",
        "4,36 x 84,Maglock 24 V", "5,42 x 84,Maglock 24 V", "6,36 x 84,Maglock 24 V",
    )  # fmt: skip
    found = {mark: (door["width_m"], door["height_m"]) for mark, door in rows(site, "openings").items()}
    assert (found["1"], found["2"], found["3"]) == (("0.914", "2.134"), ("0.9", "2.1"), ("0.6", "2.1"))
    assert "B3: 900 x 2100 in mm" in texts(site, "inferred")
    assert texts(site, "question").count("no width") == 0


def test_a_size_that_its_own_unit_allows_stays(tmp_path: Path) -> None:
    """A very wide door of inches is what it says, although the same number of millimetres were a door too."""
    site = imported(tmp_path, "Door,Width (in),Lock", "1,36,Maglock 24 V", "2,600,Maglock 24 V")
    assert rows(site, "openings")["2"]["width_m"] == "15.24"
