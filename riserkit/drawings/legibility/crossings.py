"""The check that cables which cross are bridged, and the count of crossings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, ClassVar, Final, NamedTuple

import shapely

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.legibility.near import meeting
from riserkit.drawings.legibility.values import Place, SheetShapes
from riserkit.standards.source import COMMON_PRACTICE

CABLE_LAYERS: Final = frozenset({layers.CABLE, layers.BACKBONE, layers.CONDUCTOR, layers.SPARE})
END_MM: Final = 0.2
"""A line that ends so near another meets it and does not cross it."""
_LEAST_TURN_DEG: Final = 5.0
_MOST_TURN_DEG: Final = 60.0
_ARCH_DEG: Final = 120.0
_MOST_BRIDGE_MM: Final = 8.0


class CrossingUnbridged:
    """Where cables or conductors cross in a diagram, one goes over the other in an arc.

    Why:
        Two lines that cross plainly can be read as joined, which in a wiring detail is a short circuit.
    Measures:
        In diagrams, the places where lines of two cables, conductors or backbones run through one another, neither
        of them in an arc. On plans to scale cables are drawn where they run, so there crossings are only counted.
    Limit:
        None.
    Remedy:
        Lead one of the two over the other in an arc of 8 mm at most, or avoid the crossing.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "crossing-unbridged"
    source: ClassVar[str] = COMMON_PRACTICE.cite()
    unit: ClassVar[str] = ""

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every crossing without a bridge."""
        for crossing in plain_crossings(sheet):
            if crossing.is_diagram:
                one, other = (model_id or "a line drawn by hand" for model_id in crossing.model_ids)
                yield Place(crossing.model_ids, crossing.at, f"{one} crosses {other} without a bridge.", 1, 0)


class Crossing(NamedTuple):
    """Where two cables cross."""

    model_ids: tuple[str, str]
    at: Point
    is_diagram: bool


def plain_crossings(sheet: SheetShapes) -> list[Crossing]:
    """Crossings of straight parts: not bridged."""
    straight = [run for key, (parts, _) in _cables(sheet).items() for run in _runs(key, parts)]
    return list(_met(straight, straight))


def bridged_crossings(sheet: SheetShapes) -> list[Crossing]:
    """Crossings under the arc of a bridge."""
    cables = _cables(sheet)
    straight = [run for key, (parts, _) in cables.items() for run in _runs(key, parts)]
    arches = [(key, shapely.LineString(chord)) for key, (_, chords) in cables.items() for chord in chords]
    return list(_met(arches, straight))


_Key = tuple[str, str, bool]
_Run = tuple[_Key, Any]


def _cables(sheet: SheetShapes) -> dict[_Key, tuple[list[Any], list[tuple[Point, Point]]]]:
    """Straight parts and chords of arches of each cable; a line drawn by hand is a cable of its own."""
    found: dict[_Key, tuple[list[Any], list[tuple[Point, Point]]]] = {}
    for stroke in sheet.strokes:
        if stroke.layer in CABLE_LAYERS and not stroke.is_area:
            key = (stroke.model_id, "" if stroke.model_id else stroke.entity, stroke.is_diagram)
            parts, chords = found.setdefault(key, ([], []))
            straight, arched = split_arches(stroke.points)
            parts += [shapely.LineString(points) for points in straight]
            chords += arched
    return found


def _runs(key: _Key, parts: Sequence[Any]) -> Iterator[_Run]:
    """Parts that go on in one another become one, so that a line drawn in two pieces still crosses."""
    merged = shapely.line_merge(shapely.MultiLineString(list(parts))) if parts else None
    yield from ((key, line) for line in shapely.get_parts(merged) if merged is not None)


def _met(one: Sequence[_Run], other: Sequence[_Run]) -> Iterator[Crossing]:
    if not one or not other:
        return
    tree = shapely.STRtree([line for _, line in other])
    seen: set[tuple[_Key, _Key, Point]] = set()
    for i, j in meeting(tree, [line for _, line in one]):
        (key, line), (other_key, across) = one[i], other[j]
        if key == other_key:
            continue
        low, high = sorted((key, other_key))
        for at in _points(line, across):
            spot = (low, high, (round(at[0], 2), round(at[1], 2)))
            if spot not in seen:
                seen.add(spot)
                yield Crossing((low[0], high[0]), at, key[2])


def _points(line: Any, across: Any) -> Iterator[Point]:
    """Where two lines meet, both going on."""
    for part in shapely.get_parts(shapely.intersection(line, across)):
        if part.geom_type == "Point":
            ends = (shapely.Point(p) for each in (line, across) for p in (each.coords[0], each.coords[-1]))
            if all(end.distance(part) > END_MM for end in ends):
                yield part.x, part.y


def split_arches(points: Sequence[Point]) -> tuple[list[Sequence[Point]], list[tuple[Point, Point]]]:
    """A line's parts without arches, and the chord of each arch.

    An arch turns one way in small steps, 120 degrees at least in all, and is no wider than a bridge.
    """
    turns = [_turn_deg(*points[n - 1 : n + 2]) for n in range(1, len(points) - 1)]
    straight: list[Sequence[Point]] = []
    arches: list[tuple[Point, Point]] = []
    start = n = 0
    while n < len(turns):
        last = n
        while last < len(turns) and _is_step(turns[last]) and turns[last] * turns[n] > 0:
            last += 1
        chord = points[n], points[last + 1] if last > n else points[n]
        if last > n and abs(sum(turns[n:last])) >= _ARCH_DEG and math.dist(*chord) <= _MOST_BRIDGE_MM:
            arches.append(chord)
            straight += [points[start : n + 1]] if n > start else []
            start = last + 1
        n = max(last, n + 1)
    straight += [points[start:]] if start < len(points) - 1 else []
    return straight, arches


def _is_step(turn_deg: float) -> bool:
    return _LEAST_TURN_DEG <= abs(turn_deg) <= _MOST_TURN_DEG


def _turn_deg(a: Point, b: Point, c: Point) -> float:
    """By how much the way from a over b to c turns, to the left positive."""
    first = math.atan2(b[1] - a[1], b[0] - a[0])
    second = math.atan2(c[1] - b[1], c[0] - b[0])
    return (math.degrees(second - first) + 180) % 360 - 180
