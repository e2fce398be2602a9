"""One window of a floor plan with everything in its place, in millimetres of paper (site millimetres over the scale)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
import shapely
from shapely import LineString, STRtree
from shapely.affinity import scale as scaled

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.plan.around import led_round
from riserkit.drawings.plan.bundles import BundleStretch, stretches
from riserkit.drawings.plan.devices import place_devices
from riserkit.drawings.plan.kept_tags import placed_tags
from riserkit.drawings.plan.labels import Obstacles, Tag, TagPlacement
from riserkit.drawings.plan.placed import DeviceAtDoor, PlacedOpening, PlanView, Rails, to_mm
from riserkit.drawings.plan.swing import LEAST_LEAF_MM, Leaf, edge_point, leaves_of
from riserkit.drawings.plan.symbols import RAIL_HALF_MM
from riserkit.drawings.plan.tags import (
    RADIUS_MM,
    closet_tags,
    opening_tags,
    pathway_tags,
    riser_tags,
    room_number_tags,
    room_tags,
)
from riserkit.drawings.plan.values import Carrier, PlanLevel, PlanOpening
from riserkit.kept import NOTHING_KEPT, KeptWork

RAIL_MM: Final = RAIL_HALF_MM
"""Half the distance of the two lines that stand for a tray or a conduit."""
BESIDE_MM: Final = RADIUS_MM + 1.4
"""From the middle of an opening's symbol to a cable that only passes it."""
_STUB_MM: Final = 4.5
_TURNS_DEG: Final = (0.0, 22.5, -22.5, 45.0, -45.0, 67.5, -67.5)
_JAMB_M: Final = 0.30
_EDGE_MM: Final = 1.0
_KEPT_MM: Final = 7.0


def lay_out_view(
    level: PlanLevel,
    ratio: int,
    window: Rect,
    patience: float = math.inf,
    *,
    devices_first: bool = False,
    kept: KeptWork = NOTHING_KEPT,
) -> PlanView:
    """Everything of a level that lies in a window, with labels placed.

    Args:
        level: metres.
        ratio: real length over length on paper.
        window: mm of paper from the site's origin.
        patience: as `place_tags` has it; a view given up on has all its other labels in `rest`.
        devices_first: the symbols of devices have the first choice of room, and labels of openings what is left.
        kept: what an earlier build worked out.
    """
    frame = shapely.box(*window)
    empty = PlanView(level, ratio, window, (), (), (), (), None, (), ())
    openings = _openings(empty)
    # lines end at the circles, so that no line runs through a symbol
    open_ground = frame.difference(shapely.unary_union([shapely.Point(o.at).buffer(RADIUS_MM) for o in openings]))
    rails = tuple(_rails(level, ratio, open_ground))
    cables = _lines(level, ratio, open_ground, backbone=False)
    backbones = _lines(level, ratio, open_ground, backbone=True)
    background = _background(level, ratio, frame)
    ways = (*closet_tags(empty), *riser_tags(empty), *pathway_tags(empty))
    doors = (*_crowded_first(opening_tags(empty)), *room_tags(empty))
    obstacles = Obstacles(
        lines=[*_strokes(openings), *(r.ground for r in rails), *map(_line, (*cables, *backbones))],
        symbols=[_symbol(tag, at) for tag in (*ways, *doors) if tag.radius_mm > RAIL_MM for at in tag.anchors],
        background=[
            *(shapely.get_parts(background) if background is not None else ()),
            *_heavy(level, ratio, frame),
            *_kept_for_devices(openings, ratio),
        ],
    )
    room = window.inset(_EDGE_MM)
    drawn = PlanView(level, ratio, window, openings, rails, cables, backbones, background, (), ())
    if devices_first:
        first = placed_tags(kept, ways, room, obstacles)
        drawn = place_devices(replace(drawn, tags=first.placed))
        obstacles = _with_devices(obstacles, drawn.devices)
        last = placed_tags(kept, doors, room, obstacles, standing=first.placed)
        found = TagPlacement((*first.placed, *last.placed), (*first.rest, *last.rest))
    else:
        found = placed_tags(kept, (*ways, *doors), room, obstacles, patience)
    unnumbered: tuple[Tag, ...] = ()
    if not found.rest or patience == math.inf:
        found, unnumbered = _with_room_numbers(empty, found, obstacles, kept)
    return replace(drawn, tags=found.placed, rest=found.rest, unnumbered=unnumbered)


def _with_devices(obstacles: Obstacles, devices: Sequence[DeviceAtDoor]) -> Obstacles:
    """What labels keep clear of besides: devices that stand."""
    return replace(
        obstacles,
        lines=[*obstacles.lines, *(LineString(one.leader) for one in devices)],
        symbols=[*obstacles.symbols, *(shapely.box(*one.box) for one in devices)],
    )


def _with_room_numbers(
    view: PlanView, found: TagPlacement, obstacles: Obstacles, kept: KeptWork
) -> tuple[TagPlacement, tuple[Tag, ...]]:
    """Every room has its number at least: what is placed already stays, numbers stand where there is room.

    Returns:
        all labels, and the numbers that have no room, which the notes tell.
    """
    missing = tuple(room_number_tags(view, {placed.tag.subject for placed in found.placed}))
    if not missing:
        return found, ()
    numbers = placed_tags(kept, missing, view.window.inset(_EDGE_MM), obstacles, standing=found.placed)
    return TagPlacement((*found.placed, *numbers.placed), found.rest), numbers.rest


def _openings(view: PlanView) -> tuple[PlacedOpening, ...]:
    inside = [opening for opening in view.level.openings if view.inside(opening.at_m)]
    points = [to_mm(opening.at_m, view.ratio) for opening in inside]
    symbols = STRtree([shapely.Point(p).buffer(RADIUS_MM, quad_segs=4) for p in points])
    found = []
    for opening, at in zip(inside, points, strict=True):
        half = opening.width_m * 500 / view.ratio
        cos, sin = math.cos(math.radians(opening.angle_deg)), math.sin(math.radians(opening.angle_deg))
        leaf = _cut((at[0] - cos * half, at[1] - sin * half), (at[0] + cos * half, at[1] + sin * half), view.window)
        home = to_mm(opening.home_m, view.ratio) if opening.home_m else None
        arrow = _arrow(at, home, symbols) if home else None
        found.append(PlacedOpening(opening, at, leaf, arrow, _leaves(opening, view)))
    return tuple(found)


def _kept_for_devices(openings: Sequence[PlacedOpening], ratio: int) -> Iterator[Any]:
    """Where an opening's devices would stand, at its ends: labels rather stand elsewhere."""
    for placed in openings:
        opening = placed.opening
        for along_m in sorted(
            {min(max(d.along_m, 0.0), opening.width_m) for d in opening.devices if d.side != "secured"}
        ):
            yield shapely.Point(to_mm(edge_point(opening, along_m), ratio)).buffer(_KEPT_MM)


def _leaves(opening: PlanOpening, view: PlanView) -> tuple[Leaf, ...]:
    leaves = tuple(leaves_of(opening, 1000 / view.ratio))
    if any(leaf.radius < LEAST_LEAF_MM for leaf in leaves) or opening.width_m * 500 / view.ratio < RADIUS_MM + 0.4:
        return ()
    room = view.window.inset(_EDGE_MM)
    points = [point for leaf in leaves for point in (leaf.hinge, leaf.tip, *leaf.arc())]
    return leaves if all(room.x0 <= x <= room.x1 and room.y0 <= y <= room.y1 for x, y in points) else ()


def _arrow(at: Point, home: Point, symbols: STRtree) -> tuple[Point, Point] | None:
    """Towards the closet, turned aside where another symbol is in the way; none where the closet is at hand."""
    if math.dist(at, home) < RADIUS_MM + _STUB_MM + 4:
        return None
    straight = math.atan2(home[1] - at[1], home[0] - at[0])
    for turn in _TURNS_DEG:
        cos, sin = math.cos(straight + math.radians(turn)), math.sin(straight + math.radians(turn))
        start = at[0] + cos * RADIUS_MM, at[1] + sin * RADIUS_MM
        tip = at[0] + cos * (RADIUS_MM + _STUB_MM), at[1] + sin * (RADIUS_MM + _STUB_MM)
        probe = LineString([(at[0] + cos * (RADIUS_MM + 0.1), at[1] + sin * (RADIUS_MM + 0.1)), tip]).buffer(0.6)
        hit = symbols.query(probe, predicate="intersects")
        if all(shapely.Point(at).distance(symbols.geometries[n].centroid) < 0.1 for n in hit):
            return start, tip
    return None


def _rails(level: PlanLevel, ratio: int, frame: Any) -> Iterator[Rails]:
    taken = shapely.Polygon()
    kinds: tuple[Carrier, ...] = ("tray", "conduit", "sleeve", "riser")
    for carrier in kinds:
        lines = [
            LineString([to_mm(p, ratio) for p in pathway.ends_m])
            for pathway in level.pathways
            if pathway.carrier == carrier
        ]
        shape = shapely.unary_union([line.buffer(RAIL_MM, cap_style="square", join_style="mitre") for line in lines])
        shape = shape.difference(taken)
        taken = taken.union(shape)
        if shape.intersects(frame):
            yield Rails(carrier, shape.intersection(frame), shape.boundary.intersection(frame))


def _lines(level: PlanLevel, ratio: int, ground: Any, *, backbone: bool) -> tuple[BundleStretch, ...]:
    found = []
    strands = [s for s in level.strands if s.backbone is backbone]
    for stretch in stretches(led_round(strands, level.openings, BESIDE_MM * ratio / 1000)):
        whole = LineString([to_mm(stretch.start_m, ratio), to_mm(stretch.end_m, ratio)])
        for line in shapely.get_parts(whole.intersection(ground)):
            if line.geom_type == "LineString" and line.length > 0:
                start, end = ((float(x), float(y)) for x, y in line.coords)
                found.append(BundleStretch(start, end, stretch.cables, stretch.subject))
    return tuple(found)


def _line(stretch: BundleStretch) -> LineString:
    return LineString([stretch.start_m, stretch.end_m])


def _background(level: PlanLevel, ratio: int, frame: Any) -> Any:
    """Outlines of walls with gaps where the openings are, else those of rooms; lines within the window."""
    shape = level.walls
    if shape is not None:
        gaps = [_gap(opening) for opening in level.openings]
        shape = shape.difference(shapely.unary_union(gaps)) if gaps else shape
        lines = shape.boundary
    elif level.rooms:
        lines = shapely.unary_union([room.outline.boundary for room in level.rooms])
    else:
        return None
    factor = 1000 / ratio
    return scaled(lines, factor, factor, origin=(0, 0)).intersection(frame)


def _heavy(level: PlanLevel, ratio: int, frame: Any) -> Iterator[Any]:
    """Heavy lines of the drawing behind, within the window."""
    if level.heavy is not None:
        factor = 1000 / ratio
        shown = shapely.clip_by_rect(scaled(level.heavy, factor, factor, origin=(0, 0)), *frame.bounds)
        yield from shapely.get_parts(shown)


def _gap(opening: PlanOpening) -> Any:
    """What the opening takes out of its wall."""
    cos, sin = math.cos(math.radians(opening.angle_deg)), math.sin(math.radians(opening.angle_deg))
    (x, y), half = opening.at_m, opening.width_m / 2
    leaf = LineString([(x - cos * half, y - sin * half), (x + cos * half, y + sin * half)])
    return leaf.buffer(_JAMB_M, cap_style="flat")


def _cut(start: Point, end: Point, window: Rect) -> tuple[Point, Point]:
    """What of a leaf lies in the window: a match line may run through an opening."""
    seen = LineString([start, end]).intersection(shapely.box(*window))
    if seen.geom_type != "LineString" or seen.is_empty:
        return start, end
    (x0, y0), (x1, y1) = seen.coords[0], seen.coords[-1]
    return (float(x0), float(y0)), (float(x1), float(y1))


def _strokes(openings: Sequence[PlacedOpening]) -> Iterator[LineString]:
    for placed in openings:
        yield LineString(placed.leaf)
        if placed.arrow is not None:
            yield LineString(placed.arrow).buffer(0.9)
        for leaf in placed.leaves:
            yield LineString([leaf.hinge, leaf.tip])
            yield LineString(leaf.arc())


def _symbol(tag: Tag, anchor: Point) -> Any:
    r = tag.radius_mm
    return shapely.box(anchor[0] - r, anchor[1] - r, anchor[0] + r, anchor[1] + r)


def _crowded_first(tags: Sequence[Tag]) -> list[Tag]:
    """Those with most others near come first, while there is a choice; then from left to right."""
    if not tags:
        return []
    at = np.array([tag.anchors[0] for tag in tags])
    tree = STRtree(shapely.points(at))
    near = np.bincount(tree.query(shapely.points(at), predicate="dwithin", distance=22.0)[0], minlength=len(tags))
    return [tags[n] for n in sorted(range(len(tags)), key=lambda n: (-int(near[n]), *tags[n].anchors[0]))]
