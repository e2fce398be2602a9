"""Sites in coordinates of a survey's grid, brought near the origin: no program draws well millions of metres off."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
import shapely

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.plan.scale import FOOT_M
from riserkit.drawings.plan.values import PlanLevel
from riserkit.quantities.printed import UnitSystem

FAR_M: Final = 20_000.0
"""A site whose middle is no farther from its origin is drawn where it is."""
_STEP: Final = 1000
_ROUND_M: Final = 6


def offset_of(levels: Sequence[PlanLevel], unit_system: UnitSystem) -> Point:
    """What the coordinates of all levels are lessened by: whole thousands of metres or feet, or nothing."""
    points = [o.at_m for level in levels for o in level.openings]
    points += [c.at_m for level in levels for c in level.closets]
    points = points or [end for level in levels for pathway in level.pathways for end in pathway.ends_m]
    if not points:
        return 0.0, 0.0
    x, y = (statistics.median_low(point[axis] for point in points) for axis in (0, 1))
    if max(abs(x), abs(y)) <= FAR_M:
        return 0.0, 0.0
    step = _STEP * (FOOT_M if unit_system == "imperial" else 1.0)
    return math.floor(x / step) * step, math.floor(y / step) * step


def lessened(level: PlanLevel, offset_m: Point) -> PlanLevel:
    """A level with all its coordinates lessened."""
    if offset_m == (0.0, 0.0):
        return level
    dx, dy = offset_m

    def near(point: Point) -> Point:
        return round(point[0] - dx, _ROUND_M), round(point[1] - dy, _ROUND_M)

    return replace(
        level,
        openings=tuple(
            replace(o, at_m=near(o.at_m), home_m=near(o.home_m) if o.home_m else None) for o in level.openings
        ),
        closets=tuple(replace(c, at_m=near(c.at_m)) for c in level.closets),
        pathways=tuple(replace(p, ends_m=(near(p.ends_m[0]), near(p.ends_m[1]))) for p in level.pathways),
        risers=tuple(replace(r, at_m=near(r.at_m)) for r in level.risers),
        strands=tuple(replace(s, start_m=near(s.start_m), end_m=near(s.end_m)) for s in level.strands),
        rooms=tuple(replace(r, outline=_near(r.outline, near)) for r in level.rooms),
        walls=None if level.walls is None else _near(level.walls, near),
        offset_m=offset_m,
    )


def _near(shape: Any, near: Callable[[Point], Point]) -> Any:
    return shapely.transform(shape, lambda points: np.array([near((float(x), float(y))) for x, y in points]))
