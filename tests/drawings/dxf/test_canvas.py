"""The canvas: clean files, the same bytes, marks on all that is drawn, paper at true scale, read back by GDAL."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import ezdxf
import pyogrio
import pytest
from ezdxf.addons import acadctb
from ezdxf.entities.dxfns import DXFNamespace
from ezdxf.filemanagement import read, readfile

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.beside import write_beside
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.document import fixed_metadata
from riserkit.drawings.dxf.errors import DrawingError, SheetError, TextError
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.tags import plain_tags
from riserkit.drawings.dxf.text import shown_text
from riserkit.drawings.dxf.view import View
from tests.drawings.origins import origin
from tests.sweep import swept

MakeSheet = Callable[..., Canvas]


def _spaces(doc: Any) -> list[Any]:
    return [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]


def _loaded(canvas: Canvas) -> Any:
    return read(io.StringIO(canvas.to_bytes().decode()))


@pytest.mark.parametrize("version", ["R2010", "R2013", "R2018"])
def test_audit_finds_nothing_and_mends_nothing(make_sheet: MakeSheet, version: str) -> None:
    doc = _loaded(make_sheet(version, with_dimension=True))
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert doc.acad_release == version


def test_what_audit_does_not_see(make_sheet: MakeSheet) -> None:
    """Units, the application id in its table, XDATA strings, tags of attributes, styles and layers all defined."""
    doc = _loaded(make_sheet(with_dimension=True))
    assert doc.units == ezdxf.units.MM
    assert marks.APP_ID in doc.appids
    for entity in doc.entitydb.values():
        if entity.dxf.hasattr("layer"):
            assert entity.dxf.layer in doc.layers
        if entity.dxf.hasattr("style") and entity.dxftype() in {"TEXT", "MTEXT", "ATTRIB", "ATTDEF"}:
            assert entity.dxf.style in {"RK", "RK-OTHER-SCRIPTS"}
            assert entity.dxf.style in doc.styles
        if entity.has_xdata(marks.APP_ID):
            assert all(len(str(tag.value).encode()) <= 255 for tag in entity.get_xdata(marks.APP_ID))
        if entity.dxftype() == "ATTDEF":
            assert entity.dxf.tag.replace("_", "").isalnum()
            assert entity.dxf.tag.isupper()


def test_same_bytes_twice_and_the_users_setting_is_left_alone(make_sheet: MakeSheet) -> None:
    options = ezdxf.options
    before = options.write_fixed_meta_data_for_testing
    try:
        for setting in (False, True):
            options.write_fixed_meta_data_for_testing = setting
            assert make_sheet().to_bytes() == make_sheet().to_bytes()
            assert options.write_fixed_meta_data_for_testing is setting
            with pytest.raises(RuntimeError), fixed_metadata():
                raise RuntimeError
            assert options.write_fixed_meta_data_for_testing is setting
    finally:
        options.write_fixed_meta_data_for_testing = before


@pytest.mark.parametrize("version", ["R2010", "R2018"])
def test_attributes_written_in_one_go_give_the_librarys_own_bytes(make_sheet: MakeSheet, version: str) -> None:
    doc = _loaded(make_sheet(version, with_dimension=True))
    library, ours = io.StringIO(), io.StringIO()
    before = DXFNamespace.export_dxf_attribs
    with fixed_metadata():
        doc.write(library)
        with plain_tags():
            doc.write(ours)
    assert ours.getvalue() == library.getvalue()
    assert DXFNamespace.export_dxf_attribs is before


@swept("seeds", [(0, 4), range(6)], push=[(0, 4)])
@pytest.mark.slow
def test_same_bytes_in_another_run(seeds: Iterable[int]) -> None:
    """Whatever the seed of Python's hashes; ezdxf orders parts of a file by sets, and with seed 4 otherwise than with 0."""
    code = (
        "import hashlib; from riserkit.drawings.dxf.canvas import Canvas; "
        "from riserkit.drawings.dxf.sheet_size import sheet_size; c = Canvas('T-601', sheet_size('A4')); "
        "c.insert('plan_reader', (50, 50), {'REF': '', 'MARK': ''}); c.insert('diode', (90, 50), {'REF': ''}); "
        "c.hatch([(0, 0), (9, 0), (9, 9)]); print(hashlib.sha256(c.to_bytes()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": str(seed), "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in seeds
    }
    assert len(digests) == 1


def test_every_entity_is_marked_as_ours(make_sheet: MakeSheet) -> None:
    """Marks survive saving and reading, and the fingerprint computed from the file is the one written."""
    doc = _loaded(make_sheet(with_dimension=True))
    # viewport 1 is the sheet itself, made by the library
    entities = [e for space in _spaces(doc) for e in space if e.dxftype() != "VIEWPORT" or e.dxf.id != 1]
    assert len(entities) > 100
    assert {origin(e) for e in entities} == {"ours"}
    kinds = {e.dxftype() for e in entities}
    assert kinds == {
        *("LINE", "LWPOLYLINE", "CIRCLE", "ARC", "HATCH", "TEXT", "MTEXT", "INSERT", "DIMENSION", "VIEWPORT")
    }
    ids = {mark.model_id for e in entities if (mark := marks.read_mark(e))}
    assert ids == {"sheet:T-601", "opening:101A"}


def _first(doc: Any, kind: str) -> Any:
    return next(e for e in doc.modelspace() if e.dxftype() == kind)


@pytest.mark.parametrize(
    ("kind", "edit"),
    [
        ("LINE", lambda e: e.translate(0.01, 0, 0)),
        ("LINE", lambda e: setattr(e.dxf, "layer", "0")),
        ("TEXT", lambda e: setattr(e.dxf, "text", "102")),
        ("MTEXT", lambda e: setattr(e, "text", "another note")),
        ("INSERT", lambda e: e.translate(1, 0, 0)),
        ("INSERT", lambda e: setattr(e.attribs[0].dxf, "text", "102")),
        ("LWPOLYLINE", lambda e: e.append((1, 1))),
        ("CIRCLE", lambda e: setattr(e.dxf, "radius", 5)),
        ("ARC", lambda e: setattr(e.dxf, "end_angle", 90)),
        ("HATCH", lambda e: e.translate(1, 0, 0)),
        ("DIMENSION", lambda e: setattr(e.dxf, "text", "1 060")),
    ],
)
def test_an_edit_by_hand_is_seen(make_sheet: MakeSheet, kind: str, edit: Callable[[Any], object]) -> None:
    doc = _loaded(make_sheet(with_dimension=True))
    entity = _first(doc, kind)
    edit(entity)
    assert origin(entity) == "edited"


def test_copies_and_a_drafters_own_lines_are_told_apart(make_sheet: MakeSheet) -> None:
    doc = _loaded(make_sheet())
    line: Any = _first(doc, "LINE")
    copied = doc.entitydb.duplicate_entity(line)
    # a copy has the key of its original; no two things that are drawn share one
    assert marks.read_mark(copied).key == marks.read_mark(line).key  # type: ignore[union-attr]
    keys = [mark.key for space in _spaces(doc) for e in space if (mark := marks.read_mark(e))]
    assert len(set(keys)) == len(keys)
    assert origin(doc.modelspace().add_line((0, 0), (1, 1))) == "manual"


def test_ids_that_break_a_file_are_refused() -> None:
    canvas = Canvas("T-601", sheet_size("A4"))
    longest = "opening:" + "x" * (255 - len("opening:"))
    with canvas.subject(longest):
        canvas.line((0, 0), (1, 1))
    for bad in ("", longest + "x", "é" * 128, "two\nlines", "\ud800"):
        with pytest.raises(DrawingError, match="cannot be written"), canvas.subject(bad):
            pass


@pytest.mark.parametrize("name", ["", "T/601", "Model", " T-601", "a\nb", "x" * 256])
def test_names_that_no_layout_can_have_are_refused(name: str) -> None:
    with pytest.raises(SheetError, match="cannot name a sheet"):
        Canvas(name, sheet_size("A4"))


def test_text_is_safe_anchored_and_measured(make_sheet: MakeSheet, odd_names: tuple[str, ...]) -> None:
    """Names read back as shown; the box kept is the box of the entity as read; right ends meet the anchor."""
    canvas = make_sheet()
    doc = _loaded(canvas)
    texts = [e for e in doc.modelspace() if e.dxftype() == "TEXT" and e.dxf.layer == layers.IDENT]
    assert [e.plain_text() for e in texts] == [shown_text(name) for name in odd_names]
    kept = {box.rect for box in canvas.placed.boxes if box.kind == "text"}
    for entity in texts:
        box = entity_box(entity)
        assert box.x1 == pytest.approx(200, abs=1e-6)
        assert any(box == pytest.approx(rect, abs=0.01) for rect in kept)


def test_small_text_and_endless_lines_are_refused() -> None:
    canvas = Canvas("T-601", sheet_size("A4"))
    assert canvas.text("at the limit", (20, 20), 1.8).width > 0
    with pytest.raises(TextError, match="least height"):
        canvas.text("below it", (20, 20), 1.79)
    with pytest.raises(TextError, match="wrap it"):
        canvas.text("x" * 2001, (20, 20))


def test_paper_has_the_sheets_size_and_the_view_its_scale() -> None:
    size = sheet_size("ARCH D")
    view = View(Rect(30, 30, 530, 430), (25000, 20000), 50)
    canvas = Canvas("T-101", size, view=view)
    canvas.text("Room 101", (25000, 20000), 2.5)
    doc = _loaded(canvas)
    paper = _spaces(doc)[1]
    assert (paper.dxf.paper_width, paper.dxf.paper_height) == (914.4, 609.6)
    assert (paper.dxf.left_margin, paper.dxf.bottom_margin, paper.dxf.plot_rotation) == (0, 0, 0)
    window = next(vp for vp in paper.viewports() if vp.dxf.id != 1)
    assert window.get_scale() == pytest.approx(1 / 50)
    assert window.get_modelspace_limits() == pytest.approx([12500, 10000, 37500, 30000])
    assert not doc.layers.get(window.dxf.layer).dxf.plot
    assert _first(doc, "TEXT").dxf.height == 125


def test_site_and_digest_stand_in_the_file() -> None:
    doc = _loaded(Canvas("T-601", sheet_size("A4"), DrawingInfo("Annex\n%%c", "abc123")))
    assert dict(doc.header.custom_vars.properties) == {"RISERKIT_SITE": "Annex % %c", "RISERKIT_DIGEST": "abc123"}


def test_layers_have_legal_weights_and_their_line_types() -> None:
    doc = _loaded(Canvas("T-601", sheet_size("A4")))
    for style in layers.LAYERS:
        layer = doc.layers.get(style.name)
        assert layer.dxf.lineweight == round(style.weight_mm * 100)
        assert layer.dxf.linetype in doc.linetypes
        discipline, major, *minor = style.name.split("-")
        assert discipline in {"T", "A"}
        assert all(len(group) == 4 for group in (major, *minor))
    # legal line weights of DXF, in hundredths of a millimetre (DXF reference, group code 370)
    assert {round(style.weight_mm * 100) for style in layers.LAYERS} <= {13, 18, 25, 35, 50, 70, 100}


def test_pen_changes_weight_and_line_type() -> None:
    canvas = Canvas("T-601", sheet_size("A4"))
    canvas.line((0, 0), (1, 0), Pen(layers.DIAGRAM, 0.7, "DASHED"))
    line = _first(_loaded(canvas), "LINE")
    assert (line.dxf.lineweight, line.dxf.linetype) == (70, "DASHED")


def test_an_unwritable_folder_is_told_and_nothing_is_left(tmp_path: Path, make_sheet: MakeSheet) -> None:
    with pytest.raises(DrawingError, match="cannot write"):
        make_sheet().save(tmp_path / "absent" / "T-601.dxf")
    make_sheet().save(tmp_path / "T-601.dxf")
    assert [p.name for p in tmp_path.iterdir()] == ["T-601.dxf"]
    with pytest.raises(DrawingError, match="DXF version"):
        Canvas("T-601", sheet_size("A4"), DrawingInfo(dxf_version="R12"))


@pytest.mark.parametrize("version", ["R2010", "R2018"])
def test_another_reader_finds_the_same_entities(tmp_path: Path, make_sheet: MakeSheet, version: str) -> None:
    """GDAL's DXF reader, blocks left as inserts: the same number on each layer, and the same texts.

    GDAL passes over VIEWPORT entities and takes dimensions apart, so the first are left out of the count and the
    sheet has no dimension.
    """
    path = tmp_path / "T-601.dxf"
    make_sheet(version).save(path)
    # DXF is UTF-8 from R2007 on whatever its code page says; GDAL goes by the code page unless told
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": "FALSE", "DXF_ENCODING": "UTF-8"})
    try:
        meta, _, _, columns = pyogrio.raw.read(path, layer="entities")
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None, "DXF_ENCODING": None})
    column = dict(zip(meta["fields"], columns, strict=True))
    doc: Any = readfile(path)
    drawn = [e for space in _spaces(doc) for e in space if e.dxftype() != "VIEWPORT"]
    assert Counter(column["Layer"]) == Counter(e.dxf.layer for e in drawn)
    texts = Counter(e.plain_text() for e in drawn if e.dxftype() == "TEXT")
    read_back = Counter(t for t, kind in zip(column["Text"], column["SubClasses"], strict=True) if "AcDbText" in kind)
    assert read_back == texts


def test_the_file_opens_on_its_sheet_with_extents_and_its_view_locked(tmp_path: Path) -> None:
    canvas = Canvas("T-601", sheet_size("ISO A3"), view=View(Rect(20, 20, 220, 120), (5000.0, 4000.0), 50))
    canvas.save(tmp_path / "a.dxf")
    doc = readfile(tmp_path / "a.dxf")
    assert doc.header["$TILEMODE"] == 0
    assert tuple(doc.header["$PEXTMAX"])[:2] == (420.0, 297.0)
    assert tuple(doc.header["$EXTMIN"])[:2] == (0.0, 1500.0)
    paper = doc.layouts.get("T-601")
    main, view = sorted(paper.query("VIEWPORT"), key=lambda v: v.dxf.id)  # type: ignore[union-attr]
    assert view.dxf.flags & 0x4000
    assert tuple(main.dxf.view_center_point)[:2] == (210.0, 148.5)
    assert main.dxf.view_height >= 297
    assert paper.dxf.current_style_sheet == "riserkit.ctb"  # type: ignore[union-attr]


def test_a_dimension_added_by_hand_says_the_real_length() -> None:
    canvas = Canvas("T-501", sheet_size("ISO A3"))
    canvas.measure(20, "metric")
    canvas.dimension((100, 100), (170, 100), (100, 90), "<>")
    name = canvas.doc.header["$DIMSTYLE"]
    assert canvas.doc.header["$DIMLFAC"] == 20
    by_hand = canvas.doc.modelspace().add_linear_dim((0, 50), (0, 0), (70, 0), dimstyle=name).render().dimension
    ours = next(e for e in canvas.doc.modelspace() if e.dxftype() == "DIMENSION")
    for dimension in (ours, by_hand):
        said = [e.plain_text() for e in dimension.get_geometry_block() if e.dxftype() == "MTEXT"]
        assert said == ["1400"]


def test_in_a_plan_a_dimension_by_hand_has_lettering_of_the_plans_scale() -> None:
    canvas = Canvas("T-101", sheet_size("ISO A3"), view=View(Rect(20, 20, 220, 120), (0.0, 0.0), 100))
    canvas.measure(1, "imperial")
    style = canvas.doc.dimstyles.get(canvas.doc.header["$DIMSTYLE"])
    assert style.dxf.dimscale == 100
    assert style.dxf.dimlunit == 4
    assert 914.4 * style.dxf.dimlfac == pytest.approx(36)


def test_every_colour_prints_black_by_the_table_of_plot_styles(tmp_path: Path) -> None:
    names = {path.name for path in write_beside(tmp_path)}
    assert names == {"DejaVuSansCondensed.ttf", "LICENSE-DejaVu.txt", "riserkit.ctb"}
    table = acadctb.load(tmp_path / "riserkit.ctb")
    assert {table[layer.color].color for layer in layers.LAYERS} == {(0, 0, 0)}
    assert len({layer.color for layer in layers.LAYERS}) > 8
