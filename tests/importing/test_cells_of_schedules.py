"""What cells of door schedules say that is no plain value: not decided yet, similar to another door, a pair's width, nothing."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.chart import BarChart, Reference

from riserkit.importing.ratings import minutes_of
from riserkit.results.import_site import import_documents
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
    assert "fire ratings that are not understood stand in the remarks: '60/-/-'" in texts(site, "left")


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
    assert "not understood" not in texts(site, "left")
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


def test_a_door_whose_lock_is_an_unsaved_formula_is_kept(tmp_path: Path) -> None:
    """What the cell says may be the lock; the door is not left out as one without access control."""
    cells = (("Door", "Width", "Lock"), ("1", 900, "Maglock 24 VDC"), ("2", 900, "=B2&B3"), ("3", 900, ""))
    site = imported(tmp_path, {"D": cells})
    assert sorted(rows(site, "openings")) == ["1", "2"]


def test_what_many_cells_leave_unsaid_is_told_once(tmp_path: Path) -> None:
    cells = (("Tür-Nr.", "Breite (mm)", "DIN"), ("1", 900, "L"), ("2", "breit", "R"), ("3", 900, "L"))
    left = texts(imported(tmp_path, {"D": cells}), "left").splitlines()
    assert (
        "3 doors: hands that do not say which room they are seen from stand in the remarks: 'L' (1, 3); 'R' (2)" in left
    )
    assert "door 2: cells of Breite (mm) that are not understood stand in the remarks: 'breit'" in left


def test_a_list_in_swedish(tmp_path: Path) -> None:
    """In modules of 100 mm, `M9x21` too; *rättvänd* is fail-secure (from memory)."""
    path = tmp_path / "dörrlista.csv"
    path.write_bytes(
        "Dörrnr;Plan;Bredd;Höjd;Brandklass;Passersystem;Lås;Anm\r\n1001;1;9;21;EI60-C;Ja;Elslutbleck 24V rättvänd;\r\n"
        "1002;1;19;21;-;Nej;;\r\n1003;2;M10x21;;E30;Ja;Elslutbleck 24V omvänd;\r\n".encode("cp1252")
    )
    site = tmp_path / "site"
    import_documents([path], site)
    doors = rows(site, "openings")
    assert sorted(doors) == ["1001", "1003"]
    columns = ("level", "width_m", "height_m", "fire_rating_min", "lock")
    assert [doors["1001"][c] for c in columns] == ["1", "0.9", "2.1", "60", "strike-24-secure"]
    assert [doors["1003"][c] for c in columns] == ["2", "1", "2.1", "30", "strike-24-safe"]


def test_doors_named_by_a_code_alone(tmp_path: Path) -> None:
    cells = (("Código", "Planta", "Ancho", "Alto", "RF"), ("PM-01", "PB", "0,925", "2,03", "EI2-60-C5"))
    assert list(rows(imported(tmp_path, {"D": cells}), "openings")) == ["PM-01"]
    (tmp_path / "more").mkdir()
    both = (("Door No.", "Code", "Width", "Height"), ("7", "X", 900, 2100))
    assert list(rows(imported(tmp_path / "more", {"D": both}), "openings")) == ["7"]


def test_a_column_named_after_a_device_is_of_hardware(tmp_path: Path) -> None:
    """Where its cells say which device it is, and not on which detail."""
    cells = (
        ("Door", "Width", "Electric strike at main entry", "Strike plate detail"),
        ("1", 900, "24 V fail secure", "5/A9.1"),
        ("2", 900, "12 V fail secure", "5/A9.1"),
    )
    site = imported(tmp_path, {"D": cells})
    doors = rows(site, "openings")
    assert [doors[m]["lock"] for m in "12"] == ["strike-24-secure", "strike-12-secure"]
    assert doors["1"]["remarks"] == "Strike plate detail: 5/A9.1"
    assert "5/A9.1" not in texts(site, "question")


def test_a_key_of_colours_below_the_rows_of_an_open_document(tmp_path: Path) -> None:
    """The colour of a style that stands on another; white is none."""
    styles = (
        '<style:style style:name="base" style:family="table-cell"><style:table-cell-properties fo:background-color="#FF0000"/>'
        '</style:style><style:style style:name="red" style:family="table-cell" style:parent-style-name="base"/>'
        '<style:style style:name="white" style:family="table-cell"><style:table-cell-properties fo:background-color="#ffffff"/>'
        "</style:style>"
    )
    cells = [
        ["Door", "Width", "Height"],
        *([f"{n}", "900", "2100"] for n in range(201, 208)),
        [],
        ["", "Door by others"],
    ]
    path = tmp_path / "doors.ods"
    open_document(path, styles, cells, {(3, 0): "red", (3, 1): "red", (4, 0): "white", (10, 0): "red"})
    import_documents([path], tmp_path / "site")
    said = "rows in the colour that A10 calls 'Door by others': 3; colours are not read"
    assert said in texts(tmp_path / "site", "question")
    assert "colour of their own" not in texts(tmp_path / "site", "left")


def open_document(path: Path, styles: str, cells: list[list[str]], style_of: dict[tuple[int, int], str]) -> None:
    """An open document of one table, written without the library that reads it; `style_of` by row from 1 and column from 0."""
    names = "".join(
        f' xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for short, name in (("office", "office"), ("style", "style"), ("text", "text"), ("table", "table"),
                            ("fo", "xsl-fo-compatible"))
    )  # fmt: skip
    body = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell table:style-name="{style_of.get((number, column), "")}" office:value-type="string">'
            f"<text:p>{text}</text:p></table:table-cell>"
            for column, text in enumerate(row)
        )
        + "</table:table-row>"
        for number, row in enumerate(cells, 1)
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", f"<office:document-content{names}><office:automatic-styles>{styles}</office:automatic-styles>"
                         f'<office:body><office:spreadsheet><table:table table:name="Doors">{body}</table:table></office:spreadsheet>'
                         "</office:body></office:document-content>")  # fmt: skip


def test_a_sheet_that_is_a_chart_is_passed_over(tmp_path: Path) -> None:
    """One without its drawing too, over which the library stumbles."""
    book = openpyxl.Workbook()
    for row in (("Door", "Width", "Height"), ("1", 900, 2100)):
        book.active.append(row)
    chart = BarChart()
    chart.add_data(Reference(book.active, min_col=2, min_row=1, max_row=2))
    book.create_chartsheet("Chart", 0).add_chart(chart)
    whole, path = tmp_path / "whole.xlsx", tmp_path / "doors.xlsx"
    book.save(whole)
    with zipfile.ZipFile(whole) as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            if not name.startswith(("xl/drawings", "xl/chartsheets/_rels")):
                new.writestr(name, old.read(name))
    for source in (whole, path):
        import_documents([source], tmp_path / source.stem)
        assert list(rows(tmp_path / source.stem, "openings")) == ["1"]
