"""Attacks from the unsecured side: the shortest that moves the lock, and the shortest that asks the controller to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from riserkit.circuits.cases import SourceLevel, State
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.faults import Fault, FaultKind, tamper_acts
from riserkit.circuits.kept_cases import POWERED
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.study import Study, study_at
from riserkit.proofs.behaviour import Behaviour, closed, landed_at, landed_on
from riserkit.proofs.intrusion import unlocked_at_rest
from riserkit.proofs.paths import counterexample
from riserkit.proofs.values import REX_EXPOSED, TAMPER, Counterexample, Outcome, Property
from riserkit.proofs.worst_cases import WorstCase, crossed
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

FAIL_SECURE_CURE: Final = (
    "Wire it with an authenticated relay module on the secured side (relay-module, relay-external-supply or dry-trigger); "
    "its link cannot release the lock."
)
FAIL_SAFE_CURE: Final = (
    "Mount the controller on the secured side with only a reader outside (controller_at secured), or feed lock and REX "
    "sensor from a supply on the secured side (relay-external-supply)."
)
FED_WITH_READER_CURE: Final = (
    "Feed lock and REX sensor apart from the reader, from a supply on the secured side (relay-external-supply), the sensor "
    "one of that supply's voltage."
)
ASKED_AT_READER_CURE: Final = (
    "Use a REX switch without power or, where the egress role permits, a sensor that does not release on loss of its supply; "
    "or feed the REX sensor apart from the reader, from a supply on the secured side (relay-external-supply)."
)
_KINDS = (FaultKind.CUT, FaultKind.JOINED, FaultKind.FED)


@dataclass(frozen=True, slots=True)
class AccessibleParts:
    """What is within reach from the unsecured side. `port`: the PoE cable that powers the door is."""

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
        words = "No terminal or conductor is accessible from the unsecured side."
        return Property(TAMPER, Outcome.PASS, words), Property(REX_EXPOSED, Outcome.PASS, words), 0
    words = unlocked_at_rest(b)
    if words:
        words += " Tampering is not checked."
        return (
            Property(TAMPER, Outcome.NOT_EVALUATED, words), Property(REX_EXPOSED, Outcome.NOT_EVALUATED, words), 0,
        )  # fmt: skip
    attack = _Attack(b, reach)
    moved = attack.shortest()
    return attack.moved(moved), attack.requested(), attack.count


def _at(example: Counterexample) -> str:
    return f", {example.worst_case}" if example.worst_case else ""


def _moved(act: Fault, nearer: Mapping[str, str]) -> Fault:
    if act.join is None:
        return act
    ends = (nearer.get(act.join[0], act.join[0]), nearer.get(act.join[1], act.join[1]))
    return replace(act, subjects=ends, join=ends)


@dataclass(frozen=True, slots=True)
class _OpeningAct:
    """An attack that opens the door: what is done, the state it is done in, and where it works; None: at every worst case."""

    acts: tuple[Fault, ...]
    state: State
    worst_case: WorstCase | None


class _Attack:
    """Acts of one and, if none of them does, of two at a time, solved in the quiet state at the worst cases of the proof.

    All are solved with the lengths of one worst case at the source of the other too. Relays begin at rest at the lowest
    source, and as they stand in the quiet state at the highest.
    """

    def __init__(self, behaviour: Behaviour, reach: AccessibleParts) -> None:
        self.b, self.reach = behaviour, reach
        self.quiet = behaviour.states[behaviour.at_rest()]
        self.netlist = behaviour.circuit.netlist
        self.states: tuple[State, ...] = (self.quiet,)
        self.port = behaviour.names(StateRole.NETWORK_POWER_LOST) if reach.port else ()
        if self.port:
            self.states = (self.quiet, {**self.quiet, **dict.fromkeys(self.port, True)})
        self.request = next(iter(self.netlist.elements(ElementRole.REQUEST_INPUT)), "")
        self.standing: BoolArray = behaviour.high.coil[0, behaviour.at_rest()] == POWERED
        self.worst_cases = (*behaviour.worst_cases, *crossed(*behaviour.worst_cases))
        self.count = 0
        self.single = tamper_acts(self.netlist, reach.terminals, reach.conductors, 1)
        self.first = self._study(self.single, self.states)

    def _study(self, acts: Sequence[tuple[Fault, ...]], states: Sequence[State]) -> tuple[Study, ...]:
        """Solved at every worst case."""
        solved = self._again(self.worst_cases, acts, states)
        self.count += sum(one.count for one in solved)
        return solved

    def _again(
        self, worst_cases: Sequence[WorstCase], acts: Sequence[tuple[Fault, ...]], states: Sequence[State]
    ) -> tuple[Study, ...]:
        """Solved without being counted: a case that was solved before, put in other words."""
        began = np.tile(self.standing, (len(acts), 1))
        conditions = [one.condition(began if one.level is SourceLevel.HIGH else False) for one in worst_cases]
        return study_at(conditions, states, acts, (self.request,) if self.request else ())

    def _opened(self, solved: Study) -> BoolArray:
        """Whether some lock is surely released, shape (acts, states)."""
        opened: BoolArray = np.logical_or.reduce([self._unlocked(solved, ref) for ref in self.b.circuit.locks], axis=0)
        return opened

    def _unlocked(self, solved: Study, ref: str) -> BoolArray:
        """A fail-safe lock below its pull-in voltage holds too little to count as locked; a fail-secure one at it opens."""
        lock_state = solved.coil_states(self.b.circuit.coil(ref))
        gone: BoolArray = lock_state != POWERED if self.b.fail_safe else lock_state == POWERED
        return gone

    def shortest(self) -> _OpeningAct | None:
        """The shortest attack, the simplest of its length, with the state it leaves and the worst case where it works."""
        opened = np.stack([self._opened(one) for one in self.first])
        alone = self._best(self.single, opened[:, :, 0], self.quiet)
        if alone:
            return alone
        if len(self.states) > 1:
            unplugged = [self._opened(one) for one in self._study(((),), self.states[1:])]
            found = self._best(((),), np.stack(unplugged)[:, :, 0], self.states[1])
            with_port = found or self._best(self.single, opened[:, :, 1], self.states[1])
            if with_port:
                return with_port
        every = tamper_acts(self.netlist, self.reach.terminals, self.reach.conductors, 2)
        pairs = every[len(self.single) :]
        if not pairs:
            return None
        both = [self._opened(one)[:, 0] for one in self._study(pairs, (self.quiet,))]
        return self._best(pairs, np.stack(both), self.quiet)

    def _best(self, acts: Sequence[tuple[Fault, ...]], hits: BoolArray, state: State) -> _OpeningAct | None:
        """The simplest of the acts that work at some worst case; `hits` has the shape (worst cases, acts)."""
        found: list[int] = np.flatnonzero(hits.any(axis=0)).tolist()
        if not found:
            return None
        everywhere: list[bool] = np.logical_and.reduce(hits, axis=0).tolist()
        best = min(found, key=lambda k: (not everywhere[k], [_KINDS.index(one.kind) for one in acts[k]]))
        worst_case = None if everywhere[best] else self.worst_cases[int(np.argmax(hits[:, best]))]
        return _OpeningAct(acts[best], state, worst_case)

    def moved(self, way: _OpeningAct | None) -> Property:
        """The property `tamper`."""
        if way is None:
            words = (
                f"None of {self.count} attacks from the unsecured side, one or two acts at a time and in every worst case,"
                " releases the lock."
            )
            return Property(TAMPER, Outcome.PASS, words, self.count)
        way = replace(way, acts=self._at_reachable_terminals(way))
        example = counterexample(self.b, way.state, way.acts, self._lock(way), way.worst_case)
        done, places = self._done(example, way.state), ", ".join(self._places())
        words = f"From the unsecured side, {done} ({places}): the lock is released."
        cure = FAIL_SECURE_CURE
        if self.b.fail_safe:
            cure = FAIL_SAFE_CURE if self._controller_outside() else FED_WITH_READER_CURE
        return Property(TAMPER, Outcome.FAIL, words, self.count, 1, example, cure=cure, attack=done, attacked_at=places)

    def _at_reachable_terminals(self, way: _OpeningAct) -> tuple[Fault, ...]:
        """The same attack at the accessible terminals rather than at the far ends of their conductors, if it still works."""
        cut = {act.subjects[0] for act in way.acts if act.kind is FaultKind.CUT}
        nearer: dict[str, str] = {}
        for conductor in self.netlist.conductors:
            a, b = str(conductor.a), str(conductor.b)
            for far, near in ((a, b), (b, a)):
                if conductor.ref not in cut and near in self.reach.terminals and far not in self.reach.terminals:
                    nearer.setdefault(far, near)
        moved = tuple(_moved(act, nearer) for act in way.acts)
        (solved,) = self._again((way.worst_case or self.worst_cases[0],), (moved,), (way.state,))
        return moved if self._opened(solved)[0, 0] else way.acts

    def _lock(self, way: _OpeningAct) -> str:
        (solved,) = self._again((way.worst_case or self.worst_cases[0],), (way.acts,), (way.state,))
        refs = self.b.circuit.locks
        return next((ref for ref in refs if self._unlocked(solved, ref)[0, 0]), refs[0])

    def _done(self, example: Counterexample, state: State) -> str:
        unplugged = "unplug the PoE cable" if any(state[name] for name in self.port) else ""
        return f"{' and '.join(filter(None, (unplugged, example.handled)))}{_at(example)}"

    def _places(self) -> Iterator[str]:
        exposed = [c for c in self.netlist.components if c.exposed]
        yield from (f"behind {c.ref}, {c.place or 'unsecured side'}" for c in exposed[:2])
        if not exposed:
            yield "along an exposed cable"

    def _controller_outside(self) -> bool:
        return any(c.exposed for c in self.netlist.devices(DeviceRole.CONTROLLER))

    def requested(self) -> Property:
        """The property of the request input: an act that the controller takes as a request to exit."""
        ends = self.netlist.ends(self.request) if self.request else ()
        if not landed_on(self.netlist, *ends[:1]) or self.b.has(StateRole.AUXILIARY_ACTIVE):
            return Property(REX_EXPOSED, Outcome.NOT_APPLICABLE, "No REX/AUX input is used.")
        seen = np.stack([closed(self.netlist, one, self.request)[:, 0] for one in self.first])
        joins = np.array([act[0].kind is not FaultKind.FED for act in self.single])
        plain = np.array([set(act[0].subjects) == set(ends) for act in self.single])
        way = self._best(self.single, seen & plain, self.quiet) or self._best(self.single, seen & joins, self.quiet)
        if way is None:
            words = "No single tampering reads as a request to exit."
            return Property(REX_EXPOSED, Outcome.PASS, words, len(self.single))
        example = counterexample(self.b, self.quiet, way.acts, self.b.circuit.locks[0], way.worst_case)
        words = f"From the unsecured side, {example.handled}{_at(example)}: the controller reads a request to exit and releases."
        # What a controller is set to do off the wall does nothing for one that stays on it.
        cure = "" if self._controller_outside() else ASKED_AT_READER_CURE
        return Property(REX_EXPOSED, Outcome.FAIL, words, len(self.single), 1, example, cure=cure)
