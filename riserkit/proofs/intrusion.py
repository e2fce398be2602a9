"""The properties that speak of people getting in: single faults that hold the door open, and acts from outside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from riserkit.circuits.cases import State
from riserkit.circuits.elimination import BoolArray, IntArray
from riserkit.circuits.faults import Fault, FaultKind, tamper_acts
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.study import POWERED, Study, study
from riserkit.proofs.behaviour import NO, Behaviour, closed, landed_at, landed_on, sensor_powered
from riserkit.proofs.judge import at
from riserkit.proofs.paths import counterexample
from riserkit.proofs.values import (
    FAULT_LEAVES_UNLOCKED,
    REX_EXPOSED,
    TAMPER,
    UNDETECTED_FAULT,
    Counterexample,
    Outcome,
    Property,
)
from riserkit.proofs.words import plain_words
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

_TAKES_POWER = frozenset({FaultKind.CONDUCTOR_OPEN, FaultKind.CONTACT_OPEN, FaultKind.SUPPLY_DEAD})
FAIL_SECURE_CURE: Final = (
    "Wire it with 1 authenticated relay module on the secured side (relay-module, relay-external-supply or dry-trigger): "
    "nothing done to its link moves it."
)
FAIL_SAFE_CURE: Final = (
    "Put the controller on the secured side with 1 reader alone outside (controller_at = secured), or feed lock and REX "
    "sensor from a supply on the secured side (relay-external-supply)."
)
_KINDS = (FaultKind.CUT, FaultKind.JOINED, FaultKind.FED)


def hold_open(b: Behaviour) -> tuple[Property, Property]:
    """Single faults that leave the door unlocked: all but those that a fail-safe lock is meant to have, and the unseen."""
    words = _unlocked_at_rest(b)
    rest = b.at_rest()
    if words:
        words += " What a fault changes says nothing."
        return (
            Property(FAULT_LEAVES_UNLOCKED, Outcome.NOT_EVALUATED, words),
            Property(UNDETECTED_FAULT, Outcome.NOT_EVALUATED, words),
        )
    asked = ~b.consistent[:, rest]
    released = _told(b, rest)
    opened = np.where(asked, b.opened[:, released], b.opened[:, rest])
    kinds = [faults[0].kind if faults else None for faults in b.faults]
    stuck = np.array([kind is FaultKind.CONTACT_WELDED for kind in kinds])
    meant = asked & (_sensor_lost(b, rest) | np.array([kind in _TAKES_POWER for kind in kinds]))
    if b.fail_safe:
        meant |= ~asked & ~stuck
    unseen = b.alive[:, rest].copy()
    for role in (ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT):
        reading = b.reading(role)[:, rest]
        unseen &= reading == reading[0]
    columns = np.where(asked, released, rest)
    return (
        _counted(b, FAULT_LEAVES_UNLOCKED, opened & ~meant, columns, "hold the door unlocked"),
        _counted(
            b, UNDETECTED_FAULT, opened & unseen, columns, "leave the door unlocked with both inputs reading as ever"
        ),
    )


def _unlocked_at_rest(b: Behaviour) -> str:
    """Why nothing can be said of what unlocks the door; empty where the sound circuit is surely locked at rest."""
    rest = b.at_rest()
    if not b.locked[0, rest]:
        return "At rest the healthy circuit is not surely locked."
    if b.request[0, rest] != NO:
        return "At rest the second input asks, or may ask, for release."
    return ""


def _sensor_lost(b: Behaviour, rest: int) -> BoolArray:
    """Faults under which the REX sensor has lost its supply, and asks for release as it should."""
    powered = sensor_powered(b)
    lost: BoolArray = np.zeros(len(b.faults), dtype=np.bool_) if powered is None else powered[:, rest] == NO
    return lost


def _told(b: Behaviour, rest: int) -> int:
    """The quiet state in which the controller commands release."""
    return b.states.index({**b.states[rest], **dict.fromkeys(b.names(StateRole.COMMAND), b.release_value)})


def _counted(b: Behaviour, name: str, found: BoolArray, columns: IntArray, what: str) -> Property:
    total = len(b.faults) - 1
    faults = tuple(b.faults[k][0] for k in np.flatnonzero(found))
    if not faults:
        return Property(name, Outcome.PASS, f"None of {total} single faults {_singular(what)}.", total)
    first = int(np.flatnonzero(found)[0])
    example = at(b, first, int(columns[first]), released=False)
    words = f"{len(faults)} of {total} single faults {what}."
    told = tuple(plain_words(b.circuit.netlist, (fault,)) for fault in faults)
    return Property(name, Outcome.FAIL, words, total, len(faults), example, faults, faults_told=told)


def _singular(what: str) -> str:
    first, _, rest = what.partition(" ")
    return f"{first}s {rest}"


@dataclass(frozen=True, slots=True)
class AccessibleParts:
    """What is within reach from the unsecured side. `port`: the data cable that powers the door is."""

    terminals: tuple[str, ...]
    conductors: tuple[str, ...]
    port: bool

    def __bool__(self) -> bool:
        """Whether anything is."""
        return bool(self.terminals or self.conductors)


def reach_of(netlist: Netlist) -> AccessibleParts:
    """Terminals of exposed devices, the conductors landed there, and those of cables that are exposed by themselves.

    A cable that passes an exposed device is within reach there only by the conductors that land on it. Terminals and
    conductors with no electrical element behind them are left out: joining or feeding over them comes to the same as
    joining or feeding what they are joined with.
    """
    exposed = {c.ref for c in netlist.components if c.exposed}
    at_device = {c.ref for c in netlist.conductors if exposed & {c.a.component, c.b.component}}
    passing = {c.cable for c in netlist.conductors if c.ref in at_device}
    by_cable = {c.ref for c in netlist.cables if c.exposed} - passing
    live = _live(netlist)
    conductors = [c for c in netlist.conductors if c.ref in at_device or c.cable in by_cable]
    terminals = {f"{c.ref}.{t.name}" for c in netlist.components if c.exposed for t in c.terminals}
    port = bool(landed_at(netlist, DeviceRole.NETWORK_PORT) & {c.ref for c in conductors})
    return AccessibleParts(
        tuple(sorted(terminals & live)),
        tuple(c.ref for c in conductors if {str(c.a), str(c.b)} & live),
        port,
    )


def _live(netlist: Netlist) -> set[str]:
    """Terminals that conductors join with some element."""
    live = {f"{c.ref}.{end}" for c in netlist.components for e in c.elements for end in (e.a, e.b)}
    ends = [{str(c.a), str(c.b)} for c in netlist.conductors]
    while True:
        more = {name for pair in ends if pair & live for name in pair} - live
        if not more:
            return live
        live |= more


def tamper(b: Behaviour) -> tuple[Property, Property, int]:
    """The shortest act from the unsecured side that moves the lock, the shortest that asks the controller to, and cases."""
    netlist = b.circuit.netlist
    reach = reach_of(netlist)
    if not reach:
        words = "No terminal and no conductor is within reach from the unsecured side."
        return Property(TAMPER, Outcome.PASS, words), Property(REX_EXPOSED, Outcome.PASS, words), 0
    words = _unlocked_at_rest(b)
    if words:
        words += " There is nothing to tamper with."
        return (
            Property(TAMPER, Outcome.NOT_EVALUATED, words), Property(REX_EXPOSED, Outcome.NOT_EVALUATED, words), 0,
        )  # fmt: skip
    attack = _Attack(b, reach, b.states[b.at_rest()])
    moved = attack.shortest()
    return attack.moved(moved), attack.asked(), attack.count


def _moved(act: Fault, nearer: Mapping[str, str]) -> Fault:
    if act.join is None:
        return act
    ends = (nearer.get(act.join[0], act.join[0]), nearer.get(act.join[1], act.join[1]))
    return replace(act, subjects=ends, join=ends)


class _Attack:
    """Acts of one and, if none of them does, of two at a time, solved in the quiet state."""

    def __init__(self, behaviour: Behaviour, reach: AccessibleParts, quiet: State) -> None:
        self.b, self.reach, self.quiet = behaviour, reach, quiet
        self.netlist = behaviour.circuit.netlist
        self.states: tuple[State, ...] = (quiet,)
        self.port = behaviour.names(StateRole.NETWORK_POWER_LOST) if reach.port else ()
        if self.port:
            self.states = (quiet, {**quiet, **dict.fromkeys(self.port, True)})
        self.request = next(iter(self.netlist.elements(ElementRole.REQUEST_INPUT)), "")
        self.count = 0
        self.single = tamper_acts(self.netlist, reach.terminals, reach.conductors, 1)
        self.first = self._study(self.single, self.states)

    def _study(self, acts: Sequence[tuple[Fault, ...]], states: Sequence[State]) -> Study:
        solved = study(self.netlist, states, acts, (self.request,) if self.request else ())
        self.count += solved.count
        return solved

    def _opened(self, solved: Study) -> BoolArray:
        """Whether some lock is surely released, shape (acts, states)."""
        opened: BoolArray = np.logical_or.reduce([self._lets_go(solved, ref) for ref in self.b.circuit.locks], axis=0)
        return opened

    def _lets_go(self, solved: Study, ref: str) -> BoolArray:
        """A fail-safe lock below its pull-in voltage holds too little to count as locked; a fail-secure one at it opens."""
        stands = solved.coil_states(self.b.circuit.coil(ref))
        gone: BoolArray = stands != POWERED if self.b.fail_safe else stands == POWERED
        return gone

    def shortest(self) -> tuple[tuple[Fault, ...], State] | None:
        """The shortest act, the plainest of its length, with the state it leaves."""
        opened = self._opened(self.first)
        alone = self._best(self.single, opened[:, 0])
        if alone:
            return alone, self.quiet
        if len(self.states) > 1:
            unplugged = self._study(((),), self.states[1:])
            if self._opened(unplugged)[0, 0]:
                return (), self.states[1]
            with_port = self._best(self.single, opened[:, 1])
            if with_port:
                return with_port, self.states[1]
        every = tamper_acts(self.netlist, self.reach.terminals, self.reach.conductors, 2)
        pairs = every[len(self.single) :]
        if not pairs:
            return None
        best = self._best(pairs, self._opened(self._study(pairs, (self.quiet,)))[:, 0])
        return (best, self.quiet) if best else None

    @staticmethod
    def _best(acts: Sequence[tuple[Fault, ...]], hits: Iterable[bool]) -> tuple[Fault, ...]:
        found = [act for act, hit in zip(acts, hits, strict=True) if hit]
        return min(found, key=lambda act: [_KINDS.index(one.kind) for one in act], default=())

    def moved(self, best: tuple[tuple[Fault, ...], State] | None) -> Property:
        """The property `tamper`."""
        if best is None:
            words = f"None of {self.count} acts from the unsecured side, one or two at a time, releases the lock."
            return Property(TAMPER, Outcome.PASS, words, self.count)
        acts, state = self._at_hand(best[0], best[1]), best[1]
        example = counterexample(self.b, state, acts, self._lock(acts, state))
        words = f"From the unsecured side: {self._words(example, state)}."
        cure = FAIL_SAFE_CURE if self.b.fail_safe else FAIL_SECURE_CURE
        return Property(TAMPER, Outcome.FAIL, words, self.count, 1, example, cure=cure)

    def _at_hand(self, acts: tuple[Fault, ...], state: State) -> tuple[Fault, ...]:
        """The same act told at the terminals in reach rather than at the far ends of their conductors, if it still does."""
        cut = {act.subjects[0] for act in acts if act.kind is FaultKind.CUT}
        nearer: dict[str, str] = {}
        for conductor in self.netlist.conductors:
            a, b = str(conductor.a), str(conductor.b)
            for far, near in ((a, b), (b, a)):
                if conductor.ref not in cut and near in self.reach.terminals and far not in self.reach.terminals:
                    nearer.setdefault(far, near)
        moved = tuple(_moved(act, nearer) for act in acts)
        return moved if self._opened(study(self.netlist, (state,), (moved,)))[0, 0] else acts

    def _lock(self, acts: tuple[Fault, ...], state: State) -> str:
        solved = study(self.netlist, (state,), (acts,))
        refs = self.b.circuit.locks
        return next((ref for ref in refs if self._lets_go(solved, ref)[0, 0]), refs[0])

    def _words(self, example: Counterexample, state: State) -> str:
        parts = ["unplug the data cable"] if any(state[name] for name in self.port) else []
        if example.faults:
            parts.append(example.words.partition(";")[0])
        return f"{' and '.join(parts)} ({', '.join(self._places())})"

    def _places(self) -> Iterator[str]:
        exposed = [c for c in self.netlist.components if c.exposed]
        yield from (f"behind {c.ref}, {c.place or 'unsecured side'}" for c in exposed[:2])
        if not exposed:
            yield "along an exposed cable"

    def asked(self) -> Property:
        """The property `rex-exposed`: an act that the controller takes as a request to exit."""
        ends = self.netlist.ends(self.request) if self.request else ()
        if not landed_on(self.netlist, *ends[:1]) or self.b.has(StateRole.AUXILIARY_ACTIVE):
            return Property(REX_EXPOSED, Outcome.NOT_APPLICABLE, "No request input is used.")
        seen = closed(self.netlist, self.first, self.request)[:, 0]
        joins = np.array([act[0].kind is not FaultKind.FED for act in self.single])
        best = self._best(self.single, seen & joins)
        plain = [k for k in np.flatnonzero(seen) if set(self.single[k][0].subjects) == set(ends)]
        if plain:
            best = self.single[plain[0]]
        if not best:
            words = "No single act within reach makes the controller see a request to exit."
            return Property(REX_EXPOSED, Outcome.PASS, words, len(self.single))
        example = counterexample(self.b, self.quiet, best, self.b.circuit.locks[0])
        act = example.words.partition(";")[0]
        words = f"From the unsecured side, {act}: the controller takes it as a request to exit and releases."
        return Property(REX_EXPOSED, Outcome.FAIL, words, len(self.single), 1, example)
