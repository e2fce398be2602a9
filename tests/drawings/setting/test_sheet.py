"""Sheets: sizes from the published table, frame and zones, rooms that do not meet, the title block filled in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import combinations, pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.drawings.dxf.boxes import Rect, around
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.dxf.sheet_size import series_sizes, sheet_size
from riserkit.drawings.dxf.title_block import FIELDS, TitleBlock, field_values, least_height_mm
from riserkit.drawings.legibility.sheet import zone_at
from riserkit.drawings.setting.frames import issued_on, set_title
from riserkit.drawings.setting.sheet import RevisionLine, SheetFrame, zone_count, zone_edges
from riserkit.model.base import MARK_MAX_CHARS
from riserkit.model.info import SiteInfo
from riserkit.model.site import Site
from riserkit.standards.sheets import SHEET_SIZES

ALL_SIZES = sorted(SHEET_SIZES)


def test_sizes_are_those_of_the_standards(reference_rows: Callable[[str], list[dict[str, str]]]) -> None:
    """ISO 216, ASME Y14.1 and ARCH sizes, from the published table; ours lie on their long side."""
    checked = 0
    for row in reference_rows("sheet_sizes.csv"):
        name = f"{row['series'].split()[0]} {row['name']}"
        if name in SHEET_SIZES:
            size = SHEET_SIZES[name]
            assert (size.height_mm, size.width_mm) == (float(row["w_mm"]), float(row["h_mm"]))
            checked += 1
    assert checked == len(SHEET_SIZES)


def test_iso_sizes_halve() -> None:
    """ISO 216: each size is half the one before, rounded down, sides as 1 to the root of 2."""
    sizes = series_sizes("ISO")
    for smaller, larger in pairwise(sizes):
        assert smaller.width_mm == larger.height_mm
        assert smaller.height_mm == larger.width_mm // 2
        assert smaller.width_mm / smaller.height_mm == pytest.approx(2**0.5, rel=0.005)


def test_names_of_sizes() -> None:
    assert sheet_size("a3") is sheet_size("ISO A3")
    assert sheet_size("arch  d").name == "ARCH D"
    with pytest.raises(SheetError, match="known are ISO A4"):
        sheet_size("A9")
    with pytest.raises(SheetError, match="known are ISO, ANSI, ARCH"):
        series_sizes("B")


@pytest.mark.parametrize(
    ("name", "columns", "rows"), [("A0", 24, 16), ("A1", 16, 12), ("A2", 12, 8), ("A3", 8, 6), ("A4", 6, 4)]
)
def test_number_of_zones(sample_title: TitleBlock, name: str, columns: int, rows: int) -> None:
    """ISO 5457 table of fields for A0 to A4 (from memory)."""
    frame = SheetFrame(sheet_size(name), sample_title).frame
    assert (zone_count(frame.width), zone_count(frame.height)) == (columns, rows)


def test_zones_are_named_from_the_upper_left(sample_title: TitleBlock) -> None:
    frame = SheetFrame(sheet_size("A3"), sample_title)
    assert zone_edges(20, 410, 210) == (20, 60, 110, 160, 210, 260, 310, 360, 410)
    assert zone_at(frame.sheet, (21, 286)) == "A1"
    assert zone_at(frame.sheet, (409, 11)) == "F8"
    assert zone_at(frame.sheet, (210, 148.4)) == "D5"
    # A0 has sixteen rows: I and O are left out, so the last is R
    large = SheetFrame(sheet_size("A0"), sample_title)
    assert zone_at(large.sheet, (21, 11)) == "R1"


@pytest.mark.parametrize("name", ALL_SIZES)
def test_margins(sample_title: TitleBlock, name: str) -> None:
    """ISO 5457: 20 mm binding edge, 10 mm elsewhere (from memory)."""
    size = sheet_size(name)
    frame = SheetFrame(size, sample_title).frame
    assert frame == (20, 10, size.width_mm - 10, size.height_mm - 10)


@pytest.mark.parametrize("name", ALL_SIZES)
def test_rooms_stay_inside_the_frame_and_apart(sample_title: TitleBlock, name: str) -> None:
    revisions = tuple(RevisionLine("ABCD"[n], "2026-05-04", "Change", "RA") for n in range(2))
    frame = SheetFrame(sheet_size(name), sample_title, revisions)
    for room in (frame.content, frame.inner, frame.corner):
        assert room.width > 0
        assert room.height > 0
        assert frame.frame.holds(room)
    assert not frame.content.overlaps(frame.corner)


@given(st.integers(0, 6), st.text(max_size=200), st.text(max_size=300))
def test_the_corner_grows_with_what_it_says(revisions: int, description: str, caution: str) -> None:
    title = TitleBlock(*["x"] * 9)
    lines = tuple(RevisionLine(str(n), "2026-05-04", description) for n in range(revisions))
    frame = SheetFrame(sheet_size("A2"), title, lines, caution)
    assert frame.title_block.y1 <= frame.caution_box.y1 <= frame.revision_box.y1 == frame.corner.y1
    assert (frame.revision_box.height > 0) == (revisions > 0)


def test_most_revisions_leave_the_room_that_there_was(sample_title: TitleBlock) -> None:
    """Otherwise rows of schedules would move to other sheets, and an issue without any change would revise them."""
    lines = tuple(RevisionLine("ABCDE"[n], "2026-05-04", "Change", "RA") for n in range(5))
    corners = [SheetFrame(sheet_size("A2"), sample_title, lines[:n]).corner for n in range(1, 6)]
    assert corners[0] == corners[1]
    assert corners[1] != corners[2] == corners[3] == corners[4]


def _title_block(canvas: Canvas) -> Any:
    doc: Any = canvas.doc
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    return next(e for e in paper if e.dxftype() == "INSERT")


def test_title_block_is_filled_in(make_sheet: Callable[[], Canvas], sample_title: TitleBlock) -> None:
    """Every field of ISO 7200 that the sheet was given stands in an attribute, as read back."""
    values = {a.dxf.tag: a.dxf.text for a in _title_block(make_sheet()).attribs}
    assert set(values) == {field.tag for field in FIELDS}
    assert values["OWNER"] == sample_title.legal_owner
    assert values["NUMBER"] == sample_title.number
    assert values["TITLE"] == sample_title.title
    assert values["SUBTITLE"] == sample_title.supplementary_title
    assert values["APPROVED_BY"] == sample_title.approved_by
    assert (values["DATE"], values["SHEET"], values["REV"]) == ("2026-05-04", "1 of 3", "B")


@pytest.mark.parametrize("word", ["W", "long words ", "Riserdiagrammausschnitt "])
def test_long_fields_stay_inside_their_cells(sample_title: TitleBlock, word: str) -> None:
    """Whatever is written, no value leaves its cell, none is below 2.5 mm, none touches a caption or another."""
    long = TitleBlock(**dict.fromkeys(sample_title.__slots__, word * 30))
    size = sheet_size("A4")
    canvas = Canvas("T-601", size)
    frame = SheetFrame(size, long)
    frame.draw(canvas)
    corner = frame.title_block
    cells = {field.tag: field.cell.moved(corner.x0, corner.y0) for field in FIELDS}
    boxes = {a.dxf.tag: entity_box(a) for a in _title_block(canvas).attribs if a.dxf.text}
    assert len(boxes) == len(FIELDS)
    for tag, box in boxes.items():
        assert cells[tag].holds(box), tag
    # a cut identification would be another sheet's: it alone may be as small as the least height
    assert all(a.dxf.height >= least_height_mm(a.dxf.tag) for a in _title_block(canvas).attribs)
    assert {tag for tag in boxes if least_height_mm(tag) < 2.5} == {"NUMBER", "NUMBER_2"}
    assert not [(a, b) for a, b in combinations(sorted(boxes), 2) if boxes[a].overlaps(boxes[b])]


def test_an_identification_is_never_cut(sample_title: TitleBlock) -> None:
    """The longest mark there may be, of the widest letters, still stands whole in the title block."""
    number = f"T-501-{'W' * MARK_MAX_CHARS}"
    canvas = Canvas("T-501", sheet_size("A3"))
    SheetFrame(sheet_size("A3"), replace(sample_title, number=number)).draw(canvas)
    values = {a.dxf.tag: a.dxf.text for a in _title_block(canvas).attribs}
    assert values["NUMBER_2"] + values["NUMBER"] == number


@pytest.mark.parametrize("word", ["ÄÅÉg", "ÄÅÉgq Çjy "])
@pytest.mark.parametrize("count", [1, 8, 30])
def test_accents_and_tails_keep_off_captions(sample_title: TitleBlock, word: str, count: int) -> None:
    """Capitals with accents are higher than the letters that the heights are named after."""
    canvas = Canvas("T-601", sheet_size("A4"))
    SheetFrame(sheet_size("A4"), TitleBlock(**dict.fromkeys(sample_title.__slots__, word * count))).draw(canvas)
    block = _title_block(canvas)
    texts = [entity_box(e) for e in block.virtual_entities() if e.dxftype() == "TEXT"]
    values = [entity_box(a) for a in block.attribs if a.dxf.text]
    assert len(texts) == len([field for field in FIELDS if field.caption])
    assert not [(a, b) for a in texts for b in values if a.overlaps(b)]
    assert not [(a, b) for a, b in combinations(values, 2) if a.overlaps(b)]


def test_nothing_on_the_frame_clashes_or_leaves_the_sheet(make_sheet: Callable[[], Canvas]) -> None:
    canvas = make_sheet()
    sheet = Rect(0, 0, canvas.size.width_mm, canvas.size.height_mm)
    assert all(sheet.holds(box.rect) for box in canvas.placed_on_paper.boxes)
    texts = [box for box in canvas.placed_on_paper.boxes if box.kind == "text"]
    assert len(texts) > 30
    assert not any(a.rect.overlaps(b.rect) for a, b in combinations(texts, 2))


@pytest.mark.parametrize("name", ALL_SIZES)
def test_centring_marks_stay_out_of_the_rooms_and_the_title_block(sample_title: TitleBlock, name: str) -> None:
    """ISO 5457: four marks on the sheet's axes of symmetry (from memory)."""
    size = sheet_size(name)
    canvas = Canvas("T-601", size)
    frame = SheetFrame(size, sample_title)
    frame.draw(canvas)
    middle = frame.sheet.center
    marks = [e for e in canvas.doc.layouts.get("T-601") if e.dxftype() == "LINE" and e.dxf.get("lineweight") == 70]
    assert len(marks) == 4
    for mark in marks:
        box = around([(p.x, p.y) for p in (mark.dxf.start, mark.dxf.end)])
        assert box.center[0] == pytest.approx(middle[0]) or box.center[1] == pytest.approx(middle[1])
        assert not any(box.inset(-0.01).overlaps(room, 0.02) for room in (frame.content, frame.inner, frame.corner))


def test_a_caution_stands_on_every_sheet(sample_title: TitleBlock) -> None:
    size = sheet_size("A4")
    canvas = Canvas("T-601", size)
    SheetFrame(size, sample_title).draw(canvas)
    doc: Any = canvas.doc
    notes = [e.plain_text().replace("\n", " ") for e in doc.layouts.get("T-601") if e.dxftype() == "MTEXT"]
    assert any("authority having jurisdiction" in note for note in notes)
    assert SheetFrame(size, replace(sample_title), caution="").caution_box.height == 0


def test_a_date_that_nobody_stated_is_not_printed() -> None:
    """Not even when the stated one is the model's own stand-in."""
    assert issued_on(SiteInfo()) == "not dated"
    assert issued_on(SiteInfo(issue_date=date(2000, 1, 1))) == "2000-01-01"
    undated = set_title(Site(info=SiteInfo(name="Archive")), "T-101", "Plan", "Plan")
    assert field_values(undated)["DATE"] == "not dated"


def test_long_projects_and_types_are_whole_on_two_lines_of_one_height(sample_title: TitleBlock) -> None:
    project = "HF-2604 Municipal trust for archives, collections and reading rooms"
    title = "Typical: Lock on the controller's output, with peripherals, Electric strike 12 V"
    told = replace(sample_title, project=project, document_type="Counterexample, for construction", title=title)
    canvas = Canvas("T-601", sheet_size("A3"))
    SheetFrame(sheet_size("A3"), told).draw(canvas)
    values = {a.dxf.tag: a for a in _title_block(canvas).attribs}
    for first, second, text in (
        ("PROJECT_2", "PROJECT", project), ("DOC_TYPE_2", "DOC_TYPE", told.document_type), ("TITLE", "TITLE_2", title),
    ):  # fmt: skip
        assert f"{values[first].dxf.text} {values[second].dxf.text}" == text
        assert values[first].dxf.height == values[second].dxf.height >= 2.5
        assert values[first].dxf.insert.y > values[second].dxf.insert.y
