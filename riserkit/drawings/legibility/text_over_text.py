"""The check that no text stands on another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

import shapely

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.text import text_bounds_mm
from riserkit.drawings.legibility.near import meeting
from riserkit.drawings.legibility.values import TOUCH_MM, Lettering, Place, SheetShapes
from riserkit.standards.source import COMMON_PRACTICE

_LEAST_PITCH: Final = 22 / 14
"""Least distance from baseline to baseline over the height of capitals, ISO 3098-1 (from memory)."""


class TextOverText:
    """No text stands on another.

    Why:
        Two texts on one another are two texts that nobody can read, and a mark misread is a cable pulled to the wrong
        door.
    Measures:
        The boxes that the ink of every two lines of text covers, set in the shipped font, at plotted scale: the area
        that they share, in square millimetres. Lines of one paragraph do not count against each other, nor do lines of
        one text at the usual pitch whose tails and accents alone meet, as they do in some scripts.
    Limit:
        Nothing shared but 0.03 mm along the edges.
    Remedy:
        Move one of the two, or shorten it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "text-over-text"
    source: ClassVar[str] = COMMON_PRACTICE.cite()
    unit: ClassVar[str] = "mm2"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every two texts that share ink."""
        shapes = sheet.letter_grounds if sheet.letters else ()
        tree = shapely.STRtree(shapes)
        for i, j in meeting(tree, shapes):
            one, other = sheet.letters[i], sheet.letters[j]
            if i < j and one.entity != other.entity and not _next_lines(one, other):
                yield _place(one, other, shapely.intersection(sheet.letter_shapes[i], sheet.letter_shapes[j]))


def _next_lines(one: Lettering, other: Lettering) -> bool:
    """Whether two upright lines are of one text, no nearer than lines are set."""
    alike = all(getattr(one, what) == getattr(other, what) for what in ("height_mm", "layer", "model_id", "on_paper"))
    apart_mm = abs(_baseline_mm(one) - _baseline_mm(other))
    return alike and _upright(one) and _upright(other) and apart_mm > _LEAST_PITCH * one.height_mm - TOUCH_MM


def _upright(text: Lettering) -> bool:
    return text.corners[0][1] == text.corners[1][1]


def _baseline_mm(text: Lettering) -> float:
    return text.corners[0][1] - text_bounds_mm(text.text, text.height_mm)[0]


def _place(one: Lettering, other: Lettering, shared: shapely.Geometry) -> Place:
    at: Point = (shared.centroid.x, shared.centroid.y)
    message = f"{quoted(one.text)} stands on {quoted(other.text)}: they share {shared.area:.2f} mm²."
    return Place((one.model_id, other.model_id), at, message, shared.area, 0.0)


def quoted(text: str) -> str:
    """A text in quotes, cut where it is long."""
    return f'"{text}"' if len(text) <= 40 else f'"{text[:39]}…"'
