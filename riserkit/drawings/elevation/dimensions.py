"""Dimensions of an elevation, the rectangles they cover, and how much wall is shown beside the opening."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.values import LETTERING_MM, Dimension, ElevationDevice, OpeningShape
from riserkit.drawings.setting.scale import DrawingScale, length_text
from riserkit.quantities.printed import UnitSystem

DIM_PITCH_MM: Final = 7.0
WALL_BESIDE_M: Final = 0.9
WALL_BESIDE_MM: Final = 20.0


def paper_point(scale: DrawingScale, x_m: float, y_m: float) -> Point:
    """A point of the building on paper."""
    return round(x_m * 1000 / scale.ratio, 3), round(y_m * 1000 / scale.ratio, 3)


def beside_m(scale: DrawingScale) -> float:
    """Wall shown on each side: enough for what hangs there, and for the note on the ceiling."""
    return max(WALL_BESIDE_M, WALL_BESIDE_MM * scale.ratio / 1000)


def dimensions_of(
    shape: OpeningShape,
    devices: Sequence[ElevationDevice],
    scale: DrawingScale,
    unit_system: UnitSystem,
    rects: Sequence[Rect],
) -> Iterator[Dimension]:
    """Height and width of the opening, and the heights of the devices that ask for it."""
    # beyond the wall as drawn, and beyond devices that had to give way
    left = min([paper_point(scale, -beside_m(scale), 0)[0], *(r.x0 - 2 for r in rects)])
    right = max([paper_point(scale, shape.width_m + beside_m(scale), 0)[0], *(r.x1 + 2 for r in rects)])
    latch_side, other_side = (right, left) if shape.outward > 0 else (left, right)
    yield _height(other_side, 0, scale, shape.height_m, length_text(shape.height_m, unit_system), shape, latch=False)
    shown = [(d, _height_text(d, unit_system)) for d in devices if d.dimensioned and d.height_m is not None]
    # where a text is longer than its dimension the device table alone has the height
    told = [(d, text) for d, text in shown if text_width_mm(text, LETTERING_MM) + 2 <= paper_point(scale, 0, d.y_m)[1]]
    for n, (device, text) in enumerate(sorted(told, key=lambda t: (t[0].y_m, t[0].ref))):
        yield _height(latch_side, n, scale, device.y_m, text, shape, latch=True)
    zero, width = paper_point(scale, 0, 0), paper_point(scale, shape.width_m, 0)
    below = -2 * LETTERING_MM - DIM_PITCH_MM
    yield Dimension(zero, width, (0, below), length_text(shape.width_m, unit_system), upright=False)


def _height_text(device: ElevationDevice, unit_system: UnitSystem) -> str:
    return f"{device.ref}  {length_text(device.height_m or 0.0, unit_system)}"


def _height(
    x: float, n: int, scale: DrawingScale, y_m: float, text: str, shape: OpeningShape, *, latch: bool
) -> Dimension:
    outward = shape.outward if latch else -shape.outward
    # the text of an upright dimension stands to the left of its line: leave its height on that side
    line_x = x + outward * (DIM_PITCH_MM * (n + 1))
    return Dimension((x, 0.0), (x, paper_point(scale, 0, y_m)[1]), (line_x, 0.0), text, upright=True)


def dimension_rect(dimension: Dimension) -> Rect:
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


def extension_rects(dimension: Dimension) -> tuple[Rect, ...]:
    """What the lines cover that lead from the measured points to a dimension line."""
    if dimension.upright:
        low, high = sorted((dimension.start[0], dimension.line_at[0]))
        return tuple(Rect(low, y - 0.5, high, y + 0.5) for y in (dimension.start[1], dimension.end[1]))
    low, high = sorted((dimension.start[1], dimension.line_at[1]))
    return tuple(Rect(x - 0.5, low, x + 0.5, high) for x in (dimension.start[0], dimension.end[0]))
