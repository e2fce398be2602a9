"""Samples of what door details draw beside blocks: jackets, bridges, spare conductors, terminals, balloons, dashed boxes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.wiring.draw import rounded

_ARC_STEPS: Final = 6
_PLAIN: Final = Pen(layers.LEGEND, 0.25, "Continuous")


@dataclass(frozen=True, slots=True)
class DrawnSample:
    """Lines drawn round a point by a function."""

    name: str
    size_mm: tuple[float, float]
    strokes: Callable[[Canvas, Point], None] = field(repr=False, compare=False)

    def draw(self, canvas: Canvas, center: Point) -> None:
        """The lines."""
        self.strokes(canvas, center)


def _jacket(canvas: Canvas, center: Point) -> None:
    x, y = center
    for dy in (-1.5, 1.5):
        canvas.line((x - 9, y + dy), (x + 9, y + dy), Pen(layers.CONDUCTOR))
    canvas.polyline(rounded(Rect(x - 1, y - 3, x + 1, y + 3)), Pen(layers.JACKET, linetype="Continuous"), closed=True)


def _bridge(canvas: Canvas, center: Point) -> None:
    x, y = center
    turns = [math.pi * (1 - k / _ARC_STEPS) for k in range(_ARC_STEPS + 1)]
    arch = [(x + 1.3 * math.cos(t), y + 1.3 * math.sin(t)) for t in turns]
    canvas.polyline([(x - 9, y), *arch, (x + 9, y)], Pen(layers.CONDUCTOR))
    canvas.line((x, y - 3.5), (x, y + 3.5), Pen(layers.CONDUCTOR))


def _spare(canvas: Canvas, center: Point) -> None:
    x, y = center
    for dy in (-1.0, 1.0):
        canvas.line((x - 5, y + dy), (x + 5, y + dy), Pen(layers.SPARE, linetype="Continuous"))
        canvas.line((x + 5, y + dy - 0.8), (x + 5, y + dy + 0.8), Pen(layers.SPARE, 0.5, "Continuous"))


def _terminal(canvas: Canvas, center: Point) -> None:
    x, y = center
    canvas.rect(Rect(x - 0.8, y - 1.2, x + 0.8, y + 1.2), layers.DIAGRAM_LIGHT)
    canvas.line((x + 0.8, y), (x + 8, y), Pen(layers.CONDUCTOR))
    canvas.line((x - 0.8, y + 3.2), (x - 0.8, y - 3.2), Pen(layers.LEGEND, 0.35))


def _balloon(canvas: Canvas, center: Point) -> None:
    x, y = center
    canvas.circle((x + 2, y), 3.2, _PLAIN)
    canvas.line((x - 1.2, y), (x - 6, y), Pen(layers.LEGEND, 0.18))
    canvas.text("K1", (x + 2, y), 2.5, "middle", layers.LEGEND)


def _hidden(canvas: Canvas, center: Point) -> None:
    x, y = center
    canvas.rect(Rect(x - 4, y - 2, x + 4, y + 2), Pen(layers.EQUIPMENT, 0.25, "HIDDEN"))


JACKET: Final = DrawnSample("jacket", (18.0, 6.0), _jacket)
BRIDGE: Final = DrawnSample("bridge", (18.0, 7.0), _bridge)
SPARE: Final = DrawnSample("spare", (10.0, 3.6), _spare)
TERMINAL: Final = DrawnSample("terminal", (16.0, 6.4), _terminal)
BALLOON: Final = DrawnSample("balloon", (12.0, 6.6), _balloon)
HIDDEN: Final = DrawnSample("hidden", (8.0, 4.0), _hidden)
