"""Revision clouds: a closed line of arcs that bulge outward round a rectangle. One piece of code for all clouds of a sheet."""

from __future__ import annotations

from typing import Final

from ezdxf import revcloud

from riserkit.drawings.dxf.boxes import Point, Rect

BULGE: Final = revcloud.REQUIRED_BULGE
"""Of each arc, as programs that draw clouds have it and know them by."""


def cloud_points(rect: Rect, arc: float) -> list[Point]:
    """Where the arcs of a cloud meet, counter-clockwise.

    Args:
        rect: the cloud's chords run along it.
        arc: length of a chord, about.
    """
    corners = [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)]
    return [(float(x), float(y)) for x, y, *_ in revcloud.points(corners, arc)]


def rise_of(chord: float) -> float:
    """How far an arc reaches beyond its chord."""
    return BULGE * chord / 2
