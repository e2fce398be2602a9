"""Marks of doors in other drawing styles: on an outer block, in several lines, in an office's own scheme; and texts that are no door's."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts

LEFTS = (1.0, 4.0, 7.0)
"""Where doors of 0.9 m begin in a wall along x."""


def imported(folder: Path, draw: Callable[[Any, Any], None], settings: str = "") -> Path:
    """A wall with three gaps and a hall above it in metres, and what `draw` adds."""
    doc = ezdxf.new("R2018", setup=True)
    doc.header["$INSUNITS"] = 6
    model = doc.modelspace()
    ends = [0.0, *(x for left in LEFTS for x in (left, left + 0.9)), 12.0]
    for one, other in zip(ends[::2], ends[1::2], strict=True):
        at = {"layer": "A-WALL"}
        model.add_lwpolyline([(one, 0), (other, 0), (other, 0.2), (one, 0.2)], close=True, dxfattribs=at)
    model.add_text("100 HALL", height=0.2, dxfattribs={"layer": "A-AREA-IDEN"}).set_placement((5, 4))
    draw(doc, model)
    folder.mkdir(exist_ok=True)
    path = folder / "plan_level-1.dxf"
    doc.saveas(path)
    site = folder / "site"
    site.mkdir()
    (site / "import.toml").write_text(settings, "utf-8")
    import_documents([path], site)
    return site


def leaf(layout: Any, left: float, high: float = 0.2) -> None:
    """A leaf of 0.9 m with its arc."""
    at = {"layer": "A-DOOR"}
    layout.add_arc((left, high), 0.9, 0, 90, dxfattribs=at)
    layout.add_line((left, high), (left, high + 0.9), dxfattribs=at)


def tag(layout: Any, left: float, text: str, layer: str = "A-DOOR-IDEN") -> None:
    layout.add_mtext(text, dxfattribs={"char_height": 0.15, "layer": layer, "insert": (left + 0.2, -0.2)})


def nested(doc: Any, model: Any) -> None:
    """A leaf's block in a door's block, which has the attributes; the last two doors in the block of a wing."""
    leaf(doc.blocks.new("LEAF"), 0, 0)
    door = doc.blocks.new("DOOR 0900x2100mm")
    door.add_blockref("LEAF", (0, 0), dxfattribs={"layer": "A-DOOR"})
    for name in ("MARK", "HW"):
        door.add_attdef(name, (0, -0.4), dxfattribs={"height": 0.15})
    wing = doc.blocks.new("WING")
    for layout, left, mark in zip((model, wing, wing), LEFTS, ("D02", "D01", ""), strict=True):
        placed = layout.add_blockref(
            "DOOR 0900x2100mm" if mark else "LEAF", (left, 0.2), dxfattribs={"layer": "A-DOOR"}
        )
        placed.add_auto_attribs({"MARK": mark, "HW": "set 7"} if mark else {})
    wing.add_attdef("MARK", (0, 0))
    model.add_blockref("WING", (0, 0)).add_auto_attribs({"MARK": "WING B"})


def test_attributes_of_a_block_about_the_leaf_s_are_the_door_s(tmp_path: Path) -> None:
    """They were passed over, and the doors numbered anew: D01 stood at another door than in the drawing."""
    site = imported(tmp_path, nested)
    found = {float(door["x_m"]): door for door in rows(site, "openings").values()}
    assert [found[left + 0.45]["mark"] for left in LEFTS] == ["D02", "D01", "100"]
    assert [("HW: set 7" in found[left + 0.45]["remarks"]) for left in LEFTS] == [True, True, False]
    assert [found[left + 0.45]["height_m"] for left in LEFTS] == ["2.1", "2.1", ""]
    assert "WING B" not in {door["mark"] for door in found.values()}


@pytest.mark.parametrize("mark", ["T-E01", "D-EG-01", "D-1.01", "101.1", "1-01", "P.R1.02", "101"])
def test_a_mark_of_any_scheme_is_the_door_s(mark: str, tmp_path: Path) -> None:
    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        tag(model, LEFTS[0], mark)

    assert list(rows(imported(tmp_path, draw), "openings")) == [mark]


def test_a_tag_in_several_lines_is_the_door_s_and_names_no_room(tmp_path: Path) -> None:
    """`106` over `FIRE 90 MIN`, underlined, was a room, and the side that other doors secured."""

    def draw(_doc: Any, model: Any) -> None:
        for left in LEFTS[:2]:
            leaf(model, left)
        tag(model, LEFTS[0], r"{\L106\l}\PFIRE 90 MIN")
        tag(model, LEFTS[1], "107")

    doors = rows(imported(tmp_path, draw), "openings")
    assert list(doors) == ["106", "107"]
    assert "FIRE 90 MIN" in doors["106"]["remarks"]
    assert {door["secured_side"] for door in doors.values()} == {"100 HALL"}


def test_a_text_of_door_tags_that_is_no_door_s_is_told(tmp_path: Path) -> None:
    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        tag(model, LEFTS[0], "101")
        tag(model, LEFTS[1], "SEE DETAIL")
        tag(model, LEFTS[2], "HATCHED", layer="A-ANNO-TEXT")

    told = texts(imported(tmp_path, draw), "left")
    assert "texts on layers of door tags that are no door's mark or size: SEE DETAIL at 5, -0" in told
    assert "HATCHED" not in told


@pytest.mark.parametrize("is_drawn", [True, False])
def test_a_drawing_that_is_only_referred_to_is_told(is_drawn: bool, tmp_path: Path) -> None:
    """A plan whose doors stand in a reference had none, and nothing was said of where they may be."""

    def draw(doc: Any, model: Any) -> None:
        doc.add_xref_def("arch.dwg", "ARCH")
        model.add_blockref("ARCH", (0, 0))
        if is_drawn:
            leaf(model, LEFTS[0])

    site = imported(tmp_path, draw)
    assert "what they hold is not read: ARCH (arch.dwg)" in texts(site, "left" if is_drawn else "question")


def on_paper(doc: Any, model: Any) -> None:
    """The same on a sheet at 1:100, in millimetres."""
    leaf(model, LEFTS[0])
    doc.header["$INSUNITS"] = 4
    sheet = doc.layout("Layout1")
    for entity in list(model):
        entity.scale(10, 10, 10)
        model.move_to_layout(entity, sheet)


def test_a_sheet_drawn_to_scale_is_read_where_its_scale_is_stated(tmp_path: Path) -> None:
    """Its doors were looked for in millimetres of the sheet, whatever scale was stated, and none was as wide as a door."""
    stated = '[document."plan_level-1.dxf"]\nunits = "mm"\n'
    site = imported(tmp_path / "stated", on_paper, f"{stated}scale = 100\n")
    (door,) = rows(site, "openings").values()
    assert (door["x_m"], door["width_m"], door["secured_side"]) == ("1.45", "0.9", "100 HALL")
    bare = imported(tmp_path / "bare", on_paper, stated)
    assert "1 arcs like swings are about 0.009 m wide: none is taken for a door" in texts(bare, "question")
