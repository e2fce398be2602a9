"""What a window of a floor plan shows, placed: in millimetres of paper (site millimetres over the scale)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.plan.bundles import BundleStretch
from riserkit.drawings.plan.labels import PlacedTag, Tag
from riserkit.drawings.plan.swing import Leaf
from riserkit.drawings.plan.values import Carrier, PlanDevice, PlanLevel, PlanOpening


@dataclass(frozen=True, slots=True)
class DeviceAtDoor:
    """A device's symbol and the line to it from its place at the wall."""

    device: PlanDevice
    mark: str
    at: Point
    box: Rect
    leader: tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class PlacedOpening:
    """An opening with its leaf closed, jamb to jamb, and open, and the arrow to its closet.

    Args of note:
        leaves: open; none where the swing is not stated, or too small to be seen, or not whole in the window.
        arrow: start and tip, None without one.
    """

    opening: PlanOpening
    at: Point
    leaf: tuple[Point, Point]
    arrow: tuple[Point, Point] | None = None
    leaves: tuple[Leaf, ...] = ()


@dataclass(frozen=True, slots=True)
class Rails:
    """All pathways of one kind within the window, as shapely geometry: the ground they cover, and its outline."""

    carrier: Carrier
    ground: Any
    outline: Any


@dataclass(frozen=True)
class PlanView:
    """A window and what it shows.

    Args:
        level: what is drawn.
        ratio: real length over length on paper.
        window: the part of the level, mm of paper from the site's origin.
        openings: those inside.
        rails: pathways by kind.
        cables: lines of horizontal cables in mm (their `_m` fields hold mm of paper here).
        backbones: the same for backbone cables.
        background: walls, or outlines of rooms; a shapely geometry, which labels mask.
        tags: labels placed.
        rest: labels that found no room.
        unnumbered: numbers of rooms that found none.
        devices: symbols of devices placed; `place_devices` adds them.
        without_devices: marks of openings that have no room for theirs.
    """

    level: PlanLevel
    ratio: int
    window: Rect
    openings: tuple[PlacedOpening, ...]
    rails: tuple[Rails, ...]
    cables: tuple[BundleStretch, ...]
    backbones: tuple[BundleStretch, ...]
    background: Any
    tags: tuple[PlacedTag, ...]
    rest: tuple[Tag, ...]
    unnumbered: tuple[Tag, ...] = ()
    devices: tuple[DeviceAtDoor, ...] = ()
    without_devices: tuple[str, ...] = ()

    def inside(self, point_m: Point) -> bool:
        """The point lies in the window; one on the cut belongs to the window to its right or above."""
        x, y = to_mm(point_m, self.ratio)
        return self.window.x0 <= x < self.window.x1 and self.window.y0 <= y < self.window.y1


def to_mm(point_m: Point, ratio: int) -> Point:
    """A point of the site on paper at a scale, from the site's origin."""
    return point_m[0] * 1000 / ratio, point_m[1] * 1000 / ratio
