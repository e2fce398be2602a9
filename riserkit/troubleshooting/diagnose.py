"""Which faults explain what was observed at a door, and which reading to take next.

A fault is ruled out only when the whole range that it allows misses an observation: the range runs over the tolerance of parts,
supplies and temperature, the observation over the meter's error. Pairs of faults are tried where no single one is left: those
that have a part in every conflict (see `riserkit.diagnosis.conflicts`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from typing import Final

import numpy as np

from riserkit.circuits.elimination import BoolArray
from riserkit.diagnosis.conflicts import minimal_diagnoses
from riserkit.troubleshooting.asking import NextLook, NextReading
from riserkit.troubleshooting.contradicting import contradicting, hang_free
from riserkit.troubleshooting.door import ObservedDoor, merged_joints
from riserkit.troubleshooting.doubted import Doubt, Slip, doubts, foretold
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.other_locks import other_locks
from riserkit.troubleshooting.predict import Predictions
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures

HEALTHY: Final = Suspect(SuspectKind.DEVICE, "no fault", frozenset(), ((),), 1.0)
_MOST_PAIRS: Final = 400
_BREAKS: Final = 0.05
_WIDEST: Final = 48.0
"""In volts or ohms: a fault that allows more than this allows anything."""
_FAINT: Final = 1e-150


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
        doubts: readings that may be a slip.
    """

    verdict: Conclusion
    candidates: tuple[FaultCandidate, ...] = ()
    contradicting: tuple[int, ...] = ()
    odd: tuple[int, ...] = ()
    next: NextReading | None = None
    look: NextLook | None = None
    cut: bool = False
    doubts: tuple[Doubt, ...] = ()


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
    singles = kept.suspects if kept else all_suspects(circuit)
    door = ObservedDoor(circuit, at, tuple(observed), kept)
    left = door.left(singles)
    clash = contradicting(observed)
    if clash and not _shown_by_one(door, clash, left):
        return Diagnosis(Conclusion.CONTRADICTORY, contradicting=clash, doubts=_doubts(door, singles, clash))
    if left and left[0] is singles[0]:
        # Whoever calls has a complaint: what these readings do not show is still asked for.
        table = door.table(merged_joints(left))
        return Diagnosis(Conclusion.HEALTHY, next=table.best, look=table.look())
    healthy = door.fits(singles[:1])[:, 0]
    odd = tuple(np.flatnonzero(~healthy).tolist())
    left = door.narrowed(left)
    # where one foretells what was read, the others allow anything or are as likely as it
    foretells = bool(left) and bool(foretold(door, left, narrowed=kept is None).any())
    slips = doubts(door, singles[:1], (Slip.TURNED, Slip.DECIMAL)) if foretells else doubts(door, singles)
    if left:
        return _ranked(door, Conclusion.SINGLE, left, odd, slips=slips)
    pairs, cut = _pairs(singles[1:], door.fits(singles[1:]), healthy)
    left = door.left(pairs)
    if left:
        return _ranked(door, Conclusion.DOUBLE, left, odd, cut=cut, slips=slips)
    return Diagnosis(Conclusion.UNEXPLAINED, odd=odd, cut=cut, doubts=slips)


def _doubts(door: ObservedDoor, singles: Sequence[Suspect], clash: Sequence[int]) -> tuple[Doubt, ...]:
    """Of readings that contradict one another, those of which a slip would explain it."""
    return tuple(one for one in doubts(door, singles) if set(one.places) & set(clash))


def _shown_by_one(door: ObservedDoor, clash: Sequence[int], left: Sequence[Suspect]) -> bool:
    """Whether readings that contradict one another do so at a door with one of these faults too, because places hang free."""
    low, high = door.ranges(left, clash)
    clashing = [door.observed[place] for place in clash]
    return any(hang_free(clashing, low[:, k].tolist(), high[:, k].tolist()) for k in range(len(left)))


def explains(
    circuit: DoorCircuit, suspects: Sequence[Suspect], observed: Sequence[Observation], at: Temperatures
) -> BoolArray:
    """Whether each fault allows each observation, shape (observations, suspects)."""
    return ObservedDoor(circuit, at, tuple(observed)).fits(suspects)


def all_suspects(circuit: DoorCircuit) -> tuple[Suspect, ...]:
    """No fault, then every single one, another lock than designed included."""
    return (HEALTHY, *single_suspects(circuit), *other_locks(circuit))


def _ranked(
    door: ObservedDoor, verdict: Conclusion, left: Sequence[Suspect], odd: tuple[int, ...], *, cut: bool = False,
    slips: tuple[Doubt, ...] = (),
) -> Diagnosis:  # fmt: skip
    """The faults left in order of how likely they are, and the next reading."""
    low, high = door.ranges(left, door.places)
    weights = np.array([s.weight for s in left])
    for place, one in enumerate(door.observed):
        if one.one_of:
            continue  # a fault need not allow each of them
        # A fault that allows anything explains less than one that allows this value only.
        room = min(one.high - one.low, _WIDEST)
        width = np.clip(high[place], -_WIDEST, _WIDEST) - np.clip(low[place], -_WIDEST, _WIDEST)
        weights = weights * room / (np.minimum(width, _WIDEST) + room)
        if len(weights) and 0.0 < weights.max() < _FAINT:
            weights = weights / weights.max()  # hundreds of readings would else leave nothing of any
    # by nine digits, so that the last bit of the arithmetic is no matter
    order = sorted(range(len(left)), key=lambda k: (-float(f"{weights[k]:.9g}"), left[k].words))
    in_order = [left[k] for k in order]
    table = door.table(in_order, weights[order])
    following = table.best if table.whole or table.best is None else door.exactly(table.best, in_order)
    groups = table.groups()
    candidates = []
    for row, k in enumerate(order):
        bands = tuple(
            (float(low[p, k]), float(high[p, k])) if one.asked is not None else None
            for p, one in enumerate(door.observed)
        )
        group = groups[row] if row < len(groups) else row
        candidates.append(FaultCandidate(left[k], float(weights[k] / weights.sum()), bands, group))
    return Diagnosis(verdict, tuple(candidates), odd=odd, next=following, look=table.look(), cut=cut, doubts=slips)


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
