"""Walls of a plan: closed outlines, filled shapes, and what lines enclose or run beside each other as the two faces of a wall do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import STRtree

from riserkit.importing.facts import At, WallFact
from riserkit_dxf_plan.pieces import Outline, Pieces, Segment

THICK_M: Final = (0.06, 0.55)
"""How thick walls are (common practice, no source)."""
_MOST_LINES: Final = 8_000
_LEAST_LONG_M: Final = 0.25
_PARALLEL: Final = math.sin(math.radians(1.5))
_OVERLAP: Final = 0.5
_LEAST_AREA_M2: Final = 0.01
_SHARE: Final = 0.4


@dataclass(frozen=True, slots=True)
class WallsFound:
    """The walls of a plan, in metres, and how they were found.

    Args of note:
        lines: in drawing units: those that are faces of walls.
        guessed: layers whose lines were taken for walls though nothing names them so.
        mixed: those of them that hold other lines too, so that lines may have been missed or taken wrongly.
        without_body: lines of walls that enclose nothing and run beside no other.
    """

    facts: tuple[WallFact, ...]
    lines: tuple[Segment, ...]
    guessed: tuple[str, ...] = ()
    mixed: tuple[str, ...] = ()
    without_body: int = 0
    is_too_many: bool = False


def walls_of(pieces: Pieces, roles: Mapping[str, str], unit_m: float, document: str) -> WallsFound:
    """The walls of a plan.

    Args:
        pieces: of the drawing.
        roles: what each layer holds.
        unit_m: metres of a unit.
        document: the file's name.
    """
    layers = frozenset(layer for layer, role in roles.items() if role == "walls")
    outlines = [one for one in (*pieces.outlines, *pieces.fills) if one.layer in layers]
    closed = {outline.handle for outline in outlines}
    lines = [s for s in pieces.segments if s.layer in layers]
    guessed: tuple[str, ...] = ()
    mixed: tuple[str, ...] = ()
    if not lines and not outlines:
        lines, guessed, mixed = _unnamed(pieces, roles, unit_m)
    facts = [fact for outline in outlines for fact in _of_outline(outline, unit_m, document)]
    loose = [s for s in lines if s.handle not in closed]
    for s in loose:
        ends = ((s.start[0] * unit_m, s.start[1] * unit_m), (s.end[0] * unit_m, s.end[1] * unit_m))
        facts.append(WallFact(At(document, f"layer {s.layer}, handle {s.handle}"), "", ends, (), True))
    if len(loose) > _MOST_LINES:
        return WallsFound(tuple(facts), tuple(lines), guessed, mixed, len(loose), True)
    bodies, used = _bodies(loose, unit_m)
    for shape in bodies:
        ring = tuple((float(x), float(y)) for x, y in shape.exterior.coords)
        holes = tuple(tuple((float(x), float(y)) for x, y in hole.coords) for hole in shape.interiors)
        facts.append(WallFact(At(document, "lines of walls"), "", ring, holes))
    return WallsFound(tuple(facts), tuple(lines), guessed, mixed, len(loose) - used)


def _of_outline(outline: Outline, unit_m: float, document: str) -> Iterator[WallFact]:
    points = tuple((x * unit_m, y * unit_m) for x, y in outline.points)
    at = At(document, f"layer {outline.layer}, handle {outline.handle}")
    shape = shapely.Polygon(points)
    if shape.is_valid and shape.area > 1e-4:
        yield WallFact(at, "", points)
        yield WallFact(at, "", (*points, points[0]), (), True)


def _bodies(lines: Sequence[Segment], unit_m: float) -> tuple[list[shapely.Polygon], int]:
    """Footprints in metres that lines of walls make, and how many of the lines make them."""
    if not lines:
        return [], 0
    coords = np.array([(s.start, s.end) for s in lines], dtype=float) * unit_m
    shapes = shapely.linestrings(coords)
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(shapes, grid_size=1e-4)]))
    thin = [face for face in faces if _is_thin(face)]
    tree = STRtree(thin) if thin else None
    middles = shapely.line_interpolate_point(shapes, 0.5, normalized=True)
    touched = set(tree.query(middles, "dwithin", distance=2e-3)[0].tolist()) if tree is not None else set()
    bare = [n for n in range(len(lines)) if n not in touched]
    pairs = _pairs(coords[bare], STRtree(shapes[bare])) if bare else []
    beside = {m for n, other, _ in pairs for m in (n, other)}
    whole = shapely.union_all([*thin, *(box for _, _, box in pairs)], grid_size=1e-4)
    parts = [part for part in shapely.get_parts(whole) if part.geom_type == "Polygon" and part.area >= _LEAST_AREA_M2]
    return parts, len(lines) - len(bare) + len(beside)


def _is_thin(face: shapely.Polygon) -> bool:
    """Whether a face is nowhere thicker than a wall, and not all of it thinner than one."""
    if 2 * face.area < THICK_M[0] * 0.5 * face.length:
        return False
    return bool(shapely.buffer(face, -THICK_M[1] / 2, join_style="mitre").is_empty)


def _pairs(coords: np.ndarray, tree: STRtree) -> list[tuple[int, int, shapely.Polygon]]:
    """Lines that run beside each other as the faces of a wall do: each with its nearest partner, and the strip between them.

    Args:
        coords: of lines, shape (n, 2, 2), metres.
        tree: of the same lines.
    """
    found = []
    for n, (one, other) in enumerate(coords):
        long_m = math.dist(one, other)
        if long_m < _LEAST_LONG_M:
            continue
        u = (other - one) / long_m
        normal = np.array((-u[1], u[0]))
        best: tuple[float, int, float, float] | None = None
        for m in tree.query(tree.geometries[n], "dwithin", distance=THICK_M[1])[:200]:
            a, b = coords[m]
            span = b - a
            if m == n or abs(float(span @ normal)) > _PARALLEL * math.hypot(*span):
                continue
            off = float((a - one) @ normal)
            ends = sorted((float((a - one) @ u), float((b - one) @ u)))
            low, high = max(0.0, ends[0]), min(long_m, ends[1])
            shorter = min(long_m, ends[1] - ends[0])
            if THICK_M[0] <= abs(off) <= THICK_M[1] and high - low >= max(_LEAST_LONG_M, _OVERLAP * shorter):
                best = min(best, (abs(off), int(m), low, high)) if best else (abs(off), int(m), low, high)
        if best is not None:
            _, m, low, high = best
            off = float((coords[m][0] - one) @ normal)
            near, far = one + u * low, one + u * high
            found.append((n, m, shapely.Polygon([near, far, far + normal * off, near + normal * off])))
    return found


def _unnamed(
    pieces: Pieces, roles: Mapping[str, str], unit_m: float
) -> tuple[list[Segment], tuple[str, ...], tuple[str, ...]]:
    """Of a drawing whose layers do not name walls the lines that run as the faces of walls, their layers, and the mixed ones."""
    free = [s for s in pieces.segments if roles.get(s.layer) in ("", "rooms") and s.insert is None]
    free = [s for s in free if math.dist(s.start, s.end) * unit_m >= _LEAST_LONG_M]
    if not free or len(free) > _MOST_LINES:
        return [], (), ()
    coords = np.array([(s.start, s.end) for s in free], dtype=float) * unit_m
    pairs = _pairs(coords, STRtree(shapely.linestrings(coords)))
    both = {(n, m) for n, m, _ in pairs}
    beside = {n for n, m in both if (m, n) in both}
    long_of = [math.dist(*ends) for ends in coords]
    whole: dict[str, float] = {}
    paired: dict[str, float] = {}
    for n, s in enumerate(free):
        whole[s.layer] = whole.get(s.layer, 0.0) + long_of[n]
        if n in beside:
            paired[s.layer] = paired.get(s.layer, 0.0) + long_of[n]
    total = sum(paired.values())
    layers = {
        x for x, long_m in paired.items() if long_m >= 0.15 * total and (long_m >= _SHARE * whole[x] or len(whole) == 1)
    }
    # On a layer that holds more than walls only the pairs are taken; on one of walls alone its short ends too.
    pure = {x for x in layers if paired[x] >= 0.7 * whole[x]}
    lines = [s for n, s in enumerate(free) if s.layer in layers and n in beside and s.layer not in pure]
    lines += [s for s in pieces.segments if s.layer in pure and s.insert is None]
    return lines, tuple(sorted(layers)), tuple(sorted(layers - pure))
