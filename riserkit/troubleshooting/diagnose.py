"""Which faults explain what was observed at a door, and which reading to take next.

A fault is ruled out only when the whole range that it allows misses an observation: the range runs over the tolerance of parts,
supplies and temperature, the observation over the meter's error. Pairs of faults are tried where no single one is left: those
that have a part in every conflict (see `riserkit.diagnosis.conflicts`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property
from itertools import product
from typing import Final

import numpy as np

from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.diagnosis.conflicts import minimal_diagnoses
from riserkit.troubleshooting.asking import FEW, Looks, NextLook, NextReading, ReadingTable, forms_of, with_meter_error
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.changes import FaultChange
from riserkit.troubleshooting.contradicting import contradicting
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation, looks, read_sight
from riserkit.troubleshooting.predict import Predictions, predict
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, joints, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS, Measurement
from riserkit.wiring.roles import DeviceRole

HEALTHY: Final = Suspect(SuspectKind.DEVICE, "no fault", frozenset(), ((),), 1.0)
_MOST_PAIRS: Final = 400
_BREAKS: Final = 0.05
_MOST_COMPARED: Final = 500
_WIDEST: Final = 48.0
"""In volts or ohms: a fault that allows more than this allows anything."""
_FAINT: Final = 1e-150
_PARTS_OF_A_RANGE: Final = 12


class Conclusion(StrEnum):
    """What the observations come to."""

    CONTRADICTORY = "the readings contradict one another"
    HEALTHY = "the readings agree with a healthy door"
    SINGLE = "a single fault explains the readings"
    DOUBLE = "no single fault explains the readings; two together do"
    UNEXPLAINED = "no single fault and no two faults tried explain the readings"


@dataclass(frozen=True, slots=True)
class FaultCandidate:
    """A fault that is left.

    Args:
        suspect: the fault; of a poor joint with the range of resistance that is left.
        share: how likely it is beside the others left, 0 to 1.
        predicted: least and greatest value it allows at each observation, in volts or ohms; None where no meter sees it.
        alike: the number of the group of candidates that no reading tells from one another, from 0.
    """

    suspect: Suspect
    share: float
    predicted: tuple[tuple[float, float] | None, ...]
    alike: int


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What observations of a door come to.

    Args:
        verdict: in one phrase.
        candidates: the faults left, the likeliest first.
        contradicting: places of observations that no circuit gives together.
        odd: places of observations that a healthy door does not give.
        next: the reading to take next; None where none tells the candidates apart.
        look: what to look at before, without a meter; None where nothing seen tells them apart.
        cut: two faults were tried only in part, as there are too many.
    """

    verdict: Conclusion
    candidates: tuple[FaultCandidate, ...] = ()
    contradicting: tuple[int, ...] = ()
    odd: tuple[int, ...] = ()
    next: NextReading | None = None
    look: NextLook | None = None
    cut: bool = False


def diagnose(
    circuit: DoorCircuit, observed: Sequence[Observation], at: Temperatures, kept: Predictions | None = None
) -> Diagnosis:
    """Find the faults that explain what was observed.

    Args:
        circuit: the door as designed.
        observed: readings and what was seen, in any order; none at all asks for the first reading.
        at: coldest and hottest conductor.
        kept: predictions of this door for `all_suspects`, for whoever asks many times; ranges of resistance stay as wide
            as they are there.

    Raises:
        CircuitError: the door's own netlist is ill-posed.
    """
    clash = contradicting(observed)
    if clash:
        return Diagnosis(Conclusion.CONTRADICTORY, contradicting=clash)
    singles = kept.suspects if kept else all_suspects(circuit)
    door = _Door(circuit, at, tuple(observed), kept)
    fits = door.fits(singles)
    odd = tuple(np.flatnonzero(~fits[:, 0]).tolist())
    left = [s for s, fit in zip(singles[1:], _every(fits[:, 1:]), strict=True) if fit]
    if not odd:
        # Whoever calls has a complaint: what these readings do not show is still asked for.
        table = door.table([HEALTHY, *left])
        return Diagnosis(Conclusion.HEALTHY, next=table.best, look=table.look())
    left = door.narrowed(left)
    if left:
        return door.ranked(Conclusion.SINGLE, left, odd)
    pairs, cut = _pairs(singles[1:], fits[:, 1:], fits[:, 0])
    left = [s for s, fit in zip(pairs, _every(door.fits(pairs)), strict=True) if fit]
    if left:
        return door.ranked(Conclusion.DOUBLE, left, odd, cut=cut)
    return Diagnosis(Conclusion.UNEXPLAINED, odd=odd, cut=cut)


def explains(
    circuit: DoorCircuit, suspects: Sequence[Suspect], observed: Sequence[Observation], at: Temperatures
) -> BoolArray:
    """Whether each fault allows each observation, shape (observations, suspects)."""
    return _Door(circuit, at, tuple(observed)).fits(suspects)


def all_suspects(circuit: DoorCircuit) -> tuple[Suspect, ...]:
    """No fault, then every single one."""
    return (HEALTHY, *single_suspects(circuit))


@dataclass(frozen=True)
class _Door:
    """A door and what was observed at it."""

    circuit: DoorCircuit
    at: Temperatures
    observed: tuple[Observation, ...]
    kept: Predictions | None = None
    seen: dict[tuple[FaultChange, ...], tuple[FloatArray, FloatArray]] = field(default_factory=dict)
    """Least and greatest value at each observation with a meter, by what has been solved for them."""

    @cached_property
    def faults(self) -> FaultNetlists:
        """Its netlists with faults."""
        return self.kept.faults if self.kept else FaultNetlists(self.circuit)

    def predicted(
        self, suspects: Sequence[Suspect], asked: Sequence[Measurement], *, typical: bool = False
    ) -> Predicted:
        """What each suspect allows at each reading."""
        if self.kept:
            return self.kept.of(suspects, asked, typical=typical)
        return predict(self.faults, suspects, asked, self.at, typical=typical)

    def ranges(self, suspects: Sequence[Suspect]) -> tuple[FloatArray, FloatArray]:
        """Least and greatest value that each suspect allows at each observation; anything where no meter sees it."""
        metered = [k for k, one in enumerate(self.observed) if one.asked is not None]
        new = {way: replace(s, ways=(way,)) for s in suspects for way in s.ways if way not in self.seen}
        if new:
            asked = [a for one in self.observed if (a := one.asked) is not None]
            found = self.predicted(tuple(new.values()), asked)
            self.seen.update(zip(new, zip(found.low.T, found.high.T, strict=True), strict=True))
        shape = len(self.observed), len(suspects)
        low, high = np.full(shape, -np.inf), np.full(shape, np.inf)
        for k, suspect in enumerate(suspects):
            low[metered, k] = np.min([self.seen[way][0] for way in suspect.ways], axis=0)
            high[metered, k] = np.max([self.seen[way][1] for way in suspect.ways], axis=0)
        for place in metered:
            low[place], high[place] = _sized(low[place], high[place], magnitude=self.observed[place].magnitude)
        return low, high

    def fits(self, suspects: Sequence[Suspect]) -> BoolArray:
        """Whether each suspect allows each observation, shape (observations, suspects)."""
        low, high = self.ranges(suspects)
        fits: BoolArray = np.ones(low.shape, dtype=np.bool_)
        for place, one in enumerate(self.observed):
            fits[place] = self._allows(suspects, one, low[place], high[place])
        return fits

    def _allows(self, suspects: Sequence[Suspect], one: Observation, low: FloatArray, high: FloatArray) -> BoolArray:
        """Whether each suspect allows an observation, by the range that it allows there."""
        within: BoolArray = (low <= one.high) & (high >= one.low)
        if not one.device:
            return within
        dead = np.array([one.device in s.dead for s in suspects], dtype=np.bool_)
        silent = np.array([one.device in self.faults.silent(s) for s in suspects], dtype=np.bool_)
        if one.works:
            # a reader without data may show its light or not; a controller without data is not online
            needs_data = self.circuit.netlist.component(one.device).role == DeviceRole.CONTROLLER
            return within & ~dead & ~(silent & needs_data)
        return dead | silent | (within & (one.asked is not None))

    def looks(self, forms: Sequence[Suspect]) -> Looks:
        """What can be seen that has not been stated, with what each form of each suspect allows."""
        stated = {(one.device, one.asked.key) for one in self.observed if one.device and one.asked is not None}
        both = [(answers, [read_sight(self.circuit, text) for text in answers]) for answers in looks(self.circuit)]
        open_ = [
            (answers, seen)
            for answers, seen in both
            if all(one.asked is not None and (one.device, one.asked.key) not in stated for each in seen for one in each)
        ]
        every = list(
            {asked.key: asked for _, seen in open_ for each in seen for one in each if (asked := one.asked)}.values()
        )
        row = {asked.key: k for k, asked in enumerate(every)}
        found = self.predicted(forms, every, typical=True)
        shape = len(open_), len(forms)
        low, high, typical = np.zeros(shape), np.ones(shape), np.full(shape, np.nan)
        for k, (_, seen) in enumerate(open_):
            may, does = (np.ones((2, len(forms)), dtype=np.bool_) for _ in range(2))
            for n, each in enumerate(seen):
                for one in each:
                    assert one.asked is not None
                    r = row[one.asked.key]
                    ends = _sized(found.low[r], found.high[r], magnitude=one.magnitude)
                    usual = np.abs(found.typical[r]) if one.magnitude else found.typical[r]
                    may[n] &= self._allows(forms, one, *ends)
                    does[n] &= self._allows(forms, one, usual, usual)
            may |= ~may.any(axis=0)
            low[k], high[k] = np.where(may[1], 0.0, 1.0), np.where(may[0], 1.0, 0.0)
            typical[k] = np.where(does[0], 1.0, np.where(does[1], 0.0, np.nan))
        return Looks(tuple(answers for answers, _ in open_), low, high, typical)

    def narrowed(self, left: Sequence[Suspect]) -> list[Suspect]:
        """Poor joints with the range of resistance that the observations leave, found by dividing what is left again."""
        conductors = {frozenset({c.ref}): c for c in self.circuit.netlist.conductors}
        parts: list[Suspect] = []
        for s in left:
            if s.joint_ohm is not None and self.kept:
                parts.append(s)
            elif s.joint_ohm is not None:
                ends = tuple(np.geomspace(*s.joint_ohm, _PARTS_OF_A_RANGE + 1).tolist())
                parts += joints(self.circuit.netlist, conductors[s.blames], ends)
        fits = _every(self.fits(parts))
        found: dict[frozenset[str], list[Suspect]] = {}
        for part, fit in zip(parts, fits, strict=True):
            if fit:
                found.setdefault(part.blames, []).append(part)
        return [*(s for s in left if s.joint_ohm is None), *map(_merged, found.values())]

    def ranked(
        self, verdict: Conclusion, left: Sequence[Suspect], odd: tuple[int, ...], *, cut: bool = False
    ) -> Diagnosis:
        """The faults left in order of how likely they are, and the next reading."""
        low, high = self.ranges(left)
        weights = np.array([s.weight for s in left])
        for place, one in enumerate(self.observed):
            # A fault that allows anything explains less than one that allows this value only.
            room = min(one.high - one.low, _WIDEST)
            width = np.clip(high[place], -_WIDEST, _WIDEST) - np.clip(low[place], -_WIDEST, _WIDEST)
            weights = weights * room / (np.minimum(width, _WIDEST) + room)
            if len(weights) and 0.0 < weights.max() < _FAINT:
                weights = weights / weights.max()  # hundreds of readings would else leave nothing of any
        # by nine digits, so that the last bit of the arithmetic is no matter
        order = sorted(range(len(left)), key=lambda k: (-float(f"{weights[k]:.9g}"), left[k].words))
        table = self.table([left[k] for k in order], weights[order])
        groups = table.groups()
        candidates = []
        for row, k in enumerate(order):
            bands = tuple(
                (float(low[p, k]), float(high[p, k])) if one.asked is not None else None
                for p, one in enumerate(self.observed)
            )
            group = groups[row] if row < len(groups) else row
            candidates.append(FaultCandidate(left[k], float(weights[k] / weights.sum()), bands, group))
        return Diagnosis(verdict, tuple(candidates), odd=odd, next=table.best, look=table.look(), cut=cut)

    def table(self, suspects: Sequence[Suspect], weights: FloatArray | None = None) -> ReadingTable:
        """Readings that can be taken, under the likeliest of these suspects; of many voltages first."""
        weights = np.array([s.weight for s in suspects]) if weights is None else weights
        if len(suspects) > FEW and self.kept is None:
            volts = self._table(suspects, weights, few=False)
            if volts.best is not None:
                return volts
        return self._table(suspects, weights, few=True)

    def _table(self, suspects: Sequence[Suspect], weights: FloatArray, *, few: bool) -> ReadingTable:
        some = suspects[:_MOST_COMPARED]
        blamed = frozenset(blame for s in some for blame in s.blames)
        taken = {asked.either_way for one in self.observed if (asked := one.asked) is not None and not one.device}
        asks = [
            ask
            for ask in every_ask(self.circuit, blamed)
            if ask.asked.either_way not in taken and (few or not (ask.asked.lifts or ask.asked.meter != VOLTS))
        ]
        parts = [(k, *form) for k, suspect in enumerate(some) for form in forms_of(suspect, many=len(some) > FEW)]
        of, forms = np.array([k for k, *_ in parts]), [form for _, form, _ in parts]
        found = self.predicted(forms, [ask.asked for ask in asks], typical=True)
        share = np.array([part for *_, part in parts])
        return ReadingTable(
            of, weights[of] * share, tuple(asks), with_meter_error(asks, found), self.looks(forms), whole=few
        )


def _every(fits: BoolArray) -> BoolArray:
    """Suspects that allow all observations."""
    every: BoolArray = np.logical_and.reduce(fits, axis=0)
    return every


def _sized(low: FloatArray, high: FloatArray, *, magnitude: bool) -> tuple[FloatArray, FloatArray]:
    if not magnitude:
        return low, high
    most = np.maximum(np.abs(low), np.abs(high))
    return np.where((low <= 0.0) & (high >= 0.0), 0.0, np.minimum(np.abs(low), np.abs(high))), most


def _merged(parts: Sequence[Suspect]) -> Suspect:
    """One suspect over all that is left of its range. What lies between the ends is solved too: a contact may move there."""
    ends = [end for part in parts if part.joint_ohm for end in part.joint_ohm]
    ways = tuple(dict.fromkeys(way for part in parts for way in part.ways))
    return replace(parts[0], ways=ways, weight=sum(part.weight for part in parts), joint_ohm=(min(ends), max(ends)))


def _pairs(singles: Sequence[Suspect], fits: BoolArray, healthy: BoolArray) -> tuple[list[Suspect], bool]:
    """Two faults that between them may explain everything, the likeliest first; whether some are left out.

    Every observation that a healthy door does not give is a conflict: one of the faults that allow it is there. Faults that
    allow the same of them go together as one.
    """
    odd = np.flatnonzero(~healthy)
    alike: dict[str, list[int]] = {}
    for k in range(len(singles)):
        rows = np.flatnonzero(fits[odd, k]).tolist()
        if 0 < len(rows) < len(odd):
            alike.setdefault(" ".join(map(str, rows)), []).append(k)
    conflicts = [frozenset(name for name in alike if str(row) in name.split()) for row in range(len(odd))]
    # What breaks an observation that is as at a healthy door wants the other fault to repair it.
    broken = np.count_nonzero(~fits[healthy], axis=0)
    weight = [suspect.weight * _BREAKS ** int(broken[k]) for k, suspect in enumerate(singles)]
    found: dict[tuple[int, int], float] = {}
    for one, two in (sorted(pair) for pair in minimal_diagnoses(conflicts, most=2) if len(pair) == 2):
        for a, b in product(alike[one], alike[two]):
            if not singles[a].blames & singles[b].blames:
                found[min(a, b), max(a, b)] = weight[a] * weight[b]
    order = sorted(found, key=lambda pair: (-found[pair], pair))
    return [singles[a].with_(singles[b]) for a, b in order[:_MOST_PAIRS]], len(order) > _MOST_PAIRS
