"""The labels that a window of a floor plan carries, before any has a place."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from typing import Any, Final

import shapely
from shapely import LineString

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.errors import TextError
from riserkit.drawings.dxf.text import shown_text, wrap
from riserkit.drawings.plan.labels import Tag
from riserkit.drawings.plan.placed import PlanView, to_mm
from riserkit.drawings.plan.values import PlanOpening
from riserkit.holds import HOLD

RADIUS_MM: Final = 1.4
"""Of the symbols of openings; those of closets and risers are a little larger."""
PLACE_MM: Final = 2.2
RISER_TOUCH_MM: Final = 1.0
"""Radius of the circle that meets the triangles of risers on every side, so that leaders reach them."""
RAIL_RADIUS_MM: Final = 0.9
ROOM_RADIUS_MM: Final = 0.25
"""Of the dot in which the leader of a room's number ends."""
_MOST_SPOTS: Final = 12
"""In a room, where a leader may end: the label of a door may cover its middle."""
NAME_MM: Final = 2.5
_TOGETHER_MM: Final = 3.0
_MOST_TOGETHER: Final = 16
_ALONG: Final = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)


def opening_tags(view: PlanView) -> list[Tag]:
    """One label for each opening; openings that stand on one another share a list."""
    groups: list[tuple[Point, list[PlanOpening]]] = []
    cells: dict[tuple[int, int], list[int]] = {}
    for opening in view.level.openings:
        if view.inside(opening.at_m):
            _join(groups, cells, opening, view.ratio)
    return [tag for at, members in groups for tag in _group_tags(at, members, view.level.small_mm)]


def _join(
    groups: list[tuple[Point, list[PlanOpening]]],
    cells: dict[tuple[int, int], list[int]],
    opening: PlanOpening,
    ratio: int,
) -> None:
    at = opening.at_m[0] * 1000 / ratio, opening.at_m[1] * 1000 / ratio
    cx, cy = math.floor(at[0] / _TOGETHER_MM), math.floor(at[1] / _TOGETHER_MM)
    near = sorted(n for dx in (-1, 0, 1) for dy in (-1, 0, 1) for n in cells.get((cx + dx, cy + dy), ()))
    for n in near:
        if math.dist(groups[n][0], at) < _TOGETHER_MM:
            groups[n][1].append(opening)
            return
    cells.setdefault((cx, cy), []).append(len(groups))
    groups.append((at, [opening]))


def _group_tags(at: Point, members: Sequence[PlanOpening], small_mm: float) -> Iterator[Tag]:
    if len(members) == 1:
        opening = members[0]
        small = tuple((text, small_mm) for text in (opening.cable, *opening.more))
        named = tuple((text, NAME_MM) for text in _named(opening))
        yield Tag(f"opening:{opening.mark}", (at,), (*named, *small), RADIUS_MM, held=_held(members))
        return
    for n in range(0, len(members), _MOST_TOGETHER):
        part = members[n : n + _MOST_TOGETHER]
        lines = tuple((" ".join((*_named(o), o.cable, *o.more)), small_mm) for o in part)
        yield Tag(f"opening:{part[0].mark}", (at,), lines, RADIUS_MM, held=_held(part))


def _held(openings: Sequence[PlanOpening]) -> tuple[str, ...]:
    return tuple(opening.name for opening in openings if opening.held)


def _named(opening: PlanOpening) -> tuple[str, ...]:
    return (HOLD, opening.name) if opening.held else (opening.name,)


def closet_tags(view: PlanView) -> Iterator[Tag]:
    """A framed label for each closet."""
    for closet in view.level.closets:
        if view.inside(closet.at_m):
            first, *others = closet.lines
            lines = ((first, NAME_MM), *((text, view.level.small_mm) for text in others))
            yield Tag(
                f"closet:{closet.id}", (to_mm(closet.at_m, view.ratio),), lines, PLACE_MM, framed=True, is_square=True
            )


def riser_tags(view: PlanView) -> Iterator[Tag]:
    """A label for each place where pathways leave the level."""
    for riser in view.level.risers:
        if view.inside(riser.at_m):
            lines = tuple((text, view.level.small_mm) for text in riser.lines)
            yield Tag(f"riser:{riser.id}", (to_mm(riser.at_m, view.ratio),), lines, PLACE_MM, touch_mm=RISER_TOUCH_MM)


def pathway_tags(view: PlanView) -> Iterator[Tag]:
    """A label anywhere along each pathway: its id and how many cables it carries."""
    frame = shapely.box(*view.window)
    for pathway in view.level.pathways:
        line: Any = LineString([to_mm(p, view.ratio) for p in pathway.ends_m]).intersection(frame)
        if line.geom_type != "LineString" or line.length < 2 * RAIL_RADIUS_MM:
            continue
        points = [line.interpolate(share, normalized=True) for share in _ALONG]
        text = f"{pathway.id}{pathway.size}" + (f": {pathway.count}" if pathway.count else "")
        text += f", {pathway.height}" if pathway.height != view.level.usual_height else ""
        anchors = tuple((p.x, p.y) for p in points)
        yield Tag(f"pathway:{pathway.id}", anchors, ((text, view.level.small_mm),), RAIL_RADIUS_MM)


def room_tags(view: PlanView) -> Iterator[Tag]:
    """Names of rooms, left out where there is no room for them."""
    frame, factor = shapely.box(*view.window), view.ratio / 1000
    for room in view.level.rooms:
        width = (room.outline.bounds[2] - room.outline.bounds[0]) / factor
        lines: tuple[str, ...] = ()
        with suppress(TextError):
            lines = wrap(room.name, max(min(width - 4, 40.0), 4.0), view.level.small_mm)
        if " ".join(lines) != shown_text(room.name):  # a word was broken: the number alone reads better
            lines = ()
        if room.id != room.name:
            lines = (*lines, room.id)
        points = [p for p in _spots(room.outline) if frame.contains(shapely.Point(p[0] / factor, p[1] / factor))]
        if lines and points:
            anchors = tuple((x / factor, y / factor) for x, y in points)
            yield Tag(f"room:{room.id}", anchors, tuple((text, view.level.small_mm) for text in lines), optional=True)


def room_number_tags(view: PlanView, placed: Collection[str]) -> Iterator[Tag]:
    """The number alone, on a leader if it must be, for every room whose name found no room.

    Args:
        view: the window.
        placed: subjects of the labels that have a place.
    """
    frame, factor = shapely.box(*view.window), view.ratio / 1000
    for room in view.level.rooms:
        spots = [(x / factor, y / factor) for x, y in dict.fromkeys(_spots(room.outline))]
        inside = tuple(spot for spot in spots if frame.contains(shapely.Point(spot)))
        if inside and f"room:{room.id}" not in placed:
            yield Tag(
                f"room:{room.id}",
                inside[:_MOST_SPOTS],
                ((room.id, view.level.small_mm),),
                ROOM_RADIUS_MM,
                background=True,
            )


def _spots(outline: Any) -> Iterator[Point]:
    """Points inside an outline, the most central first."""
    middle = outline.centroid
    inner = outline.representative_point()
    x0, y0, x1, y1 = outline.bounds
    shares = (0.5, 0.35, 0.65, 0.2, 0.8)
    points = [middle, inner, *(shapely.Point(x0 + a * (x1 - x0), y0 + b * (y1 - y0)) for a in shares for b in shares)]
    yield from ((p.x, p.y) for p in points if outline.contains(p))
