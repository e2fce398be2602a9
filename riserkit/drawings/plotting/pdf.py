"""Prints: one vector PDF of many sheets, at true scale, with bookmarks and searchable text.

Text in the shipped font is written as text, embedded; text that a drafter set in another font is drawn as outlines
with the same text invisible over it, so that it too can be found.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d, ImageData
from ezdxf.addons.drawing.properties import BackendProperties, Properties
from ezdxf.math import Matrix44, Vec2
from ezdxf.path import Curve3To, LineTo, MoveTo
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas as PdfCanvas

from riserkit.drawings.drafting.boxes import Point, Rect
from riserkit.drawings.drafting.document import write_whole
from riserkit.drawings.drafting.text import FONT_FILE, font_path, text_width_mm
from riserkit.drawings.plotting.strokes import PlottedSheet, SheetPipeline, plot_through, read_sheet

POINTS_PER_MM: Final = 72 / 25.4
_FONT: Final = "RK"
_CAP_HEIGHT: Final = 1493 / 2048
"""Height of the shipped font's capitals in ems; checked against the font by a test."""


@cache
def _register_font() -> None:
    pdfmetrics.registerFont(TTFont(_FONT, str(font_path())))


class PdfBackend(Backend):
    """Strokes and fills of one page."""

    def __init__(self, pdf: PdfCanvas) -> None:
        super().__init__()
        self._pdf = pdf
        self._state: tuple[str, float] | None = None

    def set_background(self, color: str) -> None:
        """Paper is white."""

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        """A dot as wide as the line."""
        self.draw_line(pos, pos, properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        """One stroke."""
        self._pen(properties)
        self._pdf.line(*_pt(start), *_pt(end))

    def draw_solid_lines(self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties) -> None:
        """Many strokes of one pen."""
        self._pen(properties)
        self._pdf.lines([(*_pt(start), *_pt(end)) for start, end in lines])

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        """A stroke along a path."""
        if len(path):
            self._pen(properties)
            self._pdf.drawPath(self._path([path], close=False), stroke=1, fill=0)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        """Shapes with holes, even-odd."""
        shapes = [path for path in paths if len(path)]
        if shapes:
            self._brush(properties)
            self._pdf.drawPath(self._path(shapes, close=True), stroke=0, fill=1, fillMode=0)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        """One shape without holes."""
        vertices = [_pt(vertex) for vertex in points.vertices()]
        if len(vertices) < 3:
            return
        self._brush(properties)
        path = self._pdf.beginPath()
        path.moveTo(*vertices[0])
        for vertex in vertices[1:]:
            path.lineTo(*vertex)
        path.close()
        self._pdf.drawPath(path, stroke=0, fill=1)

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None:
        """Pictures inside drawings are not printed; sheets hold none."""

    def clear(self) -> None:
        """Nothing to clear: a page is written as it comes."""

    def draw_string(self, text: str, transform: Matrix44, cap_height: float, color: str, *, visible: bool) -> None:
        """A line of text as text; invisible text is there to be found."""
        size = cap_height / _CAP_HEIGHT * POINTS_PER_MM
        a, b, c, d = _turn(transform)
        string = self._pdf.beginText()
        string.setFont(_FONT, size)
        string.setTextRenderMode(0 if visible else 3)
        string.setFillColorRGB(*_rgb(color))
        at = transform.transform((0, 0, 0))
        string.setTextTransform(a, b, c, d, *_pt(Vec2(at)))
        string.textOut(text)
        self._pdf.drawText(string)
        self._state = None

    def _path(self, paths: Sequence[BkPath2d], *, close: bool) -> Any:
        pdf_path = self._pdf.beginPath()
        for path in paths:
            _trace(pdf_path, path)
            if close:
                pdf_path.close()
        return pdf_path

    def _pen(self, properties: BackendProperties) -> None:
        width = max(properties.lineweight, 0.05) * POINTS_PER_MM
        if self._state != (properties.color, width):
            self._pdf.setStrokeColorRGB(*_rgb(properties.color))
            self._pdf.setLineWidth(width)
            self._state = (properties.color, width)

    def _brush(self, properties: BackendProperties) -> None:
        self._pdf.setFillColorRGB(*_rgb(properties.color))


class _TextPipeline(SheetPipeline):
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


def write_pdf(dxf_paths: Sequence[Path], pdf_path: Path, *, title: str = "") -> None:
    """One PDF of the first layout of each drawing, a bookmark a sheet.

    Raises:
        DrawingError: a drawing cannot be read, or the PDF cannot be written.
    """
    write_whole(pdf_path, pdf_bytes((read_sheet(path) for path in dxf_paths), title=title))


def pdf_bytes(sheets: Iterable[PlottedSheet], *, title: str = "") -> bytes:
    """The PDF as bytes, equal for equal sheets; one sheet is held at a time."""
    _register_font()
    stream = io.BytesIO()
    # invariant: no date, no random id
    pdf = PdfCanvas(stream, invariant=1, pageCompression=1)
    pdf.setTitle(title)
    pdf.setCreator("riserkit")
    for number, sheet in enumerate(sheets):
        _draw_page(pdf, sheet, f"sheet{number}")
    pdf.save()
    return stream.getvalue()


def _draw_page(pdf: PdfCanvas, sheet: PlottedSheet, key: str) -> None:
    pdf.setPageSize((sheet.width_mm * POINTS_PER_MM, sheet.height_mm * POINTS_PER_MM))
    pdf.bookmarkPage(key)
    pdf.addOutlineEntry(sheet.name, key, level=0)
    pdf.setLineCap(1)
    pdf.setLineJoin(1)
    paper = Rect(0, 0, sheet.width_mm, sheet.height_mm)
    plot_through(sheet, _TextPipeline(PdfBackend(pdf), paper))
    pdf.showPage()


def _trace(pdf_path: Any, path: BkPath2d) -> None:
    current = _pt(path.start)
    pdf_path.moveTo(*current)
    for command in path.commands():
        end = _pt(command.end)
        if isinstance(command, MoveTo):
            pdf_path.moveTo(*end)
        elif isinstance(command, LineTo):
            pdf_path.lineTo(*end)
        elif isinstance(command, Curve3To):
            ctrl = _pt(command.ctrl)
            # a quadratic curve as a cubic one
            pdf_path.curveTo(*_third(current, ctrl), *_third(end, ctrl), *end)
        else:
            pdf_path.curveTo(*_pt(command.ctrl1), *_pt(command.ctrl2), *end)
        current = end


def _third(end: Point, ctrl: Point) -> Point:
    return end[0] + (ctrl[0] - end[0]) * 2 / 3, end[1] + (ctrl[1] - end[1]) * 2 / 3


def _pt(point: Any) -> Point:
    return point.x * POINTS_PER_MM, point.y * POINTS_PER_MM


def _turn(m: Matrix44) -> tuple[float, float, float, float]:
    """Rotation, stretch and mirror of a transformation, without its displacement."""
    x, y = m.transform_direction((1, 0, 0)), m.transform_direction((0, 1, 0))
    return tuple(v if math.isfinite(v) else 0.0 for v in (x.x, x.y, y.x, y.y))  # type: ignore[return-value]


def _rgb(color: str) -> tuple[float, float, float]:
    return int(color[1:3], 16) / 255, int(color[3:5], 16) / 255, int(color[5:7], 16) / 255
