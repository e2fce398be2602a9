"""Outlines in plan of spaces and walls: footprints of what is extruded, hull of what is not. In metres, in the building's frame.

What a model has thousands of is read by the place of its attributes in the standard, which takes half as long as by their names.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Final

import numpy as np
import shapely

from riserkit_ifc.placing import FARTHEST_M, Matrix, Placings, UnreadableError

Ring = tuple[tuple[float, float], ...]
_ARC_STEPS: Final = 32
_MOST_DEPTH: Final = 12
_MOST_PIECES: Final = 500_000
"""Of one product: points and what holds them. A few lines of a model may stand for more than can ever be counted."""
_OF_A_BODY: Final = 500
"""As many pieces a body counts for, by the time that it takes."""


class _Pieces:
    """Counts the pieces of one product as they are looked at."""

    def __init__(self) -> None:
        self.left = _MOST_PIECES

    def count(self, more: int = 1) -> None:
        """So many more.

        Raises:
            UnreadableError: there are too many.
        """
        self.left -= more
        if self.left < 0:
            raise UnreadableError("its shape has more pieces than can be read")


def footprint(product: Any, placings: Placings) -> shapely.Geometry | None:
    """The outline of a product seen from above; None where its shape is none that can be read.

    Raises:
        UnreadableError: it has more pieces than can be read, or is not in numbers.
    """
    representation = product[6]
    if representation is None:
        return None
    matrix, pieces = placings.of(product[5]), _Pieces()
    named = [(shape[1] or "", shape) for shape in representation[2]]
    for name, shape in sorted(named, key=lambda one: one[0] != "FootPrint"):
        if name not in ("Body", "FootPrint", "Facetation", "SurfaceModel", ""):
            continue
        parts = [part for item in shape[3] or () for part in _parts(item, matrix, placings, pieces, 0)]
        polygons = [part for part in parts if not part.is_empty and part.area > 1e-6]
        if polygons:
            if not float(abs(shapely.bounds(polygons)).max()) < FARTHEST_M:  # nor of what is no number at all
                raise UnreadableError("its shape is not in numbers, or beyond any place on Earth")
            return polygons[0] if len(polygons) == 1 else shapely.unary_union(polygons)
    return None


def _parts(item: Any, matrix: Matrix, placings: Placings, pieces: _Pieces, depth: int) -> Iterator[shapely.Geometry]:
    """Polygons in plan of a shape's item."""
    pieces.count(_OF_A_BODY)
    if depth > _MOST_DEPTH:
        return
    kind = item.is_a()
    if kind == "IfcExtrudedAreaSolid":
        yield from _extruded(item, matrix, placings, pieces)
    elif kind in ("IfcBooleanClippingResult", "IfcBooleanResult"):
        yield from _parts(item.FirstOperand, matrix, placings, pieces, depth + 1)
    elif kind == "IfcMappedItem":
        target = placings.operator(item.MappingTarget)
        origin = placings.axes(item.MappingSource.MappingOrigin)
        for inner in item.MappingSource.MappedRepresentation.Items or ():
            yield from _parts(inner, matrix @ target @ origin, placings, pieces, depth + 1)
    else:
        points = np.array(list(_points(item, pieces, 0)), dtype=float)
        if len(points) >= 3:
            points = np.column_stack([points * placings.scale, np.ones(len(points))]) @ matrix.T
            yield from (
                _from_faces(item, matrix, placings.scale)
                if kind in ("IfcFacetedBrep", "IfcPolygonalFaceSet", "IfcTriangulatedFaceSet")
                else (shapely.MultiPoint(points[:, :2]).convex_hull,)
            )


def _extruded(solid: Any, matrix: Matrix, placings: Placings, pieces: _Pieces) -> Iterator[shapely.Geometry]:
    scale = placings.scale
    own = matrix @ placings.axes(solid[1])
    direction = own[:3, :3] @ _vector(solid[2])
    rings = list(_profile(solid[0], scale, pieces))
    if not rings:
        return
    placed = [ring @ own[:2, :2].T + own[:2, 3] for ring in rings]
    if abs(direction[2]) > 0.7 * math.hypot(*direction):
        polygon = shapely.Polygon(placed[0], placed[1:])
        yield polygon if polygon.is_valid else shapely.make_valid(polygon)
    else:
        # Extruded along the ground: what it sweeps is seen from above.
        far = placed[0] + direction[:2] * float(solid[3]) * scale
        yield shapely.MultiPoint(np.vstack([placed[0], far])).convex_hull


def _profile(profile: Any, scale: float, pieces: _Pieces) -> Iterator[np.ndarray[Any, Any]]:
    """The outer ring of a profile, then its holes, in metres."""
    kind = profile.is_a()
    if kind in ("IfcRectangleProfileDef", "IfcRoundedRectangleProfileDef", "IfcRectangleHollowProfileDef"):
        x, y = float(profile[3]) / 2, float(profile[4]) / 2
        yield _at(profile, np.array([(-x, -y), (x, -y), (x, y), (-x, y)])) * scale
    elif kind in ("IfcCircleProfileDef", "IfcCircleHollowProfileDef"):
        turns = np.linspace(0, 2 * math.pi, _ARC_STEPS, endpoint=False)
        yield _at(profile, float(profile.Radius) * np.column_stack([np.cos(turns), np.sin(turns)])) * scale
    elif kind in ("IfcArbitraryClosedProfileDef", "IfcArbitraryProfileDefWithVoids"):
        yield np.array(list(_curve(profile.OuterCurve, pieces, 0)), dtype=float)[:, :2] * scale
        for inner in getattr(profile, "InnerCurves", ()) or ():
            yield np.array(list(_curve(inner, pieces, 0)), dtype=float)[:, :2] * scale


def _at(profile: Any, points: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    position = profile[2]
    if position is None:
        return points
    x, y = position[0][0][:2]
    ux, uy = position[1][0][:2] if position[1] is not None else (1.0, 0.0)
    long = math.hypot(ux, uy) or 1.0
    ux, uy = ux / long, uy / long
    return np.asarray(points @ np.array([[ux, uy], [-uy, ux]]) + np.array([x, y]))


def _curve(curve: Any, pieces: _Pieces, depth: int) -> Iterator[tuple[float, ...]]:
    pieces.count()
    kind = curve.is_a()
    if depth > _MOST_DEPTH:
        return
    if kind == "IfcPolyline":
        yield from (tuple(map(float, point[0][:2])) for point in curve[0])
    elif kind == "IfcIndexedPolyCurve":
        points = [tuple(map(float, point[:2])) for point in curve.Points.CoordList]
        if curve.Segments is None:
            yield from points
        else:
            for segment in curve.Segments:
                yield from (points[index - 1] for index in segment.wrappedValue if 0 < index <= len(points))
    elif kind == "IfcCompositeCurve":
        for segment in curve.Segments:
            part = list(_curve(segment.ParentCurve, pieces, depth + 1))
            yield from part if segment.SameSense else reversed(part)
    elif kind == "IfcTrimmedCurve":
        yield from _trimmed(curve)
    elif kind == "IfcCircle":
        x, y = curve.Position.Location.Coordinates[:2]
        for turn in np.linspace(0, 2 * math.pi, _ARC_STEPS, endpoint=False):
            yield float(x + curve.Radius * math.cos(turn)), float(y + curve.Radius * math.sin(turn))


def _trimmed(curve: Any) -> Iterator[tuple[float, ...]]:
    """A part of a line or circle, by its two points or its two parameters."""
    ends = []
    for trim in (curve.Trim1, curve.Trim2):
        point = next((t for t in trim if hasattr(t, "is_a") and t.is_a("IfcCartesianPoint")), None)
        ends.append(tuple(map(float, point.Coordinates[:2])) if point is not None else None)
    basis = curve.BasisCurve
    if basis.is_a("IfcCircle"):
        x, y = basis.Position.Location.Coordinates[:2]
        if ends[0] is not None and ends[1] is not None:
            turns = [math.atan2(end[1] - y, end[0] - x) for end in ends if end is not None]
        else:
            turns = [math.radians(float(trim[0].wrappedValue)) for trim in (curve.Trim1, curve.Trim2)]
        sweep = (turns[1] - turns[0]) % math.tau if curve.SenseAgreement else -((turns[0] - turns[1]) % math.tau)
        for part in np.linspace(0, 1, 9):
            turn = turns[0] + sweep * float(part)
            yield float(x + basis.Radius * math.cos(turn)), float(y + basis.Radius * math.sin(turn))
    else:
        yield from (end for end in ends if end is not None)


def _points(item: Any, pieces: _Pieces, depth: int) -> Iterator[tuple[float, float, float]]:
    """All points of a shape, whatever it is made of."""
    pieces.count()
    if depth > _MOST_DEPTH or not hasattr(item, "is_a"):
        return
    kind = item.is_a()
    if kind == "IfcCartesianPoint":
        coords = (*map(float, item.Coordinates), 0.0, 0.0)
        yield coords[0], coords[1], coords[2]
    elif kind in ("IfcCartesianPointList3D",):
        yield from ((float(a), float(b), float(c)) for a, b, c in item.CoordList)
    else:
        for value in item:
            for one in value if isinstance(value, (tuple, list)) else (value,):
                yield from _points(one, pieces, depth + 1)


def _from_faces(item: Any, matrix: Matrix, scale: float) -> Iterator[shapely.Geometry]:
    """Faces of a body, those seen from above."""
    if item.is_a("IfcFacetedBrep"):
        faces = [
            [p.Coordinates for p in bound.Bound.Polygon] for face in item.Outer.CfsFaces for bound in face.Bounds[:1]
        ]
    else:
        coords = item.Coordinates.CoordList
        indexes = item.CoordIndex if item.is_a("IfcTriangulatedFaceSet") else [face.CoordIndex for face in item.Faces]
        faces = [[coords[n - 1] for n in face] for face in indexes]
    for face in faces[:20_000]:
        points = np.column_stack([np.array(face, dtype=float) * scale, np.ones(len(face))]) @ matrix.T
        polygon = shapely.Polygon(points[:, :2]) if len(points) >= 3 else None
        if polygon is not None and polygon.area > 1e-4:
            yield shapely.make_valid(polygon)


def _vector(direction: Any) -> np.ndarray[Any, Any]:
    ratios = (*map(float, direction[0]), 0.0)[:3] if direction is not None else (0.0, 0.0, 1.0)
    return np.array(ratios)


def rings_of(shape: shapely.Geometry) -> tuple[Ring, tuple[Ring, ...]]:
    """The outer ring and the holes of a shape's largest part."""
    if shape.geom_type == "Polygon":
        largest = shape
    else:
        parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
        if not parts:
            return (), ()
        largest = max(parts, key=lambda part: part.area)
    return tuple(largest.exterior.coords), tuple(tuple(hole.coords) for hole in largest.interiors)
