"""What people see of a fault without a meter, and how a caller tells it: read off the tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.bench.live import CARD, CHATTERS, DROPPED_OUT, NOT_TAKEN, OFF, PULLED_IN, STEADY
from riserkit.bench.table import BenchTable
from riserkit.circuits.elimination import BoolArray
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.roles import ElementRole, StateRole

LOCKED, RELEASED, UNSURE = 1, 0, -1
Trits = npt.NDArray[np.int8]

CARD_NO_EFFECT: Final = "The reader accepts the card, the door stays locked."
NEVER_LOCKED: Final = "The door does not lock. Anybody can pull it open."
REX_NO_EFFECT: Final = "The sensor does not let people out. The door stays locked."
REX_ALWAYS: Final = "The head end logs a request to exit all day, with nobody near."
RELEASE_NO_EFFECT: Final = "We pressed the manual release and the door stayed locked."
SHOWS_OPEN: Final = "The head end shows the door open. It is closed."
SHOWS_CLOSED: Final = "The door stands open and the head end shows it closed."
CARD_NOT_READ: Final = "The reader takes no card."
OFFLINE: Final = "The head end shows the controller offline."
CHATTER: Final = "Something at the door clicks on and off without end."


@dataclass(frozen=True, slots=True)
class SeenByAll:
    """What callers say, and under which faults they would: `under` has the shape (complaints, faults)."""

    complaints: tuple[str, ...]
    under: BoolArray


def lock_states(table: BenchTable) -> Trits:
    """Whether the door is locked in each case: by all its locks, by none for sure, or not sure; shape as the tables'."""
    live, fail_safe = table.live, table.circuit.fail_safe
    pulled_in, dropped_out = (LOCKED, RELEASED) if fail_safe else (RELEASED, LOCKED)
    locks = np.where(
        live.energised == PULLED_IN, pulled_in, np.where(live.energised == DROPPED_OUT, dropped_out, UNSURE)
    )
    whole = np.where(
        (locks == LOCKED).all(axis=-1), LOCKED, np.where((locks == RELEASED).all(axis=-1), RELEASED, UNSURE)
    )
    steady: Trits = np.where(live.trouble == STEADY, whole, UNSURE).astype(np.int8)
    return steady


def seen_by_all(table: BenchTable) -> SeenByAll:
    """Every complaint of a door, that first which a caller would tell first."""
    found = [(words, under & (table.live.trouble[:, 0, 0] != -1)) for words, under in _Seen(table).complaints()]
    some = [(words, under) for words, under in found if under.any()]
    under = np.array([u for _, u in some], dtype=np.bool_).reshape(len(some), len(table.faults))
    return SeenByAll(tuple(words for words, _ in some), under)


class _Seen:
    def __init__(self, table: BenchTable) -> None:
        self.table, self.live = table, table.live
        self.locks = lock_states(table)

    def complaints(self) -> Iterator[tuple[str, BoolArray]]:
        live, locks = self.live, self.locks
        idle = self.place()
        chatters: BoolArray = (live.trouble[:, idle] == CHATTERS).any(axis=1)
        yield CHATTER, chatters
        if self.table.circuit.command:
            yield OFFLINE, ~live.online[:, idle, 0] | (live.decides[:, idle, 0] == OFF)
        closed = self.inputs()
        if closed[1] and not self.auxiliary:
            yield REX_ALWAYS, self.differs(live.closed[:, idle, 0, 1])
        yield NEVER_LOCKED, self.turned(locks[:, idle, 0], LOCKED, RELEASED)
        if live.reader_on.shape[-1]:
            yield CARD_NOT_READ, (live.decides[:, idle, 1] == NOT_TAKEN) & (live.decides[0, idle, 1] == CARD)
        if self.table.circuit.command:
            taken = live.decides[:, idle, 1] == CARD
            yield CARD_NO_EFFECT, self.turned(locks[:, idle, 1], RELEASED, LOCKED) & taken
        for place in self.places(StateRole.MOTION):
            yield REX_NO_EFFECT, self.turned(locks[:, place, 0], RELEASED, LOCKED)
        for place in self.places(StateRole.RELEASE_PRESSED):
            yield RELEASE_NO_EFFECT, self.turned(locks[:, place, 0], RELEASED, LOCKED)
        yield from self.on_loss()
        if closed[0]:
            yield SHOWS_OPEN, self.differs(live.closed[:, idle, 0, 0])
            for place in self.places(StateRole.DOOR_OPEN):
                yield SHOWS_CLOSED, self.differs(live.closed[:, place, 0, 0])

    def on_loss(self) -> Iterator[tuple[str, BoolArray]]:
        words = {
            StateRole.FIRE_ALARM: "At the fire alarm test",
            StateRole.NETWORK_POWER_LOST: "With the network power cut",
            StateRole.MAINS_LOST: "With the mains off",
        }
        for role, when in words.items():
            for place in self.places(role):
                locks = self.locks[:, place, 0]
                yield f"{when} the door stayed locked.", self.turned(locks, RELEASED, LOCKED)
                fine = self.locks[:, self.place(), 0] == LOCKED
                yield f"{when} the door came open.", self.turned(locks, LOCKED, RELEASED) & fine

    @property
    def auxiliary(self) -> bool:
        return bool(self.table.circuit.netlist.states(StateRole.AUXILIARY_ACTIVE))

    def inputs(self) -> list[bool]:
        netlist = self.table.circuit.netlist
        roles = (ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)
        return [bool(netlist.elements(r)) and landed(netlist, input_ends(netlist, r)[0]) for r in roles]

    def place(self, *on: int) -> int:
        return self.table.combination_of[frozenset(on)]

    def places(self, role: StateRole) -> list[int]:
        return [self.place(n) for n, s in enumerate(self.table.switches) if s.role == role]

    def turned(self, states: Trits, usual: int, now: int) -> BoolArray:
        """Faults under which the lock is otherwise than in a healthy door, for sure."""
        turned: BoolArray = (states == now) & (states[0] == usual)
        return turned

    def differs(self, closed: BoolArray) -> BoolArray:
        """Faults under which an input reads otherwise, while the controller has power."""
        powered = self.live.decides[:, self.place(), 0] != OFF
        steady = self.live.trouble[:, self.place(), 0] == STEADY
        differs: BoolArray = (closed != closed[0]) & steady & (powered | (not self.table.circuit.command))
        return differs
