"""Lines of an elevation cut away where a device or a balloon is in front of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from riserkit.drawings.dxf.boxes import Point, Rect


def clip(rect: Rect, line: tuple[Point, Point]) -> tuple[float, float] | None:
    """Between which shares of its length a line is inside a rectangle (Liang and Barsky); None when it stays outside."""
    (x0, y0), (x1, y1) = line
    enter, leave = 0.0, 1.0
    for p, q in ((x0 - x1, x0 - rect.x0), (x1 - x0, rect.x1 - x0), (y0 - y1, y0 - rect.y0), (y1 - y0, rect.y1 - y0)):
        if p == 0:
            if q < 0:
                return None
        elif p < 0:
            enter = max(enter, q / p)
        else:
            leave = min(leave, q / p)
    return (enter, leave) if enter <= leave else None


def masked(points: Sequence[Point], rects: Sequence[Rect]) -> Iterator[tuple[Point, ...]]:
    """The parts of a polyline outside all rectangles; the whole of it, in one piece, when it meets none."""
    pieces = list(pairwise(points))
    if not any(clip(rect, piece) for rect in rects for piece in pieces):
        yield tuple(points)
        return
    for piece in pieces:
        yield from _outside(piece, rects)


def _outside(line: tuple[Point, Point], rects: Sequence[Rect]) -> Iterator[tuple[Point, Point]]:
    hidden = sorted(found for rect in rects if (found := clip(rect, line)) is not None)
    start = 0.0
    for enter, leave in hidden:
        if enter > start:
            yield _along(line, start), _along(line, enter)
        start = max(start, leave)
    if start < 1.0:
        yield _along(line, start), line[1]


def _along(line: tuple[Point, Point], share: float) -> Point:
    (x0, y0), (x1, y1) = line
    return round(x0 + (x1 - x0) * share, 3), round(y0 + (y1 - y0) * share, 3)
