"""How long a cable at the door is, when nobody has stated or measured it.

Every cable leaves its device upward, crosses above the ceiling and comes down at the next: the long way round, which is how it
is pulled (common practice, no source). So the estimate errs on the side of more copper, and of more voltage drop.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.model.opening import Opening
from riserkit.standards.locks import HEIGHT_ABOVE_HEAD_M, MOUNTING_HEIGHTS_M, SLACK_OPENING_M

READER_HEIGHT_M: Final = MOUNTING_HEIGHTS_M["reader"][0]
RELEASE_HEIGHT_M: Final = MOUNTING_HEIGHTS_M["manual-release"][0]
# A strike stands in the frame beside the latch, at the height of the handle (common practice, no source).
STRIKE_HEIGHT_M: Final = 1.02
TRAVERSE_M: Final = 0.5

# device -> device or place that its cable comes from
FED_FROM: Final[Mapping[str, str]] = MappingProxyType(
    {
        "lock": "controller",
        "contact": "controller",
        "rex": "controller",
        "reader": "controller",
        "relay": "controller",
        "release": "ceiling",
        "rex_feed": "ceiling",
        "fire": "ceiling",
        "supply": "ceiling",
        "trigger": "ceiling",
        "data_tail": "controller",
    }
)


def device_heights_m(opening: Opening, lock_at_head: bool) -> Mapping[str, float]:
    """Height of each device above the floor: as stated for the opening, else as usual."""
    head_m = opening.height_m
    heights = {
        "controller": opening.reader_height_m or READER_HEIGHT_M,
        "reader": opening.reader_height_m or READER_HEIGHT_M,
        "release": opening.release_height_m or RELEASE_HEIGHT_M,
        "rex": opening.rex_height_m or head_m + HEIGHT_ABOVE_HEAD_M["rex-sensor"],
        "rex_feed": opening.rex_height_m or head_m + HEIGHT_ABOVE_HEAD_M["rex-sensor"],
        "contact": head_m,
        "lock": head_m if lock_at_head else STRIKE_HEIGHT_M,
    }
    return MappingProxyType(heights)


def estimated_length_m(opening: Opening, device: str, ceiling_m: float, *, lock_at_head: bool) -> float:
    """One-way length of the cable to `device`, slack at the door included."""
    heights = device_heights_m(opening, lock_at_head)
    top_m = max(ceiling_m, opening.height_m + HEIGHT_ABOVE_HEAD_M["junction-box"])
    # A device above the ceiling, as a reader for lorries may be, is reached by going up.
    down_m = sum(abs(top_m - heights.get(end, top_m)) for end in (device, FED_FROM[device]))
    across_m = opening.one_leaf_m * opening.lock_count + TRAVERSE_M
    return round(down_m + across_m + SLACK_OPENING_M.value, 2)
