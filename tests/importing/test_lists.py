"""Door lists as offices keep them: titles, merged cells, sections, sets, errors. The lists are made by the workbook library."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.styles import Font

from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents
from tests.importing.tables import report, rows, texts
from tests.importing.workbooks import schedule


def test_a_schedule_with_titles_merged_cells_and_sections(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    doors = rows(site, "openings")
    assert sorted(map(int, doors)) == [101 + n for n in range(40) if n % 4]
    assert "30 of 40 rows kept: 10 have no access control" in texts(site, "inferred")
    assert doors["102"]["width_m"] == "0.915"
    assert doors["104"]["width_m"] == "0.914"  # 3'-0" is 0.9144 m
    assert doors["103"]["height_m"] == "2.134"
    assert {d["level"] for d in doors.values()} == {"LEVEL-1", "LEVEL-2"}
    assert doors["140"]["level"] == "LEVEL-2"
    # from outside: RHR has its hinges on the right and is pulled, RH is pushed (common practice)
    assert (doors["102"]["hinges"], doors["102"]["swings_to"]) == ("right", "unsecured")
    assert (doors["103"]["hinges"], doors["103"]["swings_to"]) == ("right", "secured")
    assert doors["106"]["fire_rating_min"] == "90"


def test_hardware_sets_fill_every_door_of_the_set(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    doors = rows(site, "openings")
    first = [d for m, d in doors.items() if (int(m) - 101) % 3 == 0]
    second = [d for m, d in doors.items() if (int(m) - 101) % 3 == 1]
    third = [d for m, d in doors.items() if (int(m) - 101) % 3 == 2]
    assert len(first) == len(second) == len(third) == 10
    assert {(d["lock"], d["contact"], d["rex"], d["fail_mode"]) for d in first} == {
        ("strike-12-secure", "contact-reed", "rex-motion", "fail-secure")
    }
    assert {(d["lock"], d["contact"], d["fail_mode"], d["release"]) for d in second} == {
        ("magnet-12-300", "contact-reed", "fail-safe", "release-30")
    }
    assert {d["lock"] for d in third} == {""}
    assert all("Mortise lock, storeroom" in d["remarks"] for d in third)
    assert all("Hinges" in d["remarks"] for d in first)


def test_no_value_is_lost(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx")], site)
    for mark, door in rows(site, "openings").items():
        assert f"Key plan: K{int(mark) - 101}" in door["remarks"]
        assert "Frame Width: 50" in door["remarks"]
    assert "'Key plan' is not known" in texts(site, "left")
    assert "TOTAL 40 DOORS" in texts(site, "left")


def test_errors_and_formulas_without_a_value_are_named_by_their_cell(tmp_path: Path, site: Path) -> None:
    import_documents([schedule(tmp_path / "doors.xlsx", B8="#N/A", C9="=C8*1")], site)
    asked = [(line["text"], line.get("at", "")) for line in report(site, "question")]
    assert any("Width: #N/A" in text and at.endswith("Doors!B8") for text, at in asked)
    assert any("Height: =C8*1" in text and at.endswith("Doors!C9") for text, at in asked)
    doors = rows(site, "openings")
    assert doors["102"]["width_m"] == ""
    assert "Doors!B8" in doors["102"]["remarks"]
    assert doors["103"]["height_m"] == ""


def test_hidden_rows_are_asked_about_and_read(tmp_path: Path, site: Path) -> None:
    path = schedule(tmp_path / "doors.xlsx")
    book = openpyxl.load_workbook(path)
    book["Doors"].row_dimensions[8].hidden = True
    book.save(path)
    import_documents([path], site)
    assert "1 row is hidden or filtered out (8), and read" in texts(site, "question")
    assert "102" in rows(site, "openings")
    (site / "import.toml").write_text('[document."doors.xlsx"]\nhidden = "skip"\n', "utf-8")
    again = site.parent / "again"
    again.mkdir()
    (again / "import.toml").write_text('[document."doors.xlsx"]\nhidden = "skip"\n', "utf-8")
    import_documents([path], again)
    assert "102" not in rows(again, "openings")


def test_rows_that_are_struck_out_are_asked_about(tmp_path: Path, site: Path) -> None:
    """An office strikes a door out and leaves it in the list; a struck cell of a door that stays is told."""
    path = schedule(tmp_path / "doors.xlsx")
    book = openpyxl.load_workbook(path)
    for cell in book["Doors"][8]:
        cell.font = Font(strike=True)
    book["Doors"]["C9"].font = Font(strike=True)
    book.save(path)
    import_documents([path], site)
    assert "1 row is struck out (8), and read" in texts(site, "question")
    assert "cells that are struck out are read all the same: C9" in texts(site, "inferred")
    assert "102" in rows(site, "openings")
    again = site.parent / "again"
    again.mkdir()
    (again / "import.toml").write_text('[document."doors.xlsx"]\nstruck = "skip"\n', "utf-8")
    import_documents([path], again)
    assert "102" not in rows(again, "openings")
    assert "struck out, left out: 102" in texts(again, "left")
    assert not [line for line in report(again, "question") if "struck" in line["text"]]


def test_comments_beside_cells_are_no_less_than_words(tmp_path: Path, site: Path) -> None:
    path = schedule(tmp_path / "doors.xlsx")
    book = openpyxl.load_workbook(path)
    book["Doors"]["B8"].comment = Comment("add a reader inside", "an architect")
    book["Doors"]["L9"].comment = Comment("ask the owner", "an architect")
    book.save(path)
    import_documents([path], site)
    doors = rows(site, "openings")
    assert "comment at B8: add a reader inside" in doors["102"]["remarks"]
    assert "comment at L9: ask the owner" in doors["103"]["remarks"]
    assert "2 comments beside cells" in texts(site, "inferred")


@pytest.mark.parametrize(
    ("text", "width", "height", "kind"),
    [
        ("915x2134", "0.915", "2.134", ""), ("3'-0\" x 7'-0\"", "0.914", "2.134", ""), ("3070", "0.914", "2.134", ""),
        ("(2) 915 x 2134", "1.83", "2.134", "double"), ("36\" x 84\"", "0.914", "2.134", ""), ("0.9 m x 2.1 m", "0.9", "2.1", ""),
        ("915 x 2134 mm", "0.915", "2.134", ""), ("PR 3-0 x 7-0", "1.829", "2.134", "double"),
    ],
)  # fmt: skip
def test_sizes(text: str, width: str, height: str, kind: str, tmp_path: Path, site: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(f'Door No,Size,Level\n101,"{text.replace(chr(34), chr(34) * 2)}",1\n102,900x2100,1\n', "utf-8")
    import_documents([path], site)
    door = rows(site, "openings")["101"]
    assert (door["width_m"], door["height_m"], door.get("type", "")) == (width, height, kind)


def test_numbers_stay_as_they_are_written(tmp_path: Path, site: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (("Mark", "Width (mm)", "Level"), (101, 915, 1), (102.0, 915.0, 1), ("103.0", 1000, 1), (7, 900, 1)):
        sheet.append(row)
    sheet["A5"].number_format = "000"
    book.save(tmp_path / "list.xlsx")
    import_documents([tmp_path / "list.xlsx"], site)
    assert set(rows(site, "openings")) == {"101", "102", "103.0", "007"}


def test_a_list_in_the_open_format(tmp_path: Path, site: Path) -> None:
    cell = '<table:table-cell office:value-type="string"><text:p>{}</text:p></table:table-cell>'
    number = '<table:table-cell office:value-type="float" office:value="{0}"><text:p>{0}</text:p></table:table-cell>'
    lines = [
        [cell.format(t) for t in ("Door No", "Width mm", "Remarks")],
        [number.format(101), number.format(915), cell.format("wet")],
    ]
    body = "".join(f"<table:table-row>{''.join(line)}</table:table-row>" for line in lines)
    names = " ".join(f'xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text"))
    content = (f'<office:document-content {names}><office:body><office:spreadsheet><table:table table:name="D">{body}'
               '<table:table-row table:number-rows-repeated="1048573"><table:table-cell table:number-columns-repeated="16384"/>'
               "</table:table-row></table:table></office:spreadsheet></office:body></office:document-content>")  # fmt: skip
    with zipfile.ZipFile(tmp_path / "list.ods", "w") as archive:
        archive.writestr("content.xml", content)
    import_documents([tmp_path / "list.ods"], site)
    door = rows(site, "openings")["101"]
    assert (door["width_m"], door["remarks"]) == ("0.915", "wet")


@pytest.mark.parametrize(("words", "part"), [
    ("controller-c4", "controller-c4"), ("Door controller in a box, class 4", "controller-box"), ("PoE, class 4", ""),
], ids=str)  # fmt: skip
def test_a_column_of_controllers_names_parts_or_is_asked_about(
    tmp_path: Path, site: Path, words: str, part: str
) -> None:
    path = tmp_path / "list.csv"
    path.write_text(f'Door No,Level,Controller\n101,1,"{words}"\n', "utf-8")
    import_documents([path], site)
    assert rows(site, "openings")["101"].get("controller", "") == part
    assert bool(part) is not ("state which is meant under words" in texts(site, "question"))


def test_a_dash_in_a_column_of_ratings_is_told(tmp_path: Path, site: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Door No,Level,Fire Rating\n101,1,-\n102,1,90\n103,1,NR\n", "utf-8")
    import_documents([path], site)
    assert [rows(site, "openings")[mark]["fire_rating_min"] for mark in ("101", "102", "103")] == ["0", "90", "0"]
    assert "'-' is read as not fire-rated" in texts(site, "inferred")


_STRUCK = (
    '<style:style style:name="old" style:family="table-cell"><style:text-properties style:text-line-through-style="solid"/></style:style>'
    '<style:style style:name="older" style:family="table-cell" style:parent-style-name="old"/>'
    '<style:style style:name="again" style:family="table-cell" style:parent-style-name="old">'
    '<style:text-properties style:text-line-through-style="none"/></style:style>'
    '<style:style style:name="gone" style:family="text"><style:text-properties style:text-line-through-type="single"/></style:style>'
    '<style:style style:name="unseen" style:family="table"><style:table-properties table:display="false"/></style:style>'
)


def _open_list(path: Path, lines: list[str], unseen: str = "") -> Path:
    """An open document with these rows; a second table that is not displayed."""
    names = " ".join(
        f'xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text", "style")
    )
    content = (f"<office:document-content {names}><office:automatic-styles>{_STRUCK}</office:automatic-styles><office:body>"
               f'<office:spreadsheet><table:table table:name="D">{"".join(lines)}</table:table>{unseen}'
               "</office:spreadsheet></office:body></office:document-content>")  # fmt: skip
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", content)
    return path


def _open_row(*texts: str, style: str = "", beside: str = "") -> str:
    """A row whose cells have a style; `beside`: a comment at the first."""
    shown = f' table:style-name="{style}"' if style else ""
    note = f"<office:annotation><text:p>{beside}</text:p></office:annotation>" if beside else ""
    cells = [
        f'<table:table-cell{shown} office:value-type="string">{note if n == 0 else ""}<text:p>{text}</text:p></table:table-cell>'
        for n, text in enumerate(texts)
    ]
    return f"<table:table-row>{''.join(cells)}</table:table-row>"


def test_rows_struck_out_in_the_open_format_are_asked_about(tmp_path: Path, site: Path) -> None:
    span = '<text:span text:style-name="gone">{}</text:span>'
    lines = [
        _open_row("Door No", "Width mm", "Level"), _open_row("101", "915", "1"), _open_row("102", "915", "1", style="old"),
        _open_row("103", "915", "1", style="older"), _open_row("104", "915", "1", style="again"),
        _open_row(*map(span.format, ("105", "915", "1"))), _open_row(f"106{span.format('x')}", "915", "1"),
    ]  # fmt: skip
    path = _open_list(tmp_path / "list.ods", lines)
    import_documents([path], site)
    assert "3 rows are struck out (3, 4, 6), and read" in texts(site, "question")
    (site / "import.toml").write_text('[document."list.ods"]\nstruck = "skip"\n', "utf-8")
    shutil.rmtree(site / "import")
    (site / "openings.csv").unlink()
    import_documents([path], site)
    assert sorted(rows(site, "openings")) == ["101", "104", "106"]


def test_a_comment_in_the_open_format_is_no_part_of_the_cell(tmp_path: Path, site: Path) -> None:
    body = _open_row("Door No", "Width mm") + _open_row("9", "915")
    hidden = f'<table:table table:name="Old" table:style-name="unseen">{body}</table:table>'
    lines = [_open_row("Door No", "Width mm", "Level"), _open_row("101", "915", "1", beside="look again")]
    import_documents([_open_list(tmp_path / "list.ods", lines, hidden)], site)
    (mark,) = rows(site, "openings")
    assert mark == "101"
    assert "look again" in rows(site, "openings")["101"]["remarks"]
    assert "the sheet is hidden and is not read" in texts(site, "question")


def test_what_is_no_list_is_refused(tmp_path: Path, site: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("a poem\nof two lines\n", "utf-8")
    with pytest.raises(InputError, match="expected a table of doors"):
        import_documents([path], site)
    assert not site.exists()
