"""Drawing into an edited drawing: every kind of hand edit stays, what is ours follows the model, and nothing grows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.record import Drawn, read_record
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.edits.into import regenerate
from riserkit.drawings.edits.match import Earlier, match
from riserkit.drawings.edits.values import SheetMerge
from riserkit.drawings.setting.sheet import SheetFrame
from tests.drawings.origins import origin
from tests.sweep import swept, tried

Edit = Callable[[Any, Any], None]
TITLE = TitleBlock("Harbour Archive Trust", "T-601", "Riser", "Archive", "T-601", "2026-05-04", "RA", "MF", "Riser")


def draw(doors: tuple[str, ...] = ("101", "102", "103"), note: str = "Vault door", size: str = "ISO A3") -> Canvas:
    """A small sheet: a symbol, a line and a label for each door, a note, a filling, a dimension, the frame."""
    paper = sheet_size(size)
    canvas = Canvas("T-601", paper, DrawingInfo("Archive"))
    SheetFrame(paper, TITLE, caution="").draw(canvas)
    for n, mark in enumerate(doors):
        x = 60.0 + 40 * n
        with canvas.subject(f"opening:{mark}"):
            canvas.insert("opening_single", (x, 150), {"MARK": mark})
            canvas.line((x, 160), (x, 200), layers.CABLE)
            canvas.text(f"Cable to {mark}", (x, 205), 2.5)
    with canvas.subject("sheet:notes"):
        canvas.paragraph(note, (60, 120), 80)
        canvas.fill([(60, 60), (70, 60), (65, 68)])
        canvas.rect(Rect(55, 55, 150, 125))
        canvas.dimension((60, 150), (100, 150), (60, 140), "40")
    return canvas


def edited(folder: Path, edit: Edit, canvas: Canvas | None = None) -> Path:
    """A sheet of ours, opened, edited and saved as a drafter's program would."""
    path = folder / "T-601.dxf"
    (canvas or draw()).save(path)
    doc: Any = read_dxf(path)
    edit(doc, doc.modelspace())
    doc.saveas(path)
    return path


def merged(path: Path, canvas: Canvas) -> tuple[Any, SheetMerge]:
    """The sheet drawn into the drawing, checked for soundness, and that drawing again changes no byte."""
    after, again = path.with_name("after.dxf"), path.with_name("again.dxf")
    told = regenerate(path, canvas, after)
    second = regenerate(after, canvas, again)
    assert after.read_bytes() == again.read_bytes()
    # what moved along or took new words is told once; what is asked is told until it is settled
    assert [n.subject for n in second.notes] == [n.subject for n in told.notes if n.kind not in ("repaired", "taken")]
    assert [n.text for n in second.notes if n.is_conflict] == [n.text for n in told.notes if n.is_conflict]
    assert (second.replaced, second.added, second.removed) == (0, 0, 0)
    doc: Any = read_dxf(after)
    auditor = doc.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    keys = [d.key for d in read_record(doc).drawn]  # type: ignore[union-attr]
    assert len(keys) == len(set(keys))
    return doc, told


def _find(msp: Any, kind: str, subject: str = "opening:101") -> Any:
    return next(e for e in msp if e.dxftype() == kind and (m := marks.read_mark(e)) and m.model_id == subject)


def _texts(msp: Any) -> list[str]:
    return [e.plain_text() for e in msp if e.dxftype() in ("TEXT", "MTEXT")]


def _look(doc: Any) -> list[str]:
    layouts = (doc.modelspace(), doc.layouts.get("T-601"))
    return sorted(marks.fingerprint(e) for layout in layouts for e in layout)


def test_a_drawing_nobody_edited_becomes_what_is_drawn_now(tmp_path):
    path = edited(tmp_path, lambda doc, msp: None)
    doc, told = merged(path, draw(("101", "103", "104"), "Strongroom door"))
    fresh = tmp_path / "fresh.dxf"
    draw(("101", "103", "104"), "Strongroom door").save(fresh)
    assert _look(doc) == _look(read_dxf(fresh))
    assert (told.kept, told.conflicts, told.deleted) == (0, 0, 0)
    # door 102 goes, 104 comes; 103 moves up and the note is another
    assert (told.removed, told.added, told.replaced) == (3, 3, 4)
    assert all(origin(e) == "ours" for e in doc.modelspace())


def test_order_of_drawing_is_that_of_a_fresh_sheet(tmp_path):
    path = edited(tmp_path, lambda doc, msp: msp.add_line((0, 0), (9, 9)))
    doc, _ = merged(path, draw(note="Strongroom door"))
    kinds = [e.dxftype() for e in doc.modelspace()]
    assert kinds == [*(e.dxftype() for e in draw().doc.modelspace()), "LINE"]


def test_a_moved_symbol_stays_moved_with_its_attributes(tmp_path):
    path = edited(tmp_path, lambda doc, msp: _find(msp, "INSERT").translate(5, 7, 0))
    doc, told = merged(path, draw())
    symbol = _find(doc.modelspace(), "INSERT")
    assert tuple(symbol.dxf.insert)[:2] == (65, 157)
    before = _find(draw().doc.modelspace(), "INSERT").attribs[0].dxf
    assert symbol.attribs[0].dxf.insert.isclose((before.insert.x + 5, before.insert.y + 7, 0))
    assert [(n.kind, n.subject, n.is_conflict) for n in told.notes] == [("edited", "opening:101", False)]


def test_an_edited_text_stays_and_a_change_of_the_model_is_a_conflict(tmp_path):
    def edit(doc: Any, msp: Any) -> None:
        _find(msp, "MTEXT", "sheet:notes").text = "Vault door, see survey"

    path = edited(tmp_path, edit)
    doc, told = merged(path, draw())
    assert "Vault door, see survey" in _texts(doc.modelspace())
    assert told.conflicts == 0
    doc, told = merged(path, draw(note="Strongroom door"))
    assert "Vault door, see survey" in _texts(doc.modelspace())
    assert "Strongroom door" not in _texts(doc.modelspace())
    assert told.conflicts == 1
    assert "'Vault door, see survey'" in told.notes[0].text
    assert "'Strongroom door'" in told.notes[0].text


EDITS: dict[str, Edit] = {
    "a layer": lambda doc, msp: _find(msp, "LINE").dxf.set("layer", "SURVEY"),
    "a colour": lambda doc, msp: _find(msp, "LINE").dxf.set("color", 1),
    "a line weight": lambda doc, msp: _find(msp, "LINE").dxf.set("lineweight", 70),
    "a line type": lambda doc, msp: _find(msp, "LINE").dxf.set("linetype", "DASHED"),
    "a height of letters": lambda doc, msp: _find(msp, "TEXT").dxf.set("height", 3.5),
    "an attribute's text": lambda doc, msp: setattr(_find(msp, "INSERT").attribs[0].dxf, "text", "101X"),
    "an attribute's place": lambda doc, msp: _find(msp, "INSERT").attribs[0].translate(1, 0, 0),
    "a rotation": lambda doc, msp: _find(msp, "INSERT").dxf.set("rotation", 90),
    "corners": lambda doc, msp: _find(msp, "LWPOLYLINE", "sheet:notes").set_points([(1, 1), (2, 2)]),
    "a dimension's text": lambda doc, msp: _find(msp, "DIMENSION", "sheet:notes").dxf.set("text", "41"),
    "a filling's place": lambda doc, msp: _find(msp, "HATCH", "sheet:notes").translate(1, 0, 0),
}


@swept("edit", EDITS, ("a layer", "an attribute's text", "corners", "a filling's place"), slow=EDITS)
def test_every_edit_is_kept_and_told(tmp_path, edit):
    path = edited(tmp_path, EDITS[edit])
    before = _look(read_dxf(path))
    doc, told = merged(path, draw())
    assert _look(doc) == before
    assert [(n.kind, n.is_conflict) for n in told.notes if n.kind != "definition"] == [("edited", False)]
    assert told.kept == 1


def test_what_a_drafter_draws_and_defines_is_not_touched(tmp_path):
    def edit(doc: Any, msp: Any) -> None:
        doc.layers.add("SURVEY", color=3)
        doc.styles.add("SURVEY", font="DejaVuSans.ttf")
        doc.blocks.new("BENCHMARK").add_circle((0, 0), 1)
        msp.add_blockref("BENCHMARK", (10, 10), dxfattribs={"layer": "SURVEY"})
        doc.layouts.get("T-601").add_text("Checked on site", dxfattribs={"style": "SURVEY"})
        doc.layouts.new("Survey").add_line((0, 0), (1, 1))
        doc.layers.get(layers.CABLE).dxf.color = 4

    path = edited(tmp_path, edit)
    doc, told = merged(path, draw(("101",), "Strongroom door"))
    assert any(e.dxftype() == "INSERT" and e.dxf.name == "BENCHMARK" for e in doc.modelspace())
    assert "Checked on site" in _texts(doc.layouts.get("T-601"))
    assert doc.layers.get("SURVEY").dxf.color == 3
    assert doc.layers.get(layers.CABLE).dxf.color == 4
    assert "SURVEY" in doc.styles
    assert len([e for e in doc.layouts.get("Survey") if e.dxftype() == "LINE"]) == 1
    assert [n.kind for n in told.notes].count("own") == 3
    assert {"the block BENCHMARK, defined by hand, is kept", "the layer SURVEY, defined by hand, is kept"} <= {
        n.text for n in told.notes
    }


def test_a_copy_is_kept_and_told_also_when_its_original_goes(tmp_path):
    def edit(doc: Any, msp: Any) -> None:
        copy = _find(msp, "TEXT", "opening:102").copy()
        msp.add_entity(copy)
        copy.translate(0, 20, 0)

    path = edited(tmp_path, edit)
    for doors in (("101", "102", "103"), ("101", "103")):
        doc, told = merged(path, draw(doors))
        assert [n.kind for n in told.notes] == ["copy"]
        assert _texts(doc.modelspace()).count("Cable to 102") == 1 + ("102" in doors)


def test_what_was_cut_and_pasted_is_ours_and_edited(tmp_path):
    def edit(doc: Any, msp: Any) -> None:
        symbol = _find(msp, "TEXT")
        copy = symbol.copy()
        msp.add_entity(copy)
        copy.translate(0, 20, 0)
        msp.delete_entity(symbol)

    doc, told = merged(edited(tmp_path, edit), draw())
    assert [n.kind for n in told.notes] == ["edited"]
    assert _texts(doc.modelspace()).count("Cable to 101") == 1


def test_what_was_deleted_stays_deleted_and_is_told(tmp_path):
    path = edited(tmp_path, lambda doc, msp: msp.delete_entity(_find(msp, "TEXT")))
    doc, told = merged(path, draw(note="Strongroom door"))
    assert "Cable to 101" not in _texts(doc.modelspace())
    assert [(n.kind, n.subject, n.is_conflict) for n in told.notes] == [("deleted", "opening:101", False)]
    assert "'Cable to 101'" in told.notes[0].text
    assert told.deleted == 1
    # the opening goes from the site: nothing is left to be told
    _, told = merged(path, draw(("102", "103")))
    assert not told.notes


def test_an_edit_of_what_the_model_has_no_more_is_kept_as_a_conflict(tmp_path):
    path = edited(tmp_path, lambda doc, msp: _find(msp, "TEXT", "opening:102").dxf.set("text", "Ask the owner"))
    doc, told = merged(path, draw(("101", "103")))
    assert "Ask the owner" in _texts(doc.modelspace())
    assert told.conflicts == 1
    assert "no longer" in told.notes[0].text


def test_a_larger_sheet_is_taken_unless_the_drafter_chose_one(tmp_path):
    doc, told = merged(edited(tmp_path, lambda doc, msp: None), draw(size="ISO A2"))
    assert doc.layouts.get("T-601").dxf.paper_width == 594
    assert not told.notes

    def edit(doc: Any, msp: Any) -> None:
        doc.layouts.get("T-601").dxf.paper_width = 500

    doc, told = merged(edited(tmp_path, edit), draw(size="ISO A2"))
    assert doc.layouts.get("T-601").dxf.paper_width == 500
    assert [(n.kind, n.is_conflict) for n in told.notes] == [("definition", True)]


def test_a_block_edited_by_hand_stays_and_is_told(tmp_path):
    path = edited(tmp_path, lambda doc, msp: doc.blocks.get("opening_single").add_circle((0, 0), 9))
    count = len(draw().doc.blocks.get("opening_single"))
    doc, told = merged(path, draw())
    assert len(doc.blocks.get("opening_single")) == count + 1
    assert [(n.kind, n.subject, n.is_conflict) for n in told.notes] == [("definition", "block:opening_single", False)]


def test_a_dimension_drawn_anew_leaves_no_picture_behind(tmp_path):
    path = edited(tmp_path, lambda doc, msp: None)
    before = len([b for b in read_dxf(path).blocks if b.name.startswith("*D")])
    shifted = draw()
    dimension = _find(shifted.doc.modelspace(), "DIMENSION", "sheet:notes")
    dimension.dxf.text = "42"
    marks.stamp(dimension, "sheet:notes", marks.read_mark(dimension).key)
    doc, told = merged(path, shifted)
    assert told.replaced == 1
    assert len([b for b in doc.blocks if b.name.startswith("*D")]) == before


def test_a_drawing_without_a_record_says_that_deletions_are_not_known(tmp_path):
    def edit(doc: Any, msp: Any) -> None:
        doc.rootdict.discard("RISERKIT_DRAWN")
        msp.delete_entity(_find(msp, "TEXT"))

    path = edited(tmp_path, edit)
    told = regenerate(path, draw(), tmp_path / "after.dxf")
    assert "Cable to 101" in _texts(read_dxf(tmp_path / "after.dxf").modelspace())
    assert any("drawn again" in n.text for n in told.notes)


def test_a_drawing_that_cannot_be_read_is_named(tmp_path):
    path = tmp_path / "T-601.dxf"
    path.write_text("not a drawing", "utf-8")
    with pytest.raises(DrawingError, match=r"T-601\.dxf.*save it again"):
        regenerate(path, draw(), tmp_path / "after.dxf")
    assert not (tmp_path / "after.dxf").exists()


STEPS = st.lists(
    st.tuples(st.sampled_from(["move", "retext", "delete", "copy", "own", "layer"]), st.integers(0, 40)), max_size=6
)
DOORS = st.lists(st.sampled_from(["101", "102", "103", "104", "105"]), min_size=1, unique=True).map(tuple)


def _act(doc: Any, step: str, number: int) -> None:
    msp = doc.modelspace()
    entities = list(msp)
    if step == "own":
        msp.add_text(f"Own {number}", dxfattribs={"insert": (number, 5)})
        return
    entity = entities[number % len(entities)]
    if step == "delete":
        msp.delete_entity(entity)
    elif step == "copy":
        copy = entity.copy()
        msp.add_entity(copy)
        copy.translate(1, 2, 0)
    elif step == "retext" and entity.dxftype() == "TEXT":
        entity.dxf.text = f"Edited {number}"
    elif step == "layer":
        entity.dxf.layer = "SURVEY"
    else:
        entity.translate(number + 1, 3, 0)


@settings(max_examples=tried(5, 40), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS, DOORS, st.sampled_from(["Vault door", "Strongroom door"]))
@pytest.mark.slow
def test_no_edit_is_lost_in_silence_and_no_stale_words_are_left(tmp_path, steps, doors, note):
    """What a drafter drew or copied stands as it stood; each edit is kept, merged, moved along, or a told conflict."""

    def edit(doc: Any, msp: Any) -> None:
        for step, number in steps:
            _act(doc, step, number)

    path = edited(tmp_path, edit)
    before = [e for e in read_dxf(path).modelspace() if origin(e) != "ours"]
    own = [marks.fingerprint(e) for e in before if origin(e) == "manual"]
    canvas = draw(doors, note)
    doc, told = merged(path, canvas)
    after = [marks.fingerprint(e) for e in doc.modelspace()]
    assert all(after.count(look) >= own.count(look) for look in own)
    # every word of a drafter's stands, and every place, or the design has moved and it is told
    written = {e.dxf.text for e in before if e.dxftype() == "TEXT" and "Edited" in e.dxf.text}
    assert written <= set(_texts(doc.modelspace()))
    assert sum(n.kind in ("edited", "moved along", "copy") for n in told.notes) == sum(
        origin(e) != "manual" for e in before
    )
    # nothing is there twice, and no words are left that neither the design nor a drafter has
    now = canvas.take_stock().drawn
    assert told.unchanged + told.replaced + told.added + told.deleted <= len(now)
    words = set(_texts(canvas.doc.modelspace())) | {t.plain_text() for t in before if t.dxftype() in ("TEXT", "MTEXT")}
    assert set(_texts(doc.modelspace())) <= words


def _drawn(number: int, look: str, words: str = "", subject: str = "a") -> Drawn:
    return Drawn(f"{subject}.{number}", "m", "TEXT", subject, look, words)


@given(
    st.lists(st.tuples(st.sampled_from("abcd"), st.sampled_from("xy"))),
    st.lists(st.tuples(st.sampled_from("abcd"), st.sampled_from("xy"))),
)
def test_a_match_has_everything_once(olds, news):
    earlier = [Earlier(_drawn(n, look, "", subject), "intact") for n, (look, subject) in enumerate(olds)]
    now = [_drawn(100 + n, look, "", subject) for n, (look, subject) in enumerate(news)]
    pairs = match(earlier, now)
    assert [p.now for p in pairs if p.now] == now
    assert sorted(p.earlier.drawn.key for p in pairs if p.earlier) == sorted(e.drawn.key for e in earlier)
    assert all(p.earlier.drawn.model_id == p.now.model_id for p in pairs if p.earlier and p.now)


def test_a_row_put_in_between_does_not_take_the_edit_of_its_neighbour():
    """Old rows A B C, new rows A X B C, all below A moved: B's edit goes with B."""
    earlier = [
        Earlier(_drawn(n, look, words), "edited")
        for n, (look, words) in enumerate([("a1", "A"), ("b2", "B"), ("c3", "C")])
    ]
    now = [
        _drawn(9 + n, look, words)
        for n, (look, words) in enumerate([("a1", "A"), ("x2", "X"), ("b3", "B"), ("c4", "C")])
    ]
    found = {p.now.content: p.earlier.drawn.content if p.earlier else None for p in match(earlier, now) if p.now}
    assert found == {"A": "A", "X": None, "B": "B", "C": "C"}
