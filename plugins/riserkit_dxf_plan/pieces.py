"""What a drawing comes down to: segments, arcs, closed outlines and texts in one plane, each with its layer and its insert."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Placed:
    """An insert of a block, as placed: its name, attributes, and where its own axes lead.

    Args of note:
        handle: of the insert in the drawing, with those of the inserts that hold it before it.
        attributes: tag and text of each.
    """

    handle: str
    name: str
    layer: str
    at: Point
    x_axis: Point
    attributes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight line."""

    start: Point
    end: Point
    layer: str
    insert: Placed | None
    handle: str


@dataclass(frozen=True, slots=True)
class Swing:
    """An arc: its centre, ends and middle. Where a block is stretched it is no circle's."""

    centre: Point
    start: Point
    middle: Point
    end: Point
    layer: str
    insert: Placed | None
    handle: str


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed polyline."""

    points: tuple[Point, ...]
    layer: str
    handle: str


def edges_of(outline: Outline) -> Iterator[Segment]:
    """The sides of an outline as lines."""
    for one, other in pairwise((*outline.points, outline.points[0])):
        if one != other:
            yield Segment(one, other, outline.layer, None, outline.handle)


@dataclass(frozen=True, slots=True)
class PlanText:
    """A text: where it begins or is centred, its height, its lines."""

    at: Point
    text: str
    height: float
    layer: str
    handle: str
    is_underlined: bool = False


@dataclass(slots=True)
class Pieces:
    """All of a drawing's pieces, and what was left out on the way.

    Args of note:
        leaders: both ends of each.
        references: by name of a drawing that is shown and no part of this one, its file.
        filled_swings, filled_edges: arcs and straight sides of fills, which are doors where their layer is of doors.
    """

    segments: list[Segment] = field(default_factory=list)
    swings: list[Swing] = field(default_factory=list)
    outlines: list[Outline] = field(default_factory=list)
    fills: list[Outline] = field(default_factory=list)
    words: list[PlanText] = field(default_factory=list)
    leaders: list[tuple[Point, Point]] = field(default_factory=list)
    filled_swings: list[Swing] = field(default_factory=list)
    filled_edges: list[Segment] = field(default_factory=list)
    inserts: list[Placed] = field(default_factory=list)
    boxes: dict[str, list[Point]] = field(default_factory=dict)
    layers: dict[str, int] = field(default_factory=dict)
    hidden: dict[str, int] = field(default_factory=dict)
    left: dict[str, int] = field(default_factory=dict)
    references: dict[str, str] = field(default_factory=dict)
    is_cut: bool = False
