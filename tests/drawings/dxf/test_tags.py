"""Entities put into a file in one go: the library's own bytes, whatever they set, and by our own forms where they are many."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.lldxf.const import DXFStructureError
from ezdxf.math import Vec3

from riserkit.drawings.dxf import marks
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.document import fixed_metadata
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.tags import plain_tags


def _written(canvas: Canvas) -> tuple[str, str]:
    """What the library writes, and what is written in one go."""
    library, ours = io.StringIO(), io.StringIO()
    canvas.to_bytes()
    with fixed_metadata():
        canvas.doc.write(library)
        with plain_tags():
            canvas.doc.write(ours)
    return library.getvalue(), ours.getvalue()


@pytest.fixture
def sheet() -> Canvas:
    """A sheet with two of each kind that is put whole, some in a group, in the model and on the paper."""
    canvas = Canvas("T-601", sheet_size("A4"))
    for _ in range(2):
        with canvas.group("What is 100 % together"):
            canvas.text("Opening 101 %%d", (50, 50), anchor="middle_right", rotation_deg=90)
            canvas.line((10, 10), (20, 20.5))
            canvas.polyline([(0, 0), (1, 0), (1, 1)], closed=True, bulge=0.25)
        canvas.circle((5, 5), 2)
        canvas.arc((5, 5), 2, 0, 90)
        with canvas.paper():
            canvas.text("on paper", (20, 20))
            canvas.line((0, 0), (1, 1))
    return canvas


def _first(canvas: Canvas, kind: str) -> Any:
    return canvas.doc.modelspace().query(kind).first


def _set(kind: str, **attribs: Any) -> Callable[[Canvas], None]:
    def change(canvas: Canvas) -> None:
        vars(_first(canvas, kind).dxf).update(attribs)

    return change


def _of_a_group(canvas: Canvas) -> Any:
    return next(group for _, group in canvas.doc.groups)


CHANGES: dict[str, Callable[[Canvas], Any]] = {
    "nothing": lambda canvas: None,
    "look of its own": _set("LINE", color=3, lineweight=50, linetype="DASHED", true_color=0x102030),
    "as its default": _set("TEXT", halign=0, valign=0, rotation=0.0, oblique=0.0, width=1.0),
    "another default": _set("LINE", thickness=0, extrusion=Vec3(0, 0, 1)),
    "whole numbers": _set("CIRCLE", radius=3),
    "a point of two numbers": _set("LINE", start=(1, 2)),
    "a point of integers": _set("ARC", center=(1, 2, 3)),
    "no value": _set("TEXT", rotation=None),
    "no layer": lambda canvas: _first(canvas, "LINE").dxf.discard("layer"),
    "widths": lambda canvas: _first(canvas, "LWPOLYLINE").set_points([(0, 0, 0.5, 0), (1.25, 2, 0, 0, 1), (3, 1)]),
    "one width": _set("LWPOLYLINE", const_width=0.7, elevation=2.0),
    "no vertices": lambda canvas: _first(canvas, "LWPOLYLINE").clear(),
    "data of a program": lambda canvas: _first(canvas, "TEXT").set_app_data("OTHER", [(1, "value")]),
    "other extended data": lambda canvas: _first(canvas, "TEXT").set_xdata("RISERKIT", [(1000, "other")]),
    "a dictionary": lambda canvas: _first(canvas, "LINE").new_extension_dict().add_dictionary_var("A", "b"),
    "two that watch": lambda canvas: _first(canvas, "LINE").append_reactor_handle("A"),
    "a picture of another program": lambda canvas: setattr(_first(canvas, "CIRCLE"), "proxy_graphic", b"1234"),
    "a member that is gone": lambda canvas: _first(canvas, "TEXT").destroy(),
    "a group of none": lambda canvas: _of_a_group(canvas).clear(),
}


@pytest.mark.parametrize("change", CHANGES)
def test_bytes_are_the_librarys(sheet: Canvas, change: str) -> None:
    CHANGES[change](sheet)
    library, ours = _written(sheet)
    assert ours == library


def test_kinds_of_which_there_are_many_are_put_whole(sheet: Canvas, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each by our own form, so that the time to write a sheet does not come back unseen."""
    left: list[str] = []
    write = DXFEntity.export_dxf

    def by_the_library(self: DXFEntity, tagwriter: Any) -> None:
        left.append(self.dxftype())
        write(self, tagwriter)

    monkeypatch.setattr(DXFEntity, "export_dxf", by_the_library)
    sheet.to_bytes()
    assert {"LINE", "CIRCLE", "ARC", "TEXT", "LWPOLYLINE", "GROUP"}.isdisjoint(left)
    assert "VIEWPORT" in left
    assert DXFEntity.export_dxf is by_the_library


def test_a_group_across_layouts_is_refused_as_the_library_does(sheet: Canvas) -> None:
    _of_a_group(sheet)[0].dxf.owner = sheet.doc.layouts.active_layout().layout_key
    with pytest.raises(DXFStructureError, match="same layout"):
        sheet.to_bytes()


def test_a_text_with_a_line_end_is_refused_as_the_library_does(sheet: Canvas) -> None:
    """It would be read as the group code of the next value."""
    _set("TEXT", text="two\nlines")(sheet)
    with pytest.raises(AssertionError, match="line break"):
        sheet.to_bytes()


def test_a_mark_stands_beside_what_others_put_on_an_entity(sheet: Canvas) -> None:
    """Marking it again keeps their data, and whoever takes all data away takes the mark too."""
    text = _first(sheet, "TEXT")
    mark = marks.read_mark(text)
    assert mark is not None
    sheet.doc.appids.add("OTHER")
    text.set_xdata("OTHER", [(1000, "theirs")])
    marks.set_mark(text, mark._replace(model_id="opening:102"))
    assert marks.marked_as(text) == "opening:102"
    assert text.get_xdata("OTHER")[-1].value == "theirs"
    line = _first(sheet, "LINE")
    line.xdata.data = {}
    assert marks.read_mark(line) is None
