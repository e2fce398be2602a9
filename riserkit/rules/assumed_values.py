"""The rule `assumed-values`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import Lock
from riserkit.model.site import Site
from riserkit.quantities.printed import format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.lookups import listed
from riserkit.wiring.assumed import OWN_SUPPLY

_UNITS: Final = {
    "ambient_c": "°C", "coldest_c": "°C", "pathway_c": "°C", "cords_total_m": "m", "cord_gauge": "", "cord_stranding": "",
    "closet_slack_m": "m", "door_slack_m": "m",
}  # fmt: skip
"""Facts of the site that decide lengths and voltages and have a usual value, with their units."""


class AssumedValues:
    """The temperatures, cords and slack that every length and voltage is calculated with are stated.

    Why:
        A site that states none is calculated with usual values. A hot ceiling or long cords then go unnoticed: the
        channel is shorter and the lock voltage lower than calculated.
    Measures:
        Whether the site states its temperatures, patch and equipment cords and slack; whether each switch states the
        PoE class of its ports, and each level its ceiling. What is taken of a lock's own supply, which no column
        states, is listed beside it and fails nothing.
    Limit:
        Each is stated.
    Remedy:
        Names what is not stated, with the value taken.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "assumed-values"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A note for the site, its switches and its levels; a pass where all is stated."""
        site, system = design.site, design.site.info.unit_system
        given, told = site.info.model_fields_set, []
        for field, unit in _UNITS.items():
            value = getattr(site.info, field)
            if field not in given:
                told.append(f"{field} {format_value(value, unit, system) if unit else value}")
        told += [
            f"poe_class {switch.poe_class} of {switch.id}"
            for switch in site.switches
            if not switch.model_fields_set & {"poe_class", "port_classes"}
        ]
        told += [
            f"ceiling_m {format_value(level.ceiling_m, 'm', system)} of level {level.id}"
            for level in site.levels
            if "ceiling_m" not in level.model_fields_set
        ]
        message = f"Not stated, usual values taken: {', '.join(told)}." if told else "No usual value is taken."
        message += _own_supplies(site)
        names = ", ".join(dict.fromkeys(word.split()[0] for word in told))
        yield stated(
            self, ("site", site.info.name), not told, message, severity=Severity.NOTE, remedy=f"State {names}."
        )


def _own_supplies(site: Site) -> str:
    """What is taken of the supplies that come with locks, in a sentence; empty where there is none."""
    locks = {opening.lock: site.part.get(opening.lock) for opening in site.openings}
    own = [name for name, lock in locks.items() if isinstance(lock, Lock) and lock.own_supply]
    return f" Taken of {listed(own)}, which no column states: {', '.join(OWN_SUPPLY)}." if own else ""
