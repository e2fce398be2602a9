"""The unit of a drawing: what its header says, checked against the size that its doors have."""

from __future__ import annotations

import math
import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import STRtree

from riserkit_dxf_plan.pieces import Segment

# $INSUNITS of the DXF reference: 1 inches, 2 feet, 4 mm, 5 cm, 6 m, 14 dm
HEADER_M: Final = {1: 0.0254, 2: 0.3048, 4: 0.001, 5: 0.01, 6: 1.0, 14: 0.1}
NAMES: Final = {0.0254: "inch", 0.3048: "foot", 0.001: "mm", 0.01: "cm", 1.0: "m", 0.1: "dm"}
_USUAL: Final = (0.0254, 0.3048, 0.001, 0.01, 1.0)
LEAF_M: Final = (0.55, 1.45)
"""Widths that leaves have (common practice, no source)."""
_USUAL_LEAF_M: Final = 0.9
_SHEETS: Final = {
    0.001: (10.0, 20.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 500.0),
    0.0254: (24.0, 32.0, 48.0, 64.0, 96.0, 128.0, 192.0),
}
"""Scales at which plans are drawn on paper, in millimetres and inches (common practice, no source)."""
_SCALE: Final = re.compile(r"\b1\s*:\s*(\d{2,3})\b")
_SCALE_OF_FEET: Final = re.compile(r"(?<![\d/])([1-9])/(\d{1,2})\s*(?:\"|in\.?|''|″)\s*=\s*1\s*['′]")
_WALL_M: Final = (0.07, 0.5)
_EXTENT_M: Final = (4.0, 600.0)
_IMPERIAL = re.compile(r"\d\s*['\"]|\d\s*(?:SF|SQ\.? ?FT)\b", re.IGNORECASE)
_METRIC = re.compile(r"\d\s*(?:m²|m2|qm|mm)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class UnitFound:
    """Metres of a unit, from what that was taken, and whether the user is to be asked."""

    unit_m: float
    why: str
    is_asked: bool = False


def find_unit(
    header: int,
    widths: Sequence[float],
    sized: Sequence[tuple[float, float]],
    thick: Sequence[float],
    extent: float,
    texts: Sequence[str],
) -> UnitFound:
    """The unit of a drawing.

    Args:
        header: its `$INSUNITS`.
        widths: leaves as drawn, in units.
        sized: of doors whose size is written, the width drawn and the width in metres.
        thick: distances between the two lines of walls.
        extent: the longer side of all that is drawn.
        texts: all texts, in which feet or metres may be written.
    """
    stated_m = HEADER_M.get(header, 0.0)
    said = f"the header says {NAMES[stated_m]}" if stated_m else "the header says nothing"
    if sized:
        ratio = statistics.median(metres / drawn for drawn, metres in sized)
        unit_m = min(_USUAL, key=lambda u: abs(u / ratio - 1))
        if abs(unit_m / ratio - 1) < 0.1:
            return UnitFound(unit_m, f"{said}; the sizes written at {len(sized)} doors agree with {NAMES[unit_m]}")
    if widths:
        middle = statistics.median(widths)
        fitting = [unit_m for unit_m in (stated_m, *_USUAL) if unit_m and LEAF_M[0] <= middle * unit_m <= LEAF_M[1]]
        if fitting:
            unit_m = fitting[0]
            told = "as doors are" if unit_m == stated_m else f"which only in {NAMES[unit_m]} is a door's width"
            return UnitFound(unit_m, f"{said}; the leaves are {middle:.4g} wide, {told}")
    return _without_doors(stated_m, said, thick, extent, texts)


def unit_of_sheet(header: int, widths: Sequence[float], texts: Sequence[str], *, is_paper: bool) -> UnitFound | None:
    """The unit of what is drawn to scale: by the scale that is written, on paper else by its leaves; None where it is drawn 1:1.

    Args:
        header: its `$INSUNITS`.
        widths: leaves as drawn, in units.
        texts: all texts.
        is_paper: whether it is a sheet of paper and no model.
    """
    stated_m = HEADER_M.get(header, 0.0)
    middle = statistics.median(widths or [0.0])
    # on paper another unit than the header's is less likely than a scale
    if any(LEAF_M[0] <= middle * unit_m <= LEAF_M[1] for unit_m in (stated_m, *(() if is_paper else _USUAL))):
        return None
    written = {float(found[1]) for text in texts for found in _SCALE.finditer(text)}
    written |= {12 * int(found[2]) / int(found[1]) for text in texts for found in _SCALE_OF_FEET.finditer(text)}
    able = [
        (unit_m, scale)
        for unit_m, scales in _SHEETS.items()
        if stated_m in (0.0, unit_m)
        for scale in (written or (scales if is_paper else ()))
        if LEAF_M[0] <= middle * unit_m * scale <= LEAF_M[1]
    ]
    if not able:
        return None
    unit_m, scale = min(able, key=lambda one: abs(one[0] * one[1] * middle - _USUAL_LEAF_M))
    how = "which is written" if written else "which is not written and may be another"
    why = f"the leaves are {middle:.4g} wide, in {NAMES[unit_m]} a door's width at 1:{scale:g}, {how}"
    return UnitFound(unit_m * scale, why, is_asked=not written or len(able) > 1)


def _without_doors(
    stated_m: float, said: str, thick: Sequence[float], extent: float, texts: Sequence[str]
) -> UnitFound:
    feet, metres = (sum(1 for text in texts if words.search(text)) for words in (_IMPERIAL, _METRIC))
    scores: dict[float, float] = {}
    for unit_m in dict.fromkeys((*((stated_m,) if stated_m else ()), *_USUAL)):
        score = 0.6 if unit_m == stated_m else 0.0
        score += _EXTENT_M[0] <= extent * unit_m <= _EXTENT_M[1]
        score += bool(thick) and _WALL_M[0] <= statistics.median(thick or [0.0]) * unit_m <= _WALL_M[1]
        imperial = unit_m in (0.0254, 0.3048)
        score += (feet > metres and imperial) or (metres > feet and not imperial)
        scores[unit_m] = score
    best = sorted(scores, key=lambda u: -scores[u])
    clear = len(best) < 2 or scores[best[0]] - scores[best[1]] >= 0.5
    why = f"{said}; no door tells, but walls, extent and written lengths suit {NAMES[best[0]]}"
    return UnitFound(best[0], why, is_asked=not clear or scores[best[0]] < 1.5)


def wall_thickness(segments: Sequence[Segment]) -> list[float]:
    """Distances from lines of walls to the nearest line beside them, of the two hundred longest."""
    lengths = sorted(segments, key=lambda s: -math.dist(s.start, s.end))[:200]
    if len(lengths) < 4:
        return []
    shapes = shapely.linestrings(np.array([(s.start, s.end) for s in lengths]))
    tree = STRtree(shapes)
    found = []
    for n, one in enumerate(lengths):
        long = math.dist(one.start, one.end)
        if not long:
            continue
        ux, uy = (one.end[0] - one.start[0]) / long, (one.end[1] - one.start[1]) / long
        near = []
        for m in tree.query(shapely.buffer(shapes[n], long * 0.5))[:60]:
            other = lengths[int(m)]
            dx, dy = other.end[0] - other.start[0], other.end[1] - other.start[1]
            if int(m) == n or abs(dx * uy - dy * ux) > 0.02 * math.hypot(dx, dy):
                continue
            off = abs((other.start[0] - one.start[0]) * uy - (other.start[1] - one.start[1]) * ux)
            if off > 1e-6 * long:
                near.append(off)
        if near:
            found.append(min(near))
    return found
