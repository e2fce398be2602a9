"""Lock hardware, door-side habits of the trade and battery voltages."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import COMMON_PRACTICE, Limit, Source

OPERATING_VOLTAGE: Final = Source("UL 1034", clause="operating voltage test", confidence="from memory")

# A lock works from 85 to 110 % of its rated voltage unless its own data say otherwise.
V_TOLERANCE_LOW: Final = Limit(0.85, "of rated voltage", OPERATING_VOLTAGE)
V_TOLERANCE_HIGH: Final = Limit(1.10, "of rated voltage", OPERATING_VOLTAGE)

# A solid-state lock output gives this much, whatever feeds the controller.
OUTPUT_LIMIT_A: Final = Limit(0.6, "A", COMMON_PRACTICE)
SLACK_CLOSET_M: Final = Limit(3.0, "m", COMMON_PRACTICE)
SLACK_OPENING_M: Final = Limit(1.0, "m", COMMON_PRACTICE)
PLUG_HOLE_MIN_M: Final = Limit(0.025, "m", COMMON_PRACTICE)

_INCH_M: Final = 0.0254

# (least, greatest) height of a device's centre above the finished floor, metres. Egress and accessibility limits are
# in the egress module; these are where the crew usually puts the box.
MOUNTING_HEIGHTS_M: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "reader": (42 * _INCH_M, 48 * _INCH_M),
        "controller": (42 * _INCH_M, 48 * _INCH_M),
        "manual-release": (40 * _INCH_M, 48 * _INCH_M),
    }
)
# Devices placed by the door's head rather than by the floor: height above the frame's head, metres.
HEIGHT_ABOVE_HEAD_M: Final[Mapping[str, float]] = MappingProxyType(
    {"rex-sensor": 0.15, "door-contact": 0.0, "electromagnetic-lock": 0.0, "junction-box": 0.6}
)
MOUNTING_HEIGHTS_SOURCE: Final = COMMON_PRACTICE

# Lead-acid battery behind a dc supply, by nominal voltage.
BATTERY_FLOAT_V: Final[Mapping[int, float]] = MappingProxyType({12: 13.7, 24: 27.4})
BATTERY_END_V: Final[Mapping[int, float]] = MappingProxyType({12: 10.2, 24: 20.4})
BATTERY_SOURCE: Final = COMMON_PRACTICE


def lock_voltage_limits_v(rated_v: float) -> tuple[float, float]:
    """Least and greatest voltage at the terminals of a lock whose data state no tolerance.

    Raises:
        ValueError: a rated voltage not above 0.

    Examples:
        >>> tuple(round(v, 2) for v in lock_voltage_limits_v(24.0))
        (20.4, 26.4)
    """
    if not rated_v > 0:
        raise ValueError(f"rated voltage of {rated_v} V; expected more than 0")
    return rated_v * V_TOLERANCE_LOW.value, rated_v * V_TOLERANCE_HIGH.value
