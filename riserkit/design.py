"""The design: all that follows from a site. Each stage is a plain function of frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from riserkit.model.opening import Opening
from riserkit.model.site import Site
from riserkit.network.routes import Router
from riserkit.network.values import CableRun, Labels, Placement
from riserkit.wiring.values import DoorWiring


@dataclass(frozen=True, slots=True)
class PoweredLink:
    """Power over one horizontal cable, from the switch port to the powered device at the door.

    Args:
        poe_class: class of the port.
        device_class: class that the powered device asks for, None when unknown.
        length_m: channel length used: permanent link and cords.
        loop_ohm: resistance there and back over the powered pairs at `temperature_c`.
        temperature_c: of the cable.
        pse_min_v, pse_max_w: what the port's class grants at least.
        pd_need_w: what the powered device needs, None when unknown.
        pd_v, current_a, pse_w: solved constant-power load; None when the cable cannot carry it at all or
        need is unknown.
        pd_limit_w: most power that arrives at the device when the port gives its `pse_max_w`, or its class
        limit if less.
    """

    poe_class: int
    device_class: int | None
    length_m: float
    loop_ohm: float
    temperature_c: float
    pse_min_v: float
    pse_max_w: float
    pd_need_w: float | None
    pd_v: float | None
    current_a: float | None
    pse_w: float | None
    pd_limit_w: float


@dataclass(frozen=True, slots=True)
class DoorDesign:
    """All of one opening's paper is read off this."""

    opening: Opening
    placement: Placement | None
    cable: CableRun | None
    link: PoweredLink | None
    wiring: DoorWiring

    @property
    def mark(self) -> str:
        """The opening's mark."""
        return self.opening.mark


@dataclass(frozen=True)
class Design:
    """A site with everything worked out. `doors` stand in the order of the site's openings."""

    site: Site
    router: Router
    doors: tuple[DoorDesign, ...]
    backbone: tuple[CableRun, ...]
    labels: Labels
    not_placed: tuple[str, ...] = field(default=())

    @cached_property
    def door(self) -> Mapping[str, DoorDesign]:
        """Door designs by mark."""
        return MappingProxyType({d.mark: d for d in self.doors})

    @cached_property
    def doors_of_closet(self) -> Mapping[str, tuple[DoorDesign, ...]]:
        """Doors by closet id, every closet of the site present."""
        found: dict[str, list[DoorDesign]] = {closet.id: [] for closet in self.site.closets}
        for door in self.doors:
            if door.placement is not None:
                found[door.placement.closet].append(door)
        return MappingProxyType({closet: tuple(doors) for closet, doors in found.items()})
