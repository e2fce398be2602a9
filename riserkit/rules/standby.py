"""The rule `standby`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar, Final, NamedTuple

import numpy as np

from riserkit.circuits.constant_power import power_link
from riserkit.circuits.errors import CircuitError
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import DcSupply
from riserkit.model.power import Switch, Ups
from riserkit.quantities.printed import format_at_least, format_pair, format_value
from riserkit.rules._shared.base import Measure, Subject, measured, not_evaluated, stated, within
from riserkit.rules._shared.batteries import is_backed
from riserkit.rules._shared.lookups import doors_by_switch, fail_mode_of, listed
from riserkit.rules._shared.ups_loads import other_load_w, unknown_loads
from riserkit.standards import batteries
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.closets import POE_CABLE
from riserkit.wiring.roles import DeviceRole
from riserkit.wiring.standby_current import StandbyCurrent, StandbyPower, standby_currents, standby_powers

_HOUR_S = 3600.0
_FED: Final = {
    "ups": "switches on another UPS",
    "supply": "doors on another supply",
    "opening": "a lock that draws less",
}
"""What else would do, by what the battery stands in: a UPS feeds switches and no door, a door's own supply its lock alone."""


class Standby:
    """A battery holds its doors for as long as the site asks.

    Why:
        When the mains fail, doors work from a battery. Once it is spent fail-safe doors stand open and fail-secure
        doors let nobody in; a battery sized when it was new, and in a warm room, is spent hours before that.
    Measures:
        Hours that the battery of a DC supply, or of a UPS with its switches, carries its load: the currents of the
        solved circuits with locks holding, idle and released in the share that the site states (openings_per_hour,
        opening_s; without them the greater of both all the time), and for a UPS what the ports give in that share, what
        the switches draw themselves, and other_w of it and of them. Capacity is divided by 1.25 for ageing and by the
        temperature factor; what is discharged faster than in 20 h yields less (exponent 1.25). Of doors on a supply of the
        site also whether the switch that feeds their controllers is on a UPS.
    Limit:
        The hours stated as standby_hours of the supply or UPS, else of the site.
    Remedy:
        The ampere-hours that are needed.
    Source:
        IEEE 485 for ageing and temperature (verified); the exponent and the 20 h rate are common practice, no source.
        Which hours are needed is for the site and the authority having jurisdiction.
    """

    name: ClassVar[str] = "standby"
    source: ClassVar[str] = batteries.SIZING.cite()
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each supply with a battery that feeds doors, and for each switch or UPS that replaces mains."""
        yield from self._supplies(design)
        yield from self._upses(design)

    def _supplies(self, design: Design) -> Iterator[Finding]:
        fed: dict[Subject, list[tuple[DoorDesign, DoorCircuit]]] = {}
        for door in design.doors:
            circuit = door.wiring.circuit
            if circuit is not None and circuit.supply and not circuit.fed_by(DeviceRole.SPLITTER):
                name = door.wiring.drawn.supply_id if door.wiring.drawn else ""
                fed.setdefault(("supply", name) if name else door.subject, []).append((door, circuit))
        of_site = {supply.id: supply for supply in design.site.supplies}
        for subject, doors in fed.items():
            supply = of_site.get(subject[1]) if subject[0] == "supply" else None
            part = design.site.part.get(supply.part if supply else _part_of(doors[0][1]))
            if not isinstance(part, DcSupply) or not is_backed(supply, part):
                continue
            wanted_h = (supply.standby_hours if supply else None) or design.site.info.standby_hours
            yield self._supply(design, subject, part, doors, wanted_h, supply.battery_c if supply else None)
            if supply is not None:
                yield from self._controllers(design, subject, [door for door, _ in doors])

    def _supply(
        self, design: Design, subject: Subject, part: DcSupply, doors: Sequence[tuple[DoorDesign, DoorCircuit]],
        wanted_h: float | None, battery_c: float | None,
    ) -> Finding:  # fmt: skip
        lacks = [name for name in ("battery_ah", "end_v") if getattr(part, name) is None]
        if wanted_h is None or lacks:
            return self._unstated(subject, [door for door, _ in doors], wanted_h, [f"{n} of {part.id}" for n in lacks])
        if part.regulated:
            return not_evaluated(
                self, subject, f"{part.id} is regulated after its battery; its battery current is not stated.",
                "Take the hours from the supply's data sheet and record an acceptance.",
            )  # fmt: skip
        info = design.site.info
        temp_c = info.coldest_c if battery_c is None else battery_c
        known = battery_c is not None
        try:
            currents = standby_currents([c for _, c in doors], Temperatures.of(info))
        except CircuitError as error:
            return not_evaluated(self, subject, f"Its load is unknown: {error}.", "Fix the circuit of its doors first.")
        unknown = [
            d.mark for (d, _), c in zip(doors, currents, strict=True) if c.powered_a is None or c.commanded_a is None
        ]
        if unknown:
            text = f"Its load is unknown: the circuit of {listed(unknown)} has no steady state."
            return not_evaluated(self, subject, text, "Fix the circuit of these doors first.")
        share = _released_share(design)
        load_a = sum(_mean_a(design, door, current, share) for (door, _), current in zip(doors, currents, strict=True))
        marks = [door for door, _ in doors]
        found = self._judged(design, subject, marks, _Battery(part.battery_ah or 0.0, load_a, temp_c, known), wanted_h)
        if share is None and found.remedy and load_a > sum(_least_a(c) for c in currents) and self._lasts(
            part.battery_ah or 0.0, sum(_least_a(c) for c in currents), temp_c, wanted_h
        ):  # fmt: skip
            return not_evaluated(
                self, subject, f"{found.message} This takes the greater of idle and released current all the time.",
                "State openings_per_hour and opening_s of the site, or use the larger battery.",
            )  # fmt: skip
        return found

    def _controllers(self, design: Design, subject: Subject, doors: Sequence[DoorDesign]) -> Iterator[Finding]:
        """Whether the controllers of doors on a battery work on as well; by key a door opens without."""
        by_key = {door.mark for door in doors if door.opening.entry == "key"}
        marks = {door.mark for door in doors} - by_key
        for switch in design.site.switches if marks else ():
            stop = [door.mark for door in doors_by_switch(design)[switch.id] if door.mark in marks]
            if not stop or switch.is_on_ups:
                continue
            about = f"controllers on {switch.id}"
            of = f"the {'controllers' if len(stop) > 1 else 'controller'} of {listed(stop)}"
            if switch.is_on_ups is None:
                message = f"Its battery feeds the lock; whether switch {switch.id}, which feeds {of}, is on a UPS is not stated."
                yield not_evaluated(self, subject, message, f"State on_ups of {switch.id}, yes or no.", about=about)
                continue
            message = (
                f"Its battery feeds the lock; {of} {'stop' if len(stop) > 1 else 'stops'} with switch {switch.id}, which is not"
                " on a UPS: without mains no card or command is obeyed."
            )
            remedy = f"Put switch {switch.id} on a UPS and state on_ups yes; or accept that only keys and hardware work without mains."
            yield replace(
                stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy, about=about),
                serves=tuple(stop),
            )

    def _upses(self, design: Design) -> Iterator[Finding]:
        by_switch = doors_by_switch(design)
        known = {ups.id for ups in design.site.upses}
        for switch in design.site.switches:
            if by_switch[switch.id] and switch.is_on_ups and switch.ups not in known:
                yield not_evaluated(
                    self, ("switch", switch.id), "It is on a UPS that is not stated, so its hours are unknown.",
                    "Add the UPS to the table upses and name it as ups of this switch.",
                )  # fmt: skip
        for ups in design.site.upses:
            switches = [s for s in design.site.switches if s.ups == ups.id]
            doors = [door for s in switches for door in by_switch[s.id]]
            if doors:
                yield self._ups(design, ups, doors, switches)

    def _ups(self, design: Design, ups: Ups, doors: Sequence[DoorDesign], switches: Sequence[Switch]) -> Finding:
        subject, own_w = ("ups", ups.id), {switch.id: switch.own_w for switch in switches}
        wanted_h = ups.standby_hours or design.site.info.standby_hours
        in_wh = ups.battery_wh is not None
        needed = ("efficiency",) if in_wh else ("battery_ah", "end_v", "efficiency")
        lacks = [f"{name} of {ups.id}" for name in needed if getattr(ups, name) is None]
        capacity = ups.battery_wh or ups.battery_ah
        if wanted_h is None or lacks or capacity is None or ups.efficiency is None:
            return self._unstated(subject, doors, wanted_h, lacks)
        unknown, remedy = unknown_loads({d.mark: d.link.pse_w if d.link else None for d in doors}, own_w)
        known = [d for d in doors if d.link is not None and d.link.pse_w is not None]
        other_w = other_load_w(ups, switches)
        load_w = other_w + _ports_w(design, known) + sum(watts for watts in own_w.values() if watts is not None)
        # Of a battery stated in watt-hours the load is the power out of it.
        load = load_w / ups.efficiency if in_wh else batteries.ups_current_a(load_w, ups.efficiency, ups.end_v or 0.0)
        temp_c = design.site.info.coldest_c if ups.battery_c is None else ups.battery_c
        if unknown and self._lasts(capacity, load, temp_c, wanted_h):
            return not_evaluated(self, subject, f"Its load is not known: {listed(unknown)}.", remedy)
        units = ("Wh", "W") if in_wh else ("Ah", "A")
        return self._judged(
            design, subject, doors, _Battery(capacity, load, temp_c, ups.battery_c is not None), wanted_h, units
        )

    def _unstated(
        self, subject: Subject, doors: Sequence[DoorDesign], wanted_h: float | None, lacks: Sequence[str]
    ) -> Finding:
        what = [*(["standby_hours of the site"] if wanted_h is None else []), *lacks]
        marks = listed(door.mark for door in doors)
        return not_evaluated(self, subject, f"Standby time for {marks} is unknown.", f"State {listed(what)}.")

    @staticmethod
    def _lasts(battery_ah: float, load_a: float, temp_c: float, wanted_h: float) -> bool:
        return load_a <= 0 or within(batteries.held_h(battery_ah, load_a, temp_c), wanted_h, at_most=False)

    @classmethod
    def _warmer(cls, battery: _Battery, wanted_h: float, subject: Subject) -> str:
        """What to state where the battery is taken to be as cold as the coldest place of the site, and need not be."""
        if battery.placed or not cls._lasts(battery.capacity, battery.load, batteries.RATED_C.value, wanted_h):
            return ""
        # A supply that the design adds at an opening has no row of its own to state it in.
        where = f" in a row of supplies, with opening {subject[1]}" if subject[0] == "opening" else ""
        return f" Where its battery stands warmer than the site's coldest, state battery_c{where}."

    def _judged(
        self, design: Design, subject: Subject, doors: Sequence[DoorDesign], battery: _Battery,
        wanted_h: float, units: tuple[str, str] = ("Ah", "A"),
    ) -> Finding:  # fmt: skip
        capacity, load, temp_c, _ = battery
        # A load of nothing is held for ever; printed as what is asked.
        held_h = batteries.held_h(capacity, load, temp_c) if load > 0 else wanted_h
        held, wanted = format_pair(held_h, wanted_h, "h")
        at = format_value(temp_c, "°C", design.site.info.unit_system)
        message = (
            f"Holds its doors for {held}, at least {wanted}: {capacity:g} {units[0]}, aged, at {at}, "
            f"{format_value(load, units[1])} on average. {_then(design, doors, subject[0])}"
        )
        return measured(
            self, subject, Measure(held_h, wanted_h, "h", at_most=False), message,
            remedy=lambda: (
                f"A battery of at least {_needed(load, temp_c, wanted_h, units[0])}, or {_FED[subject[0]]}."
                f"{self._warmer(battery, wanted_h, subject)}"
            ),
        )  # fmt: skip


class _Battery(NamedTuple):
    """Ampere-hours with amperes, or watt-hours with watts.

    Args:
        capacity: as rated.
        load: on average.
        temp_c: as cold as it gets.
        placed: whether that is stated of the battery itself; else it is the site's coldest.
    """

    capacity: float
    load: float
    temp_c: float
    placed: bool


def _part_of(circuit: DoorCircuit) -> str:
    return circuit.netlist.component(circuit.supply.partition(".")[0]).part


def _released_share(design: Design) -> float | None:
    """Share of time that a door is released while the mains are off; None where the site does not state it."""
    info = design.site.info
    if info.openings_per_hour is None or info.opening_s is None:
        return None
    return min(1.0, info.openings_per_hour * info.opening_s / _HOUR_S)


def _by_use(design: Design, door: DoorDesign, powered: float, commanded: float) -> tuple[float, float]:
    """(idle, released) of a door with its lock powered, and commanded the other way: a fail-safe lock is powered while idle."""
    return (powered, commanded) if fail_mode_of(design, door) == "fail-safe" else (commanded, powered)


def _mean_a(design: Design, door: DoorDesign, current: StandbyCurrent, share: float | None) -> float:
    powered_a, commanded_a = current.powered_a or 0.0, current.commanded_a or 0.0
    if share is None or not fail_mode_of(design, door):
        return max(powered_a, commanded_a)
    idle_a, released_a = _by_use(design, door, powered_a, commanded_a)
    return (1 - share) * idle_a + share * released_a


def _ports_w(design: Design, doors: Sequence[DoorDesign]) -> float:
    """What the ports of doors whose link is solved give on average; all the time as at most where no share is stated."""
    info, share = design.site.info, _released_share(design)
    circuits = {door.mark: door.wiring.circuit for door in doors if door.wiring.circuit and fail_mode_of(design, door)}
    if share is None:
        circuits = {}
    at = Temperatures.of(info)
    powers = dict(zip(circuits, standby_powers(list(circuits.values()), design.site.part, at), strict=True))
    return sum(_port_w(design, door, powers.get(door.mark), share or 0.0) for door in doors)


def _port_w(design: Design, door: DoorDesign, power: StandbyPower | None, share: float) -> float:
    link = door.link
    if link is None:
        return 0.0
    if power is None or power.powered_w is None or power.commanded_w is None:
        return link.pse_w or 0.0
    needs_w = np.array(_by_use(design, door, power.powered_w, power.commanded_w))
    idle_w, released_w = power_link(np.full(2, link.pse_min_v), np.full(2, link.loop_ohm), needs_w).source_w
    return float((1 - share) * idle_w + share * released_w)


def _least_a(current: StandbyCurrent) -> float:
    return min(current.powered_a or 0.0, current.commanded_a or 0.0)


def _then(design: Design, doors: Sequence[DoorDesign], kind: str) -> str:
    """What happens at the doors once the battery is spent; a UPS takes their controllers with it, not every lock."""
    by_mode: dict[str, list[str]] = {}
    for door in doors:
        over_cable = door.wiring.drawn is not None and door.wiring.drawn.supply_at == POE_CABLE
        mode = fail_mode_of(design, door) if kind != "ups" or over_cable else "own supply"
        by_mode.setdefault(mode, []).append(door.mark)
    words = {
        "fail-safe": "unlocked", "fail-secure": "locked from outside", "own supply": "without controller",
        "": "in a state that is not stated",
    }  # fmt: skip
    return f"Then: {'; '.join(f'{listed(marks)} {words[mode]}' for mode, marks in sorted(by_mode.items()))}."


def _needed(load: float, temp_c: float, wanted_h: float, unit: str) -> str:
    """Least capacity that holds a load, over both limits of `held_h`."""
    factor = batteries.AGEING.value * batteries.temperature_factor(temp_c)
    rated_h, exponent = batteries.RATED_HOURS.value, batteries.PEUKERT_EXPONENT.value
    fast = load * rated_h * (wanted_h / rated_h) ** (1 / exponent)
    return format_at_least(factor * max(load * wanted_h, fast), unit)
