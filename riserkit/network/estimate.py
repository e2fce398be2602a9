"""Length of a cable where no pathways are drawn: along the axes at ceiling height, and down at both ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.network.spots import Spot
from riserkit.network.taps import FloatArray


@dataclass(frozen=True, slots=True)
class SpotColumns:
    """Spots as columns of n values each."""

    x_m: FloatArray
    y_m: FloatArray
    z_m: FloatArray
    ceiling_z_m: FloatArray
    building: npt.NDArray[np.str_]

    @classmethod
    def of(cls, spots: Sequence[Spot]) -> SpotColumns:
        """Turn spots into columns, in their order."""
        rows = np.array([(s.x_m, s.y_m, s.z_m, s.ceiling_z_m) for s in spots], dtype=np.float64).reshape(-1, 4)
        return cls(rows[:, 0], rows[:, 1], rows[:, 2], rows[:, 3], np.array([s.building for s in spots], dtype=np.str_))


def estimated_lengths_m(start: Spot, ends: SpotColumns) -> FloatArray:
    """Estimated lengths from one spot to each of n others, without slack, shape (n,).

    |dx| + |dy| + the difference of the two ceilings' heights, and from each ceiling down to its end. Infinite between
    two buildings, for nobody knows the way there.
    """
    across_m = np.abs(ends.x_m - start.x_m) + np.abs(ends.y_m - start.y_m)
    up_m = np.abs(ends.ceiling_z_m - start.ceiling_z_m)
    drops_m = np.abs(ends.ceiling_z_m - ends.z_m) + abs(start.ceiling_z_m - start.z_m)
    lengths_m: FloatArray = np.where(ends.building == start.building, across_m + up_m + drops_m, np.inf)
    return lengths_m


def estimated_length_m(start: Spot, end: Spot) -> float | None:
    """The same for one pair; None between two buildings."""
    length_m = float(estimated_lengths_m(start, SpotColumns.of([end]))[0])
    return None if np.isinf(length_m) else length_m
