"""Doors by their swings: an arc about the hinge, the leaf drawn from the hinge to one of its ends, the wall beyond the other.

Everything here is in drawing units: what is a door and what is not must not hang on units that are not known yet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import STRtree

from riserkit_dxf_plan.pieces import Placed, Point, Segment, Swing

_SWEEP_DEG: Final = (12.0, 190.0)
_TO_BOTH_DEG: Final = 165.0
_NEAR: Final = 0.09
"""How far from hinge or tip a leaf's ends may lie, in radii: a leaf is drawn 50 mm thick, and set off by a stop."""
_ROUND: Final = 0.35
"""How far the two radii of a stretched arc may differ, in the larger one."""
_PARALLEL: Final = math.sin(math.radians(3.0))


@dataclass(frozen=True, slots=True)
class SwungLeaf:
    """One leaf: hinge, the end of its arc where it stands closed, and the tip where it stands open.

    Args of note:
        sure: a leaf or a wall told which end is which; else it was taken from the order that blocks are drawn in.
    """

    hinge: Point
    closed: Point
    tip: Point
    swing: Swing
    sure: bool

    @property
    def width(self) -> float:
        """From the hinge to where the leaf closes."""
        return math.dist(self.hinge, self.closed)


class Lines:
    """Straight lines, looked up by place."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self.segments = segments
        coords = np.array([(s.start, s.end) for s in segments], dtype=float).reshape(-1, 2, 2)
        self.tree = STRtree(shapely.linestrings(coords)) if len(segments) else None

    def near(self, at: Point, far: float) -> Iterator[Segment]:
        """Lines that come this near to a point, at most a thousand."""
        if self.tree is None:
            return
        box = shapely.box(at[0] - far, at[1] - far, at[0] + far, at[1] + far)
        for n in sorted(self.tree.query(box))[:1000]:
            yield self.segments[n]


def is_candidate(swing: Swing) -> bool:
    """Whether an arc has the shape of a swing."""
    one, other = math.dist(swing.centre, swing.start), math.dist(swing.centre, swing.end)
    if min(one, other) <= 0 or min(one, other) < (1 - _ROUND) * max(one, other):
        return False
    return _SWEEP_DEG[0] <= sweep_deg(swing) <= _SWEEP_DEG[1]


def sweep_deg(swing: Swing) -> float:
    """By how much an arc turns."""
    half = _angle(swing.centre, swing.start, swing.middle) + _angle(swing.centre, swing.middle, swing.end)
    return math.degrees(half)


def _angle(centre: Point, one: Point, other: Point) -> float:
    ax, ay, bx, by = one[0] - centre[0], one[1] - centre[1], other[0] - centre[0], other[1] - centre[1]
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def leaves(
    swings: Iterable[Swing], lines: Lines, doors: frozenset[str], is_wall: frozenset[str]
) -> Iterator[SwungLeaf]:
    """The arcs that are swings of doors: with a leaf from the hinge, or on a layer of doors, or in a block of a door.

    Args:
        swings: arcs of the right shape.
        lines: all straight lines.
        doors: layers of doors.
        is_wall: layers of walls.
    """
    for swing in swings:
        reach = max(math.dist(swing.centre, swing.start), math.dist(swing.centre, swing.end))
        near = [s for s in lines.near(swing.centre, reach * 1.35) if _length(s) > reach * 0.02]
        at_start, at_end = (_has_leaf(swing, tip, near, reach) for tip in (swing.start, swing.end))
        if not (at_start or at_end or swing.layer in doors or _is_door_block(swing.insert)):
            continue
        if sweep_deg(swing) > _TO_BOTH_DEG and _is_to_both(swing, near, is_wall, reach):
            yield SwungLeaf(swing.centre, swing.middle, swing.middle, swing, True)
            continue
        wall_start = _walls_on(swing.centre, swing.start, near, is_wall, reach)
        wall_end = _walls_on(swing.centre, swing.end, near, is_wall, reach)
        if at_start != at_end:
            tip_first, sure = at_start, True
        elif wall_start != wall_end:
            tip_first, sure = wall_start < wall_end, True
        else:
            # Of a block alone: the axis of a door's block lies along its wall.
            tip_first, sure = _off_axis(swing), False
        tip, closed = (swing.start, swing.end) if tip_first else (swing.end, swing.start)
        yield SwungLeaf(swing.centre, closed, tip, swing, sure)


def _is_to_both(swing: Swing, near: Sequence[Segment], is_wall: frozenset[str], reach: float) -> bool:
    """Whether the wall of half a circle goes on at its middle and at neither end: a leaf that swings to both sides of it."""
    ends = max(_walls_on(swing.centre, end, near, is_wall, reach) for end in (swing.start, swing.end))
    return _walls_on(swing.centre, swing.middle, near, is_wall, reach) > max(ends, 0.0)


def _length(segment: Segment) -> float:
    return math.dist(segment.start, segment.end)


def _is_door_block(insert: Placed | None) -> bool:
    return insert is not None and is_door_name(insert.name)


def is_door_name(name: str) -> bool:
    """Whether a block's name speaks of a door."""
    folded = name.casefold()
    words = (
        "door",
        "tür",
        "tuer",
        "porte",
        "puerta",
        "porta",
        "deur",
        "dörr",
        "drzwi",
        "двер",
        "门",
        "扉",
        "single-flush",
        "double-flush",
        "opening",
        "dr-",
        "dr_",
        "swing",
        "flush",
    )
    others = (
        "window",
        "fenster",
        "fenêtre",
        "ventana",
        "finestra",
        "portable",
        "portail",
        "outdoor",
        "doorbell",
        "cabinet",
        "casework",
        "wardrobe",
        "fridge",
        "shower",
        "door-tag",
        "door tag",
    )
    return any(word in folded for word in words) and not any(word in folded for word in others)


def _has_leaf(swing: Swing, tip: Point, near: Sequence[Segment], reach: float) -> bool:
    """Whether a line leads from the hinge to this end of the arc; of a leaf with thickness, its edge."""
    far = reach * _NEAR
    for segment in near:
        if not 0.85 * reach <= _length(segment) <= 1.1 * reach:
            continue
        for one, other in ((segment.start, segment.end), (segment.end, segment.start)):
            if math.dist(one, swing.centre) <= far and math.dist(other, tip) <= far:
                return True
    return False


def _walls_on(hinge: Point, end: Point, near: Sequence[Segment], is_wall: frozenset[str], reach: float) -> float:
    """How much wall runs along the line from the hinge through an end, before the hinge or beyond the end; walls count most."""
    ux, uy = (end[0] - hinge[0]) / reach, (end[1] - hinge[1]) / reach
    length = math.hypot(ux, uy)
    ux, uy = ux / length, uy / length
    found = 0.0
    for segment in near:
        dx, dy = segment.end[0] - segment.start[0], segment.end[1] - segment.start[1]
        long = math.hypot(dx, dy)
        if abs(dx * uy - dy * ux) > _PARALLEL * long:
            continue
        off = abs((segment.start[0] - hinge[0]) * uy - (segment.start[1] - hinge[1]) * ux)
        if off > 0.45 * reach:
            continue
        along = sorted((p[0] - hinge[0]) * ux + (p[1] - hinge[1]) * uy for p in (segment.start, segment.end))
        before = max(0.0, min(0.05 * reach, along[1]) - max(along[0], -0.35 * reach))
        beyond = max(0.0, min(1.35 * reach, along[1]) - max(along[0], 0.95 * reach))
        across = max(0.0, min(0.9 * reach, along[1]) - max(along[0], 0.1 * reach))
        weight = 3.0 if segment.layer in is_wall else 0.5
        found += weight * ((before > 0.08 * reach) + (beyond > 0.08 * reach)) - weight * 0.7 * (across > 0.6 * reach)
    return found


def _off_axis(swing: Swing) -> bool:
    """Whether the start of the arc is farther from the block's axis than its end."""
    ux, uy = swing.insert.x_axis if swing.insert is not None else (1.0, 0.0)
    hx, hy = swing.centre
    start, end = (abs((p[0] - hx) * uy - (p[1] - hy) * ux) for p in (swing.start, swing.end))
    return start > end
