"""What a sheet shows as plotted, and what an inspection of it says. All in millimetres of paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar, Final, NamedTuple, Protocol

import numpy as np
import numpy.typing as npt
import shapely

from riserkit.drawings.dxf.boxes import Point, Rect

Shapes = npt.NDArray[np.object_]
TOUCH_MM: Final = 0.03
"""Boxes of text have no ink on their very edge; so little of them may be shared."""


class Lettering(NamedTuple):
    """One line of text.

    Args:
        text: as it is shown.
        corners: of the box that its ink covers.
        height_mm: of its capitals.
        layer: layer name.
        entity: handle of the text itself.
        owner: handle of the block reference or dimension that it belongs to, else its own.
        model_id: what it stands for; empty for what a drafter drew.
        on_paper: drawn on the paper, not seen through a view.
    """

    text: str
    corners: tuple[Point, ...]
    height_mm: float
    layer: str
    entity: str
    owner: str
    model_id: str
    on_paper: bool


class Stroke(NamedTuple):
    """A line, a curve as its chords, or a filled area.

    Args:
        points: along it.
        is_area: filled or hatched; the points are its corners.
        is_curve: an arc or a circle of its own, not a line.
        in_block: part of a block.
        is_diagram: not seen through a view of another scale than 1:1, as a plan is.
        layer, entity, owner, model_id, on_paper: as of `Lettering`.
    """

    points: tuple[Point, ...]
    is_area: bool
    is_curve: bool
    in_block: bool
    is_diagram: bool
    layer: str
    entity: str
    owner: str
    model_id: str
    on_paper: bool


class CutOff(NamedTuple):
    """Something generated in the model that no view shows whole."""

    model_id: str
    at: Point
    beyond_mm: float


def line_shapes(lines: Sequence[Sequence[Point]]) -> Shapes:
    """A line through each of these points, two of them at least: made one by one they take as long as all that is asked of them."""
    which = [n for n, points in enumerate(lines) for _ in points]
    found: Shapes = shapely.linestrings(np.array([p for points in lines for p in points]).reshape(-1, 2), indices=which)
    return found


@dataclass(frozen=True)
class SheetShapes:
    """A sheet as plotted.

    Args:
        sheet: its identification.
        paper: the trimmed sheet.
        letters, strokes: all that is plotted.
        cut_off: what no view shows whole.
        unread: kinds of entities that are not looked at, and how many of each.
    """

    sheet: str
    paper: Rect
    letters: tuple[Lettering, ...]
    strokes: tuple[Stroke, ...]
    cut_off: tuple[CutOff, ...] = ()
    unread: tuple[tuple[str, int], ...] = ()

    @cached_property
    def letter_shapes(self) -> Shapes:
        """A polygon for each line of text."""
        found: Shapes = shapely.polygons(np.array([letter.corners for letter in self.letters]).reshape(-1, 4, 2))
        return found

    @cached_property
    def letter_grounds(self) -> Shapes:
        """The same smaller by what may be shared, `TOUCH_MM`."""
        found: Shapes = shapely.buffer(self.letter_shapes, -TOUCH_MM, join_style="mitre")
        return found

    @cached_property
    def stroke_shapes(self) -> Shapes:
        """A polygon for each area, a line for every other stroke."""
        areas = [n for n, stroke in enumerate(self.strokes) if stroke.is_area and len(stroke.points) > 2]
        lines = sorted({*range(len(self.strokes))} - {*areas})
        found: Shapes = np.empty(len(self.strokes), dtype=object)
        for n in areas:
            found[n] = shapely.Polygon(self.strokes[n].points).buffer(0)
        found[lines] = line_shapes([self.strokes[n].points for n in lines])
        return found


class Place(NamedTuple):
    """Where a check found something, of what, and by how much; the inspection adds sheet and zone."""

    model_ids: tuple[str, ...]
    at: Point
    message: str
    measured: float
    limit: float


class SheetCheck(Protocol):
    """One check of a sheet. The class docstring is its page, with the sections that rules have."""

    name: ClassVar[str]
    source: ClassVar[str]
    unit: ClassVar[str]

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Everything that is not as it has to be."""
        ...


@dataclass(frozen=True, slots=True)
class Violation:
    """One thing on a sheet that is not legible as it has to be.

    Args:
        sheet: identification of the sheet.
        check: name of the check.
        model_ids: what is concerned; empty names are a drafter's own.
        x_mm, y_mm: from the sheet's lower left corner.
        zone: field of the frame, such as `B4`.
        message: one plain sentence.
        measured, limit, unit: what was measured, against what.
    """

    sheet: str
    check: str
    model_ids: tuple[str, ...]
    x_mm: float
    y_mm: float
    zone: str
    message: str
    measured: float
    limit: float
    unit: str


@dataclass(frozen=True, slots=True)
class SheetInspection:
    """What the inspection of one sheet says.

    Args:
        sheet: identification.
        letters, strokes: lines of text and strokes looked at.
        crossings: of cables, with or without a bridge.
        bridged: crossings with a bridge.
        unread: kinds of entities that are not looked at, and how many of each.
        violations: sorted by check, then down and across the sheet.
    """

    sheet: str
    letters: int
    strokes: int
    crossings: int
    bridged: int
    unread: tuple[tuple[str, int], ...] = ()
    violations: tuple[Violation, ...] = ()


def is_own(one_id: str, one_owner: str, other_id: str, other_owner: str) -> bool:
    """Whether two things drawn belong together: parts of one block, or standing for one thing of the model.

    A sheet's id is on all that stands for nothing in particular, so it makes nothing belong together.
    """
    return one_owner == other_owner or (one_id == other_id != "" and not one_id.startswith("sheet:"))
