"""The opening in a wall that a door fills: how wide it is, and where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from riserkit_ifc.outlines import footprint
from riserkit_ifc.placing import Placings


@dataclass(frozen=True, slots=True)
class Void:
    """An opening in plan, metres."""

    middle_m: tuple[float, float]
    width_m: float


def void_of(door: Any, placings: Placings, along: np.ndarray[Any, Any]) -> Void | None:
    """The opening that a door fills; None where it fills none, or one without a shape that can be read.

    Args:
        door: of the model.
        placings: of the model.
        along: direction of the door's width in plan: what the opening measures square to it is the wall.
    """
    for relation in door.FillsVoids or ():
        if (found := extent_of(relation.RelatingOpeningElement, placings, along)) is not None:
            return found
    return None


def extent_of(product: Any, placings: Placings, along: np.ndarray[Any, Any]) -> Void | None:
    """How far a product reaches in a direction of the plan; None for one without a shape that can be read."""
    long = float(np.hypot(*along))
    shape = footprint(product, placings) if long else None
    if shape is None or shape.is_empty:
        return None
    axes = np.array([along, (-along[1], along[0])]) / long
    box = shapely.get_coordinates(shape) @ axes.T
    low, high = box.min(axis=0), box.max(axis=0)
    x, y = (low + high) / 2 @ axes
    return Void((float(x), float(y)), float(high[0] - low[0]))
