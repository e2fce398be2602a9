"""Draws a window of a floor plan: the view's content in the model at the plan's scale, its edges on the paper."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import shapely
from shapely import STRtree

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN, Pen
from riserkit.drawings.plan.bundles import BundleStretch
from riserkit.drawings.plan.labels import PlacedTag, text_rows
from riserkit.drawings.plan.notes import ROOM_PEN, WALL_PEN
from riserkit.drawings.plan.page import PlanPage
from riserkit.drawings.plan.placed import PlanView, to_mm
from riserkit.drawings.plan.scale import FOOT_M, grid_step_m
from riserkit.drawings.plan.symbols import (
    RAIL_PENS,
    THIN_PEN,
    draw_arrow,
    draw_closet,
    draw_geometry,
    draw_opening,
    draw_riser,
)
from riserkit.drawings.plan.tags import PLACE_MM, RADIUS_MM
from riserkit.quantities.printed import UnitSystem

EDGE_PEN: Final = Pen(layers.DIAGRAM_LIGHT, 0.25)
DOT_PEN: Final = Pen(layers.PATHWAY, 0.50, "Continuous")
DEVICE_DOT_PEN: Final = Pen(layers.SYMBOL, 0.50)
CROSS_PEN: Final = Pen(layers.DIAGRAM_LIGHT, 0.13)
_CROSS_MM: Final = 1.5
_DOT_MM: Final = 0.25
_TICK_MM: Final = 1.5


def draw_view(canvas: Canvas, view: PlanView, unit_system: UnitSystem) -> None:
    """The plan itself, in the model: background first, labels last. A symbol with its mask and label is one group."""
    _draw_background(canvas, view)
    _draw_device_masks(canvas, view)
    _draw_crosses(canvas, view, unit_system)
    _draw_ways(canvas, view)
    _draw_places(canvas, view)
    _draw_masks(canvas, view)
    for placed in view.tags:
        with canvas.subject(placed.tag.subject), canvas.part("label"), canvas.group(placed.tag.subject):
            _draw_tag(canvas, placed, view.ratio)


def _draw_masks(canvas: Canvas, view: PlanView) -> None:
    """Background is whole in the file, and hidden behind the labels that stand on it."""
    behind = view.level.background is not None
    if view.background is None and not behind:
        return
    parts = STRtree(shapely.get_parts(view.background) if view.background is not None else [])
    for placed in view.tags:
        if behind or len(parts.query(shapely.box(*placed.box), predicate="intersects")):
            with canvas.subject(placed.tag.subject), canvas.group(placed.tag.subject):
                canvas.mask(Rect(*(v * view.ratio for v in placed.box)), _tag_layer(placed))


def _draw_device_masks(canvas: Canvas, view: PlanView) -> None:
    """An architect's text must not run through a device's own; walls keep clear of devices as they are placed."""
    for device in view.devices if view.level.background is not None else ():
        subject = f"opening:{device.mark}"
        with canvas.subject(f"{subject}/device/{device.device.ref}"), canvas.group(subject):
            canvas.mask(Rect(*(v * view.ratio for v in device.box)), layers.EQUIPMENT)


def _tag_layer(placed: PlacedTag) -> str:
    return layers.FLOOR if placed.tag.optional or placed.tag.background else layers.IDENT


def _draw_background(canvas: Canvas, view: PlanView) -> None:
    behind = view.level.background
    # A drawing that is only named is on no print, nor where its file is not at hand.
    if view.background is not None and (behind is None or behind.held_as == "reference"):
        pen = WALL_PEN if view.level.walls is not None else ROOM_PEN
        with canvas.subject(f"background:{view.level.id}"):
            draw_geometry(canvas, view.background, pen, view.ratio)


def _draw_crosses(canvas: Canvas, view: PlanView, unit_system: UnitSystem) -> None:
    """A small cross wherever coordinates are round, but under no label and no symbol."""
    step = grid_step_m(view.ratio, unit_system) * 1000 / view.ratio
    window, arm = view.window, _CROSS_MM
    taken = [placed.box for placed in view.tags]
    taken += [Rect(x - 3, y - 3, x + 3, y + 3) for x, y in _symbols(view)]
    taken += [around((device.box.inset(-1)[:2], device.box.inset(-1)[2:], device.leader[0])) for device in view.devices]
    taken += [around((leaf.hinge, leaf.tip, leaf.latch)) for placed in view.openings for leaf in placed.leaves]
    for x in _multiples(window.x0, window.x1, step):
        for y in _multiples(window.y0, window.y1, step):
            cross = Rect(x - arm, y - arm, x + arm, y + arm)
            if window.holds(cross) and not any(cross.overlaps(box) for box in taken):
                _scaled_line(canvas, (x - arm, y), (x + arm, y), CROSS_PEN, view.ratio)
                _scaled_line(canvas, (x, y - arm), (x, y + arm), CROSS_PEN, view.ratio)


def _symbols(view: PlanView) -> Iterator[Point]:
    yield from (placed.at for placed in view.openings)
    yield from (to_mm(closet.at_m, view.ratio) for closet in view.level.closets)
    yield from (to_mm(riser.at_m, view.ratio) for riser in view.level.risers)


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [n * step for n in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


def _scaled(point: Point, ratio: int) -> Point:
    return point[0] * ratio, point[1] * ratio


def _scaled_line(canvas: Canvas, start: Point, end: Point, pen: Pen, ratio: int) -> None:
    canvas.line(_scaled(start, ratio), _scaled(end, ratio), pen)


def _draw_ways(canvas: Canvas, view: PlanView) -> None:
    with canvas.subject(f"pathways:{view.level.id}"):
        for rails in view.rails:
            draw_geometry(canvas, rails.outline, RAIL_PENS[rails.carrier], view.ratio)
    for stretch in view.cables:
        _draw_stretch(canvas, view, stretch, CABLE_PEN if stretch.cables == 1 else BUNDLE_PEN)
    for stretch in view.backbones:
        _draw_stretch(canvas, view, stretch, Pen(layers.BACKBONE))


def _draw_stretch(canvas: Canvas, view: PlanView, stretch: BundleStretch, pen: Pen) -> None:
    with canvas.subject(stretch.subject or f"cables:{view.level.id}"):
        _scaled_line(canvas, stretch.start_m, stretch.end_m, pen, view.ratio)


def _draw_places(canvas: Canvas, view: PlanView) -> None:
    ratio = view.ratio
    for placed in view.openings:
        start, end = (_scaled(point, ratio) for point in placed.leaf)
        leaves = [
            replace(
                leaf, hinge=_scaled(leaf.hinge, ratio), tip=_scaled(leaf.tip, ratio), latch=_scaled(leaf.latch, ratio)
            )
            for leaf in placed.leaves
        ]
        subject = f"opening:{placed.opening.mark}"
        with canvas.subject(subject), canvas.group(subject):
            draw_opening(
                canvas, _scaled(placed.at, ratio), RADIUS_MM * ratio, placed.opening.kind, (start, end), leaves
            )
            for leaf in leaves:
                canvas.tell(leaf.hinge, f"leaf hinged here, swings to {placed.opening.swings_to}")
            if placed.arrow is not None:
                draw_arrow(canvas, _scaled(placed.arrow[0], ratio), _scaled(placed.arrow[1], ratio), ratio)
    for device in view.devices:
        subject = f"opening:{device.mark}"
        with canvas.subject(f"{subject}/device/{device.device.ref}"), canvas.group(subject):
            _scaled_line(canvas, *device.leader, THIN_PEN, ratio)
            canvas.circle(_scaled(device.leader[0], ratio), _DOT_MM * ratio, DEVICE_DOT_PEN)
            values = {"REF": device.device.ref, "MARK": device.mark}
            canvas.insert(device.device.symbol, _scaled(device.at, ratio), values)
    for riser in view.level.risers:
        if view.inside(riser.at_m):
            with canvas.subject(f"riser:{riser.id}"), canvas.group(f"riser:{riser.id}"):
                at = _scaled(to_mm(riser.at_m, ratio), ratio)
                draw_riser(canvas, at, PLACE_MM * ratio, up=riser.up, down=riser.down, across=riser.across)
    for closet in view.level.closets:
        if view.inside(closet.at_m):
            with canvas.subject(f"closet:{closet.id}"), canvas.group(f"closet:{closet.id}"):
                draw_closet(canvas, _scaled(to_mm(closet.at_m, ratio), ratio), PLACE_MM * ratio)


def _draw_tag(canvas: Canvas, placed: PlacedTag, ratio: int) -> None:
    if placed.tag.framed:
        canvas.rect(Rect(*(v * ratio for v in placed.box)), Pen(layers.IDENT, 0.25))
    leader = placed.drawn_leader
    if leader is not None:
        _scaled_line(canvas, *leader, THIN_PEN, ratio)
        if placed.tag.subject.startswith(("pathway:", "room:")):
            # within an outline a leader ends in a dot (ISO 128-2, from memory)
            canvas.circle(_scaled(leader[0], ratio), _DOT_MM * ratio, DOT_PEN)
    for text, at, height in text_rows(placed):
        canvas.text(text, _scaled(at, ratio), height, "top_left", _tag_layer(placed))


def draw_edges(canvas: Canvas, page: PlanPage, paper: Rect, unit_system: UnitSystem) -> None:
    """On the paper: the window's edge with coordinates, and match lines with the sheets that go on."""
    with canvas.paper():
        canvas.rect(paper, EDGE_PEN)
        _draw_coordinates(canvas, page.view, paper, unit_system)
        for side, other in _neighbours(page):
            _draw_match_line(canvas, paper, side, f"MATCH LINE, continued on sheet {other}")


def _draw_coordinates(canvas: Canvas, view: PlanView, paper: Rect, unit_system: UnitSystem) -> None:
    step_m = grid_step_m(view.ratio, unit_system)
    unit = FOOT_M if unit_system == "imperial" else 1.0
    page_offset_m = view.level.offset_m
    step, window = step_m * 1000 / view.ratio, view.window
    for x in _multiples(window.x0, window.x1, step):
        at = paper.x0 + x - window.x0
        canvas.line((at, paper.y0), (at, paper.y0 - _TICK_MM), EDGE_PEN)
        value = (x / step * step_m + page_offset_m[0]) / unit
        canvas.text(
            number_text(value), (at, paper.y0 - 2.4 - view.level.small_mm), view.level.small_mm, "center", layers.SYMBOL
        )
    for y in _multiples(window.y0, window.y1, step):
        at = paper.y0 + y - window.y0
        canvas.line((paper.x0, at), (paper.x0 - _TICK_MM, at), EDGE_PEN)
        text = number_text((y / step * step_m + page_offset_m[1]) / unit)
        canvas.text(text, (paper.x0 - 2.4, at), view.level.small_mm, "center", layers.SYMBOL, 90.0)


def number_text(value: float) -> str:
    """A coordinate or a length to a tenth."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def _neighbours(page: PlanPage) -> Iterator[tuple[str, str]]:
    """The sides on which the level goes on, and the sheet there."""
    own = page.windows[page.part]
    for n, other in enumerate(page.windows):
        x, y = other.center
        beside = own.y0 < y < own.y1 and n != page.part
        above = own.x0 < x < own.x1 and n != page.part
        sheet = page.sheet_ids[n]
        if beside and abs(other.x0 - own.x1) < 1e-6:
            yield "right", sheet
        if beside and abs(other.x1 - own.x0) < 1e-6:
            yield "left", sheet
        if above and abs(other.y0 - own.y1) < 1e-6:
            yield "top", sheet
        if above and abs(other.y1 - own.y0) < 1e-6:
            yield "bottom", sheet


def _draw_match_line(canvas: Canvas, paper: Rect, side: str, text: str) -> None:
    middle = paper.center
    ends, at, turn = {
        "left": (((paper.x0, paper.y0), (paper.x0, paper.y1)), (paper.x0 - 7.0, middle[1]), 90.0),
        "right": (((paper.x1, paper.y0), (paper.x1, paper.y1)), (paper.x1 + 5.0, middle[1]), 90.0),
        "top": (((paper.x0, paper.y1), (paper.x1, paper.y1)), (middle[0], paper.y1 + 2.6), 0.0),
        "bottom": (((paper.x0, paper.y0), (paper.x1, paper.y0)), (middle[0], paper.y0 - 9.4), 0.0),
    }[side]
    canvas.line(*ends, layers.MATCH_LINE)
    canvas.text(text, at, 2.5, "center", layers.MATCH_LINE, turn)
