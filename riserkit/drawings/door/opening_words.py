"""An opening's size and hand in words, as sheets, schedules and packets have them."""

from __future__ import annotations

from typing import Final

from riserkit.drawings.setting.scale import length_text
from riserkit.model.opening import Opening
from riserkit.quantities.printed import UnitSystem

_NOT_STATED: Final = "not stated"


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
