"""Power over the PoE cables: every port, cable and powered device solved as one batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from riserkit.circuits.constant_power import power_link
from riserkit.model.parts import Controller, Splitter
from riserkit.model.site import Site
from riserkit.network.heat import PathwayHeat
from riserkit.network.values import CableRun, Placement
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.standards.poe import POE_CLASSES, PoeClass, loop_resistance_ohm
from riserkit.wiring.landed import conductor_r20_ohm
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
        pse_min_v: what the granted class gives at least at the port, volts.
        pse_max_w: and watts.
        pd_need_w: what the powered device needs, None when unknown.
        pd_v: voltage at the device; None, as the next two, when the cable cannot carry the need or the need is unknown.
        current_a: in the loop.
        pse_w: drawn from the port.
        pd_limit_w: most power that arrives at the device when the port gives its `pse_max_w`, or its class limit if less.
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
class LinkData:
    """What one link is worked out from. `granted` is the lower of what the port offers and the device asks for."""

    placement: Placement
    device_class: int | None
    granted: PoeClass
    length_m: float
    loop_ohm: float
    temperature_c: float
    need_w: float | None


def feed_of(
    site: Site, placement: Placement, cable: CableRun, wiring: DoorWiring, heat: PathwayHeat
) -> LinkData | None:
    """What a door's link is worked out from; None without a port, a route or copper."""
    cable_type = site.cable_type[cable.cable_type]
    if not placement.switch or cable.route is None or cable_type.gauge is None:
        return None
    device_class = powered_class(site, wiring)
    granted = POE_CLASSES[granted_class(placement.poe_class, device_class)]
    info = site.info
    hottest_c = heat.on(cable.route).temperature_c
    pairs = granted.pairs_powered
    r20_ohm = resistance_per_m_20c_ohm(cable_type.gauge, cable_type.stranding) * cable.route.length_m
    test = site.as_built.test_of.get(cable.label) if site.as_built else None
    if test is not None and test.loop_ohm is not None:
        r20_ohm = conductor_r20_ohm(test.loop_ohm, info.coldest_c)
    loop_ohm = loop_resistance_ohm(1.0, r20_ohm, hottest_c, pairs) + loop_resistance_ohm(
        info.cords_total_m, resistance_per_m_20c_ohm(info.cord_gauge, info.cord_stranding), info.ambient_c, pairs
    )
    length_m = cable.route.length_m + info.cords_total_m
    return LinkData(placement, device_class, granted, length_m, loop_ohm, hottest_c, wiring.voltages.pd_w)


def granted_class(port_class: int, device_class: int | None) -> int:
    """The lower of what the port offers and what the device asks for, by power.

    Examples:
        >>> granted_class(8, 4), granted_class(3, 4), granted_class(6, None)
        (4, 3, 6)
    """
    asked = port_class if device_class is None else device_class
    return min((port_class, asked), key=lambda number: POE_CLASSES[number].p_pse_w)


def classes_on_cables(
    site: Site, placements: Mapping[str, Placement], wirings: Iterable[DoorWiring]
) -> Mapping[str, tuple[int, int]]:
    """PoE class of the port and class granted, by mark, of the doors that have a port."""
    found = {}
    for wiring in wirings:
        placement = placements.get(wiring.mark)
        if placement is not None and placement.switch:
            found[wiring.mark] = (
                placement.poe_class,
                granted_class(placement.poe_class, powered_class(site, wiring)),
            )
    return found


def powered_class(site: Site, wiring: DoorWiring) -> int | None:
    """Class that the powered device at the end of the PoE cable asks for."""
    part = site.part.get(wiring.powered_part)
    return part.poe_class if isinstance(part, (Splitter, Controller)) else None


def solve_links(feeds: Sequence[LinkData]) -> tuple[PoweredLink, ...]:
    """Solve every link: the voltage and current at which its device takes the power it needs."""
    if not feeds:
        return ()
    source_v = np.array([f.granted.v_pse_min_v for f in feeds])
    loop_ohm = np.array([f.loop_ohm for f in feeds])
    solved = power_link(source_v, loop_ohm, np.array([f.need_w or 0.0 for f in feeds]))
    full_a = np.array([f.granted.p_pse_w for f in feeds]) / source_v
    arriving_w = np.array([f.granted.p_pse_w for f in feeds]) - full_a**2 * loop_ohm
    links = []
    for k, feed in enumerate(feeds):
        known = feed.need_w is not None and bool(solved.feasible[k])
        links.append(
            PoweredLink(
                poe_class=feed.placement.poe_class,
                device_class=feed.device_class,
                length_m=feed.length_m,
                loop_ohm=feed.loop_ohm,
                temperature_c=feed.temperature_c,
                pse_min_v=feed.granted.v_pse_min_v,
                pse_max_w=feed.granted.p_pse_w,
                pd_need_w=feed.need_w,
                pd_v=float(solved.load_v[k]) if known else None,
                current_a=float(solved.current_a[k]) if known else None,
                pse_w=float(solved.source_w[k]) if known else None,
                pd_limit_w=max(0.0, min(float(arriving_w[k]), feed.granted.p_pd_w)),
            )
        )
    return tuple(links)
