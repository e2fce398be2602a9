"""How long a cable at the door is, when nobody has stated or measured it.

Every cable leaves its device upward, crosses above the ceiling and comes down at the next: the long way round, which is how it
is pulled (common practice, no source). So the estimate errs on the side of more copper, and of more voltage drop. Where there is no
ceiling, at a gate or under a vault, it crosses above the head of the opening, and boxes stand beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.model.opening import Opening
from riserkit.model.parts import RexSensor
from riserkit.standards.locks import DEVICE_PLACES, SLACK_OPENING_M

TRAVERSE_M: Final = 0.5

# device -> device or place that its cable comes from
FED_FROM: Final[Mapping[str, str]] = MappingProxyType(
    {
        "lock": "controller",
        "leaf": "hinges",
        "rex_leaf": "hinges",
        "release_leaf": "hinges",
        "contact": "controller",
        "lock_contact": "controller",
        "rex": "controller",
        "reader": "controller",
        "relay": "controller",
        "box": "controller",
        "request": "controller",
        "release": "ceiling",
        "rex_feed": "ceiling",
        "fire": "ceiling",
        "supply": "ceiling",
        "trigger": "ceiling",
        "data_tail": "controller",
    }
)


IN_LEAF: Final = frozenset({"leaf", "rex_leaf", "release_leaf"})
"""Cables that run within the leaf, from the hinges on."""


def rex_place(rex: RexSensor | None) -> str:
    """Which of `DEVICE_PLACES` a request to exit has: an unpowered one is a switch that is pressed, not a sensor."""
    if rex is not None and rex.in_leaf:
        return "leaf-switch"
    return "rex-sensor" if rex is None or rex.is_powered else "exit-switch"


def device_heights_m(opening: Opening, *, lock_at_head: bool, rex: RexSensor | None) -> Mapping[str, float]:
    """Height of each device above the floor: as stated for the opening, else as usual.

    Args:
        opening: with its stated heights.
        lock_at_head: the lock is at the frame's head, as an electromagnetic lock is.
        rex: its REX sensor or exit switch.
    """
    lock_place = "electromagnetic-lock" if lock_at_head else "strike"
    stated = {
        "controller": (opening.reader_height_m, "controller"),
        "reader": (opening.reader_height_m, "reader"),
        "release": (opening.release_height_m, "manual-release"),
        "rex": (opening.rex_height_m, rex_place(rex)),
        "rex_feed": (opening.rex_height_m, rex_place(rex)),
        "contact": (None, "door-contact"),
        "hinges": (None, "power-transfer"),
        "lock": (None, lock_place),
        "lock_contact": (None, lock_place),
    }
    heights = {
        device: DEVICE_PLACES[kind].height_m(opening.height_m) if own_m is None else own_m
        for device, (own_m, kind) in stated.items()
    }
    return MappingProxyType(heights)


def estimated_length_m(
    opening: Opening,
    device: str,
    ceiling_m: float,
    *,
    lock_at_head: bool,
    rex: RexSensor | None,
    strike_in_leaf: bool = False,
) -> float:
    """One-way length of the cable to `device`, slack at the door included; arguments as of `device_heights_m`.

    With `strike_in_leaf` lock power goes over the hinges of a pair's inactive leaf.
    """
    if device in IN_LEAF:
        # straight through the leaf, from the hinges to the lock or the bar
        return round(opening.one_leaf_m + SLACK_OPENING_M.value, 2)
    heights = device_heights_m(opening, lock_at_head=lock_at_head, rex=rex)
    above_head_m = DEVICE_PLACES["junction-box"].height_m(opening.height_m)
    top_m = max(ceiling_m, above_head_m) if opening.has_ceiling else above_head_m
    box_m = top_m if opening.has_ceiling else DEVICE_PLACES["box-beside"].height_m(opening.height_m)
    # A device above the ceiling, as a reader for lorries may be, is reached by going up.
    down_m = sum(abs(top_m - heights.get(end, box_m)) for end in (device, FED_FROM[device]))
    # To the hinges of the inactive leaf it is both leaves across.
    leaves = opening.leaves if strike_in_leaf else opening.lock_count
    across_m = opening.one_leaf_m * leaves + TRAVERSE_M
    return round(down_m + across_m + SLACK_OPENING_M.value, 2)
