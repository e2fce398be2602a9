"""What a sheet prints, as plain values at true scale, its text as text that can be searched for.

Text in the shipped font is written as text, embedded; text that a drafter set in another font is drawn as outlines
with the same text invisible over it, so that it too can be found.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final, Literal, NamedTuple

from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d, ImageData
from ezdxf.addons.drawing.properties import BackendProperties, Properties
from ezdxf.fonts.fonts import font_manager
from ezdxf.math import Matrix44, Vec2
from ezdxf.path import Curve3To, LineTo, MoveTo

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.reading import workable
from riserkit.drawings.dxf.text import (
    FALLBACK_FILE,
    FONT_FILE,
    needs_fallback,
    text_width_mm,
    with_code_points,
)
from riserkit.drawings.prints.strokes import PlottedSheet, SheetPipeline, plot_through, read_sheet

POINTS_PER_MM: Final = 72 / 25.4
CAP_HEIGHT: Final = 1493 / 2048
"""Height of the shipped font's capitals in ems; checked against the font by a test."""


Segment = tuple[Literal["moveTo", "lineTo", "curveTo", "close", "rect"], tuple[float, ...]]
"""A step of an outline; of `rect` the numbers are the lower left corner, the width and the height."""


class PdfPen(NamedTuple):
    """From here on strokes have this colour and this width in points."""

    color: str
    width: float


class Strokes(NamedTuple):
    """Straight strokes, each from x, y to x, y, in points."""

    ends: tuple[tuple[float, float, float, float], ...]


class Shape(NamedTuple):
    """An outline stroked, or filled with a colour, even-odd where it has holes."""

    segments: tuple[Segment, ...]
    fill: str = ""
    has_holes: bool = False


class Words(NamedTuple):
    """A line of text: size in points, the text's own axes and place on the page."""

    text: str
    size: float
    color: str
    visible: bool
    matrix: tuple[float, float, float, float, float, float]


class Photo(NamedTuple):
    """A photograph as the bytes of a JPEG file, with its lower left corner, width and height in points."""

    data: bytes
    box: tuple[float, float, float, float]


Drawn = PdfPen | Strokes | Shape | Words | Photo


class PdfPage(NamedTuple):
    """All that is printed on one sheet, as plain values that any process may make."""

    name: str
    width_mm: float
    height_mm: float
    drawn: tuple[Drawn, ...]


class PdfBackend(Backend):
    """Takes down the strokes, fills and words of one page."""

    def __init__(self) -> None:
        super().__init__()
        self.drawn: list[Drawn] = []
        self._state: PdfPen | None = None

    def set_background(self, color: str) -> None:
        """Paper is white."""

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        """A dot as wide as the line."""
        self.draw_line(pos, pos, properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        """One stroke."""
        self._pen(properties)
        self.drawn.append(Strokes(((*_pt(start), *_pt(end)),)))

    def draw_solid_lines(self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties) -> None:
        """Many strokes of one pen."""
        self._pen(properties)
        self.drawn.append(Strokes(tuple([(*_pt(start), *_pt(end)) for start, end in lines])))

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        """A stroke along a path."""
        if len(path):
            self._pen(properties)
            self.drawn.append(Shape(tuple(traced(path))))

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        """Shapes with holes, even-odd."""
        segments = [segment for path in paths if len(path) for segment in (*traced(path), _CLOSE)]
        if segments:
            self.drawn.append(Shape(tuple(segments), properties.color, has_holes=True))

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        """One shape without holes."""
        first, *rest = [_pt(vertex) for vertex in points.vertices()] or [(0.0, 0.0)]
        if len(rest) >= 2:
            lines: list[Segment] = [("lineTo", vertex) for vertex in rest]
            self.drawn.append(Shape((("moveTo", first), *lines, _CLOSE), properties.color))

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None:
        """Pictures are never opened: a frame with the name of the file stands for each."""

    def clear(self) -> None:
        """Nothing to clear: a page is written as it comes."""

    def draw_string(self, text: str, transform: Matrix44, cap_height: float, color: str, *, visible: bool) -> None:
        """A line of text as text; invisible text is there to be found."""
        size = cap_height / CAP_HEIGHT * POINTS_PER_MM
        at = Vec2(transform.transform((0, 0, 0)))
        self.drawn.append(Words(text, size, color, visible, (*_turn(transform), *_pt(at))))
        # the colour of words is the colour of strokes to some readers
        self._state = None

    def _pen(self, properties: BackendProperties) -> None:
        pen = PdfPen(properties.color, max(properties.lineweight, 0.05) * POINTS_PER_MM)
        if self._state != pen:
            self.drawn.append(pen)
            self._state = pen


class TextPipeline(SheetPipeline):
    """Hands text on as text, with its place on the paper."""

    backend: PdfBackend

    def __init__(self, backend: PdfBackend, paper: Rect) -> None:
        super().__init__(backend)
        self._window: Rect | None = None
        self._to_paper = Matrix44()
        self._sheet = paper

    def enter_viewport(self, vp: Any) -> bool:
        """Note where the view lies on the paper."""
        x, y = float(vp.dxf.center.x), float(vp.dxf.center.y)
        half_x, half_y = float(vp.dxf.width) / 2, float(vp.dxf.height) / 2
        self._window = Rect(x - half_x, y - half_y, x + half_x, y + half_y)
        self._to_paper = vp.get_transformation_matrix()
        return super().enter_viewport(vp)

    def exit_viewport(self) -> None:
        """Back on the paper."""
        self._window, self._to_paper = None, Matrix44()
        super().exit_viewport()  # type: ignore[no-untyped-call]

    def draw_text(
        self, text: str, transform: Matrix44, properties: Properties, cap_height: float, dxftype: str = "TEXT"
    ) -> None:
        """Write text in the shipped font as text; draw any other, or text cut by the view's edge, as outlines."""
        if not text.strip():
            return
        if needs_fallback(text) and not font_manager.has_font(FALLBACK_FILE):
            # An empty box would be taken for any letter. Code points are wider than the letters that room was left for:
            # as they are they would run over what stands beside.
            room_mm, text = text_width_mm(text, cap_height), with_code_points(text)
            # marks alone take no room: they stay as wide as they are
            transform = Matrix44.scale(room_mm / text_width_mm(text, cap_height) or 1.0, 1, 1) @ transform
        on_paper = transform @ self._to_paper
        font = properties.font.filename if properties.font else ""
        native = font.lower() == FONT_FILE.lower() and self._is_whole(text, on_paper, cap_height)
        if not native:
            super().draw_text(text, transform, properties, cap_height, dxftype)
        if native or self._starts_inside(on_paper):
            color = self.get_backend_properties(properties).color
            self.backend.draw_string(text, on_paper, cap_height, color, visible=native)

    def _starts_inside(self, on_paper: Matrix44) -> bool:
        at = on_paper.transform((0, 0, 0))
        return (self._window or self._sheet).holds(Rect(at.x, at.y, at.x, at.y))

    def _is_whole(self, text: str, on_paper: Matrix44, cap_height: float) -> bool:
        far = on_paper.transform((text_width_mm(text, cap_height), cap_height, 0))
        inside = (self._window or self._sheet).holds(Rect(far.x, far.y, far.x, far.y))
        return inside and self._starts_inside(on_paper)


def page_of(sheet: PlottedSheet) -> PdfPage:
    """What one sheet prints."""
    backend, paper = PdfBackend(), Rect(0, 0, sheet.width_mm, sheet.height_mm)
    plot_through(sheet, TextPipeline(backend, paper))
    return PdfPage(sheet.name, sheet.width_mm, sheet.height_mm, tuple(backend.drawn))


def page_at(path: Path) -> PdfPage:
    """What the first layout of a drawing prints.

    Raises:
        DrawingError: it cannot be read.
    """
    sheet = read_sheet(path)
    with workable(path.name, "printed"):
        return page_of(sheet)


def traced(path: BkPath2d) -> Iterator[Segment]:
    """A path as steps, in points."""
    current = _pt(path.start)
    yield "moveTo", current
    for command in path.commands():
        end = _pt(command.end)
        if isinstance(command, MoveTo):
            yield "moveTo", end
        elif isinstance(command, LineTo):
            yield "lineTo", end
        elif isinstance(command, Curve3To):
            ctrl = _pt(command.ctrl)
            # a quadratic curve as a cubic one
            yield "curveTo", (*_third(current, ctrl), *_third(end, ctrl), *end)
        else:
            yield "curveTo", (*_pt(command.ctrl1), *_pt(command.ctrl2), *end)
        current = end


_CLOSE: Final[Segment] = ("close", ())


def _third(end: Point, ctrl: Point) -> Point:
    return end[0] + (ctrl[0] - end[0]) * 2 / 3, end[1] + (ctrl[1] - end[1]) * 2 / 3


def _pt(point: Any) -> Point:
    return point.x * POINTS_PER_MM, point.y * POINTS_PER_MM


def _turn(m: Matrix44) -> tuple[float, float, float, float]:
    """Rotation, stretch and mirror of a transformation, without its displacement."""
    x, y = m.transform_direction((1, 0, 0)), m.transform_direction((0, 1, 0))
    return tuple(v if math.isfinite(v) else 0.0 for v in (x.x, x.y, y.x, y.y))  # type: ignore[return-value]
