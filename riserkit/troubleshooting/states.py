"""States that a door can be put into for a reading, by the words a person says for them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from riserkit.circuits.cases import State
from riserkit.errors import RiserkitError
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import LOSSES, StateRole

IDLE: Final = "idle"
RELEASED: Final = "released"
POWER_OFF: Final = "power off"

_WORDS: Final[Mapping[StateRole, tuple[str, ...]]] = {
    StateRole.DOOR_OPEN: ("door open", "open"),
    StateRole.AUXILIARY_ACTIVE: ("auxiliary active", "auxiliary"),
    StateRole.MOTION: ("motion", "rex", "rex active"),
    StateRole.FIRE_ALARM: ("fire alarm", "alarm"),
    StateRole.RELEASE_PRESSED: ("release pressed", "pressed", "manual release"),
    StateRole.NETWORK_POWER_LOST: ("no power on the PoE cable", "poe off", "network power off", "cable unplugged"),
    StateRole.MAINS_LOST: ("mains off",),
    StateRole.BATTERY_LOST: ("battery off",),
}
_SAME: Final = {
    "locked": IDLE, "controller locks": IDLE, "door idle": IDLE, "closed": IDLE, "door closed": IDLE,
    "unlocked": RELEASED, "card": RELEASED, "credential": RELEASED, "controller releases": RELEASED,
    "power off, batteries off": POWER_OFF, "off": POWER_OFF,
}  # fmt: skip
_BETWEEN: Final = re.compile(r"\s*(?:[,;+]|\band\b)\s*")


@dataclass(frozen=True, slots=True)
class DoorState:
    """One state. `words` as printed; `outside` what is on; `dead` all power is off; `on_battery` supplies run on batteries."""

    words: str
    outside: State = field(hash=False)
    dead: bool = False
    on_battery: bool = False


def door_states(circuit: DoorCircuit) -> Mapping[str, DoorState]:
    """The states that this door knows one by one, by the word that is printed for each."""
    idle = dict(circuit.locked_state)
    found = {IDLE: DoorState(IDLE, idle)}
    if circuit.command:
        released = {**idle, circuit.command: not idle.get(circuit.command, False)}
        found[RELEASED] = DoorState(RELEASED, released)
    netlist = circuit.netlist
    moving = {e.control for c in netlist.components for e in c.elements}
    for role, words in _WORDS.items():
        names = [name for name in netlist.states(role) if name in moving]
        for name in names:
            own = words[0] if len(names) == 1 else f"{words[0]} {name.partition('.')[0]}"
            on_battery = role is StateRole.MAINS_LOST and any(
                n in moving for n in netlist.states(StateRole.BATTERY_LOST)
            )
            found[own] = DoorState(own, {**idle, name: True}, on_battery=on_battery)
    found[POWER_OFF] = DoorState(POWER_OFF, dict.fromkeys(netlist.states(*LOSSES), True), dead=True)
    return found


def read_state(circuit: DoorCircuit, text: str) -> DoorState:
    """A state from words, such as `released` or `motion, door open`; empty means idle.

    Raises:
        RiserkitError: this door has no such state; the message lists those it has.
    """
    states = door_states(circuit)
    parts = [" ".join(part.lower().split()) for part in _BETWEEN.split(text.strip()) if part.strip()]
    whole = _SAME.get(" ".join(text.lower().split()), "")
    if whole or not parts:
        return states[whole or IDLE]
    chosen = [_one(states, part) for part in parts]
    if any(one.dead for one in chosen):
        return DoorState(POWER_OFF, {k: v for one in chosen for k, v in one.outside.items()}, dead=True)
    idle = states[IDLE].outside
    outside = dict(idle)
    for one in chosen:
        outside |= {name: on for name, on in one.outside.items() if on != idle.get(name, False)}
    mains, battery = (
        any(outside.get(n) for n in circuit.netlist.states(r)) for r in (StateRole.MAINS_LOST, StateRole.BATTERY_LOST)
    )
    return DoorState(", ".join(one.words for one in chosen), outside, on_battery=mains and not battery)


def _one(states: Mapping[str, DoorState], part: str) -> DoorState:
    part = _SAME.get(part, part)
    for words in _WORDS.values():
        for other in words[1:]:
            part = words[0] if part == other else re.sub(rf"^{other} (?=\S+$)", f"{words[0]} ", part)
    by_lower = {name.lower(): state for name, state in states.items()}
    if part.lower() in by_lower:
        return by_lower[part.lower()]
    close = difflib.get_close_matches(part, by_lower, n=1)
    hint = f"; did you mean {by_lower[close[0]].words!r}?" if close else ""
    raise RiserkitError(f"this door has no state {part!r}; it has {', '.join(states)}{hint}")
