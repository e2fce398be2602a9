"""What a crew has to know of an opening itself: its size, its hand, its hardware, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.model.opening import Opening

_NOT_STATED: Final = "not stated"
_INACTIVE: Final = {
    "automatic-bolts": "automatic bolts on the inactive leaf",
    "manual-bolts": "manual bolts on the inactive leaf",
    "exit-device": "exit device on the inactive leaf",
}


def hardware_words(opening: Opening) -> str:
    """What the door has besides its lock and is stated: fire rating, latch, hardware that opens from inside, leaves, box."""
    return ", ".join(_hardware(opening)) or _NOT_STATED


def _hardware(opening: Opening) -> Iterator[str]:
    if opening.fire_rating_min:
        yield f"fire-rated {opening.fire_rating_min:g} min"
    if opening.latching_hardware is not None:
        yield "latch" if opening.latching_hardware else "no latch"
    if opening.free_egress_hardware is not None:
        yield "opens from inside by hand" if opening.free_egress_hardware else "does not open from inside by hand"
    if opening.inactive_leaf:
        yield _INACTIVE[opening.inactive_leaf]
    if opening.mullion is not None and opening.leaves > 1:
        yield "mullion" if opening.mullion else "no mullion"
    if not opening.back_box:
        yield "no back box"
