"""A front elevation of an opening seen from the unsecured side, to scale, as plain geometry.

Coordinates are millimetres of paper, y upward, the origin at the floor line's crossing with the opening's left edge.
What is on the secured side, or inside the wall and above the ceiling, is hidden from here and drawn dashed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.balloons import place_balloons
from riserkit.drawings.elevation.dimensions import beside_m, dimension_rect, dimensions_of, extension_rects, paper_point
from riserkit.drawings.elevation.mask import masked
from riserkit.drawings.elevation.values import (
    LETTERING_MM,
    Dimension,
    Elevation,
    ElevationDevice,
    ElevationStroke,
    OpeningShape,
    PlacedDevice,
    StrokeKind,
)
from riserkit.drawings.setting.scale import DrawingScale, length_text
from riserkit.quantities.printed import UnitSystem

ABOVE_CEILING_MM: Final = 9.5
FRAME_M: Final = 0.05
_NOTE_MM: Final = 5.0
_APART_MM: Final = 1.2
_ROOM_ABOVE_MM: Final = 14.0
_MASK_MM: Final = 0.3


@lru_cache(maxsize=1024)
def elevation_of(
    shape: OpeningShape, devices: tuple[ElevationDevice, ...], scale: DrawingScale, unit_system: UnitSystem
) -> Elevation:
    """Draw an opening with its devices at one scale."""
    strokes = tuple(_strokes(shape, scale))
    notes = tuple(_notes(shape, scale, unit_system))
    written = [Rect(x, y, x + text_width_mm(t, LETTERING_MM), y + LETTERING_MM) for t, (x, y) in notes]
    placed = _apart(devices, scale, written)
    rects = [_body(d.symbol).moved(*at) for d, at in placed]
    dimensions = tuple(dimensions_of(shape, devices, scale, unit_system, rects))
    extent = _extent(shape, scale, dimensions, rects)
    taken = [r for d in dimensions for r in (dimension_rect(d), *extension_rects(d))] + written
    named = [(d.ref, r) for d, r in zip(devices, rects, strict=True)]
    # balloons may go higher than anything else: what hangs above the ceiling is close together
    balloons = place_balloons(named, taken, _segments(strokes), extent._replace(y1=extent.y1 + _ROOM_ABOVE_MM))
    extent = extent._replace(y1=max([extent.y1, *(b.rect.y1 + 1 for b in balloons)]))
    found = tuple(
        PlacedDevice(d, at, rect, balloon) for (d, at), rect, balloon in zip(placed, rects, balloons, strict=True)
    )
    fronts = [r for p in found for r in (p.rect.inset(-_MASK_MM), p.balloon.rect.inset(-_MASK_MM))]
    seen = tuple(ElevationStroke(s.kind, points) for s in strokes for points in masked(s.points, fronts))
    return Elevation(shape, scale, seen, found, dimensions, notes, extent, unit_system)


def _apart(
    devices: Sequence[ElevationDevice], scale: DrawingScale, written: Sequence[Rect]
) -> list[tuple[ElevationDevice, Point]]:
    """Devices with their middles; symbols are larger than the things, so some must give way, sideways only."""
    found: list[tuple[ElevationDevice, Point]] = []
    rects = list(written)
    for device in sorted(devices, key=lambda d: (d.symbol != "elev_strike", devices.index(d))):
        x, y = paper_point(scale, device.x_m, device.y_m)
        x, y = round(x + device.offset_mm[0], 3), round(y + device.offset_mm[1], 3)
        body = _body(device.symbol)
        while met := [r for r in rects if r.inset(-_APART_MM).overlaps(body.moved(x, y))]:
            ahead = max(met, key=lambda r: device.push * r.center[0])
            reach = (ahead.x1 if device.push > 0 else ahead.x0) + device.push * (_APART_MM + 0.01)
            x = round(reach - (body.x0 if device.push > 0 else body.x1), 3)
        rects.append(body.moved(x, y))
        found.append((device, (x, y)))
    return sorted(found, key=lambda f: devices.index(f[0]))


def _body(symbol: str) -> Rect:
    return SYMBOLS[symbol].body


def _strokes(shape: OpeningShape, scale: DrawingScale) -> Iterator[ElevationStroke]:
    w, h, f = shape.width_m, shape.height_m, FRAME_M

    def line(kind: StrokeKind, *points: Point) -> ElevationStroke:
        return ElevationStroke(kind, tuple(paper_point(scale, *p) for p in points))

    beside = beside_m(scale)
    yield line("floor", (-beside, 0), (w + beside, 0))
    if shape.type == "gate":
        for x in (-0.1, w):
            yield line("frame", (x, 0), (x, h + 0.1), (x + 0.1, h + 0.1), (x + 0.1, 0))
    else:
        yield line("frame", (-f, 0), (-f, h + f), (w + f, h + f), (w + f, 0))
        yield line("leaf", (0, 0), (0, h), (w, h), (w, 0))
        if shape.ceiling_m is not None:
            yield line("ceiling", (-beside, shape.top_m), (w + beside, shape.top_m))
    yield from (line(kind, *points) for kind, points in _leaves(shape))


def _leaves(shape: OpeningShape) -> Iterator[tuple[StrokeKind, tuple[Point, ...]]]:
    w, h = shape.width_m, shape.height_m
    if shape.type == "double":
        yield "leaf", ((w / 2, 0), (w / 2, h))
        yield "swing", ((w / 2, h), (0, h / 2), (w / 2, 0))
        yield "swing", ((w / 2, h), (w, h / 2), (w / 2, 0))
        return
    latch, hinge = (w, 0.0) if shape.hinges == "left" else (0.0, w)
    if shape.type == "gate":
        yield "leaf", ((0, 0.1), (w, 0.1), (w, h), (0, h), (0, 0.1))
    # the dashed lines meet at the hinges, as builders draw it
    yield "swing", ((latch, h), (hinge, h / 2), (latch, 0))


def _notes(shape: OpeningShape, scale: DrawingScale, unit_system: UnitSystem) -> Iterator[tuple[str, Point]]:
    x, y = paper_point(scale, -beside_m(scale), 0)
    yield "Floor", (x, y - LETTERING_MM - 1.2)
    if shape.ceiling_m is None or shape.type == "gate":
        return
    x, y = paper_point(scale, -beside_m(scale), shape.top_m)
    lowered = abs(shape.ceiling_m - shape.top_m) > 1e-6
    yield f"Ceiling {length_text(shape.ceiling_m, unit_system)}", (x, y + 1.2)
    if lowered:
        yield "drawn lower", (x, y - LETTERING_MM - 1.2)


def _extent(shape: OpeningShape, scale: DrawingScale, dimensions: Sequence[Dimension], rects: Sequence[Rect]) -> Rect:
    left, bottom = paper_point(scale, -beside_m(scale), 0)
    right, top = paper_point(scale, shape.width_m + beside_m(scale), shape.top_m)
    boxes = [Rect(left, bottom - _NOTE_MM, right, top + ABOVE_CEILING_MM), *map(dimension_rect, dimensions), *rects]
    return Rect(
        min(b.x0 for b in boxes) - 2,
        min(b.y0 for b in boxes) - 1,
        max(b.x1 for b in boxes) + 2,
        max(b.y1 for b in boxes) + 2,
    )


def _segments(strokes: Sequence[ElevationStroke]) -> list[tuple[Point, Point]]:
    return [pair for s in strokes for pair in zip(s.points, s.points[1:], strict=False)]
