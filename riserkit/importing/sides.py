"""Which rooms lie on a door's two sides, which of them is the secured one, and the hand that follows from that."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import shapely
from shapely import STRtree

from riserkit.importing.facts import DoorFact, Point, RoomFact, WallFact
from riserkit.importing.names import folded_name
from riserkit.model.opening import USUAL_LEAF_M

_PROBES_M: Final = (0.25, 0.4, 0.6, 0.9, 1.3)
"""How far beside the middle of the wall a room is looked for: half a thick wall, then further."""
_NAME_WITHIN_M: Final = 8.0
_LEAST_LETTERS: Final = 4
"""Of a name that is found within a longer one."""
_OUTSIDE: Final = frozenset(
    {
        "exterior", "outside", "outdoor", "outdoors", "street", "sidewalk", "pavement", "parking", "car park", "driveway", "außen",
        "aussen", "draußen", "draussen", "straße", "strasse", "extérieur", "exterieur", "dehors", "rue", "trottoir", "calle", "acera",
        "aparcamiento",
    }
)  # fmt: skip
"""By what plans call what is not of the building; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Side:
    """The room on one side of a door; `deg` is the direction to it. Without a room nothing is known there."""

    deg: float
    room: RoomFact | None = None
    inferred: str = ""


@dataclass(frozen=True, slots=True)
class Secured:
    """Which side is secured: its direction, and what that was inferred from; `weak` wants confirming at each door."""

    deg: float
    why: str
    weak: bool = False


class RoomFinder:
    """Looks up the rooms beside doors, level by level."""

    def __init__(self, rooms: Sequence[RoomFact], walls: Sequence[WallFact], doors: Sequence[DoorFact] = ()) -> None:
        self._rooms: dict[str, list[RoomFact]] = {}
        self._names: dict[str, list[RoomFact]] = {}
        for room in rooms:
            if room.outline_m:
                self._rooms.setdefault(room.level, []).append(room)
            elif room.at_m is not None:
                self._names.setdefault(room.level, []).append(room)
        self._shapes = {
            level: [shapely.make_valid(shapely.Polygon(room.outline_m, room.holes_m)) for room in found]
            for level, found in self._rooms.items()
        }
        self._trees = {level: STRtree(found) for level, found in self._shapes.items()}
        lines: dict[str, list[shapely.Geometry]] = {}
        for wall in walls if self._names else ():
            lines.setdefault(wall.level, []).append(shapely.LineString(wall.outline_m))
        for door in doors if self._names else ():
            # Closed, a door keeps rooms apart as its wall does: nobody sees a name through the next door.
            if (closed := _closed(door)) is not None:
                lines.setdefault(door.level, []).append(closed)
        self._walls = {level: STRtree(found) for level, found in lines.items()}

    def sides(self, door: DoorFact) -> tuple[Side, Side] | None:
        """Both sides of a door, the one to the left of its wall's direction first; None for a door without a place."""
        if door.at_m is None or door.angle_deg is None:
            return None
        left, right = (door.angle_deg + 90) % 360, (door.angle_deg - 90) % 360
        return Side(left, *self._beside(door, left)), Side(right, *self._beside(door, right))

    def _beside(self, door: DoorFact, deg: float) -> tuple[RoomFact | None, str]:
        x, y = door.at_m or (0.0, 0.0)
        cos, sin = math.cos(math.radians(deg)), math.sin(math.radians(deg))
        known = [room for room in self._rooms.get(door.level, ()) if room.identity in door.rooms]
        tree = self._trees.get(door.level)
        for far_m in _PROBES_M if tree is not None else ():
            point = shapely.Point(x + cos * far_m, y + sin * far_m)
            found = [self._rooms[door.level][n] for n in tree.query(point, predicate="intersects")] if tree else []
            named = [room for room in found if room in known] or ([] if known and door.rooms else found)
            if named:
                return min(named, key=_area), ""
        if known:
            return self._nearest(door, known, (cos, sin)), ""
        return self._named(door, (x + cos * 0.4, y + sin * 0.4), (cos, sin))

    def _nearest(self, door: DoorFact, known: Sequence[RoomFact], to: Point) -> RoomFact | None:
        """Of the rooms that the document itself names, the one that lies mostly to this side."""
        x, y = door.at_m or (0.0, 0.0)
        shapes = {
            room.identity: shape for room, shape in zip(self._rooms[door.level], self._shapes[door.level], strict=True)
        }
        best: tuple[float, RoomFact] | None = None
        for room in known:
            shape = shapes[room.identity]
            near = shapely.shortest_line(shapely.Point(x, y), shape)
            (_, _), (nx, ny) = shapely.get_coordinates(near)
            ahead = (nx - x) * to[0] + (ny - y) * to[1]
            if shape.distance(shapely.Point(x, y)) < 1e-9:
                middle = shape.representative_point()
                ahead = (middle.x - x) * to[0] + (middle.y - y) * to[1]
            if ahead > 0 and (best is None or ahead > best[0]):
                best = ahead, room
        return best[1] if best else None

    def _named(self, door: DoorFact, start: Point, to: Point) -> tuple[RoomFact | None, str]:
        """A room that only a text names: the nearest that is seen from the door without looking through a wall."""
        walls = self._walls.get(door.level)
        found = []
        for room in self._names.get(door.level, ()):
            x, y = room.at_m or start
            ahead = (x - start[0]) * to[0] + (y - start[1]) * to[1]
            far_m = math.dist(start, (x, y))
            if ahead > 0 and far_m <= _NAME_WITHIN_M:
                found.append((far_m, room))
        for _, room in sorted(found, key=lambda one: one[0])[:6]:
            sight = shapely.LineString([start, room.at_m or start])
            if walls is None or not len(walls.query(sight, predicate="intersects")):
                return room, "the nearest name in sight of the door"
        return None, ""


def _closed(door: DoorFact) -> shapely.LineString | None:
    """The line that a door closes; None for one without a place."""
    if door.at_m is None or door.angle_deg is None:
        return None
    half_m, turn = (door.width_m or USUAL_LEAF_M) / 2, math.radians(door.angle_deg)
    dx, dy = half_m * math.cos(turn), half_m * math.sin(turn)
    return shapely.LineString([(door.at_m[0] - dx, door.at_m[1] - dy), (door.at_m[0] + dx, door.at_m[1] + dy)])


def _area(room: RoomFact) -> float:
    return float(shapely.Polygon(room.outline_m).area)


def secured_side(door: DoorFact, sides: tuple[Side, Side], circulation: Collection[str]) -> Secured | None:
    """The side that is kept locked, from what is known of the rooms; None where nothing tells.

    An outside door secures the inside, whatever room is there; a door named after a room secures that room; a corridor is
    where one comes from.
    """
    rooms = [side.room for side in sides if side.room is not None]
    if len(rooms) == 1 and door.external is not False:
        inside = next(side for side in sides if side.room is not None)
        if door.external:
            return Secured(inside.deg, "an outside door: the inside is secured")
        return Secured(inside.deg, "one side has a room, the other none", weak=True)
    return _between(door, sides, circulation) if len(rooms) == 2 else None


def _between(door: DoorFact, sides: tuple[Side, Side], circulation: Collection[str]) -> Secured | None:
    """The secured one of two rooms."""
    for column, is_inside in (("secured_side", True), ("unsecured_side", False)):
        said = door.stated.get(column, "")
        stated = [side for side in sides if side.room and is_called(side.room, said)] if said else []
        if len(stated) == 1:
            this, other = other_side(sides, stated[0].deg)
            return Secured(
                this.deg if is_inside else other.deg, f"the list names {said} as its {column.replace('_', ' ')}"
            )
    return _by_names(door, sides, circulation) or _by_shape(door, sides)


def _by_names(door: DoorFact, sides: tuple[Side, Side], circulation: Collection[str]) -> Secured | None:
    outside = [side for side in sides if side.room and _has_word(side.room.name, _OUTSIDE)]
    if len(outside) == 1:
        inside = other_side(sides, outside[0].deg)[1]
        return Secured(inside.deg, f"{outside[0].room.label if outside[0].room else ''} is outside")
    named = [side for side in sides if side.room and _named_after(door.mark, side.room)]
    if len(named) == 1:
        return Secured(named[0].deg, f"the door is named after room {named[0].room.number}" if named[0].room else "")
    words = {word.casefold() for word in circulation}
    ways = [side for side in sides if side.room and _has_word(side.room.name, words)]
    if len(ways) == 1:
        other = other_side(sides, ways[0].deg)[1]
        return Secured(other.deg, f"{ways[0].room.label if ways[0].room else ''} is where one comes from")
    return None


def _by_shape(door: DoorFact, sides: tuple[Side, Side]) -> Secured | None:
    if door.swings_deg is not None:
        return Secured(_facing(sides, door.swings_deg).deg, "the leaf swings into it", weak=True)
    if all(side.room and side.room.outline_m for side in sides):
        small = min(sides, key=lambda side: _area(side.room) if side.room else 0.0)
        return Secured(small.deg, "it is the smaller room", weak=True)
    return None


def is_called(room: RoomFact, said: str) -> bool:
    """Whether a list means this room: by its number, its name or both."""
    return folded_name(said) in {folded_name(x) for x in (room.number, room.name, room.label) if x}


def may_be(room: RoomFact, said: str) -> bool:
    """Whether a list may mean this room: a corridor of a longer name is a corridor."""
    one, other = folded_name(said), folded_name(room.label or room.name)
    return is_called(room, said) or (min(len(one), len(other)) >= _LEAST_LETTERS and (one in other or other in one))


def _named_after(mark: str, room: RoomFact) -> bool:
    number = folded_name(room.number)
    name = folded_name(mark)
    return (
        bool(number)
        and name.startswith(number)
        and not name[len(number) :][:1].isdigit()
        and len(name) <= len(number) + 2
    )


def _has_word(name: str, words: Collection[str]) -> bool:
    said = re.findall(r"[^\W\d_]+", name.casefold())
    return any(word in said or (" " in word and word in name.casefold()) for word in words)


def _facing(sides: tuple[Side, Side], deg: float) -> Side:
    left, right = sides
    return left if math.cos(math.radians(left.deg - deg)) > 0 else right


def other_side(sides: tuple[Side, Side], deg: float) -> tuple[Side, Side]:
    """Of both sides the one that lies to a direction first, then the other."""
    this = _facing(sides, deg)
    return this, sides[1] if this is sides[0] else sides[0]


def hand(door: DoorFact, secured_deg: float) -> Mapping[str, str]:
    """`hinges` and `swings_to` of a leaf, seen from the unsecured side.

    Examples:
        >>> from riserkit.importing.facts import At
        >>> door = DoorFact(At("a"), at_m=(0, 0), angle_deg=0, leaves=1, hinge_m=(-0.45, 0), swings_deg=90)
        >>> dict(hand(door, 90)), dict(hand(door, 270))
        ({'hinges': 'left', 'swings_to': 'secured'}, {'hinges': 'right', 'swings_to': 'unsecured'})
    """
    found: dict[str, str] = {}
    if door.hinge_m is not None and door.at_m is not None and door.leaves != 2:
        # Looking the way the secured side lies, left is a quarter turn counter-clockwise.
        turn = math.radians(secured_deg + 90)
        along = (door.hinge_m[0] - door.at_m[0]) * math.cos(turn) + (door.hinge_m[1] - door.at_m[1]) * math.sin(turn)
        found["hinges"] = "left" if along > 0 else "right"
    if door.swings_deg is not None:
        into = math.cos(math.radians(door.swings_deg - secured_deg)) > 0
        found["swings_to"] = "secured" if into else "unsecured"
    return found
