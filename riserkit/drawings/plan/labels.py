"""Labels of a floor plan placed where nothing is: beside their point where there is room, else off it on a leader.

All is in millimetres of paper. Lines, symbols and other labels are never covered, nor does a leader run through a
label or a symbol. Walls and outlines of rooms are: they are background, broken behind a label.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, STRtree
from shapely.ops import substring

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.text import LINE_PITCH, text_width_mm

GAP_MM: Final = 1.0
PAD_MM: Final = 0.7
CLEAR_MM: Final = 0.5
_SLACK: Final = 1.06
_FREE_REACH_MM: Final = 2.6
_RINGS_MM: Final = (4.0, 7.0, 10.0, 14.0, 19.0, 26.0, 35.0, 47.0, 62.0)
_DIRECTIONS: Final = 16
_SOFT_COST_MM: Final = 2.5
_CROSSING_COST_MM: Final = 9.0
_OWN_MM: Final = 3.5
_FAR_MM: Final = 12.0
_FAR_TRIES: Final = 300

Boxes = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Tag:
    """Lines of text that belong to a point.

    Args:
        subject: what it stands for, kept with its texts.
        anchors: the point, or several of which any will do.
        lines: text and height of each line.
        radius_mm: of the symbol at the point.
        framed: drawn in a box.
        optional: may be left out: a room's name.
        background: of the building, not of ours.
        touch_mm: how near the point a leader goes to meet the symbol; its radius when None.
        is_square: the symbol is a square, `radius_mm` half its side.
        held: names of the openings on HOLD among what it names.
    """

    subject: str
    anchors: tuple[Point, ...]
    lines: tuple[tuple[str, float], ...]
    radius_mm: float = 0.0
    framed: bool = False
    optional: bool = False
    touch_mm: float | None = None
    is_square: bool = False
    background: bool = False
    held: tuple[str, ...] = ()

    @property
    def _height_mm(self) -> float:
        return sum(height * LINE_PITCH for _, height in self.lines) - self.lines[-1][1] * (LINE_PITCH - 1)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Room it takes, with a pad all round."""
        width = max(text_width_mm(text, height) for text, height in self.lines) * _SLACK
        pad = PAD_MM + (0.6 if self.framed else 0.0)
        return width + 2 * pad, self._height_mm + 2 * pad


@dataclass(frozen=True, slots=True)
class PlacedTag:
    """A tag with its room, the anchor it took, and its leader from the point to the label, None when it needs none."""

    tag: Tag
    box: Rect
    anchor: Point
    leader: tuple[Point, Point] | None = None

    @property
    def drawn_leader(self) -> tuple[Point, Point] | None:
        """The leader as far as the symbol's lines."""
        if self.leader is None or not self.tag.radius_mm:
            return self.leader
        (x, y), end = self.leader
        dx, dy = x - self.anchor[0], y - self.anchor[1]
        share = (self.tag.touch_mm or self.tag.radius_mm) / self.tag.radius_mm
        if self.tag.is_square:
            share *= math.hypot(dx, dy) / (max(abs(dx), abs(dy)) or 1.0)
        return (self.anchor[0] + dx * share, self.anchor[1] + dy * share), end

    @property
    def is_far(self) -> bool:
        """So far off that the eye has to follow the leader."""
        return self.leader is not None and math.dist(*self.leader) > _FAR_MM


@dataclass(frozen=True)
class Obstacles:
    """What labels keep clear of, as shapely geometry: lines; symbols; background that they should rather not cover."""

    lines: Sequence[Any]
    symbols: Sequence[Any]
    background: Sequence[Any] = ()


@dataclass(frozen=True)
class TagPlacement:
    """Tags placed, and those that found no room."""

    placed: tuple[PlacedTag, ...]
    rest: tuple[Tag, ...]


def place_tags(
    tags: Sequence[Tag],
    room: Rect,
    obstacles: Obstacles,
    patience: float = float("inf"),
    standing: Sequence[PlacedTag] = (),
) -> TagPlacement:
    """Place tags in order, each at the least cost that is left.

    Args:
        tags: the ones that matter most first.
        room: labels stay inside.
        obstacles: see there.
        patience: the share of labels that may stand far off on a leader; beyond it, or where a label finds no room,
            the rest is not tried: another scale will do better. Infinite tries all.
        standing: labels that have their places already.
    """
    ground = _Ground(room, obstacles)
    for placed_before in standing:
        ground.remember(placed_before)
    placed: list[PlacedTag] = []
    rest: list[Tag] = []
    far, most_far = 0, patience * sum(not tag.optional for tag in tags)
    for n, tag in enumerate(tags):
        found = ground.place(tag)
        if found is not None:
            placed.append(found)
            far += not tag.optional and found.is_far
        elif not tag.optional:
            rest.append(tag)
        if far > most_far or (rest and patience < math.inf):
            return TagPlacement(tuple(placed), (*rest, *(t for t in tags[n + 1 :] if not t.optional)))
    return TagPlacement(tuple(placed), tuple(rest))


@dataclass
class _Ground:
    room: Rect
    obstacles: Obstacles
    labels: list[Rect] = field(default_factory=list)
    leaders: list[Any] = field(default_factory=list)

    def __post_init__(self) -> None:
        symbols = list(self.obstacles.symbols)
        self._hard = STRtree([*self.obstacles.lines, *symbols])
        self._symbols = STRtree(symbols)
        self._background = STRtree(list(self.obstacles.background))
        self._boxes: Boxes = np.empty((0, 4))
        self._leader_boxes: Boxes = np.empty((0, 4))

    def place(self, tag: Tag) -> PlacedTag | None:
        # most find their place near by, and the others' places are many: worked out when they are needed, then kept
        ways = (self._near,) if tag.optional else (self._near, self._rings, self._anywhere)
        known: dict[int, tuple[Boxes, Boxes]] = {}
        for cross_leaders in (False, True):
            for n, way in enumerate(ways):
                if n not in known:
                    known[n] = way(tag)
                found = self._best(tag, *known[n], cross_leaders=cross_leaders)
                if found is not None:
                    self.remember(found)
                    return found
        return None

    def _near(self, tag: Tag) -> tuple[Boxes, Boxes]:
        width, height = tag.size_mm
        if tag.optional:
            return _from_corners([(x - width / 2, y - height / 2, x, y) for x, y in tag.anchors], width, height)
        out = tag.radius_mm + GAP_MM
        corners = []
        for x, y in tag.anchors:
            across = (x + out, x - out - width)
            corners += [(x0, y - height / 2, x, y) for x0 in across]
            corners += [(x - width / 2, y0, x, y) for y0 in (y + out, y - out - height)]
            corners += [(x0, y0, x, y) for x0 in across for y0 in (y + 0.3 * out, y - 0.3 * out - height)]
            corners += [(x + dx * width, y0, x, y) for dx in (-0.85, -0.15) for y0 in (y + out, y - out - height)]
        return _from_corners(corners, width, height)

    def _rings(self, tag: Tag) -> tuple[Boxes, Boxes]:
        width, height = tag.size_mm
        corners = []
        for x, y in tag.anchors:
            for ring in _RINGS_MM:
                out = tag.radius_mm + ring
                for n in range(_DIRECTIONS):
                    cos, sin = math.cos(2 * math.pi * n / _DIRECTIONS), math.sin(2 * math.pi * n / _DIRECTIONS)
                    middle = x + cos * (out + width / 2), y + sin * (out + height / 2)
                    corners.append((middle[0] - width / 2, middle[1] - height / 2, x, y))
        return _from_corners(corners, width, height)

    def _anywhere(self, tag: Tag) -> tuple[Boxes, Boxes]:
        """Places all over the sheet, the nearest ones."""
        width, height = tag.size_mm
        x, y = tag.anchors[0]
        xs = np.arange(self.room.x0, self.room.x1 - width, max(width / 2, 4.0))
        ys = np.arange(self.room.y0, self.room.y1 - height, height)
        grid = np.array([(x0, y0, x, y) for x0 in xs for y0 in ys]).reshape(-1, 4)
        far = np.hypot(grid[:, 0] + width / 2 - x, grid[:, 1] + height / 2 - y)
        return _from_corners(grid[np.argsort(far, kind="stable")], width, height)

    def _best(self, tag: Tag, boxes: Boxes, anchors: Boxes, *, cross_leaders: bool) -> PlacedTag | None:
        keep = self._inside(boxes)
        keep[keep] = ~self._covering(boxes[keep])
        boxes, anchors = boxes[keep][:_FAR_TRIES], anchors[keep][:_FAR_TRIES]
        if not len(boxes):
            return None
        shapes = shapely.box(*(boxes + _CLEAR).T)
        hard = np.zeros(len(boxes), dtype=bool)
        hard[self._hard.query(shapes, predicate="intersects")[0]] = True
        soft = np.bincount(self._background.query(shapes, predicate="intersects")[0], minlength=len(boxes))
        reach = _reach_mm(boxes, anchors)
        cost = reach + _SOFT_COST_MM * np.minimum(soft, 4)
        second: PlacedTag | None = None
        given_up = math.inf
        for n in np.argsort(cost, kind="stable"):
            if cost[n] > given_up:
                break
            if hard[n] or (tag.optional and soft[n]):
                continue
            box, anchor = Rect(*map(float, boxes[n])), (float(anchors[n][0]), float(anchors[n][1]))
            if tag.optional or reach[n] <= tag.radius_mm + _FREE_REACH_MM:
                return PlacedTag(tag, box, anchor)
            leader = _leader(tag, box, anchor)
            if not self._leader_is_clear(leader, anchor, cross_leaders=cross_leaders):
                continue
            found = PlacedTag(tag, box, anchor, leader)
            if not self._crosses_lines(leader):
                return found
            if second is None:
                second, given_up = found, float(cost[n]) + _CROSSING_COST_MM
        return second

    def _crosses_lines(self, leader: tuple[Point, Point]) -> bool:
        """Past its first millimetre, where it leaves the line that its symbol is on."""
        line = LineString(leader)
        if line.length < 2:
            return False
        away = substring(line, 1.2, line.length)
        return len(self._hard.query(away, predicate="intersects")) > 0

    def _inside(self, boxes: Boxes) -> npt.NDArray[np.bool_]:
        room = self.room
        low = (boxes[:, 0] >= room.x0) & (boxes[:, 1] >= room.y0)
        inside: npt.NDArray[np.bool_] = low & (boxes[:, 2] <= room.x1) & (boxes[:, 3] <= room.y1)
        return inside

    def _covering(self, boxes: Boxes) -> npt.NDArray[np.bool_]:
        """Which of the boxes cover a label or a leader."""
        covering: npt.NDArray[np.bool_] = np.logical_or.reduce(_overlaps(boxes, self._boxes, CLEAR_MM), axis=1)
        for n, m in np.argwhere(_overlaps(boxes, self._leader_boxes, CLEAR_MM)):
            if not covering[n]:
                covering[n] = self.leaders[m].intersects(shapely.box(*(boxes[n] + _CLEAR)))
        return covering

    def _leader_is_clear(self, leader: tuple[Point, Point], anchor: Point, *, cross_leaders: bool) -> bool:
        (x0, y0), (x1, y1) = leader
        bounds = np.array([(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))])
        near = self._boxes[_overlaps(bounds, self._boxes, CLEAR_MM)[0]] + _CLEAR / 2
        if _meets(leader, near.tolist()):
            return False
        line = LineString(leader)
        for n in self._symbols.query(line, predicate="intersects"):
            middle = self.obstacles.symbols[n].centroid
            if math.dist((middle.x, middle.y), anchor) > _OWN_MM:
                return False
        if cross_leaders:
            return True
        crossed = np.flatnonzero(_overlaps(bounds, self._leader_boxes, 0.0)[0])
        return not any(line.intersects(self.leaders[n]) for n in crossed)

    def remember(self, placed: PlacedTag) -> None:
        """Keep clear of a label that stands."""
        self.labels.append(placed.box)
        self._boxes = np.vstack([self._boxes, placed.box])
        if placed.leader is not None:
            line = LineString(placed.leader)
            self.leaders.append(line)
            self._leader_boxes = np.vstack([self._leader_boxes, line.bounds])


_CLEAR: Final = np.array([-CLEAR_MM, -CLEAR_MM, CLEAR_MM, CLEAR_MM])


def _from_corners(corners: Sequence[tuple[float, ...]] | Boxes, width: float, height: float) -> tuple[Boxes, Boxes]:
    """Boxes from lower left corners, each with the anchor it is for."""
    given = np.asarray(corners, dtype=float).reshape(-1, 4)
    low = given[:, :2]
    return np.hstack([low, low + np.array([width, height])]), given[:, 2:]


def _overlaps(boxes: Boxes, others: Boxes, slack: float) -> npt.NDArray[np.bool_]:
    """Shape (boxes, others)."""
    a, b = boxes[:, None, :], others[None, :, :]
    across = (a[..., 0] < b[..., 2] + slack) & (b[..., 0] < a[..., 2] + slack)
    found: npt.NDArray[np.bool_] = across & (a[..., 1] < b[..., 3] + slack) & (b[..., 1] < a[..., 3] + slack)
    return found


def _meets(leader: tuple[Point, Point], boxes: Iterable[Sequence[float]]) -> bool:
    """Whether a straight line meets or touches any box, by the axes that may separate them; of few boxes, one by one."""
    (x0, y0), (x1, y1) = leader
    dx, dy = x1 - x0, y1 - y0
    left, right, low, high = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
    for bx0, by0, bx1, by1 in boxes:
        if bx1 < left or bx0 > right or by1 < low or by0 > high:
            continue
        off = abs(dx * ((by0 + by1) / 2 - y0) - dy * ((bx0 + bx1) / 2 - x0))
        if off <= abs(dx) * ((by1 - by0) / 2) + abs(dy) * ((bx1 - bx0) / 2):
            return True
    return False


def _reach_mm(boxes: Boxes, anchors: Boxes) -> npt.NDArray[np.float64]:
    """Distance of each box from its anchor."""
    dx = np.maximum(np.maximum(boxes[:, 0] - anchors[:, 0], anchors[:, 0] - boxes[:, 2]), 0)
    dy = np.maximum(np.maximum(boxes[:, 1] - anchors[:, 1], anchors[:, 1] - boxes[:, 3]), 0)
    return np.hypot(dx, dy)


def _leader(tag: Tag, box: Rect, anchor: Point) -> tuple[Point, Point]:
    """From the edge of the symbol to the nearest side of the label, where letters stand."""
    ends = sorted(_leader_ends(tag, box), key=lambda p: math.dist(p, anchor))
    end = next((p for p in ends if not _runs_through_letters(tag, box, (anchor, p))), ends[0])
    length = math.dist(end, anchor)
    share = min(tag.radius_mm / length, 1.0) if length else 0.0
    return (anchor[0] + (end[0] - anchor[0]) * share, anchor[1] + (end[1] - anchor[1]) * share), end


def _runs_through_letters(tag: Tag, box: Rect, line: tuple[Point, Point]) -> bool:
    """The line crosses the label's own letters, as one may that comes to their far end from above."""
    if tag.framed:
        return False
    rows = ((x, y - height, x + text_width_mm(text, height), y) for text, (x, y), height in _rows(tag, box))
    return _meets(line, rows)


def _leader_ends(tag: Tag, box: Rect) -> tuple[Point, ...]:
    """The middle of each side of a frame; without one, that of the letters that stand nearest to the side."""
    x, y = box.center
    if tag.framed:
        return (box.x0, y), (box.x1, y), (x, box.y0), (x, box.y1)
    rows = [(at, height, text_width_mm(text, height)) for text, at, height in _rows(tag, box)]
    (first_x, _), _, first = rows[0]
    (last_x, _), _, last = rows[-1]
    (wide_x, wide_y), height, widest = max(rows, key=lambda row: row[2])
    right = wide_x + widest + PAD_MM, wide_y - height / 2
    return (box.x0, y), right, (last_x + last / 2, box.y0), (first_x + first / 2, box.y1)


def text_rows(placed: PlacedTag) -> Iterator[tuple[str, Point, float]]:
    """Each line of a label: text, upper left corner, height."""
    return _rows(placed.tag, placed.box)


def _rows(tag: Tag, box: Rect) -> Iterator[tuple[str, Point, float]]:
    pad = PAD_MM + (0.6 if tag.framed else 0.0)
    y = box.y1 - pad
    for text, height in tag.lines:
        yield text, (box.x0 + pad, y), height
        y -= height * LINE_PITCH
