"""Documents that are broken or made to harm: one clear error or a plain reading, in bounded time, and nothing run or fetched."""

from __future__ import annotations

import zipfile
from pathlib import Path

import ezdxf
import openpyxl
import pytest
from riserkit_dxf_plan.plan import read_plan

from riserkit.importing.settings import DocumentSettings
from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows
from tests.importing.workbooks import schedule


@pytest.mark.parametrize("name", ["a.dxf", "a.xlsx", "a.ods", "a.ifc", "a.docx"])
@pytest.mark.parametrize("content", [b"", b"\x00" * 400, b"PK\x03\x04broken", b"0\nSECTION\n2\nENTITIES\n"])
def test_what_is_no_document_is_refused(name: str, content: bytes, tmp_path: Path, site: Path) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    try:
        import_documents([path], site)
    except InputError as error:
        assert len(error.problems) == 1
        assert not site.exists()
    else:
        assert not (site / "openings.csv").exists()


@pytest.mark.slow
def test_a_cut_workbook_and_one_that_unpacks_to_too_much(tmp_path: Path, site: Path) -> None:
    path = schedule(tmp_path / "doors.xlsx")
    (tmp_path / "cut.xlsx").write_bytes(path.read_bytes()[:3000])
    with pytest.raises(InputError, match="expected a workbook"):
        import_documents([tmp_path / "cut.xlsx"], site)
    with zipfile.ZipFile(tmp_path / "bomb.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 250_000_000)
    with pytest.raises(InputError, match="MB when unpacked"):
        import_documents([tmp_path / "bomb.xlsx"], site)


def test_entities_in_a_workbook_are_refused(tmp_path: Path, site: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr(
            "xl/workbook.xml", '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]><a>&b;</a>'
        )
    with pytest.raises(InputError, match="no document type"):
        import_documents([tmp_path / "a.xlsx"], site)


def test_formulas_in_cells_stay_text(tmp_path: Path, site: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Door No,Width mm,Notes\n101,915,\"+cmd|'/c x'!A1\"\n102,915,@x\n", "utf-8")
    import_documents([path], site)
    assert rows(site, "openings")["101"]["remarks"].startswith("'+cmd")


def test_one_cell_in_the_last_corner_costs_nothing(tmp_path: Path, site: Path) -> None:
    book = openpyxl.load_workbook(schedule(tmp_path / "doors.xlsx"))
    book["Doors"]["XFD1048576"] = "x"
    book.save(tmp_path / "doors.xlsx")
    import_documents([tmp_path / "doors.xlsx"], site)
    assert len(rows(site, "openings")) == 30


def test_blocks_that_hold_themselves_and_ever_more_blocks(tmp_path: Path) -> None:
    doc = ezdxf.new("R2010")
    one, other = doc.blocks.new("A"), doc.blocks.new("B")
    one.add_blockref("B", (0, 0))
    other.add_blockref("A", (0, 0))
    doc.modelspace().add_blockref("A", (0, 0))
    doc.blocks.new("L0").add_line((0, 0), (1, 1))
    for n in range(1, 9):
        block = doc.blocks.new(f"L{n}")
        for _ in range(20):
            block.add_blockref(f"L{n - 1}", (0, 0))
    doc.modelspace().add_blockref("L3", (0, 0))
    doc.saveas(tmp_path / "a.dxf")
    facts = read_plan(tmp_path / "a.dxf", DocumentSettings())
    assert not facts.doors
    assert any("block that holds itself" in note.text for note in facts.notes)


def test_a_drawing_of_too_many_entities_is_refused_before_it_is_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    doc = ezdxf.new("R2010")
    for n in range(400):
        doc.modelspace().add_line((n, 0), (n, 1))
    doc.saveas(tmp_path / "a.dxf")
    monkeypatch.setattr("riserkit_dxf_plan.drawing_file._LARGE_BYTES", 1000)
    assert not read_plan(tmp_path / "a.dxf", DocumentSettings()).doors
    monkeypatch.setattr("riserkit_dxf_plan.drawing_file._MOST_ENTITIES", 300)
    with pytest.raises(InputError, match="at most 300 entities"):
        read_plan(tmp_path / "a.dxf", DocumentSettings())


_NAMES = " ".join(
    f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
)


def _cell(text: str, facts: str = "") -> str:
    return f"<table:table-cell {facts}><text:p>{text}</text:p></table:table-cell>"


def _row(*cells: str, facts: str = "") -> str:
    return f"<table:table-row {facts}>{''.join(cells)}</table:table-row>"


def _open_document(path: Path, *rows_below: str, encoding: str = "utf-8") -> Path:
    """A list of doors by hand, after OpenDocument 1.2, part 1, section 9."""
    head = _row(*map(_cell, ("Door No.", "Room name", "Width mm", "Height mm")))
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(
            "content.xml",
            f'<?xml version="1.0" encoding="{encoding}"?><office:document-content {_NAMES}><office:body><office:spreadsheet>'
            f'<table:table table:name="Doors">{head}{"".join(rows_below)}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        )
    return path


_DOOR = tuple(map(_cell, ("101", "Office", "900", "2100")))


@pytest.mark.parametrize("number", ["abc", "-5", "0", "9" * 5000, "1.5", ""])
@pytest.mark.parametrize("what", ["rows", "columns", "span"])
def test_counts_in_an_open_document_that_are_none_are_refused(
    what: str, number: str, tmp_path: Path, site: Path
) -> None:
    row = {
        "rows": _row(*_DOOR, facts=f'table:number-rows-repeated="{number}"'),
        "columns": _row(_cell("101", f'table:number-columns-repeated="{number}"'), *_DOOR[1:]),
        "span": _row(_cell("101", f'table:number-rows-spanned="{number}"'), *_DOOR[1:]),
    }[what]
    with pytest.raises(InputError, match="expected a whole number of at least 1"):
        import_documents([_open_document(tmp_path / "doors.ods", row)], site)
    assert not site.exists()


def test_an_open_document_in_no_known_encoding_is_refused(tmp_path: Path, site: Path) -> None:
    with pytest.raises(InputError, match="its content is broken"):
        import_documents([_open_document(tmp_path / "doors.ods", _row(*_DOOR), encoding="ebcdic-x")], site)


@pytest.mark.parametrize("value", ["nan", "inf", "1e400", "9oo"])
def test_a_number_of_an_open_document_that_is_none_is_an_error_in_its_cell(
    value: str, tmp_path: Path, site: Path
) -> None:
    cell = _cell("900", f'office:value-type="float" office:value="{value}"')
    done = import_documents([_open_document(tmp_path / "doors.ods", _row(*_DOOR[:2], cell, _DOOR[3]))], site)
    assert "width_m" not in rows(site, "openings")["101"]
    assert any("#NUM!" in line.text for line in done.lines)


@pytest.mark.parametrize("kind", ["ods", "csv", "xlsx"])
def test_what_lies_beyond_what_is_read_is_asked_about(
    kind: str, tmp_path: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("opendocument", "delimited", "workbook"):
        monkeypatch.setattr(f"riserkit_xlsx.{module}.MOST_ROWS", 3)
    path = tmp_path / f"doors.{kind}"
    lines = [
        ("Door No.", "Room name", "Width mm", "Height mm"),
        *((str(101 + n), "Office", "900", "2100") for n in range(4)),
    ]
    if kind == "ods":
        _open_document(path, *(_row(*map(_cell, line)) for line in lines[1:]))
    elif kind == "csv":
        path.write_text("\n".join(map(",".join, lines)), "utf-8")
    else:
        book = openpyxl.Workbook()
        for line in lines:
            book.active.append(line)
        book.save(path)
    done = import_documents([path], site)
    assert list(rows(site, "openings")) == ["101", "102"]
    count = 8 if kind == "xlsx" else 2
    assert [line.kind for line in done.lines if f"{count} rows or cells beyond row" in line.text] == ["question"]


def _list(path: Path, *lines: str) -> Path:
    path.write_text("\n".join(("Door No.,Room name,Width mm,Height mm", *lines)) + "\n", "utf-8")
    return path


def test_a_quote_that_is_never_closed_swallows_no_rows(tmp_path: Path, site: Path) -> None:
    path = _list(tmp_path / "doors.csv", "101,Office,900,2100", '102,"Store,900,2100', "103,Lab,900,2100")
    with pytest.raises(InputError, match="expected a closing quote; one in line 3 is never closed"):
        import_documents([path], site)
    plain = _list(tmp_path / "inches.csv", '101,Office,36",84"', '102,"Store\nback",900,2100', "103,Lab,3'-0\",7'-0\"")
    import_documents([plain], site)
    assert list(rows(site, "openings")) == ["101", "102", "103"]


def test_a_size_that_no_door_has_is_asked_about(tmp_path: Path, site: Path) -> None:
    done = import_documents([_list(tmp_path / "doors.csv", "101,Office,900000,2100", "102,Store,wide,2100")], site)
    asked = [(line.kind, line.text) for line in done.lines if "in the remarks" in line.text]
    assert ("question", "door 101: 900 m is no width of a door; it stands in the remarks") in asked
    assert ("left", "door 102: cells of Width mm that are not understood stand in the remarks: 'wide'") in asked


def test_headings_without_a_door_are_a_question(tmp_path: Path, site: Path) -> None:
    done = import_documents([_list(tmp_path / "doors.csv")], site)
    assert "the list has headings and no row of a door" in [line.text for line in done.lines if line.kind == "question"]


def test_merged_cells_of_a_whole_sheet_are_refused_before_it_is_opened(tmp_path: Path, site: Path) -> None:
    """A workbook of some kilobytes, of which the library would make 17 thousand million cells."""
    path = schedule(tmp_path / "doors.xlsx")
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = parts[sheet].replace(b'"A1:J1"', b'"A1:XFD1048576"')
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    with pytest.raises(InputError, match="expected merged cells that cover at most"):
        import_documents([path], site)


@pytest.mark.parametrize(
    ("text", "place", "wanted"),
    [
        ('[document."a.csv"]\nheader_row = 0\n', "document.a.csv.header_row", "expected at least 1"),
        ('[document."a.csv"]\nunits = "furlong"\n', "document.a.csv.units", "expected '', 'mm', 'cm'"),
        ("levels = 3\n", "levels", "expected names with their values"),
        ('[document."a.csv"]\nelevation_m = nan\n', "document.a.csv.elevation_m", "expected a finite number"),
    ],
)
def test_settings_are_refused_in_our_own_words(text: str, place: str, wanted: str, tmp_path: Path, site: Path) -> None:
    site.mkdir()
    (site / "import.toml").write_text(text, "utf-8")
    with pytest.raises(InputError) as told:
        import_documents([_list(tmp_path / "a.csv", "101,Office,900,2100")], site)
    assert [(p.where.pointer, p.accepted[: len(wanted)]) for p in told.value.problems] == [(place, wanted)]


@pytest.mark.parametrize("data", [b"\x00\x01\xff", b"mark,name\n101,\x1b[2J\n"])
def test_a_table_that_is_no_text_is_not_written_over(data: bytes, tmp_path: Path, site: Path) -> None:
    site.mkdir()
    (site / "openings.csv").write_bytes(data)
    with pytest.raises(InputError, match="there is a control character"):
        import_documents([_list(tmp_path / "a.csv", "101,Office,900,2100")], site)
    assert (site / "openings.csv").read_bytes() == data


def test_a_cell_beyond_the_headings_gets_no_meaning_by_a_new_column(tmp_path: Path, site: Path) -> None:
    site.mkdir()
    (site / "openings.csv").write_text("mark,name\n101,Office,stray\n", "utf-8")
    import_documents([_list(tmp_path / "a.csv", "101,Office,900,2100")], site)
    assert (site / "openings.csv").read_text("utf-8").splitlines() == [
        "mark,name,,width_m,height_m",
        "101,Office,stray,0.9,2.1",
    ]


def test_a_table_that_is_a_link_out_of_the_site_is_not_followed(tmp_path: Path, site: Path) -> None:
    site.mkdir()
    away = tmp_path / "away.csv"
    away.write_text("mark,name\n101,secret\n", "utf-8")
    (site / "openings.csv").symlink_to(away)
    with pytest.raises(InputError, match="a link out of it") as told:
        import_documents([_list(tmp_path / "a.csv", "101,Office,900,2100")], site)
    assert "secret" not in str(told.value)
    assert away.read_text("utf-8") == "mark,name\n101,secret\n"
