"""The check that no text stands on a symbol or a line that is not its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, ClassVar, Final

import shapely

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.legibility.near import meeting
from riserkit.drawings.legibility.text_over_text import quoted
from riserkit.drawings.legibility.values import Lettering, Place, SheetShapes, Stroke, is_own
from riserkit.quantities.grouping import grouped
from riserkit.standards.source import COMMON_PRACTICE

MOST_SYMBOL_MM: Final = 100.0
"""What is larger than this is a room or a background, in which texts may stand off the lines."""


class TextOnForeignLine:
    """No text stands on a symbol or a line that is not its own.

    Why:
        A cable through a label can be taken for a stroke of a letter, and a label on a symbol for the symbol's own.
    Measures:
        For the box that the ink of each line of text covers, set in the shipped font, at plotted scale: how many
        millimetres of a foreign line run through it, or the side of the square that a foreign filled area or symbol
        covers of it. A text's own is what belongs to the same block, dimension or thing of the model; the rules of a
        table are nobody's own. A symbol is the convex hull of the lines of one block of 100 mm at most.
    Limit:
        Nothing, but 0.03 mm along the box's edges.
    Remedy:
        Move the text, or break the line behind it.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "text-on-foreign-line"
    source: ClassVar[str] = COMMON_PRACTICE.cite()
    unit: ClassVar[str] = "mm"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every text on something that is not its own, once for each thing."""
        if not sheet.letters:
            return
        rooms = sheet.letter_grounds
        tree = shapely.STRtree(rooms)
        seen: set[tuple[str, str]] = set()
        drawn = zip(sheet.strokes, sheet.stroke_shapes, strict=True)
        # the cloud of a question goes round things, over whatever is there
        things = [*(each for each in drawn if each[0].layer != layers.QUESTION), *_symbols(sheet)]
        for n, m in meeting(tree, [shape for _, shape in things]):
            text, (stroke, shape) = sheet.letters[m], things[n]
            key = (text.entity, stroke.owner)
            if key not in seen and not is_own(text.model_id, text.owner, stroke.model_id, stroke.owner):
                seen.add(key)
                yield _place(text, stroke, shapely.intersection(rooms[m], shape))


def _symbols(sheet: SheetShapes) -> Iterator[tuple[Stroke, Any]]:
    """The hull of each block that is a symbol, with one of its strokes."""
    parts = grouped((stroke.owner, n) for n, stroke in enumerate(sheet.strokes) if stroke.in_block)
    for indices in parts.values():
        hull = shapely.convex_hull(shapely.GeometryCollection(list(sheet.stroke_shapes[indices])))
        x0, y0, x1, y1 = hull.bounds
        if max(x1 - x0, y1 - y0) <= MOST_SYMBOL_MM and hull.geom_type == "Polygon":
            yield sheet.strokes[indices[0]]._replace(is_area=True), hull


def _place(text: Lettering, stroke: Stroke, shared: Any) -> Place:
    size = shared.length if shared.area == 0 else shared.area**0.5
    at: Point = (shared.centroid.x, shared.centroid.y)
    what = "a symbol or area" if stroke.is_area else "a line"
    named = f" of {stroke.model_id}" if stroke.model_id else " drawn by hand"
    message = f"{quoted(text.text)} stands on {what}{named}, layer {stroke.layer}: {size:.2f} mm shared."
    return Place((text.model_id, stroke.model_id), at, message, size, 0.0)
