"""Gaps in walls that are as wide as doors: two ends of walls that face each other across nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import STRtree

from riserkit_dxf_plan.pieces import Point, Segment
from riserkit_dxf_plan.walls import THICK_M

WIDE_M: Final = (0.6, 2.2)
_MOST_LINES: Final = 8_000
_TOUCH_M: Final = 0.012
_SQUARE: Final = math.sin(math.radians(10.0))
_ASIDE_M: Final = 0.12


@dataclass(frozen=True, slots=True)
class WallGap:
    """A gap, in drawing units: its middle, the direction of the wall in radians, its width, and the line at its first end."""

    middle: Point
    along: float
    width: float
    end: Segment


@dataclass(frozen=True, slots=True)
class _WallEnd:
    """The short line that closes a wall: its middle, and the direction away from the wall."""

    middle: Point
    away: Point
    line: Segment


def gaps_of(lines: Sequence[Segment], others: Sequence[Segment], unit_m: float) -> list[WallGap]:
    """Gaps between ends of walls, with nothing of a wall or a window across them.

    Args:
        lines: faces and ends of walls.
        others: lines that are no walls' and no doors', such as those of windows.
        unit_m: metres of a unit.
    """
    if not 4 <= len(lines) <= _MOST_LINES:
        return []
    coords = np.array([(s.start, s.end) for s in lines], dtype=float)
    tree = STRtree(shapely.linestrings(coords))
    ends = [end for n, s in enumerate(lines) if (end := _end_of(n, s, coords, tree, unit_m)) is not None]
    ends += _open_ends(lines, coords, tree, unit_m)
    if len(ends) < 2:
        return []
    places = STRtree(shapely.points([end.middle for end in ends]))
    across = [tree, *([STRtree(shapely.linestrings([(s.start, s.end) for s in others]))] if others else [])]
    found = []
    for n, end in enumerate(ends):
        mates = places.query(shapely.Point(end.middle), "dwithin", distance=WIDE_M[1] / unit_m)
        facing = [(wide, int(m)) for m in mates if m != n and (wide := _facing(end, ends[m], unit_m)) > 0]
        if not facing:
            continue
        wide, m = min(facing)
        back = [(w, int(k)) for k in mates if k != m and (w := _facing(ends[m], ends[k], unit_m)) > 0]
        if n < m and back and min(back)[1] == n and not _is_crossed(end, ends[m], across):
            (ax, ay), (bx, by) = end.middle, ends[m].middle
            found.append(WallGap(((ax + bx) / 2, (ay + by) / 2), math.atan2(by - ay, bx - ax), wide, end.line))
    return found


def _end_of(n: int, line: Segment, coords: np.ndarray, tree: STRtree, unit_m: float) -> _WallEnd | None:
    """The end of a wall that a short line is: from both its ends the faces of the wall run to one side, square to it."""
    long = math.dist(line.start, line.end)
    if not THICK_M[0] <= long * unit_m <= THICK_M[1]:
        return None
    u = ((line.end[0] - line.start[0]) / long, (line.end[1] - line.start[1]) / long)
    sides = []
    for at in (line.start, line.end):
        runs = set()
        for m in tree.query(shapely.Point(at), "dwithin", distance=_TOUCH_M / unit_m):
            a, b = ((float(x), float(y)) for x, y in coords[m])
            if m == n or math.dist(a, b) * unit_m < 0.03:
                continue
            near, far = (a, b) if math.dist(a, at) <= math.dist(b, at) else (b, a)
            if math.dist(near, at) > _TOUCH_M / unit_m:
                continue
            d = (far[0] - near[0], far[1] - near[1])
            reach = math.hypot(*d)
            if abs(d[0] * u[0] + d[1] * u[1]) <= _SQUARE * reach:
                runs.add(u[0] * d[1] - u[1] * d[0] > 0)
        sides.append(runs)
    both = sides[0] & sides[1]
    if len(both) != 1 or len(sides[0] | sides[1]) != 1:
        return None
    turn = 1.0 if both.pop() else -1.0
    middle = ((line.start[0] + line.end[0]) / 2, (line.start[1] + line.end[1]) / 2)
    return _WallEnd(middle, (u[1] * turn, -u[0] * turn), line)


def _open_ends(lines: Sequence[Segment], coords: np.ndarray, tree: STRtree, unit_m: float) -> list[_WallEnd]:
    """Ends of walls that no line closes, as where a frame is drawn in its place: two faces that stop side by side."""
    loose: list[tuple[Point, Point, Segment]] = []
    for s in lines:
        long = math.dist(s.start, s.end)
        for at, back in ((s.start, s.end), (s.end, s.start)) if long * unit_m >= 0.1 else ():
            if len(tree.query(shapely.Point(at), "dwithin", distance=_TOUCH_M / unit_m)) == 1:
                loose.append((at, ((at[0] - back[0]) / long, (at[1] - back[1]) / long), s))
    if len(loose) < 2:
        return []
    places = STRtree(shapely.points([at for at, *_ in loose]))
    found = []
    for n, (at, away, line) in enumerate(loose):
        mates = []
        for m in places.query(shapely.Point(at), "dwithin", distance=THICK_M[1] / unit_m):
            other, its_away, _ = loose[m]
            wide = math.dist(at, other)
            square = abs((other[0] - at[0]) * away[0] + (other[1] - at[1]) * away[1]) <= _SQUARE * wide
            if (
                m > n
                and square
                and wide * unit_m >= THICK_M[0]
                and away[0] * its_away[0] + away[1] * its_away[1] > 0.99
            ):
                mates.append((wide, int(m)))
        if mates:
            other = loose[min(mates)[1]][0]
            middle = ((at[0] + other[0]) / 2, (at[1] + other[1]) / 2)
            found.append(_WallEnd(middle, away, Segment(at, other, line.layer, line.insert, line.handle)))
    return found


def _facing(one: _WallEnd, other: _WallEnd, unit_m: float) -> float:
    """How far apart two ends are that face each other in one line; 0 for those that do not."""
    if one.away[0] * other.away[0] + one.away[1] * other.away[1] > -0.98:
        return 0.0
    dx, dy = other.middle[0] - one.middle[0], other.middle[1] - one.middle[1]
    ahead = dx * one.away[0] + dy * one.away[1]
    aside = abs(dx * one.away[1] - dy * one.away[0])
    is_wide = WIDE_M[0] <= ahead * unit_m <= WIDE_M[1]
    return ahead if is_wide and aside * unit_m <= _ASIDE_M else 0.0


def _is_crossed(one: _WallEnd, other: _WallEnd, trees: Sequence[STRtree]) -> bool:
    """Whether a wall or a line of a window runs in the gap."""
    (ax, ay), (bx, by) = one.middle, other.middle
    wide = math.hypot(bx - ax, by - ay)
    inner = shapely.LineString(
        [(ax + (bx - ax) * 0.1, ay + (by - ay) * 0.1), (ax + (bx - ax) * 0.9, ay + (by - ay) * 0.9)]
    )
    if trees[0].query(inner, "intersects").size:
        return True
    # What runs along the gap, from end to end within the wall's thickness, is a window's glass or sill.
    deep = math.dist(one.line.start, one.line.end) * 0.7
    return any(_runs_along(line, (ax, ay), (bx, by), wide) for line in _near(trees[1:], inner, deep))


def _near(trees: Sequence[STRtree], line: shapely.LineString, far: float) -> Iterator[shapely.LineString]:
    for tree in trees:
        yield from (tree.geometries[m] for m in tree.query(line, "dwithin", distance=far)[:200])


def _runs_along(line: shapely.LineString, a: Point, b: Point, wide: float) -> bool:
    (px, py), (qx, qy) = line.coords
    ux, uy = (b[0] - a[0]) / wide, (b[1] - a[1]) / wide
    if abs((qx - px) * uy - (qy - py) * ux) > _SQUARE * math.hypot(qx - px, qy - py):
        return False
    along = sorted(((px - a[0]) * ux + (py - a[1]) * uy, (qx - a[0]) * ux + (qy - a[1]) * uy))
    low, high = along
    return bool(min(wide, high) - max(0.0, low) >= 0.8 * wide and high - low <= 1.5 * wide)
