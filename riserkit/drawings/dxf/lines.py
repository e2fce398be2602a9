"""The lines of a drawing as shapes, for layout code that has to keep clear of what is drawn already."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from ezdxf.path import make_path
from shapely import LineString

_FLAT: Final = 0.5
"""How far from a curve its shape may be, in drawing units."""


def lines_in(layout: Any) -> Iterator[LineString]:
    """Lines, polylines, circles and arcs of a layout."""
    for entity in layout:
        kind = entity.dxftype()
        if kind == "LINE":
            yield LineString([(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)])
        elif kind == "LWPOLYLINE" and not entity.has_arc:
            points = [(p[0], p[1]) for p in entity.get_points("xy")]
            if len(points) > 1:
                yield LineString([*points, points[0]] if entity.closed else points)
        elif kind in ("CIRCLE", "ARC", "LWPOLYLINE"):
            yield LineString([(p.x, p.y) for p in make_path(entity).flattening(_FLAT)])
