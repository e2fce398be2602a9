"""The rule `battery-behind-fail-safe`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import DcSupply
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.lookups import listed, lock_of


class BatteryBehindFailSafe:
    """A DC supply that holds doors locked has a battery.

    Why:
        A fail-safe lock on a supply without a battery opens with every power cut, be it a minute long.
    Measures:
        For each supply of the site that feeds fail-safe locks: on_battery, else whether its part states a battery.
    Limit:
        It has one. That the battery does not take away release by the fire alarm or the manual release is verified on
        site.
    Remedy:
        A supply with battery.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "battery-behind-fail-safe"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each supply that holds doors locked."""
        held: dict[str, list[str]] = {}
        for door in design.doors:
            drawn = door.wiring.drawn
            if drawn is not None and drawn.supply_id and _fail_safe(design, door):
                held.setdefault(drawn.supply_id, []).append(door.mark)
        for supply in design.site.supplies:
            if supply.id not in held:
                continue
            part = design.site.part.get(supply.part)
            fitted = isinstance(part, DcSupply) and bool(part.battery_ah)
            backed = fitted if supply.on_battery is None else supply.on_battery
            doors = listed(held[supply.id])
            message = f"{'With' if backed else 'Without'} a battery; it holds {doors} locked."
            remedy = "Fit a battery, or a supply with one, and state on_battery yes; or accept that a power cut unlocks these doors."
            found = stated(self, ("supply", supply.id), backed, message, remedy=remedy)
            yield replace(found, serves=() if backed else tuple(held[supply.id]))


def _fail_safe(design: Design, door: DoorDesign) -> bool:
    lock = lock_of(design, door)
    mode = (lock.action if lock else "") or door.opening.fail_mode
    return mode == "fail-safe"
