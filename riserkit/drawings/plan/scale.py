"""Scales of floor plans, how they are written, and the steps of their scale bar and grid."""

from __future__ import annotations

from typing import Final

from riserkit.drawings.setting.scale import DrawingScale
from riserkit.quantities.printed import UnitSystem

# ISO 5455 gives the decades of 1, 2 and 5 (from memory); 1:250 is common practice for plans, no source.
METRIC_PLAN_SCALES: Final = tuple(DrawingScale(ratio, f"1:{ratio}") for ratio in (50, 100, 200, 250, 500))
# Architects' and engineers' scales of inches to the foot (common practice, no source).
IMPERIAL_PLAN_SCALES: Final = (
    DrawingScale(48, '1/4" = 1\'-0"'),
    DrawingScale(96, '1/8" = 1\'-0"'),
    DrawingScale(192, '1/16" = 1\'-0"'),
    DrawingScale(240, '1" = 20\'-0"'),
    DrawingScale(480, '1" = 40\'-0"'),
)
# Where doors stand so near one another, or are called so long, that their marks have no room otherwise.
_DETAIL_SCALES: Final[dict[UnitSystem, tuple[DrawingScale, ...]]] = {
    "metric": (DrawingScale(20, "1:20"), DrawingScale(10, "1:10")),
    "imperial": (DrawingScale(24, '1/2" = 1\'-0"'), DrawingScale(12, '1" = 1\'-0"')),
}
FOOT_M: Final = 0.3048
_BAR_MM: Final = 44.0
_GRID_MM: Final = 40.0


def plan_scales(unit_system: UnitSystem) -> tuple[DrawingScale, ...]:
    """The scales a plan may have, the largest drawing first."""
    return IMPERIAL_PLAN_SCALES if unit_system == "imperial" else METRIC_PLAN_SCALES


def detail_scales(unit_system: UnitSystem) -> tuple[DrawingScale, ...]:
    """Scales for plans whose labels have no room at the usual ones, the smallest drawing first."""
    return _DETAIL_SCALES[unit_system]


def asked_scale(ratio: int, unit_system: UnitSystem) -> DrawingScale:
    r"""A scale the user asks for, written as its system writes it.

    Examples:
        >>> asked_scale(96, "imperial").text, asked_scale(75, "metric").text
        ('1/8" = 1\'-0"', '1:75')
    """
    known = {scale.ratio: scale for scale in plan_scales(unit_system)}
    return known.get(ratio, DrawingScale(ratio, f"1:{ratio}"))


def bar_step_m(ratio: int, unit_system: UnitSystem) -> float:
    """Length of one of the five fields of a scale bar: round, and the whole at most 44 mm on paper.

    Examples:
        >>> bar_step_m(100, "metric"), round(bar_step_m(96, "imperial") / 0.3048, 6)
        (0.5, 2.0)
    """
    return _round_down(_BAR_MM / 5 * ratio / 1000, unit_system)


def grid_step_m(ratio: int, unit_system: UnitSystem) -> float:
    """Distance of coordinate marks: round, and at least 40 mm on paper.

    Examples:
        >>> grid_step_m(100, "metric"), grid_step_m(250, "metric")
        (5, 10)
    """
    unit = FOOT_M if unit_system == "imperial" else 1
    least = _GRID_MM * ratio / 1000 / unit
    return next(step for step in _steps() if step >= least - 1e-9) * unit


def _round_down(length_m: float, unit_system: UnitSystem) -> float:
    unit = FOOT_M if unit_system == "imperial" else 1
    found = [step for step in _steps() if step * unit <= length_m + 1e-9]
    return (found[-1] if found else 0.1) * unit


def _steps() -> tuple[float, ...]:
    """Round numbers, rising."""
    return (0.1, 0.2, 0.5, *(n * 10**power for power in range(5) for n in (1, 2, 5)))
