"""What a proof says: properties with their verdicts, counterexamples, the truth table, the shortest attack."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from riserkit.circuits.faults import Fault

RELEASE_BY_HAND: Final = "release-by-hand"
RELEASE_ON_SENSOR_LOSS: Final = "release-on-sensor-loss"
RELEASE_ON_POWER_LOSS: Final = "release-on-power-loss"
RELEASE_ON_FIRE_ALARM: Final = "release-on-fire-alarm"
FAIL_SECURE_ON_POWER_LOSS: Final = "fail-secure-on-power-loss"
LOCK_FOLLOWS_CONTROLLER: Final = "lock-follows-controller"
TAMPER: Final = "tamper"
REX_EXPOSED: Final = "tamper through the request input"
FAULT_LEAVES_UNLOCKED: Final = "fault-leaves-unlocked"
UNDETECTED_FAULT: Final = "undetected-fault"


RELEASES: Final = (RELEASE_BY_HAND, RELEASE_ON_SENSOR_LOSS, RELEASE_ON_POWER_LOSS, RELEASE_ON_FIRE_ALARM)
"""Ways of letting people out; one that is asked for and that a circuit has nothing for is a failing, not a pass."""


class Outcome(StrEnum):
    """What came out. Missing data is never a pass."""

    PASS = "pass"
    FAIL = "fail"
    NOT_EVALUATED = "not evaluated"
    NOT_APPLICABLE = "not applicable"


@dataclass(frozen=True, slots=True)
class Counterexample:
    """One case in which a property does not hold.

    Args:
        state: outside states that are on or off.
        faults: what is at fault, or the acts done; empty in the healthy circuit.
        lock: designation of the lock looked at.
        coil_v: voltage across its coil.
        affected: designations of the conductors at fault or handled.
        path: designations of the conductors that carry the lock's current, from its source's plus through the lock and
            back; empty when it carries none.
        backward: those of the path whose current runs from their end `b` to their end `a`.
        current: the path in words; empty where there is none.
        lock_state: `locked`, `released` or `undecided`, by the coil's voltage against its pull-in and drop-out voltage.
        plain: the faults in one phrase without colours and cables, alike for doors that are wired alike.
        words: the case in one phrase.
        worst_case: the worst case at which it fails, in words; empty where it fails at all of them, or at nominal values.
        handled: the faults in one phrase, with colours and cables.
    """

    state: Mapping[str, bool] = field(hash=False)
    faults: tuple[Fault, ...]
    lock: str
    coil_v: float
    affected: tuple[str, ...]
    path: tuple[str, ...]
    words: str
    backward: tuple[str, ...] = ()
    current: str = ""
    plain: str = ""
    lock_state: str = ""
    worst_case: str = ""
    handled: str = ""


@dataclass(frozen=True, slots=True)
class Property:
    """One property of a circuit.

    Args:
        name: the name of its rule.
        outcome: what came out.
        words: why, in one sentence.
        cases: how many solved cases were judged.
        failing: in how many of them it does not hold.
        counterexample: the simplest of those; of a way of release that is lacking, the lock at rest, fed past it.
        faults: for a property that counts faults, those that break it.
        fault_phrases: the same in words, without colours and cables.
        cure: what would correct it, where that follows from the circuit.
        requests: how many of the faults reach the controller as a request to exit, upon which it releases.
        attack: of `tamper` what is done, in a phrase; empty where nothing releases the lock.
        attacked_at: where that is accessible.
    """

    name: str
    outcome: Outcome
    words: str
    cases: int = 0
    failing: int = 0
    counterexample: Counterexample | None = None
    faults: tuple[Fault, ...] = ()
    cure: str = ""
    fault_phrases: tuple[str, ...] = ()
    requests: int = 0
    attack: str = ""
    attacked_at: str = ""

    @property
    def requests_only(self) -> bool:
        """Every fault that breaks it is a request that persists, which a controller can be set to report."""
        return 0 < self.requests == len(self.faults)


@dataclass(frozen=True, slots=True)
class TruthRow:
    """One row of the truth table: what is the case, and the state of the lock then.

    `state` has one phrase for each thing that matters; what is not named makes no difference. `lock_state` is `locked`,
    `released` or `undecided`.
    """

    state: tuple[str, ...]
    lock_state: str


@dataclass(frozen=True, slots=True)
class TopologyProof:
    """All that is proven of one circuit, shared by every door wired so.

    Args:
        fail_safe: an unpowered lock is released.
        locks: designations of the locks.
        names: outside states, sorted.
        states: how many combinations of them.
        faults: how many single faults besides the healthy circuit.
        worst_cases: how many times each case is solved: lowest source and longest cables, highest and shortest.
        cases: cases solved, states by faults by worst cases.
        tamper_cases: attacks solved from the unsecured side, at every worst case.
        properties: one for each name above.
        table: the truth table of the healthy circuit.
        doors: how many doors share this circuit.
    """

    fail_safe: bool
    locks: tuple[str, ...]
    names: tuple[str, ...]
    states: int
    faults: int
    worst_cases: int
    cases: int
    tamper_cases: int
    properties: tuple[Property, ...]
    table: tuple[TruthRow, ...]
    # not compared: one door more wired alike changes nothing of what is proven, nor of what is drawn of it
    doors: int = field(default=1, repr=False)

    def about(self, name: str) -> Property:
        """The property called `name`; KeyError when there is none."""
        for one in self.properties:
            if one.name == name:
                return one
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class DoorProof:
    """The proof of one door: its circuit's, and which properties are asked of this opening."""

    mark: str
    topology: TopologyProof
    asked: tuple[str, ...]

    def about(self, name: str) -> Property:
        """The property called `name`; KeyError when there is none."""
        return self.topology.about(name)

    @property
    def _asked(self) -> tuple[Property, ...]:
        return tuple(self.topology.about(name) for name in self.asked)

    @property
    def failed(self) -> tuple[Property, ...]:
        """Properties asked of this door that do not hold."""
        return tuple(p for p in self._asked if p.outcome is Outcome.FAIL)

    @property
    def open(self) -> tuple[Property, ...]:
        """Properties asked of this door that could not be evaluated."""
        return tuple(p for p in self._asked if p.outcome is Outcome.NOT_EVALUATED)

    @property
    def lacking(self) -> tuple[Property, ...]:
        """Ways of release asked of this door for which its circuit has nothing: no manual release, no sensor, no relay."""
        return tuple(p for p in self._asked if p.outcome is Outcome.NOT_APPLICABLE and p.name in RELEASES)
