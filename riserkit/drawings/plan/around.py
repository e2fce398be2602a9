"""Cables led round the symbols of openings that they only pass, so that doors do not look chained to one another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import shapely
from shapely import LineString, STRtree

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.plan.values import PlanOpening, Strand

_SAME_M: Final = 1e-6


def led_round(strands: Sequence[Strand], openings: Sequence[PlanOpening], clear_m: float) -> tuple[Strand, ...]:
    """Strands with a detour wherever they pass an opening that is not their own.

    All that lie on one line are led round on the same side, so that they stay one line. A strand that begins or ends
    at the opening is left as it is: it is the opening's own cable, or a joint of the pathway.

    Args:
        strands: metres.
        openings: whose symbols are passed.
        clear_m: how far from an opening's middle a cable keeps.
    """
    tree = STRtree([shapely.Point(opening.at_m) for opening in openings])
    known: dict[tuple[Point, Point], dict[int, float]] = {}
    found: list[Strand] = []
    for strand in strands:
        line = strand.start_m, strand.end_m
        if line not in known:
            near = tree.query(LineString(line), predicate="dwithin", distance=clear_m) if openings else ()
            known[line] = {int(n): _along(openings[n].at_m, *line) for n in near}
        length = math.dist(*line)
        passed = [
            (openings[n].at_m, at)
            for n, at in known[line].items()
            if openings[n].cable_subject != strand.subject and clear_m < at < length - clear_m
        ]
        found += _detoured(strand, passed, clear_m) if passed else [strand]
    return tuple(found)


def _along(point: Point, start: Point, end: Point) -> float:
    length = math.dist(start, end)
    return ((point[0] - start[0]) * (end[0] - start[0]) + (point[1] - start[1]) * (end[1] - start[1])) / length


def _detoured(strand: Strand, passed: Sequence[tuple[Point, float]], clear_m: float) -> Iterator[Strand]:
    """The strand in pieces: straight, out, beside, back in; detours that would meet are one."""
    length = math.dist(strand.start_m, strand.end_m)
    ux, uy = (strand.end_m[0] - strand.start_m[0]) / length, (strand.end_m[1] - strand.start_m[1]) / length
    # one side for both directions: to the left of the way that runs right, or up
    side = 1.0 if (ux, uy) > (-_SAME_M, 0.0) and (ux > _SAME_M or uy > 0) else -1.0
    spans: list[list[float]] = []
    for _, at in sorted(passed, key=lambda item: item[1]):
        low, high = at - clear_m, at + clear_m
        if spans and low <= spans[-1][1] + clear_m:
            spans[-1][1] = high
        else:
            spans.append([low, high])

    def point(along: float, aside: float) -> Point:
        x = strand.start_m[0] + ux * along - uy * aside * side
        y = strand.start_m[1] + uy * along + ux * aside * side
        return round(x, 6), round(y, 6)

    corners = [strand.start_m]
    for low, high in spans:
        slope = min(clear_m / 2, (high - low) / 4)
        corners += [point(low, 0), point(low + slope, clear_m), point(high - slope, clear_m), point(high, 0)]
    for start, end in pairwise([*corners, strand.end_m]):
        if math.dist(start, end) > _SAME_M:
            yield replace(strand, start_m=start, end_m=end)
