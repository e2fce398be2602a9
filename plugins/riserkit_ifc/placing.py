"""Where things stand: placements of a model as matrices in metres.

The library's own does the same with a dozen calls on small arrays for each axis; a model has thousands of axes, so this counts out
the few numbers that there are, and once for what several things share.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

Matrix = np.ndarray[Any, Any]
_Vector = tuple[float, float, float]
_X: Final = (1.0, 0.0, 0.0)
_Z: Final = (0.0, 0.0, 1.0)
_MOST_DEPTH: Final = 100
FARTHEST_M: Final = 1e9
"""Beyond any place on Earth in any grid; with numbers as large as they can be, arithmetic ends."""


class UnreadableError(ValueError):
    """A thing of a model that cannot be read; what is wrong with it, in words."""


class Placings:
    """Matrices of placements, each worked out once.

    Args:
        scale: metres of the model's unit of length.
    """

    def __init__(self, scale: float) -> None:
        self.scale = scale
        self._known: dict[int, Matrix] = {}

    def of(self, placement: Any, depth: int = 0) -> Matrix:
        """A product's placement; nothing stated is the building's origin.

        Raises:
            UnreadableError: it hangs on itself, or is not in numbers.
        """
        if placement is None:
            return np.eye(4)
        key = placement.id()
        found = self._known.get(key)
        if found is None:
            if depth > _MOST_DEPTH:
                raise UnreadableError("its placement hangs on itself")
            found = self.axes(_relative(placement))
            parent = _parent(placement)
            if parent is not None:
                found = self.of(parent, depth + 1) @ found
            if not float(abs(found).max()) < FARTHEST_M:  # nor what is no number at all
                raise UnreadableError("its placement is not in numbers, or beyond any place on Earth")
            self._known[key] = found
        return found

    def axes(self, placement: Any) -> Matrix:
        """An IfcAxis2Placement2D or 3D; None for none, which is the origin."""
        if placement is None:
            return np.eye(4)
        # By place, not by name: Location, then Axis and RefDirection, or RefDirection alone in the plane.
        at = _three(placement[0])
        flat = placement.is_a("IfcAxis2Placement2D")
        axis = None if flat or len(placement) < 2 else placement[1]
        x_axis = placement[1] if flat else placement[2] if len(placement) > 2 else None
        scale = self.scale
        return _matrix(
            _three(x_axis) if x_axis is not None else _X,
            _three(axis) if axis is not None else _Z,
            (at[0] * scale, at[1] * scale, at[2] * scale),
        )

    def operator(self, operator: Any) -> Matrix:
        """An IfcCartesianTransformationOperator: what it is mapped by, mirrored and stretched too."""
        at, scale = _three(operator.LocalOrigin), self.scale
        x_axis = _three(operator.Axis1) if operator.Axis1 is not None else _X
        y_axis = _three(operator.Axis2) if operator.Axis2 is not None else None
        z_axis = getattr(operator, "Axis3", None)
        matrix = _matrix(
            x_axis, _three(z_axis) if z_axis is not None else _Z, (at[0] * scale, at[1] * scale, at[2] * scale)
        )
        if y_axis is not None and float(matrix[:3, 1] @ y_axis) < 0:
            matrix[:3, 1] *= -1.0
        first = float(operator.Scale or 1.0)
        for n, name in enumerate(("Scale", "Scale2", "Scale3")):
            matrix[:3, n] *= float(getattr(operator, name, None) or first)
        return matrix


def _parent(placement: Any) -> Any:
    """What a placement is relative to; in IFC 2x3 and 4 one on a grid is relative to nothing."""
    return placement[0] if placement.is_a("IfcLocalPlacement") else getattr(placement, "PlacementRelTo", None)


def _relative(placement: Any) -> Any:
    """The axes of a placement; of one along an alignment those that it was worked out to.

    Raises:
        UnreadableError: there are none: the origin would be a place that nobody stated.
    """
    found = placement[1] if placement.is_a("IfcLocalPlacement") else getattr(placement, "CartesianPosition", None)
    if found is None:
        raise UnreadableError("the model does not say in numbers where it stands")
    return found


def _three(vector: Any) -> _Vector:
    numbers = vector[0]
    return float(numbers[0]), float(numbers[1]), float(numbers[2]) if len(numbers) > 2 else 0.0


def _matrix(x: _Vector, z: _Vector, at: _Vector) -> Matrix:
    """Axes square to each other: z as it is, x turned into the plane square to it (ISO 16739, IfcFirstProjAxis)."""
    z = _unit(z, _Z)
    along = x[0] * z[0] + x[1] * z[1] + x[2] * z[2]
    x = _unit((x[0] - along * z[0], x[1] - along * z[1], x[2] - along * z[2]), _X)
    y = (z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0])
    return np.array(
        ((x[0], y[0], z[0], at[0]), (x[1], y[1], z[1], at[1]), (x[2], y[2], z[2], at[2]), (0.0, 0.0, 0.0, 1.0))
    )


def _unit(vector: _Vector, otherwise: _Vector) -> _Vector:
    long = math.hypot(*vector)
    return (vector[0] / long, vector[1] / long, vector[2] / long) if long > 1e-12 else otherwise
