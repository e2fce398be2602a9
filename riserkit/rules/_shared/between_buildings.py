"""Cables whose ends are in different buildings."""

from __future__ import annotations

from riserkit.design import Design
from riserkit.network.spots import building_of
from riserkit.wiring.cables import DesignCable


def buildings_of(design: Design, cable: DesignCable) -> tuple[str, str] | None:
    """The buildings of a cable's two ends, where they differ and both are known."""
    ends = [_building(design, name) for name in (cable.from_id, cable.to_id)]
    return (ends[0], ends[1]) if all(ends) and ends[0] != ends[1] else None


def _building(design: Design, name: str) -> str:
    """The building of a closet, an opening or a supply; empty where it names none."""
    site = design.site
    supply = site.supply.get(name)
    if supply is not None:
        name = supply.closet or supply.opening
    thing = site.closet.get(name) or site.opening.get(name)
    return building_of(site, thing.level) if thing is not None else ""
