"""Readings that can be taken at a door: those of its test sheet, and any voltage between two terminals of one device.

How much each takes is common practice, no source: a closet, a box above the ceiling and a wire taken off cost most.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from riserkit.circuits.netlist import Component, ElementKind
from riserkit.troubleshooting.observed import measurement
from riserkit.troubleshooting.states import IDLE, POWER_OFF, RELEASED, DoorState, door_states
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.meter import LIFTED, OHMS, VOLTS, Measurement
from riserkit.wiring.readings.questions import questions
from riserkit.wiring.roles import DeviceRole, StateRole

_EFFORT: Final[Mapping[DeviceRole, float]] = {
    DeviceRole.NETWORK_PORT: 3.0,
    DeviceRole.SUPPLY: 2.5,
    DeviceRole.FIRE_RELAY: 3.0,
    DeviceRole.SPLICE: 2.0,
    DeviceRole.JUNCTION_BOX: 2.0,
    DeviceRole.POWER_TRANSFER: 2.0,
    DeviceRole.RELAY_MODULE: 1.5,
    DeviceRole.SPLITTER: 1.5,
    DeviceRole.OWN_SUPPLY: 1.5,
}
_SHORTED: Final = frozenset(
    {ElementKind.COIL, ElementKind.SUPPRESSOR, ElementKind.POWER_LOAD, ElementKind.CURRENT_LOAD}
)
_WITH_COMMON: Final = frozenset({ElementKind.SOURCE, *_SHORTED})
_LIFT: Final = 1.5
_TO_COMMON: Final = 0.3
"""From any terminal to a common of the same device, such as a supply's minus."""
_ACROSS: Final = 8.0
"""Between terminals that belong to no one thing, such as an input and a supply."""
_POWER_OFF: Final = 12.0
"""Network power, mains and battery have to be off, and the door is out of use meanwhile."""
_SOMEBODY: Final = 1.0
"""At the door or with a card, while another holds the meter."""
_SEVERAL_LEADS: Final = 0.3
"""A reading of the test sheet says its state at length, and may lift wires."""
_OUTSIDE_EFFORT: Final[Mapping[StateRole, float]] = {
    StateRole.FIRE_ALARM: 10.0,
    StateRole.NETWORK_POWER_LOST: 8.0,
    StateRole.MAINS_LOST: 8.0,
    StateRole.BATTERY_LOST: 8.0,
}
"""What takes more than somebody at the door: the alarm's owner has to know, or power is taken off."""
_WIRE_THROUGH: Final = 1.5
_LONG_LEAD: Final = 1.0
"""The black lead stays on the supply's return while the red one goes from place to place."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One reading that can be taken.

    Args:
        where: the leads, as printed.
        state: of the door, as printed.
        asked: the measurement.
        effort: what it takes beside a reading at a device within reach, which is 1.
    """

    where: str
    state: str
    asked: Measurement
    effort: float

    @property
    def words(self) -> str:
        """`volts DC, M1.+ to M1.-: idle`."""
        return f"{self.asked.meter}, {self.where}: {self.state}"

    @property
    def in_use(self) -> bool:
        """Whether the door stays in use meanwhile: no power off, no wire off."""
        return not self.asked.dead and not self.asked.lifts

    def turned(self) -> Ask:
        """The same with the leads changed over, so that it shows a positive voltage."""
        plus, _, minus = self.where.partition(" to ")
        asked = replace(self.asked, plus=self.asked.minus, minus=self.asked.plus)
        return replace(self, where=f"{minus} to {plus}", asked=asked)


def every_ask(circuit: DoorCircuit, blamed: frozenset[str] | None = None, *, across: bool = True) -> tuple[Ask, ...]:
    """All readings of a door, the easy ones first.

    Args:
        circuit: the door as designed.
        blamed: conductors that may be at fault: only these are measured from end to end; None for all.
        across: also between terminals of a device that belong to no one thing.
    """
    found: dict[tuple[object, ...], Ask] = {}
    # nobody puts a probe into a switch's socket
    ports = {c.ref for c in circuit.netlist.devices(DeviceRole.NETWORK_PORT)}
    for ask in (
        *_of_sheet(circuit),
        *_at_devices(circuit, across=across),
        *_along(circuit),
        *_across(circuit),
        *_cables(circuit),
        *_wires(circuit, blamed),
    ):
        key = ask.asked.key
        if ports & {end.partition(".")[0] for end in (ask.asked.plus, ask.asked.minus)}:
            continue
        if key not in found or ask.effort < found[key].effort:
            found[key] = ask
    return tuple(sorted(found.values(), key=lambda ask: ask.effort))


def _of_sheet(circuit: DoorCircuit) -> Iterator[Ask]:
    for q in questions(circuit):
        if q.asked.meter in {VOLTS, OHMS} and not q.asked.less:
            plus, minus = q.leads
            yield Ask(f"{plus} to {minus}", q.state, q.asked, _effort(circuit, q.asked) + _SEVERAL_LEADS)


def _at_devices(circuit: DoorCircuit, *, across: bool) -> Iterator[Ask]:
    netlist = circuit.netlist
    landed = dict.fromkeys(str(end) for c in netlist.conductors for end in (c.a, c.b))
    states = [s for s in door_states(circuit).values() if not s.dead]
    for component in netlist.components:
        names = [name for name in landed if name.partition(".")[0] == component.ref]
        usual = {frozenset({f"{component.ref}.{e.a}", f"{component.ref}.{e.b}"}) for e in component.elements}
        commons = {f"{component.ref}.{e.b}" for e in component.elements if e.kind in _WITH_COMMON}
        for ends in combinations(names, 2):
            more = 0.0 if frozenset(ends) in usual else _TO_COMMON if commons & set(ends) else _ACROSS
            for state in states if across or more < _ACROSS else ():
                yield _ask(circuit, VOLTS, ends, state, more)


def supply_returns(circuit: DoorCircuit) -> tuple[str, ...]:
    """Terminals at the return of the supply outside; on the last of them the black lead stays. None without such a supply."""
    if not circuit.supply:
        return ()
    own = circuit.netlist.ends(circuit.supply)[1]
    ends = ((c.a, c.b) for c in circuit.netlist.conductors)
    beyond = (str(b) for pair in ends for a, b in (pair, pair[::-1]) if str(a) == own)
    return tuple(dict.fromkeys((own, *beyond)))


def _along(circuit: DoorCircuit) -> Iterator[Ask]:
    """Each terminal to the return of the supply outside, idle and released: the place where a voltage is lost is halved in on."""
    netlist, returns = circuit.netlist, supply_returns(circuit)
    if not returns:
        return
    common = returns[-1]
    states = door_states(circuit)
    for end in dict.fromkeys(str(end) for c in netlist.conductors for end in (c.a, c.b)):
        for name in (IDLE, RELEASED) if end not in returns else ():
            if name in states:
                yield _ask(circuit, VOLTS, (end, common), states[name], _LONG_LEAD)


def _across(circuit: DoorCircuit) -> Iterator[Ask]:
    """Ohms across each coil, output and suppressor, power off: a short is seen here."""
    off = door_states(circuit)[POWER_OFF]
    for component in circuit.netlist.components:
        for element in component.elements:
            if element.kind in _SHORTED and not element.a.startswith("_") and not element.b.startswith("_"):
                yield _ask(circuit, OHMS, (f"{component.ref}.{element.a}", f"{component.ref}.{element.b}"), off)


def _wires(circuit: DoorCircuit, blamed: frozenset[str] | None) -> Iterator[Ask]:
    """Each wire from end to end: ohms with power off, what is lost along it with the door released."""
    states = door_states(circuit)
    for c in circuit.netlist.conductors:
        if c.cable and (blamed is None or c.ref in blamed):
            yield _ask(circuit, OHMS, (str(c.a), str(c.b)), states[POWER_OFF], _WIRE_THROUGH)
            for name in (IDLE, RELEASED):
                if name in states:
                    yield _ask(circuit, VOLTS, (str(c.a), str(c.b)), states[name], _WIRE_THROUGH)


def _cables(circuit: DoorCircuit) -> Iterator[Ask]:
    """Ohms between every two wires of one cable, at either end, power off: what is beyond them, all in one reading."""
    off = door_states(circuit)[POWER_OFF]
    ends: dict[tuple[str, str], dict[str, None]] = {}
    for c in circuit.netlist.conductors:
        for end in (c.a, c.b) if c.cable else ():
            ends.setdefault((c.cable, end.component), {})[str(end)] = None
    for names in ends.values():
        for pair in combinations(names, 2):
            yield _ask(circuit, OHMS, pair, off)


def effort_at(component: Component) -> float:
    """What a reading at a device takes beside one within reach."""
    return _EFFORT.get(DeviceRole(component.role), 1.0) if component.role else 1.0


def _ask(circuit: DoorCircuit, meter: str, ends: tuple[str, str], state: DoorState, more: float = 0.0) -> Ask:
    asked = measurement(meter, *ends, state)
    return Ask(f"{ends[0]} to {ends[1]}", state.words, asked, _effort(circuit, asked) + more)


def _effort(circuit: DoorCircuit, asked: Measurement) -> float:
    refs = {name.partition(".")[0] for name in (asked.plus, asked.minus)} - {LIFTED}
    effort = max((effort_at(circuit.netlist.component(ref)) for ref in refs), default=1.0)
    effort += _LIFT * len(asked.lifts) + (_POWER_OFF if asked.dead else 0.0)
    if asked.dead:
        return effort
    idle, netlist = circuit.locked_state, circuit.netlist
    more = {name: _OUTSIDE_EFFORT[role] for role in _OUTSIDE_EFFORT for name in netlist.states(role)}
    return effort + sum(more.get(name, _SOMEBODY) for name, on in asked.outside.items() if on != idle.get(name, False))
