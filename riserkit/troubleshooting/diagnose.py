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
from riserkit.diagnosis.next_reading import apart, entropy_bits, expected_bits
from riserkit.troubleshooting.asks import Ask, every_ask
from riserkit.troubleshooting.changes import FaultChange
from riserkit.troubleshooting.contradicting import contradicting
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.predict import Predictions, predict
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, joints, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import OPEN_OHM, VOLTS, Measurement

HEALTHY: Final = Suspect(SuspectKind.DEVICE, "no fault", frozenset(), ((),), 1.0)
_MOST_PAIRS: Final = 400
_BREAKS: Final = 0.05
_MOST_COMPARED: Final = 500
_FEW: Final = 60
"""So many suspects left are tried with every reading; more of them with voltages only, which are solved together."""
_WIDEST: Final = 48.0
"""In volts or ohms: a fault that allows more than this allows anything."""
_LEAST_BITS: Final = 0.05
"""A reading that tells less on average is not worth taking."""
_PARTS_OF_A_RANGE: Final = 12
_CLOSE: Final = 0.25
_FEW_WAYS: Final = 3


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
class NextReading:
    """The reading to take next.

    Args:
        ask: the reading.
        open_bits: how much is open now.
        left_bits: how much of it this leaves open on average.
        predicted: least and greatest value by each candidate compared, in the order of the candidates.
    """

    ask: Ask
    open_bits: float
    left_bits: float
    predicted: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What observations of a door come to.

    Args:
        verdict: in one phrase.
        candidates: the faults left, the likeliest first.
        contradicting: places of observations that no circuit gives together.
        odd: places of observations that a healthy door does not give.
        next: the reading to take next; None where none tells the candidates apart.
        cut: two faults were tried only in part, as there are too many.
    """

    verdict: Conclusion
    candidates: tuple[FaultCandidate, ...] = ()
    contradicting: tuple[int, ...] = ()
    odd: tuple[int, ...] = ()
    next: NextReading | None = None
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
        return Diagnosis(Conclusion.HEALTHY, next=door.table([HEALTHY, *left]).best())
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
            fits[place] = (low[place] <= one.high) & (high[place] >= one.low)
            if one.device:
                silent = np.array([one.device in s.dead | self.faults.silent(s) for s in suspects], dtype=np.bool_)
                unfed = fits[place] & (one.asked is not None)
                fits[place] = fits[place] & ~silent if one.works else silent | unfed
        return fits

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
        return Diagnosis(verdict, tuple(candidates), odd=odd, next=table.best(), cut=cut)

    def table(self, suspects: Sequence[Suspect], weights: FloatArray | None = None) -> _ReadingTable:
        """Readings that can be taken, under the likeliest of these suspects; of many voltages first."""
        weights = np.array([s.weight for s in suspects]) if weights is None else weights
        if len(suspects) > _FEW and self.kept is None:
            volts = self._table(suspects, weights, few=False)
            if volts.best() is not None:
                return volts
        return self._table(suspects, weights, few=True)

    def _table(self, suspects: Sequence[Suspect], weights: FloatArray, *, few: bool) -> _ReadingTable:
        some = [_few_ways(suspect) for suspect in suspects[:_MOST_COMPARED]]
        blamed = frozenset(blame for s in some for blame in s.blames)
        asks = [
            ask for ask in every_ask(self.circuit, blamed) if few or not (ask.asked.lifts or ask.asked.meter != VOLTS)
        ]
        found = self.predicted(some, [ask.asked for ask in asks], typical=True)
        volts = np.array([ask.asked.meter == VOLTS for ask in asks])[:, None]
        low, high, typical = (
            np.where(np.isfinite(x) | volts, x, OPEN_OHM) for x in (found.low, found.high, found.typical)
        )
        error = np.where(volts, METER_V + METER_SHARE * np.abs(typical), CONTINUITY_TOLERANCE * typical + LEADS_OHM)
        error = np.where(np.isnan(error), 0.0, error)
        return _ReadingTable(
            tuple(suspects[: len(some)]), weights[: len(some)], tuple(asks), Predicted(low - error, high + error, typical), whole=few
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


def _few_ways(suspect: Suspect) -> Suspect:
    """Of a poor joint's many resistances the ends and one between: enough to choose a reading, not to rule anything out."""
    ways = suspect.ways
    if suspect.joint_ohm is None or len(ways) <= _FEW_WAYS:
        return suspect
    return replace(suspect, ways=(ways[0], ways[len(ways) // 2], ways[-1]))


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


@dataclass(frozen=True)
class _ReadingTable:
    """Every reading that can be taken under every suspect left, the meter's error in the ranges; or voltages only."""

    suspects: tuple[Suspect, ...]
    weights: FloatArray
    asks: tuple[Ask, ...]
    predicted: Predicted
    whole: bool

    def groups(self) -> list[int]:
        """The group of each suspect: those that no reading tells apart, directly or by a chain of such.

        Where only voltages have been tried nobody can say so, and each is by itself.
        """
        n = len(self.suspects)
        if not self.whole:
            return list(range(n))
        told = apart(self.predicted.low, self.predicted.high, self.predicted.typical) if n else np.zeros((0, 0))
        group = list(range(n))
        for k in range(n):
            for other in range(k):
                if not told[k, other] and self._alike(k, other):
                    group[k] = group[other]
                    break
        return group

    def _alike(self, one: int, two: int) -> bool:
        a, b = self.predicted.typical[:, one], self.predicted.typical[:, two]
        return bool(np.allclose(a, b, rtol=0.02, atol=_CLOSE, equal_nan=True))

    def best(self) -> NextReading | None:
        """The reading that tells most for the effort it takes; None where none tells anything."""
        if len(self.suspects) < 2:
            return None
        weights = self.weights
        now = entropy_bits(weights)
        left = expected_bits(weights, self.predicted.low, self.predicted.high, self.predicted.typical)
        worth = (now - left) / np.sqrt([ask.effort for ask in self.asks])
        k = int(np.argmax(worth))
        if now - left[k] < _LEAST_BITS:
            return None
        ask, low, high = self.asks[k], self.predicted.low[k], self.predicted.high[k]
        if ask.asked.meter == VOLTS and self.predicted.typical[k, 0] < 0.0:
            ask, low, high = ask.turned(), -high, -low
        return NextReading(ask, now, float(left[k]), tuple(zip(low.tolist(), high.tolist(), strict=True)))
