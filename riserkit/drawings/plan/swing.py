"""The leaves of an opening in plan: open square to the wall, each with the arc of its edge, true in width and hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.plan.values import PlanOpening

LEAST_LEAF_MM: Final = 3.0
"""A leaf shorter on paper is no more than a stroke: its hand could not be read."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf, in the units of its points.

    Args:
        hinge: the point that it turns about.
        tip: its edge when open.
        latch: its edge when closed.
        start_deg: the arc between the two begins here, counter-clockwise about the hinge.
    """

    hinge: Point
    tip: Point
    latch: Point
    start_deg: float

    @property
    def radius(self) -> float:
        """Width of the leaf."""
        return math.dist(self.hinge, self.tip)

    def arc(self, pieces: int = 12) -> list[Point]:
        """Points along the arc."""
        turns = (math.radians(self.start_deg + 90 * n / pieces) for n in range(pieces + 1))
        return [(self.hinge[0] + self.radius * math.cos(t), self.hinge[1] + self.radius * math.sin(t)) for t in turns]


def leaves_of(opening: PlanOpening, factor: float = 1.0) -> Iterator[Leaf]:
    """The leaves of an opening, none where its swing is not stated.

    Args:
        opening: metres.
        factor: of its coordinates and lengths.
    """
    if not opening.swing_is_stated:
        return
    swing_deg = _swing_deg(opening)
    left, right = (edge_point(opening, along_m) for along_m in (0.0, opening.width_m))
    if opening.kind == "double":
        pairs = [(left, opening.at_m), (right, opening.at_m)]
    else:
        pairs = [(left, right) if opening.hinges == "left" else (right, left)]
    across = math.cos(math.radians(swing_deg)), math.sin(math.radians(swing_deg))
    for hinge, latch in pairs:
        width_m = math.dist(hinge, latch)
        tip = hinge[0] + across[0] * width_m, hinge[1] + across[1] * width_m
        closed_deg = math.degrees(math.atan2(latch[1] - hinge[1], latch[0] - hinge[0]))
        start_deg = closed_deg if _turn(closed_deg, swing_deg) > 0 else swing_deg
        yield Leaf(_times(hinge, factor), _times(tip, factor), _times(latch, factor), start_deg % 360)


def edge_point(opening: PlanOpening, along_m: float) -> Point:
    """A point of the opening's line, so far from its left edge as seen from the unsecured side, metres."""
    secured = math.radians(opening.secured_deg or 0.0)
    # whoever looks towards the secured side has this to his right
    right = math.sin(secured), -math.cos(secured)
    off = along_m - opening.width_m / 2
    return opening.at_m[0] + right[0] * off, opening.at_m[1] + right[1] * off


def _swing_deg(opening: PlanOpening) -> float:
    secured_deg = opening.secured_deg or 0.0
    return secured_deg if opening.swings_to == "secured" else secured_deg + 180


def _turn(start_deg: float, end_deg: float) -> float:
    """From one direction to the other the short way, counter-clockwise above 0."""
    return (end_deg - start_deg + 180) % 360 - 180


def _times(point: Point, factor: float) -> Point:
    return point[0] * factor, point[1] * factor
