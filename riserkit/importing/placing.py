"""From a document's frame to the site's: an origin, a turn and a factor, or two pairs of matching points."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from riserkit.importing.facts import DoorFact, Facts, PathwayFact, Point, RoomFact, WallFact
from riserkit.importing.settings import DocumentSettings


@dataclass(frozen=True, slots=True)
class Placing:
    """A turn, a factor and a shift: metres in a document's frame become metres in the site's."""

    factor: float = 1.0
    turn_deg: float = 0.0
    shift_m: Point = (0.0, 0.0)

    @property
    def moves(self) -> bool:
        """Whether it changes anything."""
        return self != Placing()

    def point(self, at_m: Point) -> Point:
        """A point in the site's frame.

        Examples:
            >>> Placing(turn_deg=90, shift_m=(10, 0)).point((2.0, 0.0))
            (10.0, 2.0)
        """
        cos, sin = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        x, y = at_m[0] * self.factor, at_m[1] * self.factor
        return round(x * cos - y * sin + self.shift_m[0], 9), round(x * sin + y * cos + self.shift_m[1], 9)

    def direction(self, deg: float) -> float:
        """A direction in the site's frame, 0 to 360."""
        return (deg + self.turn_deg) % 360


def placing_of(settings: DocumentSettings, unit_m: float) -> Placing:
    """What a user says of where a document lies.

    Args:
        settings: of the document.
        unit_m: metres of one of its units, in which origin and points are stated.
    """
    if settings.points:
        (ax, ay, sx, sy), (bx, by, tx, ty) = settings.points
        drawn, stands = complex(bx - ax, by - ay) * unit_m, complex(tx - sx, ty - sy)
        ratio = stands / drawn
        at = complex(sx, sy) - ratio * complex(ax, ay) * unit_m
        return Placing(abs(ratio), math.degrees(math.atan2(ratio.imag, ratio.real)), (at.real, at.imag))
    factor, turn_deg = settings.scale or 1.0, settings.rotation_deg or 0.0
    turned = Placing(factor, turn_deg)
    ox, oy = settings.origin or (0.0, 0.0)
    x, y = turned.point((ox * unit_m, oy * unit_m))
    return replace(turned, shift_m=(0.0 - x, 0.0 - y))


def placed(facts: Facts, placing: Placing) -> Facts:
    """The facts in the site's frame."""
    if not placing.moves:
        return facts
    to = placing.point
    return replace(
        facts,
        rooms=tuple(_room(room, to) for room in facts.rooms),
        walls=tuple(_wall(wall, to) for wall in facts.walls),
        doors=tuple(_door(door, placing) for door in facts.doors),
        pathways=tuple(_pathway(way, to) for way in facts.pathways),
    )


def _all(points: Iterable[Point], to: Callable[[Point], Point]) -> tuple[Point, ...]:
    return tuple(map(to, points))


def _room(room: RoomFact, to: Callable[[Point], Point]) -> RoomFact:
    at_m = None if room.at_m is None else to(room.at_m)
    holes_m = tuple(_all(hole, to) for hole in room.holes_m)
    return replace(room, at_m=at_m, outline_m=_all(room.outline_m, to), holes_m=holes_m)


def _wall(wall: WallFact, to: Callable[[Point], Point]) -> WallFact:
    return replace(wall, outline_m=_all(wall.outline_m, to), holes_m=tuple(_all(hole, to) for hole in wall.holes_m))


def _pathway(way: PathwayFact, to: Callable[[Point], Point]) -> PathwayFact:
    return replace(way, points_m=_all(way.points_m, to))


def _door(door: DoorFact, placing: Placing) -> DoorFact:
    # A width that is written in the document is in words; only one measured off the drawing follows the factor.
    measured = "width_m" in door.inferred
    return replace(
        door,
        at_m=None if door.at_m is None else placing.point(door.at_m),
        hinge_m=None if door.hinge_m is None else placing.point(door.hinge_m),
        angle_deg=None if door.angle_deg is None else placing.direction(door.angle_deg),
        swings_deg=None if door.swings_deg is None else placing.direction(door.swings_deg),
        width_m=door.width_m * placing.factor if door.width_m is not None and measured else door.width_m,
    )
