"""The cell left of a plan's legend: north, scale bar and key plan; and on a plan the corners of areas that are enlarged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import shapely
from shapely import STRtree

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect, around, around_rects
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.lines import lines_in
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import CAPITALS_SLACK, text_width_mm
from riserkit.drawings.plan.draw import number_text
from riserkit.drawings.plan.notes import north_words
from riserkit.drawings.plan.page import PlanPage
from riserkit.drawings.plan.placed import PlanView
from riserkit.drawings.plan.scale import FOOT_M, bar_step_m
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.model.info import SiteInfo
from riserkit.quantities.printed import UnitSystem

_DOT_MM: Final = 0.4
_CLOSET_MM: Final = 0.7
_ARM_MM: Final = 6.0
_AREA_PEN: Final = Pen(layers.MATCH_LINE, 0.35, "Continuous")
_AREA_MM: Final = 2.5
_ALONG_MM: Final = (0.0, 6.0, 12.0, 20.0, 30.0)


def draw_cell(canvas: Canvas, page: PlanPage, cell: Rect, plans: DrawingScale, info: SiteInfo) -> None:
    """North, scale bar, and a key plan where the level takes several sheets, in a cell of the paper.

    Args:
        canvas: the sheet.
        page: what it shows.
        cell: of the paper.
        plans: the scale of the plans that are not enlarged.
        info: the site's.
    """
    unit_system, true_north_deg = info.unit_system, info.true_north_deg
    with canvas.paper():
        canvas.rect(cell, Pen(layers.LEGEND, 0.35))
        _draw_north(canvas, cell, true_north_deg)
        canvas.text(f"Scale {page.scale.text}", (cell.x0 + 20, cell.y1 - 16), 2.5, "top_left", layers.LEGEND)
        _draw_bar(canvas, (cell.x0 + 3, cell.y1 - 27), page.view, unit_system)
        if page.has_key:
            _draw_key(canvas, page, plans.ratio, Rect(cell.x0 + 3, cell.y0 + 2, cell.x1 - 3, cell.y1 - 34))


def _draw_north(canvas: Canvas, cell: Rect, true_north_deg: float | None) -> None:
    """The arrow points to true north where that is known, and says how far that is from up the plan."""
    at, right = (cell.x0 + 10, cell.y1 - 13), true_north_deg or 0.0
    canvas.insert("north_arrow", at, layer=layers.SYMBOL, scale=0.96, rotation_deg=-right)
    words = ("Plan north",) if true_north_deg is None else ("True north", north_words(true_north_deg))
    canvas.lines(words, (cell.x0 + 20, cell.y1 - 6), 2.5, "top_left", layers.LEGEND)


def _draw_bar(canvas: Canvas, at: Point, view: PlanView, unit_system: UnitSystem) -> None:
    """Five fields, every other one filled, of a round length."""
    ratio, small_mm = view.ratio, view.level.small_mm
    step_m = bar_step_m(ratio, unit_system)
    unit, name = (FOOT_M, "ft") if unit_system == "imperial" else (1.0, "m")
    step, (x, y) = step_m * 1000 / ratio, at
    for n in range(5):
        field = Rect(x + n * step, y, x + (n + 1) * step, y + 1.6)
        canvas.rect(field, Pen(layers.SYMBOL, 0.18))
        if n % 2 == 0:
            canvas.fill([field[:2], (field.x1, field.y0), field[2:], (field.x0, field.y1)], layers.SYMBOL)
    canvas.text("0", (x, y - 1.4 - small_mm), small_mm, "left", layers.LEGEND)
    canvas.text(
        f"{number_text(5 * step_m / unit)} {name}", (x + 5 * step, y - 1.4 - small_mm), small_mm, "right", layers.LEGEND
    )


def _draw_key(canvas: Canvas, page: PlanPage, ratio: int, room: Rect) -> None:
    """The sheets of the level small, this one's edge bold, with closets and openings; those on this sheet are full."""
    parts = [_times(window, ratio / 1000) for window in page.windows]
    own = _times(page.view.window, page.view.ratio / 1000)
    whole = around_rects([*parts, own])
    canvas.text("Key plan", (room.x0, room.y1), 2.5, "top_left", layers.LEGEND)
    top = room.y1 - 4
    factor = min(room.width / whole.width, (top - room.y0) / whole.height)

    def at(point_m: Point) -> Point:
        return room.x0 + (point_m[0] - whole.x0) * factor, room.y0 + (point_m[1] - whole.y0) * factor

    level, taken = page.view.level, []
    for opening in level.openings:
        x, y = at(opening.at_m)
        dot = Rect(x - _DOT_MM, y - _DOT_MM, x + _DOT_MM, y + _DOT_MM)
        taken.append(dot)
        if page.view.inside(opening.at_m):
            canvas.fill(_corners(dot), layers.LEGEND)
        else:
            canvas.circle((x, y), _DOT_MM, Pen(layers.LEGEND, 0.13))
    for closet in level.closets:
        x, y = at(closet.at_m)
        taken.append(Rect(x - _CLOSET_MM, y - _CLOSET_MM, x + _CLOSET_MM, y + _CLOSET_MM))
        canvas.rect(taken[-1], Pen(layers.LEGEND, 0.35))
    for n, part in enumerate(parts):
        box = Rect(*at(part[:2]), *at(part[2:]))
        if n == page.part and not page.area:
            continue
        canvas.rect(box, Pen(layers.LEGEND, 0.18))
        _name_part(canvas, page, page.sheet_ids[n], box, [*taken, Rect(*at(own[:2]), *at(own[2:]))])
    canvas.rect(Rect(*at(own[:2]), *at(own[2:])), Pen(layers.LEGEND, 0.70))


def _name_part(canvas: Canvas, page: PlanPage, name: str, box: Rect, taken: Sequence[Rect]) -> None:
    """In a corner where nothing is, or not at all."""
    height = page.view.level.small_mm
    width = text_width_mm(name, height) * CAPITALS_SLACK
    for x in (box.x0 + 1, box.x1 - 1 - width):
        for y in (box.y1 - 1 - height, box.y0 + 1):
            room = Rect(x, y, x + width, y + height)
            if box.holds(room) and not any(room.overlaps(one) for one in taken):
                canvas.text(name, (x, y), height, "left", layers.LEGEND)
                return


def _times(rect: Rect, factor: float) -> Rect:
    return Rect(*(value * factor for value in rect))


def _corners(rect: Rect) -> list[Point]:
    return [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)]


def draw_areas(canvas: Canvas, page: PlanPage, enlarged: Sequence[PlanPage]) -> None:
    """The corners of areas that other sheets of its level show enlarged, with the sheet's number, where nothing else is."""
    if page.area or not enlarged:
        return
    ratio = page.view.ratio
    texts = [placed.rect for placed in canvas.placed.boxes]
    room = _times(page.view.window, ratio)
    windows = [(other, _times(other.view.window, other.view.ratio)) for other in enlarged]
    for other, window in windows:
        with canvas.subject(_area_id(other)):
            for start, end in _arms(window, _ARM_MM * ratio):
                arm = around((start, end)).inset(-ratio * 0.5)
                if room.holds(arm) and not any(arm.overlaps(text) for text in texts):
                    canvas.line(start, end, _AREA_PEN)
    lines = STRtree(list(lines_in(canvas.doc.modelspace())))
    for other, window in windows:
        spot = next((s for s in _spots(window, _pointer(other), ratio) if _is_free(s, room, texts, lines)), None)
        if spot is not None:
            with canvas.subject(_area_id(other)):
                if page.view.level.background is not None:
                    # the lines of a drawing behind are known only where they are drawn
                    canvas.mask(spot.inset(-0.5 * ratio), layers.MATCH_LINE)
                texts.append(canvas.text(_pointer(other), (spot.x0, spot.y0), _AREA_MM, "left", layers.MATCH_LINE))


def _pointer(page: PlanPage) -> str:
    return f"see {page.sheet_id}"


def _area_id(page: PlanPage) -> str:
    return f"area:{page.view.level.id}/{page.area}"


def _arms(window: Rect, length: float) -> Iterator[tuple[Point, Point]]:
    for x, right in ((window.x0, 1), (window.x1, -1)):
        for y, up in ((window.y0, 1), (window.y1, -1)):
            yield (x, y), (x + right * length, y)
            yield (x, y), (x, y + up * length)


def _spots(window: Rect, name: str, ratio: int) -> Iterator[Rect]:
    """Room for a name within each corner, else a little way along from it."""
    width = text_width_mm(name, _AREA_MM) * CAPITALS_SLACK * ratio
    height, off = _AREA_MM * ratio, 1.5 * ratio
    for along in (mm * ratio for mm in _ALONG_MM):
        for x in (window.x0 + off + along, window.x1 - off - along - width):
            for y in (window.y1 - off - height, window.y0 + off):
                yield Rect(x, y, x + width, y + height)


def _is_free(spot: Rect, room: Rect, texts: Sequence[Rect], lines: STRtree) -> bool:
    if not room.holds(spot) or any(spot.overlaps(text) for text in texts):
        return False
    return not len(lines.query(shapely.box(*spot), predicate="intersects"))
