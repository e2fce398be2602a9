"""Whether a DC supply works on when the mains are off."""

from __future__ import annotations

from riserkit.model.parts import DcSupply
from riserkit.model.power import Supply


def is_backed(supply: Supply | None, part: DcSupply) -> bool:
    """As the supply states it; else as its part does: a value of its battery is stated, be it only one.

    Args:
        supply: of the site; None for one that the design adds at an opening.
        part: what it is.
    """
    if supply is not None and supply.on_battery is not None:
        return supply.on_battery
    return any(value is not None for value in (part.battery_ah, part.float_v, part.end_v))
