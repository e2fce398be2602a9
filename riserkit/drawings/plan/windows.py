"""How a level is cut into the windows of its sheets, and how far it reaches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import shapely

from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.plan.content import points_of
from riserkit.drawings.plan.swing import leaves_of
from riserkit.drawings.plan.values import PlanLevel

EDGE_MM: Final = 18.0
"""Left free round the level for labels."""
_MOVE_MM: Final = 30.0
_CLEAR_MM: Final = 6.0


def extent_mm(level: PlanLevel, ratio: int) -> Rect:
    """What a level covers at a scale, with room for labels round it."""
    points: list[Point] = points_of(level)
    shapes = [room.outline for room in level.rooms] + ([level.walls] if level.walls is not None else [])
    if shapes:
        x0, y0, x1, y1 = map(float, shapely.total_bounds(shapes))
        points += [(x0, y0), (x1, y1)]
    points += [leaf.tip for opening in level.openings for leaf in leaves_of(opening)]
    half = max((opening.width_m for opening in level.openings), default=0.0) / 2
    factor = 1000 / ratio
    box = around(points).inset(-half)
    return Rect(*(v * factor for v in box)).inset(-EDGE_MM)


def cut(level: PlanLevel, ratio: int, room: Rect) -> tuple[Rect, ...]:
    """Windows of a level, from the upper left, row by row.

    Cuts go where no opening is near. Windows with nothing in them are left out.

    Args:
        level: metres.
        ratio: real length over length on paper.
        room: what a sheet can show, mm.
    """
    extent = extent_mm(level, ratio)
    factor = 1000 / ratio
    at = [(x * factor, y * factor) for x, y in points_of(level)]
    xs = _edges(extent.x0, extent.x1, room.width, [p[0] for p in at])
    ys = _edges(extent.y0, extent.y1, room.height, [p[1] for p in at])
    cells = [Rect(x0, y0, x1, y1) for y0, y1 in reversed(list(pairwise(ys))) for x0, x1 in pairwise(xs)]
    return tuple(cell for cell in cells if _holds_work(level, cell, factor))


def _holds_work(level: PlanLevel, cell: Rect, factor: float) -> bool:
    box = shapely.box(*(v / factor for v in cell))
    if any(box.contains(shapely.Point(p)) for p in points_of(level)):
        return True
    return any(box.intersects(shapely.LineString(pathway.ends_m)) for pathway in level.pathways)


def _edges(low: float, high: float, most: float, taken: Sequence[float]) -> list[float]:
    """Equal parts, none longer than the most, each cut moved a little to where nothing is."""
    count = math.ceil((high - low) / most - 1e-9)
    if count <= 1:
        return [low, high]
    count = max(count, math.ceil((high - low) / (most - 2 * _MOVE_MM / count)))
    step = (high - low) / count
    reach = min(_MOVE_MM, (most - step) / 2)
    return [low, *(_free(low + n * step, reach, taken) for n in range(1, count)), high]


def _free(wanted: float, reach: float, taken: Sequence[float]) -> float:
    near = [value for value in taken if abs(value - wanted) <= reach + _CLEAR_MM]
    tries = [wanted + sign * step for step in range(int(max(reach, 0)) + 1) for sign in (1, -1)]
    clear = [value for value in tries if all(abs(value - other) >= _CLEAR_MM for other in near)]
    if clear:
        return clear[0]
    return max(tries, key=lambda value: min((abs(value - other) for other in near), default=_CLEAR_MM))
