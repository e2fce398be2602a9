"""Lock hardware and door-side habits of the trade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import COMMON_PRACTICE, Limit

SLACK_OPENING_M: Final = Limit(1.0, "m", COMMON_PRACTICE)
PLUG_HOLE_MIN_M: Final = Limit(0.025, "m", COMMON_PRACTICE)

_INCH_M: Final = 0.0254


@dataclass(frozen=True, slots=True)
class DevicePlace:
    """Where the crew usually puts a device.

    Args:
        where: in words.
        heights_m: least and greatest height of its centre above the finished floor; None where it goes by the door's head.
        above_head_m: height above the frame's head; None where it goes by the floor.
    """

    where: str
    heights_m: tuple[float, float] | None = None
    above_head_m: float | None = None

    def height_m(self, head_m: float) -> float:
        """Usual height above the floor at a door whose frame's head is so high."""
        return self.heights_m[0] if self.heights_m is not None else head_m + (self.above_head_m or 0.0)


_BUTTON_M: Final = (40 * _INCH_M, 48 * _INCH_M)
_LATCH_M: Final = (1.02, 1.02)

# One place for each kind of device. Egress and accessibility limits are in the egress module.
DEVICE_PLACES: Final[Mapping[str, DevicePlace]] = MappingProxyType(
    {
        "reader": DevicePlace("beside the door, latch side", (42 * _INCH_M, 48 * _INCH_M)),
        "controller": DevicePlace("beside the door, latch side", (42 * _INCH_M, 48 * _INCH_M)),
        "manual-release": DevicePlace("secured side, beside the door", _BUTTON_M),
        "exit-switch": DevicePlace("secured side, beside the door", _BUTTON_M),
        "leaf-switch": DevicePlace("in the bar or handle, secured side", _LATCH_M),
        # in the frame or the leaf beside the latch, at the height of the handle
        "strike": DevicePlace("in the frame, at the latch", _LATCH_M),
        "power-transfer": DevicePlace("at the hinges, frame to leaf", _LATCH_M),
        "rex-sensor": DevicePlace("above header, egress side", above_head_m=0.15),
        "door-contact": DevicePlace("door head, latch side", above_head_m=0.0),
        "electromagnetic-lock": DevicePlace("door head, latch side", above_head_m=0.0),
        "junction-box": DevicePlace("above ceiling, secured side", above_head_m=0.6),
        "box-beside": DevicePlace("beside the opening, secured side", (1.5, 1.5)),
        "gate-contact": DevicePlace("at the latch, on post and gate", above_head_m=0.0),
        "gate-sensor": DevicePlace("on a post, egress side", above_head_m=0.15),
    }
)


def strike_of_pair(mullion: bool | None, locks: int) -> str:
    """Where a strike of a pair of doors stands, in words: between two leaves there is no frame.

    Args:
        mullion: whether a post stands between the leaves; None where that is not stated.
        locks: strikes of the pair.

    Examples:
        >>> strike_of_pair(True, 2), strike_of_pair(False, 1)
        ('in the mullion, at the latch', 'in the inactive leaf, at the latch')
    """
    if mullion:
        return "in the mullion, at the latch"
    if mullion is None or locks > 1:
        return "where the leaves meet; mullion or leaf to be settled"
    return "in the inactive leaf, at the latch"


LOCKS_IN_LEAF: Final = frozenset({"electrified-exit-device", "electrified-latch"})
"""Kinds of locks that stand in the leaf: their power comes over the hinges."""
