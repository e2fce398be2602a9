"""Place of a line of text: anchors, DXF's alignment codes, the box that the ink covers; and its least height."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Any, Final, Literal

from ezdxf.math import Vec3

from riserkit.drawings.dxf.boxes import Point, Rect, turned
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM, escape_text, text_bounds_mm, text_width_mm
from riserkit.quantities.printed import UnitSystem
from riserkit.standards.sheets import TEXT_HEIGHT_MIN_MM

Anchor = Literal[
    "left",
    "center",
    "right",
    "middle_left",
    "middle",
    "middle_right",
    "top_left",
    "top_center",
    "top_right",
]
"""`left`, `center`, `right` stand on the baseline; `middle` and `top` are those of the capital letters."""

ALIGNMENT: Final = MappingProxyType[str, tuple[int, int]](
    {
        "left": (0, 0),
        "center": (1, 0),
        "right": (2, 0),
        "middle_left": (0, 2),
        "middle": (1, 2),
        "middle_right": (2, 2),
        "top_left": (0, 3),
        "top_center": (1, 3),
        "top_right": (2, 3),
    }
)
"""DXF's horizontal and vertical alignment of each anchor (group codes 72 and 73)."""

LEAST_IMPERIAL_MM: Final = math.ceil(TEXT_HEIGHT_MIN_MM * 10) / 10
"""No text on a sheet of an imperial site is smaller than this: 3/32 in, rounded up."""
_ALONG: Final = {0: 0.0, 1: 0.5, 2: 1.0, 4: 0.5}
_UP: Final = {0: 0.0, 1: -0.25, 2: 0.5, 3: 1.0}


def smallest_mm(unit_system: UnitSystem) -> float:
    """Height of the smallest lettering on the sheets of a site.

    >>> smallest_mm("metric"), smallest_mm("imperial")
    (1.8, 2.4)
    """
    return LEAST_IMPERIAL_MM if unit_system == "imperial" else LEAST_HEIGHT_MM


def baseline_start(text: str, at: Point, height: float, alignment: tuple[int, int], angle_deg: float) -> Point:
    """The left end of the baseline of a text anchored at a point."""
    dx = -_ALONG.get(alignment[0], 0.0) * text_width_mm(text, height)
    dy = -_UP.get(alignment[1], 0.0) * height
    if angle_deg == 0:
        return at[0] + dx, at[1] + dy
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return at[0] + dx * cos - dy * sin, at[1] + dx * sin + dy * cos


def text_attribs(
    text: str, start: Point, at: Point, height: float, alignment: tuple[int, int], rotation_deg: float
) -> dict[str, Any]:
    """Attributes of a line of text as the library keeps them, layer and style left out.

    Args:
        text: as the user wrote it.
        start: of its base line.
        at: where its anchor stands.
        height: of its capitals.
        alignment: as `ALIGNMENT` has it.
        rotation_deg: about the anchor.
    """
    insert = Vec3(round(start[0], 3), round(start[1], 3))
    attribs: dict[str, Any] = {"height": float(height), "insert": insert, "text": escape_text(text)}
    if rotation_deg:
        attribs["rotation"] = float(rotation_deg)
    # what is as the library has it anyway is left out: an entity is written in one go where all that it sets is written
    across, up = alignment
    if across:
        attribs["halign"] = across
    if up:
        attribs["valign"] = up
    if across or up:
        attribs["align_point"] = Vec3(at)
    return attribs


def ink_box(text: str, start: Point, height: float, angle_deg: float) -> Rect:
    """The upright rectangle round a text whose baseline starts at a point; capitals' height at least."""
    low, high = text_bounds_mm(text, height)
    flat = Rect(
        start[0], start[1] + min(low, 0.0), start[0] + text_width_mm(text, height), start[1] + max(high, height)
    )
    return turned(flat, start, angle_deg)


def entity_box(entity: Any) -> Rect:
    """The box of a TEXT or ATTRIB entity, as the shipped font sets it. FIT and ALIGNED texts take their stretch."""
    dxf = entity.dxf
    text, height, angle = entity.plain_text(), float(dxf.height), float(dxf.get("rotation", 0.0))
    halign, valign = dxf.get("halign", 0), dxf.get("valign", 0)
    if (halign, valign) == (0, 0) or halign in (3, 5):
        start = (dxf.insert.x, dxf.insert.y)
    else:
        point = dxf.get("align_point", dxf.insert)
        along = 4 if halign == 4 else halign
        start = baseline_start(text, (point.x, point.y), height, (along, 2 if halign == 4 else valign), angle)
    return ink_box(text, start, height, angle)
