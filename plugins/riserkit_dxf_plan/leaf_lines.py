"""Leaves that are drawn as lines alone, at whatever angle, without an arc: told by the gap in the wall that they hang in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import shapely
from shapely import STRtree

from riserkit_dxf_plan.openings import PlanDoor
from riserkit_dxf_plan.pieces import Point, Segment

_AT_JAMB_M: Final = 0.22
"""How far from the middle of the wall's end a leaf may hang: half a thick wall."""
_LONG: Final = (0.85, 1.06)
"""A leaf in widths of its gap, which frames make wider."""
_OPEN: Final = math.sin(math.radians(15.0))
_MOST: Final = 400


def hung_in(gaps: Sequence[PlanDoor], segments: Sequence[Segment], unit_m: float) -> Iterator[PlanDoor]:
    """The gaps in which one leaf hangs, with its hinge and the side that it swings to.

    Where lines hang at both jambs, or lead to both sides, no leaf is told.

    Args:
        gaps: in drawing units.
        segments: lines that may be leaves: none of a wall.
        unit_m: metres of a unit.
    """
    if not gaps or not segments:
        return
    tree = STRtree(shapely.points([end for s in segments for end in (s.start, s.end)]))
    for gap in gaps:
        ux, uy = math.cos(gap.along), math.sin(gap.along)
        found: dict[tuple[int, bool], Segment] = {}
        for sign in (-1, 1):
            jamb = (gap.middle[0] + sign * ux * gap.width / 2, gap.middle[1] + sign * uy * gap.width / 2)
            for n in tree.query(shapely.Point(jamb), "dwithin", distance=_AT_JAMB_M / unit_m)[:_MOST]:
                line = segments[n // 2]
                hinge, tip = (line.start, line.end) if n % 2 == 0 else (line.end, line.start)
                dx, dy = tip[0] - hinge[0], tip[1] - hinge[1]
                long, off = math.hypot(dx, dy), ux * dy - uy * dx
                inward = -sign * (ux * dx + uy * dy) >= -0.1 * long
                if _LONG[0] <= long / gap.width <= _LONG[1] and abs(off) >= _OPEN * long and inward:
                    found[sign, off > 0] = line
        if len(found) == 1:
            ((sign, left), line) = next(iter(found.items()))
            hinge_at: Point = (gap.middle[0] + sign * ux * gap.width / 2, gap.middle[1] + sign * uy * gap.width / 2)
            yield replace(
                gap, hinge=hinge_at, into=gap.along + (math.pi / 2 if left else -math.pi / 2), operation="swing", is_gap=False,
                handle=line.handle or gap.handle, layer=line.layer, sure=True,
            )  # fmt: skip
