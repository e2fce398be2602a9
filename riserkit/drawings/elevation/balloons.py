"""Balloons with designations beside the devices of an elevation: near, on free ground, leaders clear of one another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.mask import clip

LETTERING_MM: Final = 2.5
_LEAST_RADIUS_MM: Final = 2.9
_CLEAR_MM: Final = 0.6
_DIRECTIONS: Final = 24
_DISTANCES_MM: Final = (6.5, 8.0, 10.0, 12.5, 15.0, 18.0, 22.0, 27.0, 33.0, 40.0, 48.0)


class Balloon(NamedTuple):
    """A circle with a designation, and its leader from the circle's edge to the device's edge."""

    center: Point
    radius: float
    leader: tuple[Point, Point]

    @property
    def rect(self) -> Rect:
        """What the circle covers."""
        x, y = self.center
        return Rect(x - self.radius, y - self.radius, x + self.radius, y + self.radius)


def balloon_radius_mm(ref: str) -> float:
    """Radius that holds a designation."""
    return max(_LEAST_RADIUS_MM, text_width_mm(ref, LETTERING_MM) / 2 + 0.9)


def place_balloons(
    devices: Sequence[tuple[str, Rect]],
    taken: Sequence[Rect],
    lines: Sequence[tuple[Point, Point]],
    room: Rect,
) -> list[Balloon]:
    """A balloon for each device, in order.

    Args:
        devices: designation and rectangle of each.
        taken: lettering that neither balloons nor leaders may touch.
        lines: lines of the drawing, which leaders may cross and balloons may not, if it can be helped.
        room: where balloons must stay.
    """
    found: list[Balloon] = []
    rects = [rect for _, rect in devices]
    for n, (ref, rect) in enumerate(devices):
        others = [r.inset(-_CLEAR_MM) for m, r in enumerate(rects) if m != n]
        blocked = [*others, *taken, *(b.rect.inset(-_CLEAR_MM) for b in found)]
        leaders = [b.leader for b in found]
        keep_off = rect.inset(-_CLEAR_MM)
        fitting = (c for c in _candidates(ref, rect) if room.holds(c.rect) and not c.rect.overlaps(keep_off))
        found.append(_best(fitting, blocked, leaders, lines) or next(_candidates(ref, rect)))
    return found


def _best(
    candidates: Iterable[Balloon],
    blocked: Sequence[Rect],
    leaders: Sequence[tuple[Point, Point]],
    lines: Sequence[tuple[Point, Point]],
) -> Balloon | None:
    """The first that nothing is in the way of, else the first on a line of the drawing only, else the first of all."""
    first: Balloon | None = None
    free: Balloon | None = None
    for candidate in candidates:
        first = first or candidate
        if _is_free(candidate, blocked, leaders):
            if not any(_hits(candidate.rect.inset(-0.3), line) for line in lines):
                return candidate
            free = free or candidate
    return free or first


def _candidates(ref: str, rect: Rect) -> Iterator[Balloon]:
    radius = balloon_radius_mm(ref)
    x, y = rect.center
    for distance in _DISTANCES_MM:
        for k in range(_DIRECTIONS):
            # right, left, then the slants: level leaders read best
            turn = 2 * math.pi * _spread(k) / _DIRECTIONS
            dx, dy = math.cos(turn), math.sin(turn)
            edge = _edge(rect, dx, dy)
            center = (round(x + dx * (edge + distance - 3.0), 3), round(y + dy * (edge + distance - 3.0), 3))
            end = (round(center[0] - dx * radius, 3), round(center[1] - dy * radius, 3))
            yield Balloon(center, radius, (end, (round(x + dx * edge, 3), round(y + dy * edge, 3))))


def _spread(k: int) -> int:
    """Directions in turn from both sides of level: 0, 12, 1, -1, 13, 11, and so on."""
    half = _DIRECTIONS // 2
    step, side = divmod(k, 2)
    sign = 1 if step % 2 else -1
    return side * half + sign * ((step + 1) // 2)


def _edge(rect: Rect, dx: float, dy: float) -> float:
    """Distance from the middle to the rectangle's edge in a direction."""
    along = [abs(half / d) for half, d in ((rect.width / 2, dx), (rect.height / 2, dy)) if abs(d) > 1e-9]
    return min(along)


def _is_free(balloon: Balloon, blocked: Sequence[Rect], leaders: Sequence[tuple[Point, Point]]) -> bool:
    if any(balloon.rect.overlaps(r) or _hits(r, balloon.leader) for r in blocked):
        return False
    return not any(_cross(balloon.leader, other) or _hits(balloon.rect, other) for other in leaders)


def _hits(rect: Rect, line: tuple[Point, Point]) -> bool:
    return clip(rect, line) is not None


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    a, b = one
    c, d = other
    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0
