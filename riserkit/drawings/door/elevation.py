"""An elevation put on a canvas: the opening, its devices with balloons, and dimensions in the site's units."""

from __future__ import annotations

import math
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.elevation.values import LETTERING_MM, Dimension, Elevation, PlacedDevice, StrokeKind
from riserkit.drawings.setting.scale import length_text

_PENS: Final[dict[StrokeKind, Pen]] = {
    "frame": Pen(layers.DOOR, 0.35),
    "leaf": Pen(layers.DOOR, 0.25),
    "swing": Pen(layers.DOOR, 0.18, "DASHED"),
    "floor": Pen(layers.FLOOR, 0.50, "Continuous"),
    "ceiling": Pen(layers.FLOOR, 0.35, "Continuous"),
    "wall": Pen(layers.WALL),
}
_HIDDEN: Final = Pen(layers.EQUIPMENT, 0.25, "HIDDEN")


def draw_elevation(canvas: Canvas, elevation: Elevation, at: Point, subject: str) -> Rect:
    """Draw an elevation with the lower left corner of its extent at a point; returns what it covers."""
    dx, dy = at[0] - elevation.extent.x0, at[1] - elevation.extent.y0

    def moved(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    with canvas.subject(subject):
        for stroke in elevation.strokes:
            canvas.polyline([moved(p) for p in stroke.points], _PENS[stroke.kind])
        for text, point in elevation.notes:
            canvas.text(text, moved(point), LETTERING_MM, "left", layers.TEXT)
    canvas.measure(elevation.scale.ratio, elevation.unit_system)
    for dimension in elevation.dimensions:
        angle = 90.0 if dimension.upright else 0.0
        with canvas.subject(
            f"{subject}/dimension/{dimension.text}", f"{subject}/dimension/{_measured_thing(dimension)}"
        ):
            canvas.dimension(
                moved(dimension.start), moved(dimension.end), moved(dimension.line_at), _measured(elevation, dimension),
                angle_deg=angle,
            )  # fmt: skip
    for placed in elevation.devices:
        ref = placed.device.ref
        with (
            canvas.subject(f"{subject}/component/{ref}"), canvas.part("elevation"), canvas.group(f"{subject}/elevation/{ref}"),
        ):  # fmt: skip
            _device(canvas, placed, dx, dy)
    return elevation.extent.moved(dx, dy)


def _measured_thing(dimension: Dimension) -> str:
    """What is measured, whatever its length: words before the number, and which way it runs."""
    words = " ".join(word for word in dimension.text.split() if not word[0].isdigit())
    return f"{words} {'up' if dimension.upright else 'across'}"


def _measured(elevation: Elevation, dimension: Dimension) -> str:
    """The text with the length left to the dimension itself, where that measures what is said.

    Feet and inches stay as written: not every program that shows the file sets them.
    """
    if elevation.unit_system == "imperial":
        return dimension.text
    length_m = math.dist(dimension.start, dimension.end) * elevation.scale.ratio / 1000
    said = length_text(length_m, elevation.unit_system)
    return f"{dimension.text.removesuffix(said)}<>" if dimension.text.split()[-1] == said else dimension.text


def _device(canvas: Canvas, placed: PlacedDevice, dx: float, dy: float) -> None:
    device, rect = placed.device, placed.rect.moved(dx, dy)
    if device.hidden:
        canvas.rect(rect, _HIDDEN)
        letters = SYMBOLS[device.symbol].letters if device.lettered else ""
        if letters and min(rect.width, rect.height) >= LETTERING_MM + 1:
            canvas.text(letters, rect.center, LETTERING_MM, "middle", layers.SYMBOL)
    else:
        canvas.insert(device.symbol, (placed.center[0] + dx, placed.center[1] + dy), {"REF": ""})
    balloon = placed.balloon
    center = (balloon.center[0] + dx, balloon.center[1] + dy)
    canvas.circle(center, balloon.radius, Pen(layers.SYMBOL, 0.25))
    start, end = ((p[0] + dx, p[1] + dy) for p in balloon.leader)
    canvas.line(start, end, Pen(layers.SYMBOL, 0.18))
    canvas.text(device.ref, center, LETTERING_MM, "middle", layers.IDENT)
