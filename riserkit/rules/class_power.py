"""The rule `class-power`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import ClassVar, Final, NamedTuple

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.quantities.printed import format_at_least, format_at_most, format_length, format_pair, format_value
from riserkit.rules._shared.base import Measure, follows, measured, not_evaluated, stated, within
from riserkit.rules._shared.class_ports import closest_of_class
from riserkit.rules._shared.lookups import closet_name, sentence, unsolved
from riserkit.standards import poe
from riserkit.standards.copper import Stranding, resistance_per_m_20c_ohm
from riserkit.wiring.data_power import PoweredLink

# Gauges that category cable is made in, the thicker ones (common practice, no source).
_CATEGORY_GAUGES = ("23 AWG", "22 AWG")
_UNDERPOWERED = (
    "IEEE 802.3-2022: a device given less than its class keeps to what it is given and shows it (from memory)"
)
_PASSIVE: Final = re.compile(r"\bpassive\b", re.IGNORECASE)
"""Of an injector that puts its voltage on the cable unasked (common practice, no source)."""
_BY_CLASS: Final = (
    "Use a switch or midspan to IEEE 802.3 and state its poe_class; or reword its name if it is one. Unasked 24 or 48 V may"
    " destroy what is not made for it."
)


class ClassPower:
    """The powered device at the door gets the watts it needs, at the end of this very cable.

    Why:
        A controller that gets too little starts, reads a card, and resets as the lock pulls in: it fails at the one
        moment it is there for. The lock's watts are the controller's to fetch, with the converter's loss on top.
    Measures:
        The most that the powered device draws, lock and sensors included, against what arrives when the port gives
        what its class guarantees: the power and least voltage at the port, less the loss in the loop of this length,
        gauge and temperature over two or four pairs.
        A switch whose name says passive is asked about.
    Limit:
        The power that arrives, or what the device's class lets it draw where that is less. The current is that of the
        class's least power at its least voltage. A port of a lower class than the device asks for is a warning even where
        the watts would do.
    Remedy:
        The lowest class of port, with the closest closet that has one free; the gauge, or the length that carries it, each
        with the number.
    Source:
        IEEE 802.3-2022 clauses 33 and 145: class powers and port voltages (verified); that the loss is current
        squared times loop resistance is Joule's law. What a device does that is given less than it asks for is its maker's
        to say (from memory, common practice).
    """

    name: ClassVar[str] = "class-power"
    source: ClassVar[str] = poe.CLASS_POWERS.cite()
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening, and for each switch that grants no class by its name."""
        yield from self._passive(design)
        for door in design.doors:
            if door.link is None:
                yield not_evaluated(
                    self, door.subject, "No powered link: no cable or port is assigned.",
                    "Connect it to a pathway and a switch port; see no-cable-route and switch-ports.",
                )  # fmt: skip
            elif door.link.pd_need_w is None:
                yield self._unknown(door)
            else:
                yield self._link(design, door, door.link, door.link.pd_need_w)
                yield from self._underpowered(design, door, door.link, door.link.pd_need_w)

    def _passive(self, design: Design) -> Iterator[Finding]:
        for switch in design.site.switches:
            said = _PASSIVE.search(f"{switch.name} {switch.id}")
            if said:
                message = f"{said[0]!r} is in the name of {switch.id}: what feeds passively asks no device and grants no class."
                yield not_evaluated(self, ("switch", switch.id), message, _BY_CLASS, about="passive")

    def _unknown(self, door: DoorDesign) -> Finding:
        subject = door.subject
        if why := unsolved(door):
            return follows(self, subject, f"The device's load is unknown: {why}.")
        wanted = "State the own watts of what the cable feeds."
        return not_evaluated(self, subject, "The device's load is unknown: none is stated.", wanted)

    def _underpowered(self, design: Design, door: DoorDesign, link: PoweredLink, need_w: float) -> Iterator[Finding]:
        """A port of a lower class than the device asks for, where the watts would do."""
        asked = link.device_class
        if asked is None or not within(need_w, link.pd_limit_w):
            return
        if poe.POE_CLASSES[link.poe_class].p_pse_w < poe.POE_CLASSES[asked].p_pse_w:
            yield stated(
                self, door.subject, False,
                f"The device asks for class {asked}, and its port gives class {link.poe_class}. What it draws would fit, but a "
                "device that gets less than it asks for may hold back its outputs.",
                remedy=f"Use a port of class {asked}{_where_free(design, door, link, need_w, asked)}; or get it in writing that the "
                f"device does all that is asked of it here on class {link.poe_class}, and accept the finding.",
                severity=Severity.WARNING, source=_UNDERPOWERED, about="class",
            )  # fmt: skip

    def _link(self, design: Design, door: DoorDesign, link: PoweredLink, need_w: float) -> Finding:
        system = design.site.info.unit_system
        need, limit = format_pair(need_w, link.pd_limit_w, "W")
        return measured(
            self, door.subject, Measure(need_w, link.pd_limit_w, "W"),
            message=(
                f"The device needs {need}; class {_granted(link).number} grants {limit} at this cable's end: channel "
                f"{format_length(link.length_m, system)}, loop {link.loop_ohm:.2f} ohm at "
                f"{format_value(link.temperature_c, '°C', system)}."
            ),
            remedy=lambda: _remedy(design, door, link, need_w),
        )  # fmt: skip


def arriving_w(row: poe.PoeClass, loop_ohm: float) -> float:
    """Watts at the device when the port gives its class's least power at its least voltage, within the class.

    Examples:
        >>> round(arriving_w(poe.POE_CLASSES[4], 12.5), 3), round(arriving_w(poe.POE_CLASSES[4], 15), 3)
        (25.5, 24.6)
    """
    current_a = row.p_pse_w / row.v_pse_min_v
    return max(0.0, min(row.p_pd_w, row.p_pse_w - current_a**2 * loop_ohm))


def _granted(link: PoweredLink) -> poe.PoeClass:
    """The lower of what the port offers and the device asks for."""
    rows = [poe.POE_CLASSES[n] for n in (link.poe_class, link.device_class) if n is not None]
    return min(rows, key=lambda row: row.p_pse_w)


def _remedy(design: Design, door: DoorDesign, link: PoweredLink, need_w: float) -> str:
    ways = [*_other_class(design, door, link, need_w), *_other_cable(design, door, link, need_w)]
    if not ways:
        over = format_at_least(need_w - link.pd_limit_w, "W")
        ways = [f"take {over} off this cable, for example with an outside supply for the lock"]
    return sentence(ways)


def _other_class(design: Design, door: DoorDesign, link: PoweredLink, need_w: float) -> Iterator[str]:
    now = _granted(link)
    two_pair_ohm = link.loop_ohm * now.pairs_powered / 2
    for row in poe.POE_CLASSES.values():
        arrives_w = arriving_w(row, two_pair_ohm * 2 / row.pairs_powered)
        if row.number and row.p_pse_w > now.p_pse_w and within(need_w, arrives_w):
            classes = {"port": link.poe_class, "device": link.device_class}
            low = [name for name, n in classes.items() if n is not None and poe.POE_CLASSES[n].p_pse_w < row.p_pse_w]
            where = _where_free(design, door, link, need_w, row.number) if "port" in low else ""
            yield f"use a {' and a '.join(low)} of class {row.number}: {format_at_most(arrives_w, 'W')} arrive{where}"
            return


class _Pulled(NamedTuple):
    """The copper of an opening's PoE cable."""

    gauge: str
    stranding: Stranding
    length_m: float


def _pulled(design: Design, door: DoorDesign) -> _Pulled | None:
    """None where its type, its gauge or its route is not known."""
    cable_type = design.site.cable_type.get(door.cable.cable_type) if door.cable else None
    route = door.cable.route if door.cable else None
    if cable_type is None or cable_type.gauge is None or route is None:
        return None
    return _Pulled(cable_type.gauge, cable_type.stranding, route.length_m)


def _where_free(design: Design, door: DoorDesign, link: PoweredLink, need_w: float, poe_class: int) -> str:
    """The closest closet with a free port of this class from which the watts arrive; empty where there is none."""
    row, now, pulled = poe.POE_CLASSES[poe_class], _granted(link), _pulled(design, door)
    if pulled is None:
        return ""
    r20_ohm = resistance_per_m_20c_ohm(pulled.gauge, pulled.stranding)

    def loop_ohm(length_m: float) -> float:
        return poe.loop_resistance_ohm(length_m, r20_ohm, link.temperature_c, 2)

    def arrives_w(length_m: float) -> float:
        # Cords and temperature are taken as they are; the cable has another length, and the class perhaps more pairs.
        two_pair_ohm = link.loop_ohm * now.pairs_powered / 2 + loop_ohm(length_m) - loop_ohm(pulled.length_m)
        return arriving_w(row, two_pair_ohm * 2 / row.pairs_powered)

    found = closest_of_class(design, door, poe_class, lambda length_m: within(need_w, arrives_w(length_m)))
    if found is None:
        return ""
    length = format_length(found.length_m, design.site.info.unit_system)
    arrives = format_at_most(arrives_w(found.length_m), "W")
    name = closet_name(design, found.closet)
    return f" ({name} has {found.free} free, the first on {found.switch}: {length} of cable, {arrives})"


def _other_cable(design: Design, door: DoorDesign, link: PoweredLink, need_w: float) -> Iterator[str]:
    """A thicker gauge, and the length that would do; nothing where the class itself is too low."""
    now, pulled = _granted(link), _pulled(design, door)
    if pulled is None or need_w > now.p_pd_w:
        return
    r20_ohm = resistance_per_m_20c_ohm(pulled.gauge, pulled.stranding)
    cable_ohm = poe.loop_resistance_ohm(pulled.length_m, r20_ohm, link.temperature_c, now.pairs_powered)
    for gauge in _CATEGORY_GAUGES:
        saved_ohm = cable_ohm * (1 - resistance_per_m_20c_ohm(gauge, pulled.stranding) / r20_ohm)
        arrives_w = arriving_w(now, link.loop_ohm - saved_ohm)
        if saved_ohm > 0 and within(need_w, arrives_w):
            yield f"{gauge} instead of {pulled.gauge}: {format_at_most(arrives_w, 'W')}"
            break
    most_ohm = (now.p_pse_w - need_w) / (now.p_pse_w / now.v_pse_min_v) ** 2
    longest_m = pulled.length_m * (1 - (link.loop_ohm - most_ohm) / cable_ohm)
    if 0 < longest_m < pulled.length_m:
        yield f"a permanent link of at most {format_at_most(longest_m, 'm', design.site.info.unit_system)}"
