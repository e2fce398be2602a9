"""Three ways: as drawn last, as edited, as drawn now. Questions on the sheet and their answers; files that programs renumber."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.edits.into import regenerate
from riserkit.drawings.edits.room import FreeRoom
from riserkit.drawings.edits.values import SheetMerge
from riserkit.drawings.legibility.values import SheetShapes
from riserkit.drawings.setting.table import Table, columns_of, lay_out

Edit = Callable[[Any, Any], None]
Conductors = tuple[tuple[str, str, str], ...]
THREE: Conductors = (("K1.L+", "M1.+", "RD"), ("K1.L-", "M1.-", "BK"), ("K1.REQ", "B2.NO", "WH"))


def draw(conductors: Conductors = THREE, x: float = 60.0, rows: tuple[str, ...] = ("101", "103")) -> Canvas:
    """Conductors numbered as they come, a symbol, a table."""
    canvas = Canvas("T-501-1", sheet_size("ISO A3"), DrawingInfo("Archive"))
    for n, (a, b, colour) in enumerate(conductors, 1):
        with canvas.subject(f"opening:1/conductor/{n}", f"opening:1/conductor/{a}-{b}"):
            canvas.line((200, 200 - 10 * n), (300, 200 - 10 * n), layers.CONDUCTOR)
            canvas.text(f"{n} {colour}", (240, 201 - 10 * n), 2.5, "left", layers.IDENT)
    with canvas.subject("opening:1"):
        canvas.insert("opening_single", (x, 150), {"MARK": "1"})
    table = Table("Openings", columns_of(("Mark", "Name")), tuple((mark, f"Door {mark}") for mark in rows))
    with canvas.subject("sheet:tables"):
        lay_out(table, width_mm=80).draw(canvas, (30, 120))
    return canvas


def edited(path: Path, edit: Edit, canvas: Canvas | None = None) -> Path:
    """A sheet opened, edited and saved."""
    if canvas is not None:
        canvas.save(path)
    doc: Any = read_dxf(path)
    edit(doc, doc.modelspace())
    doc.saveas(path)
    return path


def built(path: Path, canvas: Canvas) -> tuple[Any, SheetMerge]:
    """Drawn into in place; the drawing is sound."""
    told = regenerate(path, canvas, path)
    doc: Any = read_dxf(path)
    auditor = doc.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    return doc, told


def text(msp: Any, words: str) -> Any:
    return next(e for e in msp if e.dxftype() == "TEXT" and e.dxf.text == words)


def texts(doc: Any) -> list[str]:
    return sorted(e.dxf.text for e in doc.modelspace() if e.dxftype() == "TEXT")


def questions(doc: Any) -> list[Any]:
    return [e for e in doc.layouts.get("T-501-1") if e.dxf.layer == layers.QUESTION]


def cloud(doc: Any) -> Any:
    return next(e for e in questions(doc) if e.dxftype() == "LWPOLYLINE" and e[0][4] != 0)


def test_a_moved_label_keeps_its_place_and_takes_new_words(tmp_path):
    path = edited(tmp_path / "a.dxf", lambda doc, msp: text(msp, "2 BK").translate(15, 4, 0), draw())
    doc, told = built(path, draw((THREE[0], ("K1.L-", "M1.-", "BU"), THREE[2])))
    label = text(doc.modelspace(), "2 BU")
    assert (label.dxf.insert.x, label.dxf.insert.y) == (255, 185)
    assert "2 BK" not in texts(doc)
    assert (told.conflicts, told.kept) == (0, 1)


def test_an_inserted_conductor_does_not_shift_edits_to_others(tmp_path):
    path = edited(tmp_path / "a.dxf", lambda doc, msp: text(msp, "2 BK").translate(15, 0, 0), draw())
    more = (THREE[0], ("K1.A+", "B2.+", "RD"), *THREE[1:])
    doc, told = built(path, draw(more))
    assert text(doc.modelspace(), "3 BK").dxf.insert.x == 255
    assert text(doc.modelspace(), "2 RD").dxf.insert.x == 240
    assert told.conflicts == 0
    # the design has moved the conductor down by 10, and the label goes along
    assert text(doc.modelspace(), "3 BK").dxf.insert.y == 171
    assert [n.kind for n in told.notes] == ["moved along"]
    assert "(0, -10)" in told.notes[0].text


def test_a_symbol_moved_by_hand_goes_along_with_its_door_and_says_so(tmp_path):
    def edit(_doc: Any, msp: Any) -> None:
        next(e for e in msp if e.dxftype() == "INSERT").translate(5, 7, 0)

    doc, told = built(edited(tmp_path / "a.dxf", edit, draw()), draw(x=90.0))
    symbol = next(e for e in doc.modelspace() if e.dxftype() == "INSERT")
    assert (symbol.dxf.insert.x, symbol.dxf.insert.y) == (95, 157)
    assert symbol.attribs[0].dxf.text == "1"
    assert [(n.kind, n.is_conflict) for n in told.notes] == [("moved along", False)]
    assert "(30, 0)" in told.notes[0].text


def test_an_edited_cell_follows_its_row(tmp_path):
    def edit(_doc: Any, msp: Any) -> None:
        text(msp, "Door 103").dxf.text = "Store, see survey"

    path = edited(tmp_path / "a.dxf", edit, draw())
    row_y = text(read_dxf(path).modelspace(), "103").dxf.align_point.y
    doc, told = built(path, draw(rows=("101", "102", "103")))
    assert told.conflicts == 0
    cell, row = text(doc.modelspace(), "Store, see survey"), text(doc.modelspace(), "103")
    assert cell.dxf.align_point.y == pytest.approx(row.dxf.align_point.y)
    assert row.dxf.align_point.y < row_y
    assert "Door 102" in texts(doc)
    assert "Door 103" not in texts(doc)


def test_layer_and_words_are_apart(tmp_path):
    path = edited(tmp_path / "a.dxf", lambda doc, msp: text(msp, "2 BK").dxf.set("layer", "SURVEY"), draw())
    doc, told = built(path, draw((THREE[0], ("K1.L-", "M1.-", "BU"), THREE[2])))
    assert text(doc.modelspace(), "2 BU").dxf.layer == "SURVEY"
    assert told.conflicts == 0


CHANGED: Conductors = (THREE[0], ("K1.L-", "M1.-", "BU"), THREE[2])


def _asked(tmp_path: Path) -> Path:
    def edit(_doc: Any, msp: Any) -> None:
        text(msp, "2 BK").dxf.text = "2 GY"

    path = edited(tmp_path / "a.dxf", edit, draw())
    doc, told = built(path, draw(CHANGED))
    assert told.conflicts == 1
    words = " ".join(e.plain_text() for e in questions(doc) if e.dxftype() == "MTEXT")
    assert "'2 GY'" in words
    assert "'2 BU'" in words
    assert doc.layers.get(layers.QUESTION).dxf.plot == 1
    ring = cloud(doc)
    at = text(doc.modelspace(), "2 GY").dxf.insert
    assert min(p[0] for p in ring) < at.x < max(p[0] for p in ring)
    assert min(p[1] for p in ring) < at.y < max(p[1] for p in ring)
    # nobody answers: it is asked again, in the same place, once
    before = path.read_bytes()
    _, told = built(path, draw(CHANGED))
    assert told.conflicts == 1
    assert path.read_bytes() == before
    return path


def test_both_changed_is_a_question_settled_by_the_cloud(tmp_path):
    path = _asked(tmp_path)
    edited(path, lambda doc, _msp: doc.layouts.get("T-501-1").delete_entity(cloud(doc)))
    doc, told = built(path, draw(CHANGED))
    assert told.conflicts == 0
    assert not questions(doc)
    assert "2 GY" in texts(doc)
    # once settled it is a plain edit, until the design changes again
    doc, told = built(path, draw((THREE[0], ("K1.L-", "M1.-", "WH"), THREE[2])))
    assert told.conflicts == 1


def test_erasing_what_the_cloud_holds_takes_the_design_s_value(tmp_path):
    path = _asked(tmp_path)
    edited(path, lambda _doc, msp: msp.delete_entity(text(msp, "2 GY")))
    doc, told = built(path, draw(CHANGED))
    assert (told.conflicts, [n.kind for n in told.notes]) == (0, ["taken"])
    assert not questions(doc)
    assert "2 BU" in texts(doc)
    _, told = built(path, draw(CHANGED))
    assert not told.notes


def test_writing_the_design_s_value_settles_it_too(tmp_path):
    path = _asked(tmp_path)
    edited(path, lambda _doc, msp: text(msp, "2 GY").dxf.set("text", "2 BU"))
    doc, told = built(path, draw(CHANGED))
    assert (told.conflicts, told.kept, questions(doc)) == (0, 0, [])
    _, told = built(path, draw(CHANGED))
    assert (told.kept, told.notes) == (0, ())


def test_what_was_erased_and_changed_is_drawn_again_with_a_question(tmp_path):
    path = edited(tmp_path / "a.dxf", lambda _doc, msp: msp.delete_entity(text(msp, "2 BK")), draw())
    doc, told = built(path, draw(CHANGED))
    assert told.conflicts == 1
    assert "2 BU" in texts(doc)
    edited(path, lambda _doc, msp: msp.delete_entity(text(msp, "2 BU")))
    doc, told = built(path, draw(CHANGED))
    assert told.conflicts == 0
    assert not {"2 BU", "2 BK"} & set(texts(doc))
    assert not questions(doc)


def test_what_was_erased_stays_so_where_the_design_only_moved_it(tmp_path):
    """A sheet that is laid out anew moves everything on it, and each thing erased was drawn again with a question."""
    path = tmp_path / "a.dxf"
    edited(path, lambda _doc, msp: msp.delete_entity(msp.query("INSERT").first), draw())
    doc, told = built(path, draw(x=80.0))
    assert [(n.kind, n.is_conflict) for n in told.notes] == [("deleted", False)]
    assert not doc.modelspace().query("INSERT")
    doc, told = built(path, draw(x=90.0))
    assert (told.conflicts, len(doc.modelspace().query("INSERT"))) == (0, 0)


def test_an_edit_of_what_is_gone_is_asked_and_becomes_the_drafter_s(tmp_path):
    path = edited(tmp_path / "a.dxf", lambda _doc, msp: text(msp, "2 BK").dxf.set("text", "spare, see survey"), draw())
    few = (THREE[0], THREE[2])
    doc, told = built(path, draw(few))
    assert told.conflicts == 1
    assert "2 WH" in texts(doc)
    edited(path, lambda doc, _msp: doc.layouts.get("T-501-1").delete_entity(cloud(doc)))
    doc, told = built(path, draw(few))
    assert told.conflicts == 0
    assert "spare, see survey" in texts(doc)
    assert marks.read_mark(text(doc.modelspace(), "spare, see survey")) is None


def renumbered(path: Path) -> None:
    """As another program's save leaves a file: new handles throughout, no thumbnail, classes or second data, CRLF, lower case."""
    lines = path.read_text("utf-8").splitlines()
    tags = list(zip(lines[::2], lines[1::2], strict=True))
    handles: dict[str, str] = {}
    in_header = False
    references = {"5", "105", *map(str, (*range(320, 370), *range(390, 400), 480, 481, 1005))}
    found = []
    for n, (code, value) in enumerate(tags):
        if code.strip() == "2" and n and tags[n - 1][1] == "SECTION":
            in_header = value == "HEADER"
        is_handle = code.strip() in references and not in_header and int(value, 16)
        found.append((code, handles.setdefault(value, f"{0x1000 + 7 * len(handles):X}") if is_handle else value))
    seed = f"{0x1000 + 7 * len(handles) + 7:X}"
    at = next(n for n, (_, value) in enumerate(found) if value == "$HANDSEED")
    found[at + 1] = (found[at + 1][0], seed)
    sections: list[list[tuple[str, str]]] = [[]]
    for tag in found:
        sections[-1].append(tag)
        if tag[1] == "ENDSEC":
            sections.append([])
    kept = [s for s in sections if not (len(s) > 1 and s[1][1] in ("CLASSES", "THUMBNAILIMAGE", "ACDSDATA"))]
    path.write_bytes(
        "\r\n".join(f"{code}\r\n{value}" for section in kept for code, value in section).encode() + b"\r\n"
    )


@pytest.mark.parametrize("version", ["", "R2000", "R2007", "R2013"])
def test_renumbered_handles_are_the_same_entities(tmp_path, version):
    path = edited(tmp_path / "a.dxf", lambda _doc, msp: text(msp, "2 BK").translate(15, 0, 0), draw())
    before = read_dxf(path)
    handles = {e.dxf.handle for e in before.modelspace()}
    if version:
        before.saveas(path) if version == before.acad_release else _save_as(before, version, path)
    renumbered(path)
    after: Any = read_dxf(path)
    assert not handles & {e.dxf.handle for e in after.modelspace()}
    count = len(after.modelspace())
    doc, told = built(path, draw(CHANGED))
    assert len(doc.modelspace()) == count
    assert doc.acad_release == "R2018"
    assert (told.kept, told.conflicts, told.added, told.removed, told.deleted) == (1, 0, 0, 0, 0)
    assert text(doc.modelspace(), "2 BU").dxf.insert.x == 255


def _save_as(doc: Any, version: str, path: Path) -> None:
    doc.dxfversion = version
    doc.saveas(path)


def test_a_drawing_stripped_of_its_marks_is_refused_by_name_and_left_as_it_is(tmp_path):
    def strip(doc: Any, msp: Any) -> None:
        for layout in (msp, doc.layouts.get("T-501-1")):
            for e in layout:
                e.xdata = None

    path = edited(tmp_path / "T-501-1.dxf", strip, draw())
    before = path.read_bytes()
    with pytest.raises(DrawingError, match=r"T-501-1\.dxf: \d+ entities of this sheet carry no mark"):
        regenerate(path, draw(), tmp_path / "after.dxf")
    assert path.read_bytes() == before
    assert not (tmp_path / "after.dxf").exists()


def test_a_place_that_is_no_number_names_the_sheet(tmp_path):
    path = edited(
        tmp_path / "T-501-1.dxf", lambda _doc, msp: text(msp, "2 BK").dxf.set("insert", (math.nan, 0)), draw()
    )
    with pytest.raises(DrawingError, match=r"T-501-1\.dxf"):
        regenerate(path, draw(CHANGED), tmp_path / "after.dxf")


def paragraph(doc: Any) -> Any:
    (found,) = doc.modelspace().query("MTEXT")
    return found


def draw_note(*lines: str) -> Canvas:
    canvas = draw()
    with canvas.subject("opening:1/notes"):
        canvas.paragraph("\n".join(lines), (30, 250), 80, 2.5, layers.NOTE)
    return canvas


@pytest.mark.parametrize(
    ("before", "after"),
    [("{\\C1;", "}"), ("\\C1;", ""), ("{\\fOther|b1|i0|c0|p34;\\H1.2x;", "}"), ("\\L", "\\l"), ("\\pxqc;", "")],
)
def test_codes_round_a_paragraph_are_its_look_and_the_design_s_words_come_in_between(tmp_path, before: str, after: str):
    def edit(_doc: Any, msp: Any) -> None:
        (note,) = msp.query("MTEXT")
        note.text = before + note.text + after

    path = edited(tmp_path / "a.dxf", edit, draw_note("Seal {A}", "and B"))
    doc, told = built(path, draw_note("Seal {A}", "and C"))
    assert paragraph(doc).text == before + "Seal \\{A\\}\\Pand C" + after
    assert (told.conflicts, told.kept) == (0, 1)
    doc, told = built(path, draw_note("Seal {A}", "and C"))
    assert paragraph(doc).text == before + "Seal \\{A\\}\\Pand C" + after
    assert told.conflicts == 0


def test_codes_among_the_words_of_a_paragraph_are_words(tmp_path):
    """Nobody knows which of the new words were to be red."""

    def edit(_doc: Any, msp: Any) -> None:
        (note,) = msp.query("MTEXT")
        note.text = note.text.replace("B", "{\\C1;B}")

    path = edited(tmp_path / "a.dxf", edit, draw_note("Seal A", "and B"))
    _, told = built(path, draw_note("Seal A", "and B"))
    assert (told.conflicts, told.kept) == (0, 1)
    doc, told = built(path, draw_note("Seal A", "and C"))
    assert told.conflicts == 1
    assert "{\\C1;B}" in " ".join(e.text for e in doc.modelspace().query("MTEXT"))


def test_members_of_groups_are_written_in_one_order_whatever_the_run(tmp_path):
    """Read from the written text: a library that keeps them as a set gives them back in another order each run."""
    path = edited(tmp_path / "a.dxf", lambda doc, msp: text(msp, "Door 103").translate(5, 0, 0), draw())
    built(path, draw())
    groups = path.read_text("utf-8").split("\nGROUP\n")[1:]
    listed = [re.findall(r"\n340\n([0-9A-F]+)", group.partition("\n  0\n")[0]) for group in groups]
    members = [[int(handle, 16) for handle in handles] for handles in listed]
    assert sum(len(handles) > 1 for handles in members) >= 2
    assert all(handles == sorted(handles) for handles in members)


def on_paper(words: str, symbol: str) -> Canvas:
    """A legend's entry on the sheet itself, one pick, and a symbol in the model."""
    canvas = draw()
    with canvas.paper(), canvas.subject("sheet:legend"), canvas.group("Legend: opening"):
        canvas.line((20, 20), (40, 20), layers.LEGEND)
        canvas.text(words, (45, 19), 2.5, "left", layers.LEGEND)
    with canvas.subject("opening:2"):
        canvas.insert(symbol, (120, 150), {"MARK": "2"})
    return canvas


def test_what_is_drawn_anew_on_the_paper_is_one_pick_again(tmp_path):
    path = edited(
        tmp_path / "a.dxf", lambda doc, msp: text(msp, "2 BK").translate(15, 4, 0), on_paper("Door", "opening_gate")
    )
    doc, _ = built(path, on_paper("Opening", "opening_gate"))
    members = [list(group) for name, group in doc.groups if name.startswith("Legend")]
    assert [sorted(e.dxftype() for e in group) for group in members] == [["LINE", "TEXT"]]
    assert {e.dxf.text for e in members[0] if e.dxftype() == "TEXT"} == {"Opening"}


def test_a_block_that_nothing_shows_any_more_goes_and_is_nobody_s_own(tmp_path):
    path = edited(
        tmp_path / "a.dxf", lambda doc, msp: text(msp, "2 BK").translate(15, 4, 0), on_paper("Door", "opening_gate")
    )
    doc, _ = built(path, on_paper("Door", "opening_single"))
    assert "opening_gate" not in doc.blocks
    assert not [note for note in built(path, on_paper("Door", "opening_single"))[1].notes if note.kind == "definition"]


def test_a_block_that_a_drafter_shows_stays_and_is_not_said_to_be_his(tmp_path):
    def copied(doc: Any, msp: Any) -> None:
        msp.add_blockref("opening_gate", (160, 150))

    path = edited(tmp_path / "a.dxf", copied, on_paper("Door", "opening_gate"))
    assert "opening_gate" in built(path, on_paper("Door", "opening_single"))[0].blocks
    assert not [note for note in built(path, on_paper("Door", "opening_single"))[1].notes if note.kind == "definition"]


def test_the_name_of_a_question_stands_off_what_is_drawn_beside_its_cloud():
    room = FreeRoom(SheetShapes("T-1", Rect(0, 0, 400, 300), (), ()), Rect(10, 10, 390, 290))
    cloud = Rect(100, 100, 120, 110)
    near = [Rect(92, 112, 128, 113), Rect(92, 97, 128, 98), Rect(96, 90, 97, 120), Rect(123, 90, 124, 120)]
    for line in near:
        room.take(line)
    at = room.beside(cloud, (4.0, 3.0))
    name = Rect(at[0], at[1], at[0] + 4.0, at[1] + 3.0)
    assert not [line for line in near if line.overlaps(name)]
    assert cloud.inset(-12).holds(name), "near its cloud even so"
