"""Pictures: a sheet as PNG, drawn by Pillow in strips with four times the resolution and scaled down."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d, ImageData
from ezdxf.addons.drawing.properties import BackendProperties
from ezdxf.math import Vec2
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw

from riserkit.drawings.prints.strokes import PlottedSheet, plot

OVERSAMPLING: Final = 4
_STRIP_PX: Final = 256

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Shape:
    """One thing to draw, in sub-pixels from the upper left corner. A stroke's `width` is 0 for a filled shape."""

    rings: tuple[Points, ...]
    color: str
    width: float
    top: float
    bottom: float


class PngBackend(Backend):
    """Collects strokes and filled shapes, flattened."""

    def __init__(self, height_mm: float, dpi: float) -> None:
        super().__init__()
        self._scale = dpi / 25.4 * OVERSAMPLING
        self._height_mm = height_mm
        self.shapes: list[_Shape] = []

    def set_background(self, color: str) -> None:
        """Paper is white."""

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        """A dot as wide as the line."""
        self._stroke([(pos.x, pos.y), (pos.x, pos.y)], properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        """One stroke."""
        self._stroke([(start.x, start.y), (end.x, end.y)], properties)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        """A stroke along a path."""
        for part in path.sub_paths() if path.has_sub_paths else (path,):
            if len(part):
                self._stroke(self._flat(part), properties)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        """Shapes with holes, even-odd."""
        parts = (part for path in paths for part in (path.sub_paths() if path.has_sub_paths else (path,)))
        self._fill([self._flat(part) for part in parts if len(part)], properties)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        """One shape without holes."""
        self._fill([[(v.x, v.y) for v in points.vertices()]], properties)

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None:
        """Pictures inside drawings are not shown; sheets hold none."""

    def clear(self) -> None:
        """Forget what was collected."""
        self.shapes.clear()

    def _flat(self, path: BkPath2d) -> list[tuple[float, float]]:
        return [(v.x, v.y) for v in path.flattening(self.config.max_flattening_distance, segments=4)]

    def _pixels(self, points: Sequence[tuple[float, float]]) -> Points:
        pixels = np.array(points, dtype=np.float64) * self._scale
        pixels[:, 1] = self._height_mm * self._scale - pixels[:, 1]
        return pixels

    def _stroke(self, points: Sequence[tuple[float, float]], properties: BackendProperties) -> None:
        ring, width = self._pixels(points), max(1.0, max(properties.lineweight, 0.05) * self._scale)
        top, bottom = ring[:, 1].min() - width, ring[:, 1].max() + width
        self.shapes.append(_Shape((ring,), properties.color[:7], width, top, bottom))

    def _fill(self, rings: Sequence[Sequence[tuple[float, float]]], properties: BackendProperties) -> None:
        pixels = tuple(self._pixels(ring) for ring in rings if len(ring) > 2)
        if pixels:
            top, bottom = min(r[:, 1].min() for r in pixels), max(r[:, 1].max() for r in pixels)
            self.shapes.append(_Shape(pixels, properties.color[:7], 0.0, top, bottom))


def png_bytes(sheet: PlottedSheet, dpi: float) -> bytes:
    """The sheet as a PNG file's content, equal for equal sheets."""
    backend = PngBackend(sheet.height_mm, dpi)
    plot(sheet, backend)
    width, height = round(sheet.width_mm / 25.4 * dpi), round(sheet.height_mm / 25.4 * dpi)
    mode: Literal["L", "RGB"] = "L" if all(_is_grey(shape.color) for shape in backend.shapes) else "RGB"
    picture = Image.new(mode, (width, height), "white")
    for top, strip in _strips(backend.shapes, (width, height), mode):
        picture.paste(strip, (0, top))
    stream = io.BytesIO()
    picture.save(stream, "PNG", dpi=(dpi, dpi), optimize=False)
    return stream.getvalue()


def _strips(
    shapes: Sequence[_Shape], size: tuple[int, int], mode: Literal["L", "RGB"]
) -> Iterator[tuple[int, Image.Image]]:
    """Strips from the top down, each scaled to its final size: a whole large sheet would need gigabytes."""
    width, height = size
    for top in range(0, height, _STRIP_PX):
        rows = min(_STRIP_PX, height - top)
        strip = Image.new(mode, (width * OVERSAMPLING, rows * OVERSAMPLING), "white")
        low, high = top * OVERSAMPLING, (top + rows) * OVERSAMPLING
        for shape in shapes:
            if shape.top < high and shape.bottom > low:
                _draw(strip, shape, low)
        yield top, strip.resize((width, rows), Image.Resampling.BOX)


def _draw(strip: Image.Image, shape: _Shape, top: int) -> None:
    rings = [ring - (0, top) for ring in shape.rings]
    if shape.width:
        _draw_stroke(ImageDraw.Draw(strip), rings[0], shape.width, shape.color)
    elif len(rings) == 1:
        ImageDraw.Draw(strip).polygon(_flat(rings[0]), fill=shape.color)
    else:
        _draw_rings(strip, rings, shape.color)


def _draw_stroke(draw: ImageDraw.ImageDraw, ring: Points, width: float, color: str) -> None:
    draw.line(_flat(ring), fill=color, width=round(width))
    if width > 2:
        radius = width / 2 - 0.5
        for x, y in ring:
            draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=color)


def _draw_rings(strip: Image.Image, rings: Sequence[Points], color: str) -> None:
    """Even-odd filling over a mask as large as the shape."""
    every = np.concatenate(rings)
    x0, y0 = np.floor(every.min(axis=0)).astype(int)
    x1, y1 = np.ceil(every.max(axis=0)).astype(int) + 1
    size = (int(x1 - x0), int(y1 - y0))
    mask = Image.new("1", size)
    for group in _apart(rings):
        layer = Image.new("1", size)
        draw = ImageDraw.Draw(layer)
        for ring in group:
            draw.polygon(_flat(ring - (x0, y0)), fill=1)
        mask = ImageChops.logical_xor(mask, layer)
    strip.paste(color, (int(x0), int(y0)), mask)


def _apart(rings: Sequence[Points]) -> list[list[Points]]:
    """Rings in groups whose members' boxes do not touch, so that one pass draws many letters."""
    groups: list[tuple[list[Points], list[tuple[float, float, float, float]]]] = []
    for ring in rings:
        box = (*ring.min(axis=0), *ring.max(axis=0))
        for members, boxes in groups:
            if not any(_touch(box, other) for other in boxes):
                members.append(ring)
                boxes.append(box)
                break
        else:
            groups.append(([ring], [box]))
    return [members for members, _ in groups]


def _touch(a: Sequence[float], b: Sequence[float]) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _flat(ring: Points) -> list[Any]:
    flat: list[Any] = ring.ravel().tolist()
    return flat


def _is_grey(color: str) -> bool:
    return color[1:3] == color[3:5] == color[5:7]
