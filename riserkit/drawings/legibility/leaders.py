"""The check that leaders reach."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.legibility.values import Place, Shapes, SheetShapes, Stroke
from riserkit.standards.source import COMMON_PRACTICE

REACH_MM: Final = 0.5
LABEL_MM: Final = 2.5
"""A leader stops so far off its letters, that they have air."""


class LeaderMisses:
    """A leader reaches from its label to what it points at.

    Why:
        A leader that ends in the open points at whatever is nearest, and that is decided by the reader.
    Measures:
        How far one end of a leader is from the letters or the balloon of its own, and the other from the nearest line
        or symbol; the better of the two ways round. Leaders are straight lines on the layer of annotation symbols
        that belong to no block.
    Limit:
        0.5 mm at either end; 2.5 mm off bare letters.
    Remedy:
        Draw the leader on to what it belongs to.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "leader-misses"
    source: ClassVar[str] = COMMON_PRACTICE.cite()
    unit: ClassVar[str] = "mm"

    def places(self, sheet: SheetShapes) -> Iterator[Place]:
        """Every end of a leader that stands in the open, the worse end of each."""
        leaders = [n for n, stroke in enumerate(sheet.strokes) if is_leader(stroke)]
        if not leaders:
            return
        others = np.array([n for n, stroke in enumerate(sheet.strokes) if not is_leader(stroke)], dtype=int)
        targets = shapely.STRtree(sheet.stroke_shapes[others])
        own = _own_shapes(sheet)
        for n in leaders:
            leader = sheet.strokes[n]
            found = _worst(leader.points, own.get(leader.model_id, _NONE), targets)
            if found is not None:
                at, gap = found
                message = f"A leader of {leader.model_id or 'a drafter'} ends {gap:.1f} mm short."
                yield Place((leader.model_id,), at, message, gap, REACH_MM)


def is_leader(stroke: Stroke) -> bool:
    """Whether a stroke is a leader."""
    return stroke.layer == layers.SYMBOL and len(stroke.points) == 2 and not stroke.in_block and not stroke.is_area


class _Labels(NamedTuple):
    """Shapes that a leader's label end may reach, and the air that each has."""

    shapes: Shapes
    air_mm: npt.NDArray[np.float64]


_NONE: Final = _Labels(np.array([], dtype=object), np.array([]))


def _own_shapes(sheet: SheetShapes) -> dict[str, _Labels]:
    """What a leader's label end may reach, by model id: letters and balloons, each with the air it has."""
    frames: dict[str, list[shapely.Geometry]] = {}
    for stroke, shape in zip(sheet.strokes, sheet.stroke_shapes, strict=True):
        if stroke.layer in (layers.SYMBOL, layers.IDENT) and not is_leader(stroke):
            frames.setdefault(stroke.model_id, []).append(shape)
    found = {model_id: [(shape, REACH_MM) for shape in shapes] for model_id, shapes in frames.items()}
    hulls = {model_id: shapely.STRtree(shapely.convex_hull(shapes)) for model_id, shapes in frames.items()}
    for letter, shape in zip(sheet.letters, sheet.letter_shapes, strict=True):
        # letters in a balloon or a frame are reached through it alone
        of_it = hulls.get(letter.model_id)
        if of_it is None or not len(of_it.query(shape.centroid, predicate="covered_by")):
            found.setdefault(letter.model_id, []).append((shape, LABEL_MM))
    return {
        model_id: _Labels(np.array([shape for shape, _ in shapes], dtype=object), np.array([air for _, air in shapes]))
        for model_id, shapes in found.items()
    }


def _worst(ends: tuple[Point, ...], labels: _Labels, targets: shapely.STRtree) -> tuple[Point, float] | None:
    """The end that misses and by how much beyond its limit, of the better way round."""
    ways = []
    for label_end, target_end in (ends, ends[::-1]):
        at_label, at_target = shapely.Point(label_end), shapely.Point(target_end)
        off = shapely.distance(labels.shapes, at_label) - labels.air_mm
        off_label = max(float(off.min()), 0.0) if len(off) else float("inf")
        near = targets.geometries[targets.nearest(at_target)] if len(targets) else None
        off_target = max(near.distance(at_target) - REACH_MM, 0.0) if near is not None else float("inf")
        ways.append(max((off_label, label_end), (off_target, target_end)))
    off, at = min(ways)
    return (at, off + REACH_MM) if off > 0 else None
