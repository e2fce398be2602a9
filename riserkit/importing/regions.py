"""One drawing with several storeys beside each other: each region of it is a level, laid over the others by its lower left corner."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from riserkit.importing.facts import (
    At,
    DocumentNote,
    DoorFact,
    Facts,
    LevelFact,
    PathwayFact,
    Point,
    RoomFact,
    WallFact,
)
from riserkit.importing.placing import Placing, placed
from riserkit.importing.settings import DocumentSettings
from riserkit.quantities.counting import counted

_Thing = TypeVar("_Thing", DoorFact, RoomFact, WallFact, PathwayFact)


def in_regions(facts: Facts, settings: DocumentSettings) -> Facts:
    """The facts of a plan with the level of each, moved so that the lower left corners of all regions lie on each other.

    Args:
        facts: of the whole drawing, in its own frame.
        settings: of the document; without regions the facts are as they were.
    """
    if not settings.regions:
        return facts
    corners = {name: (box[0] * facts.unit_m, box[1] * facts.unit_m) for name, box in settings.regions.items()}
    parts = [_part(facts, name, corners[name], _inside(facts, settings, name)) for name in settings.regions]
    notes = list(facts.notes)
    if told := _left_out(facts, parts):
        remedy = f'widen the regions under document."{facts.document}" if they belong to a level'
        notes.append(DocumentNote("left", At(facts.document), f"in no region, and on no level: {told}", remedy))
    return replace(
        facts,
        levels=tuple(level for part in parts for level in part.levels),
        rooms=tuple(room for part in parts for room in part.rooms),
        walls=tuple(wall for part in parts for wall in part.walls),
        doors=tuple(door for part in parts for door in part.doors),
        pathways=tuple(way for part in parts for way in part.pathways),
        notes=tuple(notes),
    )


def _left_out(facts: Facts, parts: Sequence[Facts]) -> str:
    """What lies in no region, by kind: `1 door, 3 rooms`. Walls are not told: frames and details of a sheet are taken for some."""
    left = {
        "door": len(facts.doors) - sum(len(part.doors) for part in parts),
        "room": len(facts.rooms) - sum(len(part.rooms) for part in parts),
        "pathway": len(facts.pathways) - sum(len(part.pathways) for part in parts),
    }
    return ", ".join(counted(number, kind) for kind, number in left.items() if number)


def _inside(facts: Facts, settings: DocumentSettings, name: str) -> tuple[Point, Point]:
    x0, y0, x1, y1 = (value * facts.unit_m for value in settings.regions[name])
    return (x0, y0), (x1, y1)


def _part(facts: Facts, name: str, corner_m: Point, box: tuple[Point, Point]) -> Facts:
    level = LevelFact(At(facts.document, f"region {name}"), name, name)
    of_level = replace(
        facts, levels=(level,), rooms=_of(facts.rooms, name, box), walls=_of(facts.walls, name, box),
        doors=_of(facts.doors, name, box), pathways=_of(facts.pathways, name, box),
    )  # fmt: skip
    return placed(of_level, Placing(shift_m=(-corner_m[0], -corner_m[1])))


def _of(things: Sequence[_Thing], name: str, box: tuple[Point, Point]) -> tuple[_Thing, ...]:
    return tuple(replace(thing, level=name) for thing in things if _lies_in(thing, box))


def _lies_in(thing: DoorFact | RoomFact | WallFact | PathwayFact, box: tuple[Point, Point]) -> bool:
    (x0, y0), (x1, y1) = box
    return any(x0 <= x <= x1 and y0 <= y <= y1 for x, y in list(_points(thing))[:1])


def _points(thing: DoorFact | RoomFact | WallFact | PathwayFact) -> Iterator[Point]:
    """Where a thing stands: its own place, else the first of its points."""
    if isinstance(thing, DoorFact | RoomFact) and thing.at_m is not None:
        yield thing.at_m
    if isinstance(thing, RoomFact | WallFact):
        yield from thing.outline_m
    if isinstance(thing, PathwayFact):
        yield from thing.points_m


def region_backgrounds(
    facts: Facts, settings: DocumentSettings, placing: Placing
) -> Mapping[str, tuple[str, float, Point, float]]:
    """By region the drawing behind its level: file, metres of a unit, where the drawing's origin stands, and its turn."""
    found = {}
    for name, box in settings.regions.items():
        at_m = placing.point((-box[0] * facts.unit_m, -box[1] * facts.unit_m))
        found[name] = (facts.document, facts.unit_m * placing.factor, at_m, placing.turn_deg)
    return found
