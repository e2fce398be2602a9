"""The small symbols of floor plans. Points and lengths are in the units of the canvas's space."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

import shapely
from shapely import LineString

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.plan.swing import Leaf

RAIL_HALF_MM: Final = 0.9
RAIL_PENS: Final = {
    "tray": Pen(layers.PATHWAY, 0.18, "Continuous"),
    "conduit": Pen(layers.PATHWAY, 0.18, "DASHED"),
    "sleeve": Pen(layers.PATHWAY, 0.18, "DOT"),
    "riser": Pen(layers.PATHWAY, 0.18, "DASHDOT"),
}
OPENING_PEN: Final = Pen(layers.EQUIPMENT, 0.35)
LEAF_PEN: Final = Pen(layers.DOOR, 0.50)
SWING_PEN: Final = Pen(layers.DOOR, 0.18, "Continuous")
THIN_PEN: Final = Pen(layers.SYMBOL, 0.18)


def draw_opening(
    canvas: Canvas, at: Point, radius: float, kind: str, leaf: tuple[Point, Point], leaves: Sequence[Leaf] = ()
) -> None:
    """A circle on the closed leaf; a second one inside for two leaves, a square for a gate; open leaves with their arcs."""
    x, y = at
    (ax, ay), (bx, by) = leaf
    length, pen = math.dist(*leaf), SWING_PEN if leaves else LEAF_PEN
    if length > 2 * radius:
        ux, uy = (bx - ax) / length, (by - ay) / length
        if math.dist((ax, ay), at) > radius:
            canvas.line((ax, ay), (x - ux * radius, y - uy * radius), pen)
        if math.dist(at, (bx, by)) > radius:
            canvas.line((x + ux * radius, y + uy * radius), (bx, by), pen)
    for one in leaves:
        canvas.line(one.hinge, one.tip, LEAF_PEN)
        canvas.arc(one.hinge, one.radius, one.start_deg, one.start_deg + 90, SWING_PEN)
    if kind == "gate":
        canvas.rect(Rect(x - radius, y - radius, x + radius, y + radius), OPENING_PEN)
        return
    canvas.circle(at, radius, OPENING_PEN)
    if kind == "double":
        canvas.circle(at, radius * 0.5, OPENING_PEN)


def draw_closet(canvas: Canvas, at: Point, half: float) -> None:
    """A square, filled on one side of its diagonal."""
    x, y = at
    canvas.rect(Rect(x - half, y - half, x + half, y + half), OPENING_PEN)
    canvas.fill([(x - half, y - half), (x + half, y - half), (x - half, y + half)], layers.EQUIPMENT)


def draw_riser(canvas: Canvas, at: Point, half: float, *, up: bool, down: bool, across: bool = False) -> None:
    """A triangle standing for up, one on its tip for down, both for both; a diamond where one runs across."""
    x, y = at
    if across:
        r = half if not (up or down) else 0.55 * half
        canvas.polyline([(x - r, y), (x, y + r), (x + r, y), (x, y - r)], OPENING_PEN, closed=True)
    base = half if up != down else 0.15 * half
    for there, sign in ((up, 1), (down, -1)):
        if there:
            foot = y - sign * half if base == half else y + sign * base
            points = [(x - half, foot), (x + half, foot), (x, y + sign * half)]
            canvas.polyline(points, OPENING_PEN, closed=True)


def draw_arrow(canvas: Canvas, start: Point, tip: Point, unit: float) -> None:
    """A short line with an open head; `unit` is one millimetre of paper in the canvas's space."""
    canvas.line(start, tip, Pen(layers.CABLE, 0.25))
    back = math.atan2(start[1] - tip[1], start[0] - tip[0])
    wings = [(tip[0] + 1.6 * unit * math.cos(back + t), tip[1] + 1.6 * unit * math.sin(back + t)) for t in (0.4, -0.4)]
    canvas.polyline([wings[0], tip, wings[1]], Pen(layers.CABLE, 0.25))


def draw_rails(canvas: Canvas, lines: Sequence[tuple[Point, Point]], pen: Pen, unit: float) -> None:
    """Two lines along each line, as far apart as on plans."""
    for line in lines:
        for side in (RAIL_HALF_MM, -RAIL_HALF_MM):
            shifted = LineString(line).offset_curve(side * unit)
            canvas.polyline([(float(x), float(y)) for x, y in shifted.coords], pen)


def draw_geometry(canvas: Canvas, geometry: Any, pen: str | Pen, factor: float = 1.0) -> None:
    """The lines of any shapely geometry, times a factor."""
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                draw_geometry(canvas, ring, pen, factor)
        elif part.geom_type in ("GeometryCollection", "MultiPolygon", "MultiLineString"):
            draw_geometry(canvas, part, pen, factor)
        elif part.geom_type in ("LineString", "LinearRing") and len(part.coords) > 1:
            canvas.polyline([(float(x) * factor, float(y) * factor) for x, y in part.coords], pen)
