"""The symbols of devices at openings, set off from the wall where nothing is, each on a line from its place.

They are placed last, in the room that labels, cables and leaves have left: all of an opening's, or none of them.
Millimetres of paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, STRtree

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.plan.placed import DeviceAtDoor, PlacedOpening, PlanView
from riserkit.drawings.plan.swing import edge_point
from riserkit.drawings.plan.tags import PLACE_MM, RADIUS_MM
from riserkit.drawings.plan.values import PlanDevice, PlanOpening

CLEAR_MM: Final = 0.7
_OFF_WALL_MM: Final = 1.2
_OUT_MM: Final = (2.0, 3.2, 4.5, 6.0, 8.0, 10.5, 13.0, 16.0, 20.0, 24.0)
_ALONG_MM: Final = (0.0, 2.5, -2.5, 5.0, -5.0, 8.0, -8.0, 11.0, -11.0, 14.0, -14.0, 18.0, -18.0, 22.0, -22.0)
_WALL_REACH_M: Final = 0.6
_FREE_MM: Final = 1.2
_RIM_MM: Final = RADIUS_MM + 0.3
"""From the middle of an opening's circle to where lines of its devices start, where they would start within it."""
_BOXES: Final = frozenset({"plan_junction_box", "plan_box"})
_BOX_BESIDE_M: Final = (0.35, 0.8, 1.25)
_TRIES: Final = 8
_TOGETHER: Final = 64
_CROSSING_COST_MM: Final = 6.0

Boxes = npt.NDArray[np.float64]


class _Mounting(NamedTuple):
    """Where a device is mounted, and a side (1 secured, -1 not) that its symbol may stand on; `rank` 0 is the best."""

    at: Point
    side: int
    rank: int = 0


def place_devices(view: PlanView) -> PlanView:
    """The view with the devices of its openings, and the marks of those that have no room for theirs."""
    ground = _DeviceGround(view)
    placed: list[DeviceAtDoor] = []
    rest: list[str] = []
    for opening in view.openings:
        if not opening.opening.devices:
            continue
        found = ground.place(opening)
        if found is None:
            rest.append(opening.opening.mark)
        else:
            placed += found
    return replace(view, devices=tuple(placed), without_devices=tuple(rest))


@dataclass(frozen=True, slots=True)
class _Ways:
    """Places for one device, the best first: its box, the ends of its line, and what both cover."""

    boxes: Boxes
    tips: Boxes
    ends: Boxes
    shapes: npt.NDArray[Any]
    lines: npt.NDArray[Any]

    def device(self, n: int, device: PlanDevice, mark: str) -> DeviceAtDoor:
        """The device at one of the places."""
        box, body = Rect(*map(float, self.boxes[n])), SYMBOLS[device.symbol].body
        (x0, y0), (x1, y1) = self.tips[n].tolist(), self.ends[n].tolist()
        return DeviceAtDoor(device, mark, (box.x0 - body.x0, box.y0 - body.y0), box, ((x0, y0), (x1, y1)))


@dataclass
class _DeviceGround:
    view: PlanView
    taken: list[Any] = field(default_factory=list)
    _known: dict[tuple[str, PlanDevice], _Ways] = field(default_factory=dict)

    def __post_init__(self) -> None:
        view = self.view
        self._walls = _tree(shapely.get_parts(view.background) if view.background is not None else ())
        self._lines = _tree([*_ways(view), *_leaves(view.openings)])
        self._symbols = _tree(_symbols(view))
        self._labels = _tree(shapely.box(*tag.box) for tag in view.tags)
        self._wall_shape = view.level.walls

    def place(self, placed: PlacedOpening) -> list[DeviceAtDoor] | None:
        """All devices of one opening; None where one of them finds no room, and then none takes any."""
        order, before = _by_choice(placed.opening), len(self.taken)
        for _ in range(_TRIES):
            found: list[DeviceAtDoor] = []
            for device in order:
                one = self._best(placed.opening, device)
                if one is None:
                    break
                found.append(one)
                self.taken += [shapely.box(*one.box.inset(-CLEAR_MM)), LineString(one.leader)]
            else:
                return found
            del self.taken[before:]
            if device is order[0]:
                return None
            # what found no room goes first
            order = [device, *(other for other in order if other is not device)]
        return None

    def _best(self, opening: PlanOpening, device: PlanDevice) -> DeviceAtDoor | None:
        """The place at the least cost that nothing has taken; None without any."""
        key = opening.mark, device
        if key not in self._known:
            self._known[key] = self._ways(opening, device)
        ways, taken = self._known[key], _tree(self.taken)
        for start in range(0, len(ways.tips), _TOGETHER):
            part = slice(start, start + _TOGETHER)
            free = _clear(ways.shapes[part], (taken,)) & _clear(ways.lines[part], (taken,))
            if free.any():
                return ways.device(start + int(free.argmax()), device, opening.mark)
        return None

    def _ways(self, opening: PlanOpening, device: PlanDevice) -> _Ways:
        """All places that are clear of the drawing, by the length of the line to them, one that it crosses counted as so much more."""
        boxes, tips = self._candidates(opening, tuple(self._places(opening, device)), SYMBOLS[device.symbol].body)
        room = self.view.window.inset(1.0)
        reach = np.hstack([np.minimum(boxes[:, :2], tips), np.maximum(boxes[:, 2:], tips)])
        inside = (reach[:, :2] >= room[:2]).all(axis=1) & (reach[:, 2:] <= room[2:]).all(axis=1)
        boxes, tips = boxes[inside], tips[inside]
        shapes = shapely.box(*(boxes + np.array([-CLEAR_MM, -CLEAR_MM, CLEAR_MM, CLEAR_MM])).T)
        free = _clear(shapes, (self._walls, self._lines, self._symbols))
        # a label hides what is behind it, and with it the place that a line starts at
        free &= _clear(shapely.points(tips), (self._labels,))
        boxes, tips, shapes = boxes[free], tips[free], shapes[free]
        ends = _nearest(boxes, tips)
        length = np.hypot(*(ends - tips).T)
        # a line may leave what its place is at
        share = np.minimum(_FREE_MM / np.maximum(length, _FREE_MM), 0.5)[:, None]
        away = shapely.linestrings(np.stack([tips + (ends - tips) * share, ends], axis=1))
        cost = length + _CROSSING_COST_MM * np.bincount(
            self._lines.query(away, predicate="intersects")[0], minlength=len(away)
        )
        clear = np.flatnonzero(_clear(away, (self._walls, self._symbols)))
        best = clear[np.argsort(cost[clear], kind="stable")]
        return _Ways(boxes[best], tips[best], ends[best], shapes[best], away[best])

    def _places(self, opening: PlanOpening, device: PlanDevice) -> Iterator[_Mounting]:
        factor = 1000 / self.view.ratio
        if device.side == "frame":
            # its symbol is rather where the leaf does not swing
            x, y = edge_point(opening, device.along_m)
            for rank, side in enumerate((-1, 1) if opening.swings_to == "secured" else (1, -1)):
                yield _Mounting(self._beside_circle(opening, (x * factor, y * factor), side), side, rank)
            return
        side = 1 if device.side == "secured" else -1
        if device.symbol in _BOXES:
            # above the ceiling on that side: beside the opening on either hand is as true as any place
            for beside_m in _BOX_BESIDE_M:
                for along_m in (-beside_m, opening.width_m + beside_m):
                    yield _Mounting(self._at_face(opening, along_m, side), side)
        yield _Mounting(self._at_face(opening, device.along_m, side), side)

    def _at_face(self, opening: PlanOpening, along_m: float, side: int) -> Point:
        factor = 1000 / self.view.ratio
        x, y = edge_point(opening, along_m)
        nx, ny = _normal(opening, side)
        face_m = self._face_m((x, y), (nx, ny))
        at = (x + nx * face_m) * factor, (y + ny * face_m) * factor
        return self._beside_circle(opening, at, side)

    def _beside_circle(self, opening: PlanOpening, at: Point, side: int) -> Point:
        """The point, or where it lies in the opening's circle the rim on that side of it, which a line can leave."""
        factor = 1000 / self.view.ratio
        x, y = opening.at_m[0] * factor, opening.at_m[1] * factor
        if math.dist(at, (x, y)) >= _RIM_MM:
            return at
        nx, ny = _normal(opening, side)
        along = (at[1] - y) * nx - (at[0] - x) * ny
        out = math.sqrt(_RIM_MM**2 - along**2)
        return x + nx * out - ny * along, y + ny * out + nx * along

    def _face_m(self, at: Point, normal: Point) -> float:
        """From the wall's line to its face on that side; 0 where no wall is known there."""
        if self._wall_shape is None:
            return 0.0
        far = at[0] + normal[0] * _WALL_REACH_M, at[1] + normal[1] * _WALL_REACH_M
        for part in shapely.get_parts(shapely.intersection(LineString([at, far]), self._wall_shape)):
            if part.geom_type == "LineString" and part.distance(shapely.Point(at)) < 1e-6:
                return float(part.length)
        return 0.0

    def _candidates(self, opening: PlanOpening, places: Sequence[_Mounting], body: Rect) -> tuple[Boxes, Boxes]:
        """Boxes all round the places, whole on their side of the wall, and for each the point that its line starts at."""
        factor = 1000 / self.view.ratio
        middle = opening.at_m[0] * factor, opening.at_m[1] * factor
        boxes, tips = [], []
        half_w, half_h = body.width / 2, body.height / 2
        for place in places:
            nx, ny = _normal(opening, place.side)
            # half of the box as seen along the wall's normal
            deep = abs(nx) * half_w + abs(ny) * half_h
            for out in _OUT_MM:
                for along in _ALONG_MM:
                    x = place.at[0] + nx * (out + deep + place.rank * 0.5) - ny * along
                    y = place.at[1] + ny * (out + deep + place.rank * 0.5) + nx * along
                    if (x - middle[0]) * nx + (y - middle[1]) * ny - deep < _OFF_WALL_MM:
                        continue
                    boxes.append((x - half_w, y - half_h, x + half_w, y + half_h))
                    tips.append(place.at)
        return np.array(boxes).reshape(-1, 4), np.array(tips).reshape(-1, 2)


def _by_choice(opening: PlanOpening) -> list[PlanDevice]:
    """Those with the least choice of places first: in the frame, then at the wall; boxes above ceilings last."""
    rank = {"plan_contact": 0, "plan_lock": 1, "plan_controller": 2, "plan_reader": 3, "plan_button": 4, "plan_rex": 5}
    return sorted(opening.devices, key=lambda device: rank.get(device.symbol, 6))


def _normal(opening: PlanOpening, side: int) -> Point:
    """Square to the wall, towards the secured side (1) or the other (-1)."""
    turn = math.radians(opening.secured_deg or 0.0)
    return side * math.cos(turn), side * math.sin(turn)


def _nearest(boxes: Boxes, points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The middle of the side of each box that is nearest to its point."""
    x0, y0, x1, y1 = boxes.T
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    ends = np.stack([np.stack([x0, y], 1), np.stack([x1, y], 1), np.stack([x, y0], 1), np.stack([x, y1], 1)])
    near = np.hypot(*np.moveaxis(ends - points, -1, 0)).argmin(axis=0)
    found: npt.NDArray[np.float64] = ends[near, np.arange(len(boxes))]
    return found


def _clear(shapes: npt.NDArray[Any], trees: Iterable[STRtree]) -> npt.NDArray[np.bool_]:
    """Which of the shapes meet nothing in the trees."""
    clear = np.ones(len(shapes), dtype=bool)
    for tree in trees:
        left = np.flatnonzero(clear)
        clear[left[tree.query(shapes[left], predicate="intersects")[0]]] = False
    return clear


def _tree(shapes: Iterable[Any]) -> STRtree:
    return STRtree(list(shapes))


def _ways(view: PlanView) -> Iterator[Any]:
    yield from (rails.ground for rails in view.rails)
    for stretch in (*view.cables, *view.backbones):
        yield LineString([stretch.start_m, stretch.end_m])


def _leaves(openings: Sequence[PlacedOpening]) -> Iterator[Any]:
    for placed in openings:
        yield LineString(placed.leaf)
        if placed.arrow is not None:
            yield LineString(placed.arrow).buffer(0.9)
        for leaf in placed.leaves:
            # nothing is in the way of a leaf
            yield shapely.Polygon([leaf.hinge, *leaf.arc()])


def _symbols(view: PlanView) -> Iterator[Any]:
    factor = 1000 / view.ratio
    yield from (shapely.Point(placed.at).buffer(RADIUS_MM + 0.2) for placed in view.openings)
    spots_m = [*(closet.at_m for closet in view.level.closets), *(riser.at_m for riser in view.level.risers)]
    for spot_m in spots_m:
        x, y = spot_m[0] * factor, spot_m[1] * factor
        yield shapely.box(x - PLACE_MM, y - PLACE_MM, x + PLACE_MM, y + PLACE_MM)
    for tag in view.tags:
        yield shapely.box(*tag.box)
        if tag.leader is not None:
            yield LineString(tag.leader)
