"""The opening in a wall that a door fills: how wide it is, and where."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from riserkit_ifc.outlines import footprint
from riserkit_ifc.placing import Placings


@dataclass(frozen=True, slots=True)
class Void:
    """An opening in plan, metres."""

    middle_m: tuple[float, float]
    width_m: float


def void_of(door: Any, placings: Placings) -> Void | None:
    """The opening that a door fills; None where it fills none, or one without a shape that can be read."""
    for relation in door.FillsVoids or ():
        shape = footprint(relation.RelatingOpeningElement, placings)
        if shape is not None and not shape.is_empty and (rectangle := shape.minimum_rotated_rectangle).area > 0:
            box = np.array(rectangle.exterior.coords)
            wide_m = float(max(math.dist(box[0], box[1]), math.dist(box[1], box[2])))
            return Void((float(rectangle.centroid.x), float(rectangle.centroid.y)), wide_m)
    return None
