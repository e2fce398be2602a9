"""An opening's size, hand and hardware in words, as sheets, schedules and packets have them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.drawings.setting.scale import length_text
from riserkit.model.opening import Opening
from riserkit.quantities.printed import UnitSystem

_NOT_STATED: Final = "not stated"
_INACTIVE: Final = {
    "automatic-bolts": "automatic bolts on the inactive leaf",
    "manual-bolts": "manual bolts on the inactive leaf",
    "exit-device": "exit device on the inactive leaf",
}


def size_words(opening: Opening, unit_system: UnitSystem, *, unit: bool = False) -> str:
    """Kind, width and height; the width is that of usual leaves where none is stated, and says so.

    Examples:
        >>> size_words(Opening(mark="1", level="L1", x_m=0, y_m=0, width_m=0.965), "metric")
        'single 965 × 2134'
        >>> size_words(Opening(mark="1", level="L1", x_m=0, y_m=0), "metric", unit=True)
        'single 915 × 2134 mm, width usual'
    """
    width, height = length_text(opening.whole_width_m, unit_system), length_text(opening.height_m, unit_system)
    usual = "" if opening.width_m is not None or opening.leaf_width_m is not None else ", width usual"
    told = " mm" if unit and unit_system == "metric" else ""
    return f"{opening.type} {width} × {height}{told}{usual}"


def hand_words(opening: Opening) -> str:
    """Where the hinges are, seen from the unsecured side, and which way the leaf swings.

    Examples:
        >>> hand_words(Opening(mark="1", level="L1", x_m=0, y_m=0, hinges="left", swings_to="secured"))
        'hinges left, swings to secured side'
    """
    told = [f"hinges {opening.hinges}"] if opening.hinges else [] if opening.leaves > 1 else ["hinges not stated"]
    told += [f"swings to {opening.swings_to} side"] if opening.swings_to else []
    return ", ".join(told) if told else _NOT_STATED


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
