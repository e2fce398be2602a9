"""Arcs that are drawn in parts: in two halves, or as a chain of short lines, as prints turned back into drawings have them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from riserkit_dxf_plan.pieces import Point, Segment, Swing

_SAME: Final = 0.01
"""How far apart, in radii, what is one point may be drawn."""
_MOST_TOGETHER_DEG: Final = 120.0
"""Two arcs about one hinge that turn by more together are a leaf that swings to both sides, not one arc in two halves."""
_LEAST_LINES: Final = 4
_MOST_LINES: Final = 120
_BEND_DEG: Final = (1.0, 40.0)
_CHAIN_DEG: Final = (30.0, 185.0)
_ROUND: Final = 0.02
_LONGER: Final = 1.6


def whole_arcs(swings: Sequence[Swing]) -> list[Swing]:
    """Arcs with those joined that continue each other about one centre."""
    places: dict[tuple[int, int, int], list[Swing]] = {}
    for swing in swings:
        places.setdefault(_place(swing), []).append(swing)
    found: list[Swing] = []
    for group in places.values():
        while group:
            swing = group.pop()
            while (mate := next((other for other in group if _continue(swing, other)), None)) is not None:
                group.remove(mate)
                swing = _joined(swing, mate)
            found.append(swing)
    # In the order in which they are drawn, whatever was joined.
    order = {id(swing): n for n, swing in enumerate(swings)}
    ranks = {swing.handle: n for n, swing in reversed(list(enumerate(swings)))}
    return sorted(found, key=lambda swing: order.get(id(swing), ranks.get(swing.handle, 0)))


def _place(swing: Swing) -> tuple[int, int, int]:
    radius = math.dist(swing.centre, swing.start)
    # Arcs of a radius share a grid whose cells are far larger than what their centres may differ by.
    step = round(math.log(radius), 1) if radius > 0 else 0.0
    cell = math.exp(step)
    return round(swing.centre[0] / cell), round(swing.centre[1] / cell), round(step * 10)


def _turn_deg(swing: Swing) -> float:
    return abs(_bend_deg(swing.centre, swing.start, swing.middle)) + abs(
        _bend_deg(swing.centre, swing.middle, swing.end)
    )


def _bend_deg(about: Point, one: Point, other: Point) -> float:
    ax, ay, bx, by = one[0] - about[0], one[1] - about[1], other[0] - about[0], other[1] - about[1]
    return math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def _continue(one: Swing, other: Swing) -> bool:
    far = _SAME * math.dist(one.centre, one.start)
    if one.layer != other.layer or one.insert != other.insert or math.dist(one.centre, other.centre) > far:
        return False
    if _turn_deg(one) + _turn_deg(other) > _MOST_TOGETHER_DEG:
        return False
    meeting = [(a, b) for a in (one.start, one.end) for b in (other.start, other.end) if math.dist(a, b) <= far]
    return len(meeting) == 1


def _joined(one: Swing, other: Swing) -> Swing:
    far = _SAME * math.dist(one.centre, one.start)
    at_end = any(math.dist(one.end, point) <= far for point in (other.start, other.end))
    met, first = (one.end, one.start) if at_end else (one.start, one.end)
    last = other.end if math.dist(other.start, met) <= far else other.start
    return Swing(one.centre, first, met, last, one.layer, one.insert, one.handle)


def chained_arcs(segments: Sequence[Segment]) -> tuple[list[Swing], set[int]]:
    """Arcs that chains of short lines make, and the places in `segments` of the lines that they are made of."""
    ends: dict[Point, list[int]] = {}
    for n, s in enumerate(segments):
        ends.setdefault(_key(s.start), []).append(n)
        ends.setdefault(_key(s.end), []).append(n)
    used: set[int] = set()
    found = []
    for n, s in enumerate(segments):
        if n in used:
            continue
        # A chain begins at a line that goes on at one end only.
        for start in (s.start, s.end):
            if _next(n, start, segments, ends, used) is None:
                chain = _follow(n, start, segments, ends, used)
                swing = _fitted(chain, segments, start) if len(chain) >= _LEAST_LINES else None
                if swing is not None:
                    used.update(chain)
                    found.append(swing)
                break
    return found, used


def _key(point: Point) -> Point:
    return round(point[0], 4), round(point[1], 4)


def _other_end(segment: Segment, point: Point) -> Point:
    return segment.end if _key(segment.start) == _key(point) else segment.start


def _next(n: int, at: Point, segments: Sequence[Segment], ends: dict[Point, list[int]], used: set[int]) -> int | None:
    """The line that bends on gently at an end of a line: as long, on the same layer."""
    here = segments[n]
    back = _other_end(here, at)
    long = math.dist(here.start, here.end)
    for m in ends.get(_key(at), ())[:8]:
        other = segments[m]
        if m == n or m in used or other.layer != here.layer or other.insert != here.insert:
            continue
        to = _other_end(other, at)
        ratio = math.dist(at, to) / long if long > 0 else 0.0
        if not 1 / _LONGER <= ratio <= _LONGER:
            continue
        bend = _bend_deg((0.0, 0.0), (at[0] - back[0], at[1] - back[1]), (to[0] - at[0], to[1] - at[1]))
        if _BEND_DEG[0] <= abs(bend) <= _BEND_DEG[1]:
            return m
    return None


def _follow(
    n: int, start: Point, segments: Sequence[Segment], ends: dict[Point, list[int]], used: set[int]
) -> list[int]:
    chain, at = [n], _other_end(segments[n], start)
    taken = {n}
    while len(chain) < _MOST_LINES:
        m = _next(chain[-1], at, segments, ends, used)
        if m is None or m in taken:
            break
        chain.append(m)
        taken.add(m)
        at = _other_end(segments[m], at)
    return chain


def _fitted(chain: Sequence[int], segments: Sequence[Segment], start: Point) -> Swing | None:
    """The arc through a chain's points; None where they lie on none, or turn by less or more than a leaf does."""
    points = list(_points(chain, segments, start))
    first, middle, last = points[0], points[len(points) // 2], points[-1]
    centre = _centre(first, middle, last)
    if centre is None:
        return None
    radius = math.dist(centre, first)
    if any(abs(math.dist(centre, p) - radius) > _ROUND * radius for p in points):
        return None
    here = segments[chain[0]]
    swing = Swing(centre, first, middle, last, here.layer, here.insert, here.handle)
    return swing if _CHAIN_DEG[0] <= _turn_deg(swing) <= _CHAIN_DEG[1] else None


def _points(chain: Sequence[int], segments: Sequence[Segment], start: Point) -> Iterator[Point]:
    at = start
    yield at
    for n in chain:
        at = _other_end(segments[n], at)
        yield at


def _centre(a: Point, b: Point, c: Point) -> Point | None:
    """Of the circle through three points."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    twice = 2 * (bx * cy - by * cx)
    if abs(twice) < 1e-12:
        return None
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    return a[0] + (cy * bb - by * cc) / twice, a[1] + (bx * cc - cx * bb) / twice
