"""Every check finds what is planted in a good sheet, exactly that, and nothing in the sheet as it was drawn."""

from __future__ import annotations

import math
import runpy
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing
from ezdxf.filemanagement import new

from riserkit.checked import Checked
from riserkit.code_digest import own_code
from riserkit.design import Design, design
from riserkit.drawings.door.detail import draw_door_detail
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.file_tags import drawing_of
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM
from riserkit.drawings.legibility import pieces, text_over_text
from riserkit.drawings.legibility.crossings import split_arches
from riserkit.drawings.legibility.pieces import SIMPLE
from riserkit.drawings.legibility.read import read_sheet, sheet_shapes
from riserkit.drawings.legibility.sheet import SHEET_CHECKS, inspect_shapes, inspect_sheet
from riserkit.drawings.legibility.values import Violation, is_own
from riserkit.drawings.plan.sheets import draw_plan_sheet
from riserkit.drawings.riser.sheets import draw_riser_sheet, plan_riser
from riserkit.rules._shared.page import read_page
from riserkit.standards.sheets import TEXT_HEIGHTS_MM
from tests.floor_plans import floor_plans

MADE: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "generated_sites.py"))


@cache
def made() -> Design:
    found: Design = design(MADE["generated_site"](0))
    return found


@cache
def drawn(kind: str) -> str:
    """A good sheet of each kind, as its file holds it."""
    site = made()
    canvas = {
        "door": lambda: draw_door_detail(site, site.doors[0], ()),
        "riser": lambda: draw_riser_sheet(plan_riser(Checked(site)), 0),
        "plan": lambda: draw_plan_sheet(floor_plans(site), 0),
    }[kind]()
    return canvas.to_bytes().decode()


@pytest.fixture(params=["door", "riser", "plan"])
def doc(request: pytest.FixtureRequest) -> Drawing:
    return drawing_of(drawn(request.param))


@pytest.fixture
def door() -> Drawing:
    return drawing_of(drawn("door"))


@pytest.fixture
def riser() -> Drawing:
    return drawing_of(drawn("riser"))


def found(doc: Drawing) -> tuple[Violation, ...]:
    """What an inspection says of a document; that of a file is compared with it in `tests/drawings/set`."""
    return inspect_shapes(sheet_shapes(doc)).violations


def only(violations: tuple[Violation, ...], check: str) -> Violation:
    assert [v.check for v in violations] == [check], violations
    return violations[0]


def texts(doc: Drawing, layer: str, space: Any = None) -> list[Any]:
    return [e for e in space or doc.modelspace() if e.dxftype() == "TEXT" and e.dxf.layer == layer]


def place_of(text: Any) -> tuple[float, float]:
    at = text.dxf.align_point if (text.dxf.halign, text.dxf.valign) != (0, 0) else text.dxf.insert
    return at.x, at.y


def move_to(text: Any, x: float, y: float) -> None:
    at = place_of(text)
    text.translate(x - at[0], y - at[1], 0)


def free_spot(doc: Drawing, width: float, height: float) -> tuple[float, float]:
    """A place on the sheet, in its lower left corner's terms, with nothing near."""
    shapes = sheet_shapes(doc)
    boxes = [s.bounds for s in (*shapes.letter_shapes, *shapes.stroke_shapes)]
    boxes = [b for b in boxes if b[2] - b[0] < 250 or b[3] - b[1] < 150]  # not the frame itself
    for x in range(30, int(shapes.paper.x1 - width) - 15, 4):
        for y in range(20, int(shapes.paper.y1 - height) - 15, 4):
            if not any(b[0] < x + width and x < b[2] and b[1] < y + height and y < b[3] for b in boxes):
                return float(x), float(y)
    raise AssertionError("the sheet is full")


def test_a_sheet_as_drawn_has_nothing(doc: Drawing) -> None:
    shapes = sheet_shapes(doc)
    assert inspect_shapes(shapes).violations == ()
    assert len(shapes.letters) > 40
    assert len(shapes.strokes) > 40
    assert shapes.unread == ()


def test_a_text_moved_over_another_is_found(door: Drawing) -> None:
    """Two marks one on the other: both named, at the place."""
    moved, other = texts(door, layers.IDENT)[:2]
    move_to(moved, *place_of(other))
    violation = only(found(door), "text-over-text")
    assert set(violation.model_ids) == {mark.model_id for e in (moved, other) if (mark := read_mark(e))}
    assert math.dist((violation.x_mm, violation.y_mm), other.dxf.insert.vec2) < 6
    assert violation.measured > 0 == violation.limit


@pytest.mark.parametrize(("pitch", "clashes"), [(1.6, False), (22 / 14, False), (1.5, True)])
def test_tails_and_accents_of_lines_at_their_pitch_may_meet(door: Drawing, pitch: float, clashes: bool) -> None:
    """Letters of Arabic hang further down, and accents of Vietnamese stand higher, than those of other Latin script."""
    upper = texts(door, layers.SCHEDULE)[0]
    lower: Any = upper.copy()
    door.modelspace().add_entity(lower)
    upper.dxf.text, lower.dxf.text = "ځځ", "ẤẤ"
    x, y = place_of(upper)
    move_to(lower, x, y - pitch * upper.dxf.height)
    told = [v.message for v in found(door) if v.check == "text-over-text"]
    assert any("ځځ" in message and "ẤẤ" in message for message in told) == clashes


def test_texts_of_one_block_on_each_other_are_found(door: Drawing) -> None:
    """The fields of a title block are not excused by being parts of one block."""
    paper: Any = door.layouts.get(door.layouts.names_in_taborder()[1])
    title = next(e for e in paper if e.dxftype() == "INSERT")
    owner, project = (next(a for a in title.attribs if a.dxf.tag == tag) for tag in ("NUMBER", "PROJECT"))
    move_to(owner, project.dxf.insert.x, project.dxf.insert.y)
    assert {v.check for v in found(door)} == {"text-over-text"}


def test_a_line_drawn_through_a_text_is_found(door: Drawing) -> None:
    text = texts(door, layers.SCHEDULE)[-1]
    x, y = text.dxf.insert.x, text.dxf.insert.y + 1.0
    door.modelspace().add_line((x, y), (x + 1.0, y), dxfattribs={"layer": layers.DIAGRAM})
    violation = only(found(door), "text-on-foreign-line")
    assert violation.measured == pytest.approx(1.0, abs=0.05)
    assert abs(violation.y_mm - y) < 0.1


def test_a_text_inside_a_foreign_symbol_is_found(riser: Drawing) -> None:
    """On no line of it, in the middle of a closet's block."""
    x, y = free_spot(riser, 60, 40)
    riser.modelspace().add_blockref("opening_single", (x + 30, y + 30))
    assert found(riser) == ()
    riser.modelspace().add_text("7", dxfattribs={"layer": layers.IDENT, "height": 1.8}).set_placement(
        (x + 29.5, y + 26.5)
    )
    violations = found(riser)
    assert {v.check for v in violations} == {"text-on-foreign-line"}


@pytest.mark.parametrize("angle", [0.0, 90.0, 30.0])
def test_a_turned_text_covers_what_it_covers(riser: Drawing, angle: float) -> None:
    """A stroke beside a slanted text is inside its upright box and not on it; one across it is."""
    x, y = free_spot(riser, 60, 60)
    text = riser.modelspace().add_text("SLANTED TEXT", dxfattribs={"layer": layers.TEXT, "height": 2.5})
    text.dxf.rotation = angle
    text.set_placement((x + 20, y + 20))
    side, along = math.radians(angle + 90), math.radians(angle)
    ux, uy = math.cos(along), math.sin(along)
    for off, expected in ((-3.0, 0), (1.2, 1)):
        start = (x + 20 + 4 * ux + off * math.cos(side), y + 20 + 4 * uy + off * math.sin(side))
        line = riser.modelspace().add_line(start, (start[0] + 6 * ux, start[1] + 6 * uy))
        violations = [v for v in found(riser) if v.check == "text-on-foreign-line"]
        assert len(violations) == expected, (off, violations)
        riser.modelspace().delete_entity(line)


def test_own_lines_are_excused_and_the_sheet_s_are_nobody_s() -> None:
    assert is_own("opening:1", "A", "opening:1", "B")
    assert is_own("", "A", "", "A")
    assert not is_own("", "A", "", "B")
    assert not is_own("opening:1", "A", "opening:1/cable/2", "B")
    assert not is_own("sheet:T-601", "A", "sheet:T-601", "B")


@pytest.mark.parametrize("height", [1.7, 0.5])
def test_a_text_made_smaller_is_found(doc: Drawing, height: float) -> None:
    view = next(v for v in doc.layouts.get(doc.layouts.names_in_taborder()[1]).viewports() if v.dxf.id != 1)  # type: ignore[union-attr]
    text = texts(doc, layers.IDENT)[0]
    text.dxf.height = height / view.get_scale()
    violation = only(found(doc), "text-too-small")
    assert violation.measured == pytest.approx(height)
    assert violation.limit == LEAST_HEIGHT_MM == min(TEXT_HEIGHTS_MM)


def test_a_text_at_the_least_height_passes(doc: Drawing) -> None:
    view = next(v for v in doc.layouts.get(doc.layouts.names_in_taborder()[1]).viewports() if v.dxf.id != 1)  # type: ignore[union-attr]
    texts(doc, layers.IDENT)[0].dxf.height = LEAST_HEIGHT_MM / view.get_scale()
    assert [v for v in found(doc) if v.check == "text-too-small"] == []


def test_letters_of_a_block_made_smaller_are_found(riser: Drawing) -> None:
    """Heights count as plotted: block and view scale with them."""
    x, y = free_spot(riser, 60, 40)
    riser.modelspace().add_blockref("switch", (x + 20, y + 20), dxfattribs={"xscale": 0.5, "yscale": 0.5})
    only(found(riser), "text-too-small")


def test_a_view_made_smaller_makes_its_texts_too_small(riser: Drawing) -> None:
    paper: Any = riser.layouts.get(riser.layouts.names_in_taborder()[1])
    view = next(v for v in paper.viewports() if v.dxf.id != 1)
    view.dxf.view_height *= 2
    assert "text-too-small" in {v.check for v in found(riser)}


@pytest.mark.parametrize(("off", "beyond"), [(0.0, 0.0), (-3.0, 3.0)])
def test_a_line_out_of_the_frame_is_found(door: Drawing, off: float, beyond: float) -> None:
    """On the frame line it is inside; ISO 5457 has the frame 20 mm from the binding edge (from memory)."""
    door.modelspace().add_line((20.0 + off, 100), (20.0 + off, 101), dxfattribs={"layer": layers.DIAGRAM})
    violations = [v for v in found(door) if v.check == "beyond-frame"]
    assert [v.measured for v in violations] == [pytest.approx(beyond)] * bool(beyond)


def test_a_text_moved_out_of_the_frame_is_found(riser: Drawing) -> None:
    text = riser.modelspace().add_text("GONE", dxfattribs={"layer": layers.NOTE, "height": 2.5})
    text.set_placement((12.0, 200.3))
    violation = next(v for v in found(riser) if v.check == "beyond-frame")
    assert violation.measured == pytest.approx(8.0, abs=0.1)


def test_what_no_view_shows_is_found(doc: Drawing) -> None:
    """Something generated and then moved out of the view."""
    entity = next(e for e in texts(doc, layers.IDENT) if read_mark(e))
    entity.translate(0, 1e7, 0)
    violation = only(found(doc), "beyond-frame")
    mark = read_mark(entity)
    assert mark is not None
    assert violation.model_ids == (mark.model_id,)


def test_zones_and_title_block_may_stand_beyond_the_frame_on_their_own_layer_only(door: Drawing) -> None:
    paper: Any = door.layouts.get(door.layouts.names_in_taborder()[1])
    zone = texts(door, layers.TITLE_BLOCK, paper)[0]
    zone.dxf.layer = layers.NOTE
    assert only(found(door), "beyond-frame").measured > 0


def test_two_cables_that_cross_are_found(doc: Drawing) -> None:
    """In diagrams; on a plan to scale they are counted alone."""
    is_plan = doc.layouts.names_in_taborder()[1].startswith("T-1")
    before = inspect_shapes(sheet_shapes(doc))
    view = next(v for v in doc.layouts.get(doc.layouts.names_in_taborder()[1]).viewports() if v.dxf.id != 1)  # type: ignore[union-attr]
    unit = 1 / view.get_scale()
    x, y = (view.dxf.view_center_point.x, view.dxf.view_center_point.y) if is_plan else free_spot(doc, 12, 12)
    space = doc.modelspace()
    space.add_line((x, y + 5 * unit), (x + 10 * unit, y + 5 * unit), dxfattribs={"layer": layers.CABLE})
    space.add_line((x + 5 * unit, y), (x + 5 * unit, y + 10 * unit), dxfattribs={"layer": layers.CABLE})
    after = inspect_shapes(sheet_shapes(doc))
    assert after.crossings > before.crossings
    assert after.bridged == before.bridged
    if not is_plan:
        assert after.crossings == before.crossings + 1
        assert only(after.violations, "crossing-unbridged").model_ids == ("", "")


def test_a_crossing_of_a_line_drawn_in_two_pieces_is_found(riser: Drawing) -> None:
    x, y = free_spot(riser, 12, 12)
    space, cable = riser.modelspace(), {"layer": layers.CABLE}
    with_mark = next(e for e in space if e.dxftype() == "LINE" and e.dxf.layer == layers.CABLE)
    space.add_line((x, y + 5), (x + 10, y + 5), dxfattribs=cable)
    for start, end in (((x + 5, y), (x + 5, y + 5)), ((x + 5, y + 5), (x + 5, y + 10))):
        piece = with_mark.copy()
        space.add_entity(piece)
        piece.dxf.start, piece.dxf.end = start, end
    only(found(riser), "crossing-unbridged")


@pytest.mark.parametrize("way", ["arc", "bulge", "chords"])
def test_a_bridge_is_counted_and_is_no_violation(riser: Drawing, way: str) -> None:
    before = inspect_shapes(sheet_shapes(riser))
    x, y = free_spot(riser, 12, 12)
    space, cable = riser.modelspace(), {"layer": layers.CABLE}
    space.add_line((x + 5, y), (x + 5, y + 10), dxfattribs=cable)
    if way == "arc":
        space.add_line((x, y + 5), (x + 3.7, y + 5), dxfattribs=cable)
        space.add_arc((x + 5, y + 5), 1.3, 0, 180, dxfattribs=cable)
        space.add_line((x + 6.3, y + 5), (x + 10, y + 5), dxfattribs=cable)
    elif way == "bulge":
        space.add_lwpolyline(
            [(x, y + 5, 0), (x + 3.7, y + 5, -1), (x + 6.3, y + 5, 0), (x + 10, y + 5, 0)],
            format="xyb", dxfattribs=cable,
        )  # fmt: skip
    else:
        turns = [math.pi * (1 - k / 6) for k in range(7)]
        arch = [(x + 5 + 1.3 * math.cos(t), y + 5 + 1.3 * math.sin(t)) for t in turns]
        space.add_lwpolyline([(x, y + 5), *arch, (x + 10, y + 5)], dxfattribs=cable)
    after = inspect_shapes(sheet_shapes(riser))
    assert after.violations == ()
    assert (after.crossings, after.bridged) == (before.crossings + 1, before.bridged + 1)


def test_a_line_that_ends_on_another_does_not_cross_it(riser: Drawing) -> None:
    x, y = free_spot(riser, 12, 12)
    space, cable = riser.modelspace(), {"layer": layers.CABLE}
    space.add_line((x, y + 5), (x + 10, y + 5), dxfattribs=cable)
    space.add_line((x + 5, y + 5), (x + 5, y + 10), dxfattribs=cable)
    assert found(riser) == ()


def test_corners_are_no_arches() -> None:
    corner = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (8.0, 4.0)]
    assert split_arches(corner) == ([corner], [])


def _leaders(doc: Drawing) -> list[Any]:
    return [e for e in doc.modelspace() if e.dxftype() == "LINE" and e.dxf.layer == layers.SYMBOL]


@pytest.mark.parametrize("end", ["start", "end"])
def test_a_leader_made_shorter_is_found(door: Drawing, end: str) -> None:
    """At either end; the longest of the sheet, and none of its halves ends on something else."""
    leader = max(_leaders(door), key=lambda e: e.dxf.start.distance(e.dxf.end))
    middle = leader.dxf.start.lerp(leader.dxf.end, 0.5)
    gap = middle.distance(leader.dxf.get(end))
    leader.dxf.set(end, middle)
    violation = only(found(door), "leader-misses")
    assert 0.5 < violation.measured <= gap + 1e-6
    assert (violation.x_mm, violation.y_mm) == (round(middle.x, 1), round(middle.y, 1))


def test_a_leader_half_a_millimetre_short_passes_and_more_does_not(door: Drawing) -> None:
    leader = max(_leaders(door), key=lambda e: e.dxf.start.distance(e.dxf.end))
    way = (leader.dxf.end - leader.dxf.start).normalize()
    balloon = leader.dxf.start
    leader.dxf.start = balloon + way * 0.49
    assert found(door) == ()
    leader.dxf.start = balloon + way * 0.6
    assert only(found(door), "leader-misses").measured == pytest.approx(0.6, abs=0.05)


def test_layers_that_are_not_plotted_are_not_looked_at(door: Drawing) -> None:
    door.modelspace().add_line((1, 100), (1, 101), dxfattribs={"layer": layers.NO_PLOT})
    assert found(door) == ()


def test_kinds_that_are_not_looked_at_are_told(door: Drawing) -> None:
    door.modelspace().add_3dface([(30, 30), (31, 30), (31, 31)])
    door.modelspace().add_blockref("nowhere", (30, 30))
    assert sheet_shapes(door).unread == (("3DFACE", 1), ("INSERT without its block", 1))


@pytest.mark.parametrize("check", SHEET_CHECKS, ids=lambda c: c.name)
def test_every_check_has_a_page(check: Any) -> None:
    page = read_page(check)
    assert page.name == check.name
    assert check.source.split(" (")[0].casefold() in page.source.casefold()


def test_a_file_that_is_no_drawing_is_told(tmp_path: Path) -> None:
    path = tmp_path / "T-601.dxf"
    path.write_text("no drawing at all")
    with pytest.raises(DrawingError, match=r"T-601\.dxf"):
        read_sheet(path)


def test_a_drawing_of_anybody_is_inspected(tmp_path: Path) -> None:
    """No mark of ours on it: lines of a stranger are held to the same."""
    doc = new("R2018", units=4)
    paper: Any = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    paper.page_setup(size=(420, 297), margins=(0, 0, 0, 0), units="mm")
    paper.add_text("HELLO", height=2.5).set_placement((100, 100))
    paper.add_line((90, 101), (120, 101))
    path = tmp_path / "any.dxf"
    doc.saveas(path)
    assert [v.check for v in inspect_sheet(path).violations] == ["text-on-foreign-line"]


def test_what_was_kept_by_other_code_counts_for_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever module of riserkit changes, a verdict found before is not taken over."""
    codes = {own_code()}
    read = Path.read_bytes
    for module in (pieces, text_over_text):
        place = Path(module.__file__)
        monkeypatch.setattr(Path, "read_bytes", lambda path, place=place: read(path) + b"#" * (path == place))
        own_code.cache_clear()
        codes.add(own_code())
    monkeypatch.undo()
    own_code.cache_clear()
    assert len(codes) == 3


@pytest.mark.parametrize(("apart", "expected"), [(4.0, True), (9.0, False)])
def test_a_symbol_moved_onto_another_is_found(riser: Drawing, apart: float, expected: bool) -> None:
    """The symbol of an opening is 8 mm wide: two 4 mm apart stand on one another, 9 mm apart they do not."""
    x, y = free_spot(riser, 60, 40)
    for dx in (0.0, apart):
        riser.modelspace().add_blockref("opening_single", (x + 20 + dx, y + 30))
    checks = [v.check for v in found(riser)]
    assert checks == (["symbol-on-symbol"] if expected else [])


def test_a_symbol_drawn_inside_a_larger_one_is_part_of_it() -> None:
    doc = new()
    for name, half in (("device", 20), ("inner", 4)):
        block = doc.blocks.new(name)
        block.add_lwpolyline([(-half, -half), (half, -half), (half, half), (-half, half)], close=True)
    paper: Any = doc.layouts.get("Layout1")
    paper.page_setup(size=(297, 210), margins=(0, 0, 0, 0))
    paper.add_blockref("device", (100, 100))
    inner = paper.add_blockref("inner", (100, 100))
    assert [v for v in found(doc) if v.check == "symbol-on-symbol"] == []
    inner.dxf.insert = (120, 100)
    assert [round(v.measured) for v in found(doc) if v.check == "symbol-on-symbol"] == [32]


def test_a_line_that_a_mask_hides_whole_is_not_there(doc):
    """Walls on a plan stop beneath a label, and a short one lies beneath it whole."""
    short, long = 100.123, 101.123
    space = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    space.add_line((100, short), (104, short))
    space.add_line((90, long), (120, long))

    def seen(y):
        return [s.points for s in sheet_shapes(doc).strokes if {round(p[1], 6) for p in s.points} == {y}]

    assert (len(seen(short)), len(seen(long))) == (1, 1)
    space.add_wipeout([(99, 98), (106, 103)])
    assert (len(seen(short)), len(seen(long))) == (0, 2)
    assert all(s.points for s in sheet_shapes(doc).strokes)


def test_width_factor_and_slant_are_measured():
    """A text twice as wide reaches twice as far from where it is held; a slanted one leans over by its tangent."""
    doc: Any = ezdxf.new("R2018")
    found = {}
    for name, more in {"plain": {}, "wide": {"width": 2.0}, "slanted": {"oblique": 45.0}}.items():
        text = doc.modelspace().add_text("HHHH", height=2.5, dxfattribs={"insert": (10, 0), **more})
        (piece,) = SIMPLE["TEXT"](text)
        found[name] = [x - 10 for x, _ in piece.points]
    assert max(found["wide"]) == pytest.approx(2 * max(found["plain"]))
    assert max(found["slanted"]) == pytest.approx(max(found["plain"]) + 2.5, abs=0.1)


def test_inline_codes_of_a_paragraph_are_measured():
    """Set by the drawing library's own parser: each of these covers what a TEXT set in the same way covers."""
    doc: Any = ezdxf.new("R2018")
    space = doc.modelspace()

    def box(entity: Any) -> list[Any]:
        return [piece.points for piece in SIMPLE[entity.dxftype()](entity)]

    def paragraph(words: str, **more: Any) -> list[Any]:
        return box(space.add_mtext(words, dxfattribs={"char_height": 2.5, "insert": (0, 0), **more}))

    for code, setting in {
        "{\\W2;HHHH}": {"width": 2.0},
        "\\Q30;HHHH": {"oblique": 30.0},
        "\\H2x;HHHH": {"height": 5.0},
        "{\\H4;\\W0.5;HHHH}": {"height": 4.0, "width": 0.5},
    }.items():
        high = setting.get("height", 2.5)
        text = space.add_text("HHHH", dxfattribs={"height": 2.5, "insert": (0, -high), **setting})
        (found,), (wanted,) = paragraph(code), box(text)
        assert np.allclose(found, wanted), code
    # a word after one set wide starts farther right; what has no room goes to the next line, below the highest letters
    wide, after = paragraph("{\\W3;HH} HH")
    assert min(x for x, _ in after) > max(x for x, _ in wide)
    first, second = paragraph("{\\H5;HHHH} HHHH", width=20.0)
    assert max(y for _, y in second) < min(y for _, y in first)
    upper, lower = paragraph("\\S1/2;")
    assert min(y for _, y in upper) > max(y for _, y in lower)
    doc.styles.add("NARROW", font="DejaVuSansCondensed.ttf").dxf.width = 0.5
    (narrow,), (plain,) = paragraph("HHHH", style="NARROW"), paragraph("HHHH")
    assert max(x for x, _ in narrow) == pytest.approx(max(x for x, _ in plain) / 2)
