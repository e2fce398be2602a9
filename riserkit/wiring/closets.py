"""How a place in a closet is written, once for all that stands in one."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Component

AT_DOOR: Final = "door"
"""Where a supply is that stands at the opening whose lock it feeds."""
TO_BE_ADDED: Final = "door, to be added"
"""Where a supply is to stand that the site does not have yet."""
POE_CABLE: Final = "PoE cable"
"""Where a candidate's lock power comes from when no supply feeds it; see `Candidate.supply_at`."""

OWN_SUPPLY: Final = "lock's own supply"
"""The same where the lock has a supply of its own, as an exit device has: the PoE cable brings it a trigger at most."""

_AT_OPENING: Final = "opening "


def at_opening(mark: str) -> str:
    """What stands for a closet where a supply of one opening feeds another. No closet has such an id, for none has a space."""
    return f"{_AT_OPENING}{mark}"


def closet_place(closet: str) -> str:
    """Where something in a closet is, by the closet's id or label; empty where the closet is not known.

    Examples:
        >>> closet_place("C1"), closet_place(at_opening("102")), closet_place("")
        ('closet C1', 'opening 102', '')
    """
    return closet if closet.startswith(_AT_OPENING) else f"closet {closet}" if closet else ""


def with_closet_named(component: Component, place: str) -> Component:
    """The component with its place in a closet in other words; the same where it is elsewhere, or where a crew said so."""
    named = component.closet and component.place == closet_place(component.closet)
    return replace(component, place=place) if named else component
