"""The closest closet that has a free port of some PoE class, for a door whose port gives too little."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass

from riserkit.design import Design, DoorDesign
from riserkit.network.placement import held_ports
from riserkit.network.spots import REACH_M
from riserkit.standards import poe


@dataclass(frozen=True, slots=True)
class ClassPorts:
    """Free ports for doors in one closet.

    Args:
        closet: its id.
        switch: the first switch there that has one.
        free: how many there are in the closet.
        length_m: of the door's cable to it.
    """

    closet: str
    switch: str
    free: int
    length_m: float


def closest_of_class(
    design: Design, door: DoorDesign, poe_class: int, suits: Callable[[float], bool]
) -> ClassPorts | None:
    """The closet closest to a door, its own included, with a free port of this class or more; None where there is none.

    Args:
        design: the whole design.
        door: the opening.
        poe_class: by power: class 3 will do where class 0 is asked for.
        suits: whether a cable of this length would do, metres.
    """
    taken = {(d.placement.switch, d.placement.port) for d in design.doors if d.placement is not None}
    taken |= set(held_ports(design.site))
    least_w = poe.POE_CLASSES[poe_class].p_pse_w
    found = [
        ClassPorts(closet.id, switches[0], len(switches), length_m)
        for closet in design.site.closets
        if (switches := tuple(_free(design, closet.id, least_w, taken)))
        and (length_m := _length_m(design, door, closet.id)) is not None
        and length_m <= REACH_M
        and suits(length_m)
    ]
    return min(found, key=lambda one: (one.length_m, one.closet), default=None)


def _free(design: Design, closet: str, least_w: float, taken: Collection[tuple[str, int]]) -> Iterator[str]:
    """The switch of each free port of enough power in a closet."""
    for switch in design.site.switches:
        if switch.closet == closet:
            for port, poe_class in enumerate(switch.classes[: switch.door_ports], 1):
                if (switch.id, port) not in taken and poe.POE_CLASSES[poe_class].p_pse_w >= least_w:
                    yield switch.id


def _length_m(design: Design, door: DoorDesign, closet: str) -> float | None:
    if door.placement is not None and door.placement.closet == closet:
        route = door.cable.route if door.cable is not None else None
    else:
        route = design.router.route(closet, door.mark)
    return route.length_m if route is not None else None
