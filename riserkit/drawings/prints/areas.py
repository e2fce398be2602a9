"""A sheet as a page of a browser shows it: what it prints, and where on it the things of the model stand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from ezdxf.addons.drawing.backend import BkPath2d, BkPoints2d
from ezdxf.addons.drawing.properties import BackendProperties, Properties
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.math import Matrix44, Vec2

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.prints.pdf import PdfBackend, PdfPage, TextPipeline
from riserkit.drawings.prints.strokes import PlottedSheet, plot_through

_NEAR_MM: Final = 2.0
"""Boxes of one thing that lie as near are one."""

Wanted = Callable[[str, str], str]
"""For a model id and the kind of entity that stands for it, the thing whose area that adds to; empty for none."""


@dataclass(frozen=True, slots=True)
class SheetPicture:
    """One sheet.

    Args:
        page: all that it prints.
        areas: boxes by model id, in millimetres from the lower left corner; symbols come before labels.
    """

    page: PdfPage
    areas: Mapping[str, tuple[Rect, ...]]


class _AreaBackend(PdfBackend):
    """Notes the box of every stroke of what is asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.subject = ""
        self.boxes: dict[str, list[Rect]] = {}

    def _note(self, points: Iterable[Vec2]) -> None:
        found = [(p.x, p.y) for p in points] if self.subject else []
        if found:
            xs, ys = [x for x, _ in found], [y for _, y in found]
            self.boxes.setdefault(self.subject, []).append(Rect(min(xs), min(ys), max(xs), max(ys)))

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        self._note((start, end))
        super().draw_line(start, end, properties)

    def draw_solid_lines(self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties) -> None:
        kept = list(lines)
        self._note(point for line in kept for point in line)
        super().draw_solid_lines(kept, properties)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        if self.subject and len(path):
            self._note(path.control_vertices())
        super().draw_path(path, properties)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        if self.subject:
            self._note(points.vertices())
        super().draw_filled_polygon(points, properties)

    def draw_string(self, text: str, transform: Matrix44, cap_height: float, color: str, *, visible: bool) -> None:
        if self.subject:
            wide = text_width_mm(text, cap_height)
            corners = ((0, 0, 0), (wide, 0, 0), (0, cap_height, 0), (wide, cap_height, 0))
            self._note(Vec2(transform.transform(corner)) for corner in corners)
        super().draw_string(text, transform, cap_height, color, visible=visible)


class _AreaPipeline(TextPipeline):
    """Knows of everything drawn what it stands for; parts of a block stand for what the block does."""

    backend: _AreaBackend

    def __init__(self, backend: _AreaBackend, paper: Rect, wanted: Wanted) -> None:
        super().__init__(backend, paper)
        self._wanted = wanted
        self._outer: list[str] = []

    def enter_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        self._outer.append(self.backend.subject)
        mark = read_mark(entity)
        if mark is not None:
            self.backend.subject = self._wanted(mark.model_id, entity.dxftype())
        super().enter_entity(entity, properties)

    def exit_entity(self, entity: DXFGraphic) -> None:
        super().exit_entity(entity)
        self.backend.subject = self._outer.pop()


def areas_of(canvas: Canvas, wanted: Wanted) -> SheetPicture:
    """What a canvas prints, without a file between, and where things stand on it.

    Args:
        canvas: drawn.
        wanted: see there.
    """
    layout: Any = canvas.doc.layouts.get(canvas.name)
    sheet = PlottedSheet(canvas.doc, layout, canvas.size.width_mm, canvas.size.height_mm)
    backend = _AreaBackend()
    plot_through(sheet, _AreaPipeline(backend, Rect(0, 0, sheet.width_mm, sheet.height_mm), wanted))
    page = PdfPage(sheet.name, sheet.width_mm, sheet.height_mm, tuple(backend.drawn))
    return SheetPicture(page, {thing: _together(boxes) for thing, boxes in backend.boxes.items()})


def _together(boxes: Iterable[Rect]) -> tuple[Rect, ...]:
    """Few boxes in place of many: those near each other become one."""
    found: list[Rect] = []
    for box in boxes:
        grown = box
        while near := [other for other in found if grown.inset(-_NEAR_MM).overlaps(other)]:
            found = [other for other in found if other not in near]
            sides = list(zip(grown, *near, strict=True))
            grown = Rect(min(sides[0]), min(sides[1]), max(sides[2]), max(sides[3]))
        found.append(grown)
    return tuple(found)
