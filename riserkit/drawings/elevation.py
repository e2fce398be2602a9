"""A front elevation of an opening seen from the unsecured side, to scale, as plain geometry.

Coordinates are millimetres of paper, y upward, the origin at the floor line's crossing with the opening's left edge.
What stands on the secured side, or inside the wall and above the ceiling, is hidden from here and drawn dashed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from riserkit.drawings.boxes import Point, Rect
from riserkit.drawings.elevation_balloons import Balloon, place_balloons
from riserkit.drawings.elevation_mask import masked
from riserkit.drawings.elevation_scale import DrawingScale, length_text
from riserkit.drawings.symbols import SYMBOLS
from riserkit.drawings.text import text_width_mm
from riserkit.units import UnitSystem

LETTERING_MM: Final = 2.5
DIM_PITCH_MM: Final = 7.0
WALL_BESIDE_M: Final = 0.9
WALL_BESIDE_MM: Final = 20.0
ABOVE_CEILING_MM: Final = 9.5
MOST_ABOVE_HEAD_M: Final = 0.9
FRAME_M: Final = 0.05
_NOTE_MM: Final = 5.0
_APART_MM: Final = 1.2
_ROOM_ABOVE_MM: Final = 14.0
_MASK_MM: Final = 0.3

StrokeKind = Literal["frame", "leaf", "swing", "floor", "ceiling", "wall"]


@dataclass(frozen=True, slots=True)
class OpeningShape:
    """What an elevation shows of the opening itself. `width_m` is that of the whole opening, both leaves together."""

    type: Literal["single", "double", "gate"]
    width_m: float
    height_m: float
    hinges: Literal["left", "right"]
    ceiling_m: float | None

    @property
    def latch_x_m(self) -> float:
        """Where the latch is: the edge away from the hinges, or between two leaves."""
        if self.type == "double":
            return self.width_m / 2
        return self.width_m if self.hinges == "left" else 0.0

    @property
    def outward(self) -> int:
        """Direction from the latch to the wall beside it: +1 to the right."""
        return 1 if self.type == "double" or self.hinges == "left" else -1

    @property
    def wall_x_m(self) -> float:
        """Edge of the opening on the latch side, beside which readers and buttons stand."""
        return self.width_m if self.outward > 0 else 0.0

    @property
    def top_m(self) -> float:
        """Ceiling as drawn: high ones are brought down, and say so."""
        if self.ceiling_m is None:
            return self.height_m + 0.3
        return min(max(self.ceiling_m, self.height_m + 0.25), self.height_m + MOST_ABOVE_HEAD_M)


@dataclass(frozen=True, slots=True)
class ElevationDevice:
    """A device in the elevation.

    Args:
        ref: designation, as in the wiring diagram.
        title: in words.
        symbol: block that draws it.
        x_m: from the opening's left edge.
        y_m: height of its centre above the finished floor, as drawn.
        hidden: it cannot be seen from the unsecured side.
        height_m: what its dimension says; None where it stands above the ceiling.
        basis: how its height is known: `stated` or `typical`.
        dimensioned: its height is drawn as a dimension.
        push: direction in which it gives way, +1 to the right, where its symbol would meet another's.
        offset_mm: of the symbol's middle from its true place, so that lines of the door do not run through it.
    """

    ref: str
    title: str
    symbol: str
    x_m: float
    y_m: float
    hidden: bool
    height_m: float | None
    basis: str
    dimensioned: bool = False
    push: int = 1
    offset_mm: Point = (0.0, 0.0)


class Stroke(NamedTuple):
    """A line of the opening or the building."""

    kind: StrokeKind
    points: tuple[Point, ...]


class PlacedDevice(NamedTuple):
    """A device with the rectangle it covers and its balloon."""

    device: ElevationDevice
    center: Point
    rect: Rect
    balloon: Balloon


class Dimension(NamedTuple):
    """A dimension: two points, a point of its line, its text, upright or level."""

    start: Point
    end: Point
    line_at: Point
    text: str
    upright: bool


@dataclass(frozen=True)
class Elevation:
    """The whole of it, with the rectangle that it covers."""

    shape: OpeningShape
    scale: DrawingScale
    strokes: tuple[Stroke, ...]
    devices: tuple[PlacedDevice, ...]
    dimensions: tuple[Dimension, ...]
    notes: tuple[tuple[str, Point], ...]
    extent: Rect


@lru_cache(maxsize=1024)
def elevation_of(
    shape: OpeningShape, devices: tuple[ElevationDevice, ...], scale: DrawingScale, unit_system: UnitSystem
) -> Elevation:
    """Draw an opening with its devices at one scale."""
    strokes = tuple(_strokes(shape, scale))
    dimensions = tuple(_dimensions(shape, devices, scale, unit_system))
    notes = tuple(_notes(shape, scale, unit_system))
    written = [Rect(x, y, x + text_width_mm(t, LETTERING_MM), y + LETTERING_MM) for t, (x, y) in notes]
    placed = _apart(devices, scale, written)
    rects = [_body(d.symbol).moved(*at) for d, at in placed]
    extent = _extent(shape, scale, dimensions, rects)
    taken = [r for d in dimensions for r in (_dimension_text(d), *_extension_lines(d))] + written
    named = [(d.ref, r) for d, r in zip(devices, rects, strict=True)]
    # balloons may go higher than anything else: what hangs above the ceiling stands close together
    balloons = place_balloons(named, taken, _segments(strokes), extent._replace(y1=extent.y1 + _ROOM_ABOVE_MM))
    extent = extent._replace(y1=max([extent.y1, *(b.rect.y1 + 1 for b in balloons)]))
    found = tuple(
        PlacedDevice(d, at, rect, balloon) for (d, at), rect, balloon in zip(placed, rects, balloons, strict=True)
    )
    fronts = [r for p in found for r in (p.rect.inset(-_MASK_MM), p.balloon.rect.inset(-_MASK_MM))]
    seen = tuple(Stroke(s.kind, points) for s in strokes for points in masked(s.points, fronts))
    return Elevation(shape, scale, seen, found, dimensions, notes, extent)


def fitting_scale(
    shape: OpeningShape,
    devices: tuple[ElevationDevice, ...],
    scales: Sequence[DrawingScale],
    room_mm: tuple[float, float],
    unit_system: UnitSystem,
) -> Elevation:
    """The elevation at the largest of the scales at which it fits the room; at the smallest when none does."""
    for scale in scales:
        made = elevation_of(shape, devices, scale, unit_system)
        if made.extent.width <= room_mm[0] and made.extent.height <= room_mm[1]:
            return made
    return made


def _at(scale: DrawingScale, x_m: float, y_m: float) -> Point:
    return round(x_m * 1000 / scale.ratio, 3), round(y_m * 1000 / scale.ratio, 3)


def _apart(
    devices: Sequence[ElevationDevice], scale: DrawingScale, written: Sequence[Rect]
) -> list[tuple[ElevationDevice, Point]]:
    """Devices with their middles; symbols are larger than the things, so some must give way, sideways only."""
    found: list[tuple[ElevationDevice, Point]] = []
    rects = list(written)
    for device in sorted(devices, key=lambda d: (d.symbol != "elev_strike", devices.index(d))):
        x, y = _at(scale, device.x_m, device.y_m)
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


def _beside_m(scale: DrawingScale) -> float:
    """Wall shown on each side: enough for what hangs there, and for the note on the ceiling."""
    return max(WALL_BESIDE_M, WALL_BESIDE_MM * scale.ratio / 1000)


def _strokes(shape: OpeningShape, scale: DrawingScale) -> Iterator[Stroke]:
    w, h, f = shape.width_m, shape.height_m, FRAME_M

    def line(kind: StrokeKind, *points: Point) -> Stroke:
        return Stroke(kind, tuple(_at(scale, *p) for p in points))

    beside = _beside_m(scale)
    yield line("floor", (-beside, 0), (w + beside, 0))
    if shape.type == "gate":
        for x in (-0.1, w):
            yield line("frame", (x, 0), (x, h + 0.1), (x + 0.1, h + 0.1), (x + 0.1, 0))
    else:
        yield line("frame", (-f, 0), (-f, h + f), (w + f, h + f), (w + f, 0))
        yield line("leaf", (0, 0), (0, h), (w, h), (w, 0))
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
    x, y = _at(scale, -_beside_m(scale), 0)
    yield "Floor", (x, y - LETTERING_MM - 1.2)
    if shape.ceiling_m is None or shape.type == "gate":
        return
    x, y = _at(scale, -_beside_m(scale), shape.top_m)
    lowered = abs(shape.ceiling_m - shape.top_m) > 1e-6
    yield f"Ceiling {length_text(shape.ceiling_m, unit_system)}", (x, y + 1.2)
    if lowered:
        yield "drawn lower", (x, y - LETTERING_MM - 1.2)


def _dimensions(
    shape: OpeningShape, devices: Sequence[ElevationDevice], scale: DrawingScale, unit_system: UnitSystem
) -> Iterator[Dimension]:
    left, _ = _at(scale, -_beside_m(scale), 0)
    right, _ = _at(scale, shape.width_m + _beside_m(scale), 0)
    latch_side, other_side = (right, left) if shape.outward > 0 else (left, right)
    yield _height(other_side, 0, scale, shape.height_m, length_text(shape.height_m, unit_system), shape, latch=False)
    shown = [d for d in devices if d.dimensioned and d.height_m is not None]
    for n, device in enumerate(sorted(shown, key=lambda d: (d.y_m, d.ref))):
        text = f"{device.ref}  {length_text(device.height_m or 0.0, unit_system)}"
        yield _height(latch_side, n, scale, device.y_m, text, shape, latch=True)
    zero, width = _at(scale, 0, 0), _at(scale, shape.width_m, 0)
    below = -2 * LETTERING_MM - DIM_PITCH_MM
    yield Dimension(zero, width, (0, below), length_text(shape.width_m, unit_system), upright=False)


def _height(
    x: float, n: int, scale: DrawingScale, y_m: float, text: str, shape: OpeningShape, *, latch: bool
) -> Dimension:
    outward = shape.outward if latch else -shape.outward
    # the text of an upright dimension stands to the left of its line: leave its height on that side
    line_x = x + outward * (DIM_PITCH_MM * (n + 1))
    return Dimension((x, 0.0), (x, _at(scale, 0, y_m)[1]), (line_x, 0.0), text, upright=True)


def _dimension_text(dimension: Dimension) -> Rect:
    """The rectangle that a dimension's line and text cover."""
    width = text_width_mm(dimension.text, LETTERING_MM)
    if dimension.upright:
        middle = (dimension.start[1] + dimension.end[1]) / 2
        x = dimension.line_at[0]
        low, high = dimension.start[1] - 2, dimension.end[1] + 2
        return Rect(x - LETTERING_MM - 2, min(low, middle - width / 2), x + 1, max(high, middle + width / 2))
    middle = (dimension.start[0] + dimension.end[0]) / 2
    y = dimension.line_at[1]
    return Rect(min(dimension.start[0], middle - width / 2), y - 1, max(dimension.end[0], middle + width / 2), y + 4.5)


def _extension_lines(dimension: Dimension) -> tuple[Rect, ...]:
    """What the lines cover that lead from the measured points to a dimension line."""
    if dimension.upright:
        low, high = sorted((dimension.start[0], dimension.line_at[0]))
        return tuple(Rect(low, y - 0.5, high, y + 0.5) for y in (dimension.start[1], dimension.end[1]))
    low, high = sorted((dimension.start[1], dimension.line_at[1]))
    return tuple(Rect(x - 0.5, low, x + 0.5, high) for x in (dimension.start[0], dimension.end[0]))


def _extent(shape: OpeningShape, scale: DrawingScale, dimensions: Sequence[Dimension], rects: Sequence[Rect]) -> Rect:
    left, bottom = _at(scale, -_beside_m(scale), 0)
    right, top = _at(scale, shape.width_m + _beside_m(scale), shape.top_m)
    boxes = [Rect(left, bottom - _NOTE_MM, right, top + ABOVE_CEILING_MM), *map(_dimension_text, dimensions), *rects]
    return Rect(
        min(b.x0 for b in boxes) - 2,
        min(b.y0 for b in boxes) - 1,
        max(b.x1 for b in boxes) + 2,
        max(b.y1 for b in boxes) + 2,
    )


def _segments(strokes: Sequence[Stroke]) -> list[tuple[Point, Point]]:
    return [pair for s in strokes for pair in zip(s.points, s.points[1:], strict=False)]
