"""Draws one window of a riser on a sheet: levels, closets, cables, openings, and match lines where it goes on."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.text import text_width_mm, wrap
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.closet import draw_closet
from riserkit.drawings.riser.places import BackboneTag, NetLine, PlacedBand, PlacedItem, PlacedRow, RiserLayout
from riserkit.drawings.riser.values import OpeningGroup
from riserkit.drawings.riser.windows import MATCH_MM, PART_MM, Window, window_rect
from riserkit.drawings.setting.legend import draw_count, draw_flag

BRIDGE_MM: Final = 1.3
NOT_CONNECTED: Final = "No closet serves:"


@dataclass(frozen=True)
class _WindowCanvas:
    """The window being drawn: moves points of the diagram onto the sheet."""

    canvas: Canvas
    layout: RiserLayout
    window: Window
    shown: Rect
    dx: float
    dy: float

    def at(self, point: Point) -> Point:
        return point[0] + self.dx, point[1] + self.dy

    def has(self, x: float, y: float) -> bool:
        s = self.shown
        return s.x0 - 1e-6 <= x <= s.x1 + 1e-6 and s.y0 - 1e-6 <= y <= s.y1 + 1e-6


def draw_window(canvas: Canvas, layout: RiserLayout, window: Window, area: Rect) -> None:
    """Draw a part of a riser into the upper left corner of an area."""
    shown = window_rect(layout, window)
    left = area.x0 + m.GUTTER_MM + (MATCH_MM if window.left else 0.0)
    top = area.y1 - (PART_MM if window.heading else 0.0) - (MATCH_MM if window.above else 0.0)
    pen = _WindowCanvas(canvas, layout, window, shown, left - shown.x0, top - shown.y1)
    if window.heading:
        canvas.text(window.heading, (area.x0, area.y1 - PART_MM + 3.0), 5.0, "left", layers.TEXT)
    for placed in layout.bands[slice(*window.bands)]:
        _draw_band(pen, placed, area.x0)
    for closet in layout.closets:
        if pen.has(*closet.rect.center):
            draw_closet(canvas, closet, pen.dx, pen.dy)
    cut = _draw_wires(pen)
    for tag in layout.tags:
        if pen.has(*tag.at):
            _draw_tag(pen, tag)
    for row in layout.rows:
        _draw_row(pen, row)
    _draw_match_lines(pen, cut, Rect(area.x0, top - shown.height, left + shown.width, top))


def _draw_band(pen: _WindowCanvas, placed: PlacedBand, edge: float) -> None:
    canvas, band = pen.canvas, placed.band
    top, floor = placed.y1 + pen.dy, placed.y0 + pen.dy
    x0 = edge if placed.x0 < 0 else placed.x0 + pen.dx
    x1 = min(placed.x1, pen.shown.x1) + pen.dx
    shown = pen.layout.bands[slice(*pen.window.bands)]
    with canvas.subject(f"level:{band.id}"):
        canvas.line((x0, floor), (x1, floor), layers.LEVEL)
        if not any(other.x0 == placed.x0 and other.y0 == placed.y1 for other in shown):
            canvas.line((x0, top), (x1, top), layers.LEVEL)
        # name and elevation are those of the floor, so they stand on its line
        y = floor + 2.0
        canvas.text(band.elevation, (x0 + 2, y), m.TEXT_MM, "left", layers.IDENT)
        lines = wrap(band.name, m.GUTTER_MM - 6, 3.5)
        y += m.PITCH_MM + 1.0 + (len(lines) - 1) * 5.6
        canvas.lines(lines, (x0 + 2, y), 3.5, "left", layers.IDENT)
        if band.building:
            lines = wrap(band.building, m.GUTTER_MM - 6, m.TEXT_MM)
            canvas.lines(lines, (x0 + 2, y + 6.0 + (len(lines) - 1) * m.PITCH_MM), m.TEXT_MM, "left", layers.IDENT)


def _draw_wires(pen: _WindowCanvas) -> dict[str, list[str]]:
    """Draw what of the wires lies in the window; returns the names of those cut off, by side."""
    cut: dict[str, list[str]] = {"above": [], "below": [], "left": [], "right": []}
    bridges = Bridges(pen.layout.wires)
    for wire in pen.layout.wires:
        with pen.canvas.subject(wire.subject):
            for start, end in pairwise(wire.points):
                inside = _clip(start, end, pen.shown)
                if inside is None:
                    continue
                _draw_segment(pen, wire, inside, bridges)
                for side in _cut_sides(start, end, pen.shown):
                    if wire.words not in cut[side]:
                        cut[side].append(wire.words)
    return cut


def _clip(start: Point, end: Point, to: Rect) -> tuple[Point, Point] | None:
    """What of a segment along an axis lies in a rectangle."""
    x0, x1 = sorted((start[0], end[0]))
    y0, y1 = sorted((start[1], end[1]))
    low = max(x0, to.x0), max(y0, to.y0)
    high = min(x1, to.x1), min(y1, to.y1)
    if low[0] > high[0] or low[1] > high[1] or (low == high and start != end):
        return None
    return (low, high) if (start[0], start[1]) <= (end[0], end[1]) else (high, low)


def _cut_sides(start: Point, end: Point, to: Rect) -> Iterator[str]:
    if max(start[1], end[1]) > to.y1 + 1e-6:
        yield "above"
    if min(start[1], end[1]) < to.y0 - 1e-6:
        yield "below"
    if min(start[0], end[0]) < to.x0 - 1e-6:
        yield "left"
    if max(start[0], end[0]) > to.x1 + 1e-6:
        yield "right"


def _draw_segment(pen: _WindowCanvas, wire: NetLine, segment: tuple[Point, Point], bridges: Bridges) -> None:
    start, end = segment
    if start[1] != end[1]:
        pen.canvas.line(pen.at(start), pen.at(end), wire.pen)
        return
    y, x, last = start[1], min(start[0], end[0]), max(start[0], end[0])
    for crossing in bridges.along(wire, y, x + BRIDGE_MM, last - BRIDGE_MM):
        pen.canvas.line(pen.at((x, y)), pen.at((crossing - BRIDGE_MM, y)), wire.pen)
        pen.canvas.arc(pen.at((crossing, y)), BRIDGE_MM, 0.0, 180.0, wire.pen)
        x = crossing + BRIDGE_MM
    pen.canvas.line(pen.at((x, y)), pen.at((last, y)), wire.pen)


def _draw_tag(pen: _WindowCanvas, tag: BackboneTag) -> None:
    x, y = pen.at(tag.at)
    above, below = m.backbone_lines(tag.cable)
    with pen.canvas.subject(f"cable:{tag.cable.subject}"), pen.canvas.group(f"cable:{tag.cable.subject}"):
        pen.canvas.text(above, (x + 1.0, y + 1.2), m.TEXT_MM, "left", layers.IDENT)
        pen.canvas.text(below, (x + 1.0, y - 1.2), m.TEXT_MM, "top_left", layers.IDENT)
        right = x + 1.0 + max(text_width_mm(text, m.TEXT_MM) for text in (above, below)) * m.SLACK
        for n, flag in enumerate(tag.cable.flags):
            center = (right + 3.5 + n * (m.FLAG_MM + 1), y + 4.2)
            draw_flag(pen.canvas, center, flag.text, accepted=flag.accepted)


def _draw_row(pen: _WindowCanvas, row: PlacedRow) -> None:
    if not pen.has(row.items[0].x, row.y):
        return
    if row.closet and row.cables > 1:
        with pen.canvas.subject(f"closet:{row.closet}"), pen.canvas.group(f"count:{row.closet} {row.y:g}"):
            draw_count(pen.canvas, pen.at((row.count_x, row.y)), str(row.cables))
    if not row.closet:
        first = row.items[0]
        at = pen.at((first.x - m.drop_width_mm(first.item) / 2, row.y - m.DROP_MM + 2.0))
        pen.canvas.text(NOT_CONNECTED, at, m.TEXT_MM, "left", layers.NOTE)
    for placed in row.items:
        if isinstance(placed.item, OpeningGroup):
            _draw_bundle(pen, placed)
        else:
            _draw_drop(pen, placed)


def _draw_drop(pen: _WindowCanvas, placed: PlacedItem) -> None:
    drop, (x, y) = placed.item, pen.at((placed.x, placed.y - m.DROP_MM))
    if isinstance(drop, OpeningGroup):
        return
    with pen.canvas.subject(f"opening:{drop.mark}"), pen.canvas.group(f"opening:{drop.mark}"):
        pen.canvas.insert(drop.symbol, (x, y), {"MARK": drop.name})
        _draw_flags(pen, placed, SYMBOLS[drop.symbol].body.x1)
    with pen.canvas.subject(f"cable:{drop.cable_subject or drop.mark}"), pen.canvas.group(f"opening:{drop.mark}"):
        top = y - m.SYMBOL_MM - m.MARK_MM - 0.6
        pen.canvas.lines(m.drop_lines(drop), (x, top), m.TEXT_MM, "top_center", layers.IDENT)


def _draw_bundle(pen: _WindowCanvas, placed: PlacedItem) -> None:
    bundle, (x, y) = placed.item, pen.at((placed.x, placed.y - m.DROP_MM))
    if not isinstance(bundle, OpeningGroup):
        return
    half = m.BUNDLE_MM / 2
    with pen.canvas.subject(f"bundle:{bundle.name}"), pen.canvas.group(f"bundle:{bundle.name}"):
        pen.canvas.rect(Rect(x - half, y - m.SYMBOL_MM, x + half, y), layers.EQUIPMENT)
        pen.canvas.text(bundle.name, (x, y - 3.5), 3.5, "middle", layers.IDENT)
        pen.canvas.text(f"{len(bundle.members)} openings", (x, y - 8.8), m.TEXT_MM, "middle", layers.IDENT)
        _draw_flags(pen, placed, half)
        pen.canvas.lines(m.drop_lines(bundle), (x, y - m.SYMBOL_MM - 2.0), m.TEXT_MM, "top_center", layers.IDENT)


def _draw_flags(pen: _WindowCanvas, placed: PlacedItem, half: float) -> None:
    x, y = pen.at((placed.x, placed.y - m.DROP_MM))
    for n, flag in enumerate(placed.item.flags):
        draw_flag(pen.canvas, (x + half + 4.0, y - 3.2 - n * m.FLAG_MM), flag.text, accepted=flag.accepted)


def _draw_match_lines(pen: _WindowCanvas, cut: dict[str, list[str]], box: Rect) -> None:
    window, canvas = pen.window, pen.canvas
    half = MATCH_MM / 2
    for side, other in (("above", window.above), ("below", window.below)):
        if other:
            y = box.y1 if side == "above" else box.y0
            canvas.line((box.x0, y), (box.x1, y), layers.MATCH_LINE)
            middle = y + half if side == "above" else y - half
            lines = _match_text(other, cut[side], box.width - 4)
            top = middle + (m.TEXT_MM + (len(lines) - 1) * m.PITCH_MM) / 2
            canvas.lines(lines, (box.x0 + 2, top), m.TEXT_MM, "top_left", layers.MATCH_LINE)
    for side, other in (("left", window.left), ("right", window.right)):
        if other:
            x = box.x1 if side == "right" else pen.shown.x0 + pen.dx
            canvas.line((x, box.y0), (x, box.y1), layers.MATCH_LINE)
            middle = x + half if side == "right" else x - half
            lines = _match_text(other, cut[side], box.height - 4)
            for n, line in enumerate(lines):
                across = middle + (n - (len(lines) - 1) / 2) * m.PITCH_MM + m.TEXT_MM / 2
                canvas.text(line, (across, box.y0 + 2), m.TEXT_MM, "left", layers.MATCH_LINE, rotation_deg=90)


def _match_text(other: str, names: Sequence[str], width_mm: float) -> tuple[str, ...]:
    """Two lines at most: what they have no room to name is counted."""
    text, named = f"MATCH LINE, continued on {other}", list(dict.fromkeys(name for name in names if name))
    for shown in range(len(named), 0, -1):
        more = f" and {len(named) - shown} more" if shown < len(named) else ""
        lines = wrap(f"{text}: {', '.join(named[:shown])}{more}", width_mm / m.SLACK, m.TEXT_MM)
        if len(lines) <= 2:
            return lines
    return wrap(text, width_mm / m.SLACK, m.TEXT_MM)


_SLACK = 1e-6


class Bridges:
    """Upright lines by where they stand, to be asked for those that a level line crosses."""

    def __init__(self, wires: Sequence[NetLine]) -> None:
        uprights = sorted(
            (start[0], min(start[1], end[1]), max(start[1], end[1]), wire.net)
            for wire in wires
            for start, end in pairwise(wire.points)
            if start[0] == end[0] and start[1] != end[1]
        )
        self._xs = [x for x, *_ in uprights]
        self._uprights = uprights

    def along(self, wire: NetLine, y: float, x0: float, x1: float) -> Iterator[float]:
        """Where the level line of a wire from x0 to x1 crosses upright lines of other nets, left to right."""
        last = None
        for x, low, high, net in self._uprights[bisect_left(self._xs, x0) : bisect_right(self._xs, x1)]:
            if net != wire.net and low + _SLACK < y < high - _SLACK and x != last:
                last = x
                yield x
