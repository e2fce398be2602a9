"""Rectangles on paper, and which of them stand where: so that layout code can ask before it places."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Literal, NamedTuple

Point = tuple[float, float]
BoxKind = Literal["text", "symbol"]
_CELL = 25.0


class Rect(NamedTuple):
    """An upright rectangle; `shapely.box(*rect)` takes it as it is. Units are those of its space."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Extent in x."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent in y."""
        return self.y1 - self.y0

    @property
    def center(self) -> Point:
        """Middle point."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def inset(self, by: float) -> Rect:
        """Smaller by so much on every side; a negative value makes it larger."""
        return Rect(self.x0 + by, self.y0 + by, self.x1 - by, self.y1 - by)

    def moved(self, dx: float, dy: float) -> Rect:
        """The same rectangle elsewhere."""
        return Rect(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy)

    def overlaps(self, other: Rect, slack: float = 1e-6) -> bool:
        """True when the two share more than an edge."""
        return (
            self.x0 < other.x1 - slack
            and other.x0 < self.x1 - slack
            and self.y0 < other.y1 - slack
            and other.y0 < self.y1 - slack
        )

    def holds(self, other: Rect, slack: float = 1e-6) -> bool:
        """True when the other lies wholly inside or on the edge."""
        return (
            self.x0 <= other.x0 + slack
            and self.y0 <= other.y0 + slack
            and other.x1 <= self.x1 + slack
            and other.y1 <= self.y1 + slack
        )


def around(points: Iterable[Point]) -> Rect:
    """The smallest rectangle round some points, at least one."""
    xs, ys = zip(*points, strict=True)
    return Rect(min(xs), min(ys), max(xs), max(ys))


def around_rects(rects: Iterable[Rect]) -> Rect:
    """The smallest rectangle round some others, at least one."""
    return around(corner for rect in rects for corner in (rect[:2], rect[2:]))


def turned(rect: Rect, at: Point, angle_deg: float) -> Rect:
    """The upright rectangle round a rectangle turned about a point."""
    if angle_deg % 360 == 0:
        return rect
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    corners = ((x - at[0], y - at[1]) for x in (rect.x0, rect.x1) for y in (rect.y0, rect.y1))
    return around((at[0] + x * cos - y * sin, at[1] + x * sin + y * cos) for x, y in corners)


class PlacedBox(NamedTuple):
    """A text or a symbol on the drawing.

    Args:
        rect: what it covers.
        kind: text or symbol.
        subject: id of what it stands for.
        group: equal for the parts of one symbol.
        words: what it says.
        passage: equal for the lines of one text that was broken into several; 0 of a text that was not.
        row: equal for the texts of one row of a table; 0 of what stands in none.
    """

    rect: Rect
    kind: BoxKind
    subject: str
    group: int
    words: str = ""
    passage: int = 0
    row: int = 0


class Wholes:
    """Of which broken text and of which row of a table a box is, as these are drawn."""

    def __init__(self) -> None:
        self._passages = self._passage = self._rows = self._row = 0

    @property
    def now(self) -> tuple[int, int]:
        """Passage and row of what is drawn now."""
        return self._passage, self._row

    @contextmanager
    def passage(self) -> Iterator[None]:
        """The lines of one text are drawn inside."""
        self._passages += 1
        self._passage = self._passages
        try:
            yield
        finally:
            self._passage = 0

    @contextmanager
    def row(self) -> Iterator[None]:
        """The cells of one row are drawn inside."""
        self._rows += 1
        self._row = self._rows
        try:
            yield
        finally:
            self._row = 0


class Occupancy:
    """Boxes placed so far, found again by a grid of cells: quick to add to and to ask between additions."""

    def __init__(self) -> None:
        self.boxes: list[PlacedBox] = []
        self._grid: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._entered = 0

    def add(self, box: PlacedBox) -> None:
        """Remember one more box."""
        self.boxes.append(box)

    @property
    def _cells(self) -> dict[tuple[int, int], list[int]]:
        """Numbers of boxes by cell, brought up to date when somebody asks: most sheets are drawn without asking."""
        for index in range(self._entered, len(self.boxes)):
            for cell in _cells(self.boxes[index].rect):
                self._grid[cell].append(index)
        self._entered = len(self.boxes)
        return self._grid

    def clashes(self) -> Iterator[tuple[PlacedBox, PlacedBox]]:
        """Every pair of boxes that overlap, parts of one symbol excepted, each pair once."""
        seen: set[tuple[int, int]] = set()
        for _, members in sorted(self._cells.items()):
            for n, i in enumerate(members):
                for j in members[n + 1 :]:
                    if (i, j) not in seen and self._clash(i, j):
                        seen.add((i, j))
                        yield self.boxes[i], self.boxes[j]

    def _clash(self, i: int, j: int) -> bool:
        one, other = self.boxes[i], self.boxes[j]
        return one.group != other.group and one.rect.overlaps(other.rect)


def _cells(rect: Rect) -> Iterator[tuple[int, int]]:
    x0, x1 = math.floor(rect.x0 / _CELL), math.floor(rect.x1 / _CELL)
    y0, y1 = math.floor(rect.y0 / _CELL), math.floor(rect.y1 / _CELL)
    return ((x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1))
