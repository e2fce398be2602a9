"""What can be done to a door on the bench, and which combinations are solved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Final

from riserkit.circuits.cases import State
from riserkit.circuits.netlist import Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import LOSSES, StateRole

MOST_COMBINATIONS: Final = 64
"""Of switches without the credential. Where there are more, fewer switches are moved at a time."""

CREDENTIAL: Final = "credential"
_WORDS: Final[Mapping[StateRole, str]] = {
    StateRole.MOTION: "Somebody at the REX",
    StateRole.RELEASE_PRESSED: "Manual release pressed",
    StateRole.FIRE_ALARM: "Fire alarm",
    StateRole.DOOR_OPEN: "Door open",
    StateRole.AUXILIARY_ACTIVE: "Auxiliary contact active",
    StateRole.NETWORK_POWER_LOST: "Network power off",
    StateRole.MAINS_LOST: "Mains off",
    StateRole.BATTERY_LOST: "Battery off",
}
_HAND: Final = (
    StateRole.DOOR_OPEN, StateRole.RELEASE_PRESSED, StateRole.FIRE_ALARM, StateRole.AUXILIARY_ACTIVE,
)  # fmt: skip
"""What moves by hand or from another system, power or not: a sensor without power does nothing."""


@dataclass(frozen=True, slots=True)
class BenchSwitch:
    """One switch: the outside states it sets, what is printed, and the role of its states; empty for the credential."""

    names: tuple[str, ...]
    words: str
    role: str

    @property
    def key(self) -> str:
        """A name for it: `credential` or the first of its states."""
        return self.names[0] if self.names else CREDENTIAL

    @property
    def is_power(self) -> bool:
        """Whether it takes power away."""
        return self.role in LOSSES


@dataclass(frozen=True, slots=True)
class Combination:
    """One combination of switches, the credential left out.

    Args:
        on: places of the switches that are on.
        outside: outside states of the circuit, the controller's command left out.
        on_battery: supplies run on their batteries; otherwise they float.
    """

    on: frozenset[int]
    outside: State = field(hash=False)
    on_battery: bool


def bench_switches(circuit: DoorCircuit) -> tuple[BenchSwitch, ...]:
    """The switches of a door; the credential first, where a controller commands the lock."""
    netlist = circuit.netlist
    moving = _moving(netlist)
    found = [BenchSwitch((), "Card at the reader", "")] if circuit.command in moving else []
    for role, words in _WORDS.items():
        names = [name for name in netlist.states(role) if name in moving]
        for name in names:
            own = words if len(names) == 1 else f"{words}, {name.partition('.')[0]}"
            found.append(BenchSwitch((name,), own, str(role)))
    return tuple(found)


def live_combinations(
    circuit: DoorCircuit, switches: Sequence[BenchSwitch], most: int = MOST_COMBINATIONS
) -> tuple[Combination, ...]:
    """The combinations that are solved, nothing on first: all of them, or as many switches at a time as `most` allows.

    All power off is always among them.
    """
    places = [n for n, switch in enumerate(switches) if switch.names]
    sets: list[frozenset[int]] = []
    for count in range(len(places) + 1):
        more = [frozenset(few) for few in combinations(places, count)]
        if count > 1 and len(sets) + len(more) > most:
            break
        sets += more
    off = frozenset(n for n in places if switches[n].is_power)
    return tuple(_combination(circuit, switches, on) for on in dict.fromkeys([*sets, off]))


def dead_combinations(circuit: DoorCircuit, switches: Sequence[BenchSwitch]) -> tuple[Combination, ...]:
    """Power off, and with it one thing that is moved by hand."""
    off = frozenset(n for n, switch in enumerate(switches) if switch.is_power)
    hand = [n for n, switch in enumerate(switches) if switch.role in _HAND]
    return tuple(_combination(circuit, switches, on) for on in (off, *(off | {n} for n in hand)))


def _combination(circuit: DoorCircuit, switches: Sequence[BenchSwitch], on: frozenset[int]) -> Combination:
    netlist = circuit.netlist
    base = {name: value for name, value in circuit.locked_state.items() if name != circuit.command}
    outside = {**base, **{name: True for n in on for name in switches[n].names}}
    moving = _moving(netlist)
    battery = [name for name in netlist.states(StateRole.BATTERY_LOST) if name in moving]
    mains = any(outside.get(name) for name in netlist.states(StateRole.MAINS_LOST))
    return Combination(on, outside, bool(battery) and mains and not any(outside.get(name) for name in battery))


def _moving(netlist: Netlist) -> frozenset[str]:
    return frozenset(e.control for c in netlist.components for e in c.elements if e.control)
