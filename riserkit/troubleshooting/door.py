"""A door and what was observed at it: which faults allow that, and what readings would tell them apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf, isfinite
from typing import Final

import numpy as np

from riserkit.circuits.elimination import BoolArray, FloatArray
from riserkit.quantities.grouping import grouped
from riserkit.troubleshooting.asking import FEW, TRUST, Looks, NextReading, ReadingTable, forms_of, with_meter_error
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.changes import Way
from riserkit.troubleshooting.controller import INPUTS
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.looks import Look, looks
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.predict import Effort, Predictions, predict
from riserkit.troubleshooting.sights import coil_range_v, read_sight
from riserkit.troubleshooting.suspects import Suspect, joints
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS, Measurement
from riserkit.wiring.roles import DeviceRole

_MOST_COMPARED: Final = 500
_MOST_TOLD: Final = 24
"""Suspects of which it is worked out what exactly they predict at a reading chosen by rough ranges."""
_MANY: Final = 200
"""So many suspects left are told apart by readings at one thing, or to a common."""
_PARTS_OF_A_RANGE: Final = 12
_EFFORTS: Final = ((16, Effort.WHOLE), (_MANY, Effort.TWO_ENDS), (inf, Effort.AS_STATED))
"""How exactly a reading is chosen among so many suspects."""


@dataclass(frozen=True)
class ObservedDoor:
    """A door and what was observed at it."""

    circuit: DoorCircuit
    at: Temperatures
    observed: tuple[Observation, ...]
    kept: Predictions | None = None
    seen: dict[tuple[int, Way], tuple[float, float]] = field(default_factory=dict)
    """Least and greatest value by place of the observation and way, of what has been solved."""

    @cached_property
    def faults(self) -> FaultNetlists:
        """Its netlists with faults."""
        return self.kept.faults if self.kept else FaultNetlists(self.circuit)

    def predicted(
        self,
        suspects: Sequence[Suspect],
        asked: Sequence[Measurement],
        *,
        typical: bool = False,
        effort: Effort = Effort.WHOLE,
    ) -> Predicted:
        """What each suspect allows at each reading; `effort` as `predict` has it."""
        if self.kept:
            return self.kept.of(suspects, asked, typical=typical)
        return predict(self.faults, suspects, asked, self.at, typical=typical, effort=effort)

    def ranges(self, suspects: Sequence[Suspect], places: Sequence[int]) -> tuple[FloatArray, FloatArray]:
        """Least and greatest value that each suspect allows at some observations; anything where no meter sees it."""
        metered = {place: asked for place in places if (asked := self.observed[place].asked) is not None}
        seen = self.seen
        new = {
            way: replace(s, ways=(way,))
            for s in suspects
            for way in s.ways
            if any((place, way) not in seen for place in metered)
        }
        if new:
            missing = [place for place in metered if any((place, way) not in seen for way in new)]
            found = self.predicted(tuple(new.values()), [metered[place] for place in missing])
            for row, place in enumerate(missing):
                ends = zip(found.low[row].tolist(), found.high[row].tolist(), strict=True)
                seen.update(zip(((place, way) for way in new), ends, strict=True))
        shape = len(places), len(suspects)
        low, high = np.full(shape, -np.inf), np.full(shape, np.inf)
        for row, place in enumerate(places):
            if place in metered:
                low[row] = [min(seen[place, way][0] for way in s.ways) for s in suspects]
                high[row] = [max(seen[place, way][1] for way in s.ways) for s in suspects]
                low[row], high[row] = _sized(low[row], high[row], magnitude=self.observed[place].magnitude)
        return low, high

    @property
    def places(self) -> tuple[int, ...]:
        """Of all observations."""
        return tuple(range(len(self.observed)))

    def fits(self, suspects: Sequence[Suspect], places: Sequence[int] | None = None) -> BoolArray:
        """Whether each suspect allows each of some observations, of all when left out; shape (observations, suspects)."""
        places = self.places if places is None else places
        low, high = self.ranges(suspects, places)
        fits: BoolArray = np.ones(low.shape, dtype=np.bool_)
        silent = self._silent(suspects)
        for row, place in enumerate(places):
            fits[row] = self._allows(suspects, silent, self.observed[place], low[row], high[row])
        for alternatives in self._alternatives(places):
            fits[alternatives] = fits[alternatives].any(axis=0)
        return fits

    def _alternatives(self, places: Sequence[int]) -> list[list[int]]:
        """Rows of the observations of which one suffices: nobody has said of which of several devices."""
        rows = grouped((name, row) for row, place in enumerate(places) if (name := self.observed[place].one_of))
        return list(rows.values())

    def left(self, suspects: Sequence[Suspect]) -> list[Suspect]:
        """Those that allow all observations. What one state of the door rules out is not solved in the next."""
        left = list(suspects)
        for places in self._by_state():
            fits = np.logical_and.reduce(self.fits(left, places), axis=0)
            left = [s for s, fit in zip(left, fits.tolist(), strict=True) if fit]
        return left

    def _by_state(self) -> list[list[int]]:
        """Places of observations that are solved together, those that rule most out first; alternatives are not parted."""
        states = grouped(
            (one.one_of or (one.asked and (one.asked.setup, one.asked.on)), place)
            for place, one in enumerate(self.observed)
        )
        told = {key: any(isfinite(self.observed[p].high - self.observed[p].low) for p in states[key]) for key in states}
        return [states[key] for key in sorted(states, key=lambda key: (key is not None, not told[key]))]

    def _silent(self, suspects: Sequence[Suspect]) -> list[frozenset[str]]:
        """Designations of the devices that data does not reach under each suspect."""
        return [self.faults.silent(s) for s in suspects]

    def _allows(
        self, suspects: Sequence[Suspect], unreached: Sequence[frozenset[str]], one: Observation,
        low: FloatArray, high: FloatArray,
    ) -> BoolArray:  # fmt: skip
        """Whether each suspect allows an observation, by the range that it allows there and what data does not reach."""
        if one.as_listed is not None:
            shown = (self.faults.landings(s).at(one.landed_at) for s in suspects)
            return np.array([not sure if one.as_listed else bool(may) for sure, may in shown], dtype=np.bool_)
        within: BoolArray = (low <= one.high) & (high >= one.low)
        if not one.device:
            return within | self._dead_input(suspects, one) if one.seen else within
        within = self._of_other_locks(suspects, one, low, high, within)
        dead = np.array([one.device in s.dead for s in suspects], dtype=np.bool_)
        silent = np.array([one.device in devices for devices in unreached], dtype=np.bool_)
        if one.works:
            # a reader without data may show its light or not; a controller without data is not online
            needs_data = one.by_data or self.circuit.netlist.component(one.device).role == DeviceRole.CONTROLLER
            return within & ~dead & ~(silent & needs_data)
        return dead | silent | (within & (one.asked is not None))

    def _of_other_locks(
        self, suspects: Sequence[Suspect], one: Observation, low: FloatArray, high: FloatArray, within: BoolArray
    ) -> BoolArray:
        """Likewise where the lock that is seen is another than designed."""
        if one.device not in self.circuit.locks:
            return within
        least, most = coil_range_v(self.circuit, self.circuit.coil(one.device), energised=not one.works)
        turned = np.array([one.device in s.other_action for s in suspects], dtype=np.bool_)
        # with its voltage it may act or not, without any it does nothing
        some_v, _ = coil_range_v(self.circuit, self.circuit.coil(one.device), energised=True)
        unsure = np.array([one.device in s.unsure for s in suspects], dtype=np.bool_) & (high >= some_v)
        allowed: BoolArray = np.where(turned, (low <= most) & (high >= least), within | unsure)
        return allowed

    def _dead_input(self, suspects: Sequence[Suspect], one: Observation) -> BoolArray:
        """Which have the input dead that the controller reports of: its voltage does not say what it reads, but that it stays so.

        Whoever has seen it read open and closed has seen that it is not dead.
        """
        inputs = self._inputs_read(one)
        otherwise = any(
            other.seen
            and not other.one_of
            and isfinite(other.low) is not isfinite(one.low)
            and self._inputs_read(other) == inputs
            for other in self.observed
        )
        dead: BoolArray = np.array([bool(s.blames & inputs) and not otherwise for s in suspects], dtype=np.bool_)
        return dead

    def _inputs_read(self, one: Observation) -> frozenset[str]:
        """The inputs that something seen is read at, `component.element`."""
        netlist, read = self.circuit.netlist, {one.asked.plus, one.asked.minus} if one.asked is not None else set()
        return frozenset(name for name in netlist.elements(*INPUTS) if set(netlist.ends(name)) == read)

    def unseen(self) -> list[Look]:
        """What can be seen that has not been stated."""
        sure = [one for one in self.observed if not one.one_of]
        stated = {(one.device, one.by_data, one.asked.key) for one in sure if one.asked is not None}
        landed = {one.landed_at.partition(".")[0] for one in sure if one.as_listed is not None}
        return [
            look
            for look in looks(self.circuit)
            if (look.device not in landed if look.device else self._is_new(look, stated))
        ]

    def _is_new(self, look: Look, stated: Set[tuple[str, bool, tuple[object, ...]]]) -> bool:
        """Whether what a meter would measure to see it has not been stated."""
        seen = read_sight(self.circuit, look.answers[0])
        return any((one.device, one.by_data, one.asked.key) not in stated for one in seen if one.asked is not None)

    def looks(
        self,
        unseen: Sequence[Look],
        forms: Sequence[Suspect],
        found: Predicted,
        row: Mapping[tuple[object, ...], int],
    ) -> Looks:
        """What each form of each suspect allows to be seen.

        Args:
            unseen: what can be seen.
            forms: of suspects.
            found: what they allow at readings.
            row: of each reading that says what is seen, by its key.
        """
        shape = len(unseen), len(forms)
        low, high, typical = np.zeros(shape), np.ones(shape), np.full(shape, np.nan)
        silent = self._silent(forms)
        for k, look in enumerate(unseen):
            if look.device:
                low[k] = high[k] = typical[k] = self._landed(look.device, forms)
                continue
            may, does = (np.ones((2, len(forms)), dtype=np.bool_) for _ in range(2))
            for n, answer in enumerate(look.answers):
                for one in read_sight(self.circuit, answer):
                    if one.asked is None:  # a controller on its PoE cable: it answers or not
                        answers_it = self._allows(
                            forms, silent, one, *(np.full(len(forms), end) for end in (-np.inf, np.inf))
                        )
                        may[n] &= answers_it
                        does[n] &= answers_it
                        continue
                    r = row[one.asked.key]
                    ends = _sized(found.low[r], found.high[r], magnitude=one.magnitude)
                    usual = np.abs(found.typical[r]) if one.magnitude else found.typical[r]
                    may[n] &= self._allows(forms, silent, one, *ends)
                    does[n] &= self._allows(forms, silent, one, usual, usual)
            may |= ~may.any(axis=0)
            low[k], high[k] = np.where(may[1], 0.0, 1.0), np.where(may[0], 1.0, 0.0)
            typical[k] = np.where(does[0], 1.0, np.where(does[1], 0.0, np.nan))
        return Looks(tuple(unseen), low, high, typical)

    def _landed(self, device: str, forms: Sequence[Suspect]) -> FloatArray:
        """A number for each set of terminals of a device at which wires are otherwise than listed; 0 for none, or none for sure."""
        numbers: dict[frozenset[str], int] = {frozenset(): 0}
        seen = (self.faults.landings(one).at(device)[0] for one in forms)
        return np.array([numbers.setdefault(names, len(numbers)) for names in seen], dtype=np.float64)

    def narrowed(self, left: Sequence[Suspect]) -> list[Suspect]:
        """Poor joints with the range of resistance that the observations leave, found by dividing what is left again."""
        conductors = {frozenset({c.ref}): c for c in self.circuit.netlist.conductors}
        parts: list[Suspect] = []
        for s in left:
            if s.joint_ohm is not None and self.kept:
                parts.append(s)
            elif s.joint_ohm is not None:
                ends = tuple(np.geomspace(*s.joint_ohm, _PARTS_OF_A_RANGE + 1).tolist())
                parts += joints(conductors[s.blames], ends)
        return merged_joints([*(s for s in left if s.joint_ohm is None), *self.left(parts)])

    def table(self, suspects: Sequence[Suspect], weights: FloatArray | None = None) -> ReadingTable:
        """Readings that can be taken, under the likeliest of these suspects; of many voltages first."""
        weights = np.array([s.weight for s in suspects]) if weights is None else weights
        effort = next(effort for most, effort in _EFFORTS if len(suspects) <= most) if not self.kept else Effort.WHOLE
        if effort is not Effort.WHOLE:
            rough = self._table(suspects, weights, effort, few=len(suspects) <= FEW)
            if rough.best is not None:
                return rough
        return self._table(suspects, weights, Effort.WHOLE, few=True)

    def exactly(self, following: NextReading, suspects: Sequence[Suspect]) -> NextReading:
        """A reading chosen by rough ranges, with what the likeliest of these suspects allow at it."""
        ask = following.ask
        found = with_meter_error([ask], self.predicted(suspects[:_MOST_TOLD], [ask.asked], typical=True))
        return replace(following, predicted=tuple(zip(found.low[0].tolist(), found.high[0].tolist(), strict=True)))

    def _table(self, suspects: Sequence[Suspect], weights: FloatArray, effort: Effort, *, few: bool) -> ReadingTable:
        some = suspects[:_MOST_COMPARED]
        blamed = frozenset(blame for s in some for blame in s.blames)
        sure = (one for one in self.observed if not one.device and not one.one_of)
        taken = {asked.either_way for one in sure if (asked := one.asked) is not None}
        asks = [
            ask
            for ask in every_ask(self.circuit, blamed, across=len(some) <= _MANY)
            if ask.asked.either_way not in taken and (few or not (ask.asked.lifts or ask.asked.meter != VOLTS))
        ]
        parts = [(k, *form) for k, suspect in enumerate(some) for form in forms_of(suspect, many=len(some) > FEW)]
        of, forms = np.array([k for k, *_ in parts]), [form for _, form, _ in parts]
        unseen = self.unseen()
        answers = (answer for look in unseen if not look.device for answer in look.answers)
        seen = [asked for text in answers for one in read_sight(self.circuit, text) if (asked := one.asked) is not None]
        every = {one.key: one for one in (*(ask.asked for ask in asks), *seen)}
        found = self.predicted(forms, tuple(every.values()), typical=True, effort=effort)
        row = {key: k for k, key in enumerate(every)}
        rows = [row[ask.asked.key] for ask in asks]
        share = np.array([part for *_, part in parts])
        often = np.array([s.weight for s in some])
        trusted = often**TRUST * (weights[: len(some)] / often)
        return ReadingTable(
            of,
            trusted[of] * share,
            tuple(asks),
            with_meter_error(asks, Predicted(*(x[rows] for x in found))),
            self.looks(unseen, forms, found, row),
            whole=effort is Effort.WHOLE,
            is_off=bool(self._metered) and self._metered[-1].dead,
        )

    @property
    def _metered(self) -> list[Measurement]:
        """What was measured, in order."""
        return [one.asked for one in self.observed if one.asked is not None and not one.seen and not one.device]


def _sized(low: FloatArray, high: FloatArray, *, magnitude: bool) -> tuple[FloatArray, FloatArray]:
    if not magnitude:
        return low, high
    most = np.maximum(np.abs(low), np.abs(high))
    return np.where((low <= 0.0) & (high >= 0.0), 0.0, np.minimum(np.abs(low), np.abs(high))), most


def merged_joints(suspects: Sequence[Suspect]) -> list[Suspect]:
    """Each poor joint as one suspect over all ranges of its resistance, after the others."""
    found = grouped((joint.blames, joint) for joint in suspects if joint.joint_ohm is not None)
    return [*(s for s in suspects if s.joint_ohm is None), *map(_merged, found.values())]


def _merged(parts: Sequence[Suspect]) -> Suspect:
    """One suspect over all that is left of its range. What lies between the ends is solved too: a contact may move there."""
    ends = [end for part in parts if part.joint_ohm for end in part.joint_ohm]
    ways = tuple(dict.fromkeys(way for part in parts for way in part.ways))
    return replace(parts[0], ways=ways, weight=sum(part.weight for part in parts), joint_ohm=(min(ends), max(ends)))
