"""Blocks: shipped ones complete and reproducible, replaced ones taken, wrong ones told by file, block and tag."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import readfile

from riserkit.drawings.dxf import blocks, symbols
from riserkit.drawings.dxf.blocks import BLOCK_TAGS, block_folder, find_block, letters_mm
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import BlockError
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.symbols import SYMBOLS, WIRING_DEVICE


@pytest.fixture
def make_blocks() -> Any:
    """The script beside the blocks."""
    spec = importlib.util.spec_from_file_location("make_blocks", block_folder() / "make_blocks.py")
    if spec is None or spec.loader is None:
        pytest.fail("make_blocks.py cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def site_block(tmp_path: Path) -> Any:
    """Writes a drafter's own version of a block into a site's folder: edited, and saved again."""

    def write(name: str, edit: Any) -> tuple[Path, ...]:
        doc = readfile(block_folder() / f"{name}.dxf")
        edit(doc.modelspace())
        doc.saveas(tmp_path / f"{name}.dxf")
        return (tmp_path,)

    return write


def _canvas(folders: tuple[Path, ...] = ()) -> Canvas:
    return Canvas("T-601", sheet_size("A4"), DrawingInfo(block_folders=folders))


def test_the_script_writes_the_same_bytes_again(make_blocks: Any, tmp_path: Path) -> None:
    make_blocks.make_blocks(tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {path.name: path.read_bytes() for path in block_folder().glob("*.dxf")}
    assert set(made) == {f"{name}.dxf" for name in BLOCK_TAGS}


@pytest.mark.parametrize("name", sorted(BLOCK_TAGS))
def test_block_is_clean_and_has_its_attributes(name: str) -> None:
    doc = readfile(block_folder() / f"{name}.dxf")
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    tags = [e.dxf.tag for e in doc.modelspace() if e.dxftype() == "ATTDEF"]
    assert sorted(tags) == sorted(BLOCK_TAGS[name])
    layers = {e.dxf.layer for e in doc.modelspace() if e.dxftype() != "ATTDEF"}
    assert layers == {"0"}, "lines on layer 0 take the layer of the insert"


@pytest.mark.parametrize("name", sorted(SYMBOLS))
def test_symbol_keeps_to_its_room_and_its_ports_lie_on_lines(name: str) -> None:
    """The registry that layouts go by agrees with what the file draws."""
    symbol, block = SYMBOLS[name], find_block(name)
    assert symbol.body.inset(-0.11).holds(block.extents)
    assert block.extents.width > 0.7 * symbol.body.width
    assert block.extents.height > 0.7 * symbol.body.height
    points = [p for e in block.doc.modelspace() for p in _vertices(e)]
    for port, at in symbol.ports.items():
        on_edge = symbol.body.inset(0.2)
        assert not (on_edge.x0 < at[0] < on_edge.x1 and on_edge.y0 < at[1] < on_edge.y1), port
        assert any(_near_segment(at, a, b) for a, b in points), port


def _vertices(entity: Any) -> list[tuple[Any, Any]]:
    if entity.dxftype() != "LWPOLYLINE":
        return []
    points = [(x, y) for x, y, *_ in entity.get_points()]
    return list(zip(points, points[1:] + points[:1] * bool(entity.closed), strict=False))


def _near_segment(at: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> bool:
    (x, y), (ax, ay), (bx, by) = at, a, b
    cross = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
    between = min(ax, bx) - 1e-6 <= x <= max(ax, bx) + 1e-6 and min(ay, by) - 1e-6 <= y <= max(ay, by) + 1e-6
    return abs(cross) < 1e-6 and between


def test_symbols_keep_apart_on_a_chart(symbol_chart: Canvas) -> None:
    assert not list(symbol_chart.placed.clashes())


def test_attribute_sets_are_held_against_each_other() -> None:
    canvas = _canvas()
    with pytest.raises(BlockError, match=r"block opening_single .*no value was given for MARK"):
        canvas.insert("opening_single", (10, 10))
    with pytest.raises(BlockError, match=r"block opening_single .*it has no MARKE, NOTE; no value .*MARK"):
        canvas.insert("opening_single", (10, 10), {"MARKE": "101", "NOTE": ""})
    with pytest.raises(BlockError, match=r"no block absent\.dxf in "):
        canvas.insert("absent", (10, 10))
    assert not list(canvas.doc.modelspace())


def test_heights_of_letters_read_off_a_file_are_those_of_its_document() -> None:
    heights = {path.stem: letters_mm(path.stem) for path in block_folder().glob("*.dxf")}
    assert any(heights.values())
    for name, found in heights.items():
        assert found == tuple(e.dxf.height for e in find_block(name).doc.modelspace().query("TEXT"))


def test_a_sites_block_takes_the_place_of_the_shipped_one(site_block: Any) -> None:
    folders = site_block("opening_single", lambda space: space.add_circle((0, -6), 20, dxfattribs={"layer": "MINE"}))
    canvas = _canvas(folders)
    box = canvas.insert("opening_single", (50, 50), {"MARK": "101"})
    assert box == pytest.approx(Rect(30, 24, 70, 64))
    block: Any = canvas.doc.blocks.get("opening_single")
    assert any(e.dxftype() == "CIRCLE" for e in block)
    assert "MINE" in canvas.doc.layers
    auditor = canvas.doc.audit()
    assert not auditor.errors
    assert not auditor.fixes


def _drawn(folders: tuple[Path, ...], name: str) -> Canvas:
    canvas = _canvas(folders)
    for block, at in ((name, (50, 50)), ("diode", (90, 50))):
        tags = find_block(block, folders).tags
        canvas.insert(block, at, dict.fromkeys(tags, "A"))
    return canvas


def _embed(space: Any) -> None:
    style = space.doc.styles.add("OWN", font="other.ttf").dxf.name
    space.query("ATTDEF").first.embed_mtext(space.add_mtext("A", {"style": style}), graphic_properties=False)


BLOCK_EDITS: dict[str, Any] = {
    "nothing": lambda space: None,
    "a layer of its own": lambda space: space.add_line((0, 0), (1, 1), {"layer": "MINE"}),
    "a line type of its own": lambda space: space.add_line(
        (0, 0), (1, 1), {"linetype": space.doc.linetypes.add("WAVES", [1.0, 0.5, -0.5]).dxf.name}
    ),
    "letters of its own": lambda space: space.add_text(
        "A", height=2, dxfattribs={"style": space.doc.styles.add("OWN", font="other.ttf").dxf.name}
    ),
    "a block in it": lambda space: space.add_blockref(
        space.doc.blocks.new("IN-IT").add_point((0, 0)).doc and "IN-IT", (0, 0)
    ),
    "other data": lambda space: (space.doc.appids.add("OTHER"), space[0].set_xdata("OTHER", [(1000, "a")])),
    "a dictionary": lambda space: space[0].new_extension_dict().add_dictionary_var("A", "b"),
    "masks": lambda space: space.doc.objects.set_wipeout_variables(frame=1),
    "paragraphs in letters of their own": _embed,
}


@pytest.mark.parametrize("edit", BLOCK_EDITS)
def test_a_block_comes_into_a_drawing_as_the_library_brings_it(
    site_block: Any, edit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same bytes, handles included, whether it is copied from what was brought in once or brought in again."""
    folders = site_block("opening_single", BLOCK_EDITS[edit])
    _drawn(folders, "opening_single")
    ours = _drawn(folders, "opening_single").to_bytes()
    monkeypatch.setattr(blocks, "_content", lambda block: None)
    assert ours == _drawn(folders, "opening_single").to_bytes()


def test_an_empty_block_is_drawn(site_block: Any) -> None:
    folders = site_block("north_arrow", lambda space: space.delete_all_entities())
    assert len(_drawn(folders, "north_arrow").doc.blocks.get("north_arrow")) == 0


def test_a_shipped_block_is_brought_in_by_the_library_once(monkeypatch: pytest.MonkeyPatch) -> None:
    _drawn((), "title_block")
    monkeypatch.setattr(blocks, "_load", lambda block, layout: pytest.fail(f"{block.name} is brought in again"))
    _drawn((), "title_block")


def test_a_sites_block_may_have_attributes_of_its_own(site_block: Any) -> None:
    """An attribute that the drawings do not know keeps the default text that the drafter gave it."""
    folders = site_block("opening_single", lambda space: space.add_attdef("ROOM", (0, -20), "see plan"))
    canvas = _canvas(folders)
    canvas.insert("opening_single", (50, 50), {"MARK": "101"})
    ref: Any = next(iter(canvas.doc.modelspace()))
    assert {a.dxf.tag: a.dxf.text for a in ref.attribs} == {"MARK": "101", "ROOM": "see plan"}


def test_a_missing_attribute_is_told_with_file_block_and_tag(site_block: Any) -> None:
    def rename(space: Any) -> None:
        next(e for e in space if e.dxftype() == "ATTDEF").dxf.tag = "NUMBER"

    canvas = _canvas(site_block("opening_single", rename))
    with pytest.raises(BlockError, match=r"block opening_single in .*opening_single\.dxf lacks the attribute MARK"):
        canvas.insert("opening_single", (50, 50), {"MARK": "101"})


def test_an_attribute_defined_twice_and_a_damaged_file_are_told(site_block: Any, tmp_path: Path) -> None:
    folders = site_block("opening_single", lambda space: space.add_attdef("MARK", (0, 0)))
    with pytest.raises(BlockError, match="defines the attribute MARK twice"):
        _canvas(folders).insert("opening_single", (50, 50), {"MARK": "101"})
    for content in (b"", b"not a drawing", b"\x89PNG\r\n\x1a\n\x00\x00"):
        (tmp_path / "diode.dxf").write_bytes(content)
        with pytest.raises(BlockError, match=r"diode\.dxf cannot be read"):
            _canvas((tmp_path,)).insert("diode", (50, 50), {"REF": "-R1"})


def test_values_too_long_are_made_smaller_then_cut() -> None:
    canvas = _canvas()
    canvas.insert(
        "closet", (50, 50), {"REF": "closet on level one", "TITLE": "W" * 60}, fit_mm={"REF": 36, "TITLE": 36}
    )
    ref: Any = next(iter(canvas.doc.modelspace()))
    ref_text, title = ref.attribs
    assert (ref_text.dxf.text, ref_text.dxf.height) == ("closet on level one", 2.5)
    assert title.dxf.text.endswith("…")
    texts = [box.rect for box in canvas.placed.boxes if box.kind == "text"]
    assert all(rect.width <= 36 for rect in texts)


def test_the_page_of_blocks_names_each_that_ships_and_every_one_is_drawn_by_some_sheet() -> None:
    """What no sheet draws would restyle nothing: a name of a block stands in what draws sheets, besides its own declaration."""
    page = (Path(__file__).parents[3] / "docs/blocks.md").read_text("utf-8")
    named = {name for line in page.splitlines() if line.startswith("|") for name in re.findall(r"`([a-z_]+)`", line)}
    assert named == set(BLOCK_TAGS)
    shipped = {path.stem for path in (Path(__file__).parents[3] / "blocks").glob("*.dxf")}
    assert shipped == set(BLOCK_TAGS)
    declared = Path(symbols.__file__)
    code = "".join(p.read_text("utf-8") for p in sorted(declared.parents[1].rglob("*.py")) if p != declared)
    assert "insert(WIRING_DEVICE" in code
    assert [name for name in BLOCK_TAGS if f'"{name}"' not in code] == [WIRING_DEVICE]
