"""The check that no symbol stands on another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, ClassVar, Final

import numpy as np
import shapely

from riserkit.drawings.legibility.near import meeting
from riserkit.drawings.legibility.values import Place, SheetShapes
from riserkit.standards.source import COMMON_PRACTICE

LIMIT_MM2: Final = 0.5
"""Symbols may touch and their lines overlap at an edge; half a square millimetre is less than a letter's ink."""
_LINE_MM: Final = 0.1


class SymbolOnSymbol:
    """No symbol stands on another.

    Why:
        Two symbols on one another are read as one device, and the other is never mounted.
    Measures:
        The ground that the lines of every two blocks cover on the sheet at plotted scale, the hull of all lines of
        each, attributes left out: the area that they share, in square millimetres. A block inside a larger one that
        holds it whole, as a contact in its device, is part of it; so are two symbols of one thing.
    Limit:
        0.5 mm².
    Remedy:
        Move one of the two, or draw the place at a larger scale.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "symbol-on-symbol"
    source: ClassVar[str] = COMMON_PRACTICE.cite()
    unit: ClassVar[str] = "mm2"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every two blocks that share ground."""
        grounds = _grounds(sheet)
        if len(grounds) < 2:
            return
        shapes = np.array([shape for _, shape in grounds], dtype=object)
        for i, j in meeting(shapely.STRtree(shapes), shapes):
            if i >= j or grounds[i][0] == grounds[j][0] != "":
                continue
            one, other = shapes[i], shapes[j]
            shared = one.intersection(other)
            if shared.area > LIMIT_MM2 and not _holds(one, other) and not _holds(other, one):
                ids = (grounds[i][0], grounds[j][0])
                said = " stands on ".join(model_id or "a symbol placed by hand" for model_id in ids)
                message = f"{said}: the symbols share {shared.area:.1f} mm²."
                yield Place(ids, (shared.centroid.x, shared.centroid.y), message, float(shared.area), LIMIT_MM2)


def _holds(one: Any, other: Any) -> bool:
    """The larger holds the smaller whole, and is more than twice as large: a device and what is drawn in it."""
    return bool(one.area > 2 * other.area and one.buffer(_LINE_MM).contains(other))


def _grounds(sheet: SheetShapes) -> list[tuple[str, Any]]:
    """For each block reference what it stands for, and the hull of its lines."""
    lines: dict[tuple[str, str], list[Any]] = {}
    for stroke in sheet.strokes:
        if stroke.in_block and len(stroke.points) > 1:
            line = shapely.LineString(stroke.points)
            lines.setdefault((stroke.owner, stroke.model_id), []).append(line)
    hulls = ((key, shapely.convex_hull(shapely.union_all(found))) for key, found in sorted(lines.items()))
    return [(model_id, hull) for (_, model_id), hull in hulls if hull.area > LIMIT_MM2]
