"""Drawings with values that no program would write: the sheet is named, whatever is wrong in it, and the work has an end."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from riserkit_dxf_plan import flatten

from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.edits.survey import open_sheet
from riserkit.drawings.legibility import near, sheet
from riserkit.drawings.legibility.read import sheet_shapes
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.prints.render import render_pdf
from riserkit.errors import RiserkitError
from riserkit.results.inspect import inspect_folder

SOON_S = 5.0
"""Of processor time: long for what takes some hundredths, short for what multiplies."""


def _no_view_height(paper: Any) -> None:
    paper.add_viewport((100, 100), (200, 200), (0, 0), 0.0)


def _view_of_nowhere(paper: Any) -> None:
    paper.add_viewport((100, 100), (200, 200), (math.nan, 0), 100.0)


def _view_of_atoms(paper: Any) -> None:
    paper.add_viewport((100, 100), (200, 200), (0, 0), 1e-300)
    paper.doc.modelspace().add_line((0, 0), (1, 1))


def _no_number(paper: Any) -> None:
    paper.add_line((math.nan, 0), (1, 1))


def _infinite_text(paper: Any) -> None:
    paper.add_text("x", height=2.5, dxfattribs={"insert": (math.inf, 1)})


def _far_away(paper: Any) -> None:
    paper.add_line((0, 0), (1e308, 1e308))


def _huge_ellipse(paper: Any) -> None:
    paper.add_ellipse((0, 0), (1e11, 0), 0.5)


def _huge_spline(paper: Any) -> None:
    paper.add_spline([(0, 0), (1e9, 1e9), (0, 1e10), (1e11, 3)])


def _no_paper(paper: Any) -> None:
    paper.dxf.paper_width = math.nan


def _paper_without_end(paper: Any) -> None:
    paper.dxf.paper_width = 1e12


def _block_in_itself(paper: Any) -> None:
    block = paper.doc.blocks.new("ONE")
    block.add_blockref("ONE", (0, 0))
    paper.add_blockref("ONE", (10, 10))


def _circle_of_blocks(paper: Any) -> None:
    one, other = paper.doc.blocks.new("ONE"), paper.doc.blocks.new("OTHER")
    one.add_blockref("OTHER", (0, 0))
    other.add_blockref("ONE", (0, 0))
    one.add_text("x", height=2.5)
    paper.add_blockref("ONE", (10, 10))


def _nested(paper: Any, deep: int, copies: int) -> None:
    for n in range(deep):
        block = paper.doc.blocks.new(f"B{n}")
        for _ in range(copies):
            block.add_blockref(f"B{n + 1}", (0, 0))
    paper.doc.blocks.new(f"B{deep}").add_line((0, 0), (1, 1))
    paper.add_blockref("B0", (10, 10))


def _chain_of_blocks(paper: Any) -> None:
    _nested(paper, 200, 1)


def _copies_of_copies(paper: Any) -> None:
    _nested(paper, 40, 2)


def _rows_and_columns(paper: Any) -> None:
    paper.doc.blocks.new("ONE").add_line((0, 0), (1, 1))
    paper.add_blockref(
        "ONE", (10, 10), dxfattribs={"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    )


def _book(paper: Any) -> None:
    paper.add_mtext("word " * 100_000, dxfattribs={"width": 1.0, "char_height": 2.5})


REFUSED: dict[str, Callable[[Any], None]] = {
    "view of height 0": _no_view_height, "view of nowhere": _view_of_nowhere, "view of atoms": _view_of_atoms,
    "line to nowhere": _no_number, "text at infinity": _infinite_text, "line to far away": _far_away, "no paper": _no_paper,
    "paper without end": _paper_without_end, "block in itself": _block_in_itself, "blocks in a circle": _circle_of_blocks,
    "blocks 200 deep": _chain_of_blocks, "copies of copies": _copies_of_copies, "rows and columns": _rows_and_columns,
    "a book": _book,
}  # fmt: skip
ALSO_IN_PRINT = [name for name in REFUSED if not name.startswith("view")]  # the printing library leaves such views out
BLOCKS = ["block in itself", "blocks in a circle", "blocks 200 deep", "copies of copies", "rows and columns"]


def _drawing(folder: Path, change: Callable[[Any], None]) -> Path:
    doc: Any = ezdxf.new("R2018", setup=True)
    doc.layouts.rename("Layout1", "T-101")
    doc.layout("T-101").page_setup((420, 297), margins=(0, 0, 0, 0))
    change(doc.layout("T-101"))
    doc.saveas(folder / "T-101.dxf")
    return folder / "T-101.dxf"


def _soon(work: Callable[[Path], Any], path: Path) -> str:
    """What is said of a drawing, which is named, in time."""
    start = time.process_time()
    with pytest.raises(DrawingError) as told:
        work(path)
    assert time.process_time() - start < SOON_S
    assert "T-101" in str(told.value)
    return str(told.value)


@pytest.mark.parametrize("case", REFUSED)
def test_a_drawing_that_none_would_draw_is_refused_by_name(tmp_path, case):
    path = _drawing(tmp_path, REFUSED[case])
    _soon(inspect_sheet, path)
    if case in ALSO_IN_PRINT:
        _soon(lambda p: render_pdf([p], tmp_path / "x.pdf"), path)
        assert not (tmp_path / "x.pdf").exists()


@pytest.mark.parametrize("case", BLOCKS)
def test_edits_into_blocks_without_end_are_refused_by_name(tmp_path, case):
    assert "block" in _soon(open_sheet, _drawing(tmp_path, REFUSED[case]))


@pytest.mark.parametrize("curve", [_huge_ellipse, _huge_spline])
def test_a_curve_as_large_as_a_country_has_few_chords(tmp_path, curve):
    start = time.process_time()
    assert inspect_sheet(_drawing(tmp_path, curve)).sheet == "T-101"
    assert time.process_time() - start < SOON_S


def test_an_honest_narrow_text_is_inspected(tmp_path):
    def narrow(paper: Any) -> None:
        paper.add_mtext("two words", dxfattribs={"width": 1.0, "char_height": 2.5, "insert": (50, 50)})

    assert inspect_sheet(_drawing(tmp_path, narrow)).letters == 2


def _heap(count: int) -> Callable[[Any], None]:
    def draw(paper: Any) -> None:
        for n in range(count):
            paper.add_text(f"text {n}", height=2.5, dxfattribs={"insert": (100, 100)})

    return draw


def test_thousands_of_texts_on_one_spot_are_told_in_part(tmp_path):
    found = inspect_sheet(_drawing(tmp_path, _heap(600)))
    assert [v.check for v in found.violations] == ["text-over-text"] * (sheet.MOST_TOLD + 1)
    assert sum(v.message.startswith("There are more such places") for v in found.violations) == 1


def test_more_meetings_than_can_be_looked_at_are_refused_by_name(tmp_path, monkeypatch):
    monkeypatch.setattr(near, "MOST_PAIRS", 500)
    assert "more than 500 times" in _soon(inspect_sheet, _drawing(tmp_path, _heap(40)))


@pytest.mark.parametrize(("turn_deg", "up"), [(0.0, 1.0), (30.0, 1.0), (30.0, -1.0)])
def test_rows_and_columns_are_looked_at_copy_by_copy(turn_deg, up):
    """Where the copies stand, against the drawing library's own taking apart of such a reference."""
    doc: Any = ezdxf.new("R2018")
    doc.blocks.new("ONE").add_line((0, 0), (3, 4))
    paper = doc.layout("Layout1")
    paper.page_setup((420, 297), margins=(0, 0, 0, 0))
    grid = {"row_count": 3, "column_count": 2, "row_spacing": 7, "column_spacing": 11}
    ref = paper.add_blockref(
        "ONE", (100, 50), dxfattribs={**grid, "rotation": turn_deg, "xscale": 2, "extrusion": (0, 0, up)}
    )
    found = {tuple(round(v, 6) for point in stroke.points for v in point) for stroke in sheet_shapes(doc).strokes}
    lines = [line for one in ref.multi_insert() for line in one.virtual_entities()]
    wanted = {tuple(round(v + 0.0, 6) for p in (e.dxf.start, e.dxf.end) for v in (p.x, p.y)) for e in lines}
    assert len(wanted) == 6
    assert found == wanted


# group code of references (DXF reference), what each so many of them becomes, and whether the sheet can still be read
HANDLES: dict[str, tuple[str, str, int, bool]] = {
    "all of them one": ("5", "1F", 1, False), "no number": ("5", "ZZ", 7, False), "none": ("5", "", 5, False),
    "nought": ("5", "0", 3, False), "of forty digits": ("5", "F" * 40, 5, True), "owners nowhere": ("330", "DEAD", 1, True),
    "owners without a number": ("330", "xyz", 4, True), "pointers to another kind": ("340", "5", 1, True),
    "entries nowhere": ("350", "FFFF", 1, True),
}  # fmt: skip


@pytest.mark.parametrize("case", HANDLES)
def test_handles_that_lead_nowhere_are_read_or_refused_by_name(tmp_path: Path, case: str) -> None:
    code, value, each, can_be_read = HANDLES[case]
    path = _drawing(tmp_path, lambda paper: paper.add_line((0, 0), (1, 1)))
    lines = path.read_text("utf-8").split("\n")
    found = [n + 1 for n in range(0, len(lines) - 1, 2) if lines[n].strip() == code]
    assert found
    for n in found[::each]:
        lines[n] = value
    path.write_text("\n".join(lines), "utf-8")
    read = []
    for look in (inspect_sheet, open_sheet, lambda drawing: render_pdf([drawing], tmp_path / "x.pdf")):
        try:
            look(path)
            read.append(True)
        except RiserkitError as error:
            read.append(False)
            assert "T-101" in str(error)
    assert read[0] is can_be_read


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with a name here")
def test_a_pipe_among_the_drawings_is_named_and_not_waited_for(tmp_path):
    _drawing(tmp_path, _heap(1))
    os.mkfifo(tmp_path / "T-102.dxf")
    with pytest.raises(RiserkitError, match=r"T-102\.dxf is no file"):
        inspect_folder(tmp_path)
    with pytest.raises(DrawingError, match=r"T-102\.dxf"):
        inspect_sheet(tmp_path / "T-102.dxf")


def test_copies_of_copies_of_nothing_have_an_end(monkeypatch):
    monkeypatch.setattr(flatten, "MOST_PIECES", 500)
    doc: Any = ezdxf.new("R2018")
    doc.blocks.new("B0")
    grid = {"row_count": 30, "column_count": 30, "row_spacing": 1, "column_spacing": 1}
    for n in range(1, 9):
        doc.blocks.new(f"B{n}").add_blockref(f"B{n - 1}", (0, 0), dxfattribs=grid)
    doc.modelspace().add_blockref("B8", (0, 0))
    found = flatten.flatten(doc, doc.modelspace())
    assert found.is_cut
    assert len(found.inserts) <= 500
