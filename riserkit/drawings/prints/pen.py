"""Pages drawn without a drawing behind them: text, lines and fills at places in millimetres, as plain values for the PDF.

What a sheet of the set prints can be put on such a page as a picture, at any scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal

from ezdxf.fonts import fonts
from ezdxf.fonts.fonts import font_manager
from ezdxf.math import Matrix44

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.text import FALLBACK_FILE, needs_fallback, shown_text, text_width_mm, with_code_points
from riserkit.drawings.prints.pdf import (
    CAP_HEIGHT,
    POINTS_PER_MM,
    Drawn,
    PdfPage,
    PdfPen,
    Photo,
    Segment,
    Shape,
    Strokes,
    Words,
    page_of,
    traced,
)
from riserkit.drawings.prints.strokes import PlottedSheet

BLACK: Final = "#000000"
WHITE: Final = "#ffffff"
GREY: Final = "#d9d9d9"
_UPRIGHT: Final = (1.0, 0.0, 0.0, 1.0)


class PagePen:
    """One page; the origin is its lower left corner, heights of text are those of capitals.

    Args:
        name: its bookmark.
        width_mm, height_mm: of the paper.
    """

    def __init__(self, name: str, width_mm: float, height_mm: float) -> None:
        self.name, self.width_mm, self.height_mm = name, width_mm, height_mm
        self._drawn: list[Drawn] = []

    def text(
        self,
        text: str,
        at: Point,
        height_mm: float,
        anchor: Literal["left", "center", "right"] = "left",
        color: str = BLACK,
    ) -> None:
        """One line of text on its baseline; letters that the shipped font lacks as on the drawings."""
        shown = shown_text(text)
        if needs_fallback(shown) and not font_manager.has_font(FALLBACK_FILE):
            shown = with_code_points(shown)
        width = text_width_mm(shown, height_mm)
        x = at[0] - {"left": 0.0, "center": 0.5, "right": 1.0}[anchor] * width
        lacking = needs_fallback(shown)
        if lacking:
            path = fonts.make_font(FALLBACK_FILE, height_mm).text_path(shown)
            path.transform_inplace(Matrix44.translate(x, at[1], 0))
            self._drawn.append(Shape(tuple(traced(path)), color, has_holes=True))
        size = height_mm / CAP_HEIGHT * POINTS_PER_MM
        place = (x * POINTS_PER_MM, at[1] * POINTS_PER_MM)
        self._drawn.append(Words(shown, size, color, not lacking, (*_UPRIGHT, *place)))

    def line(self, start: Point, end: Point, width_mm: float = 0.18) -> None:
        """A straight line."""
        self._drawn.append(PdfPen(BLACK, width_mm * POINTS_PER_MM))
        self._drawn.append(Strokes(((*_points(start), *_points(end)),)))

    def polyline(self, points: Sequence[Point], width_mm: float) -> None:
        """Straight strokes from point to point."""
        self._drawn.append(PdfPen(BLACK, width_mm * POINTS_PER_MM))
        self._drawn.append(Shape(tuple(_through(points))))

    def polygon(self, points: Sequence[Point]) -> None:
        """A shape filled black."""
        self._drawn.append(Shape((*_through(points), ("close", ())), BLACK))

    def rect(self, rect: Rect, width_mm: float = 0.18) -> None:
        """The outline of a box."""
        self._drawn.append(PdfPen(BLACK, width_mm * POINTS_PER_MM))
        self._drawn.append(Shape((_outline(rect),)))

    def fill(self, rects: Iterable[Rect], color: str = BLACK) -> None:
        """Boxes filled with a colour; they may touch, and do not lie over one another."""
        segments = tuple(_outline(rect) for rect in rects)
        if segments:
            self._drawn.append(Shape(segments, color))

    def picture(self, picture: PdfPage, at: Point, scale: float = 1.0) -> None:
        """What another page shows, with its lower left corner at a point."""
        x, y = _points(at)
        self._drawn += [_placed(item, x, y, scale) for item in picture.drawn]

    def photo(self, data: bytes, rect: Rect) -> None:
        """A photograph, the bytes of a JPEG file, filling a box."""
        size = rect.width * POINTS_PER_MM, rect.height * POINTS_PER_MM
        self._drawn.append(Photo(data, (*_points((rect.x0, rect.y0)), *size)))

    def page(self) -> PdfPage:
        """The page as it stands."""
        return PdfPage(self.name, self.width_mm, self.height_mm, tuple(self._drawn))


def picture_of(canvas: Canvas) -> PdfPage:
    """What a canvas prints, without a file between."""
    layout = canvas.doc.layouts.get(canvas.name)
    return page_of(PlottedSheet(canvas.doc, layout, canvas.size.width_mm, canvas.size.height_mm))


def _through(points: Sequence[Point]) -> Iterable[Segment]:
    for n, point in enumerate(points):
        yield ("lineTo" if n else "moveTo"), _points(point)


def _outline(rect: Rect) -> Segment:
    return "rect", (*_points((rect.x0, rect.y0)), *_points((rect.width, rect.height)))


def _placed(item: Drawn, x: float, y: float, scale: float) -> Drawn:
    if isinstance(item, PdfPen):
        return item._replace(width=item.width * scale)
    if isinstance(item, Strokes):
        return Strokes(tuple((x + a * scale, y + b * scale, x + c * scale, y + d * scale) for a, b, c, d in item.ends))
    if isinstance(item, Shape):
        return item._replace(
            segments=tuple((step, _moved(step, numbers, x, y, scale)) for step, numbers in item.segments)
        )
    if isinstance(item, Photo):
        left, low, width, height = item.box
        return item._replace(box=(x + left * scale, y + low * scale, width * scale, height * scale))
    *turn, at_x, at_y = item.matrix
    matrix = (*turn, x + at_x * scale, y + at_y * scale)
    return item._replace(size=item.size * scale, matrix=matrix)  # type: ignore[arg-type]


def _moved(step: str, numbers: tuple[float, ...], x: float, y: float, scale: float) -> tuple[float, ...]:
    if step == "rect":
        left, low, width, height = numbers
        return x + left * scale, y + low * scale, width * scale, height * scale
    return tuple((y if n % 2 else x) + number * scale for n, number in enumerate(numbers))


def _points(point: Point) -> Point:
    return point[0] * POINTS_PER_MM, point[1] * POINTS_PER_MM
