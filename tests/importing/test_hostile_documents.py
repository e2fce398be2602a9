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
    monkeypatch.setattr("riserkit_dxf_plan.plan._LARGE_BYTES", 1000)
    assert not read_plan(tmp_path / "a.dxf", DocumentSettings()).doors
    monkeypatch.setattr("riserkit_dxf_plan.plan._MOST_ENTITIES", 300)
    with pytest.raises(InputError, match="at most 300 entities"):
        read_plan(tmp_path / "a.dxf", DocumentSettings())
