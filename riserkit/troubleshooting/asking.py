"""Which reading tells most of the faults left apart, for the effort it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

import numpy as np

from riserkit.circuits.elimination import FloatArray, IntArray
from riserkit.diagnosis.next_reading import apart, entropy_bits, expected_bits
from riserkit.troubleshooting.asks import Ask
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.looks import Look
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import OPEN_OHM, VOLTS

FEW: Final = 60
"""So many suspects left are tried with every reading; more of them with voltages only, which are solved together."""
_LEAST_BITS: Final = 0.05
"""A reading that tells less on average is not worth taking."""
TRUST: Final = 0.5
"""Exponent of how often a fault is met, which nobody knows well: readings are chosen so that a rare one is found soon too."""
_REACH: Final = 0.25
"""Exponent of the effort that a reading takes, beside what it tells."""
_AS_GOOD: Final = 0.3
"""Of what the best reading tells, for which nobody takes power, a wire or a cover off (common practice, no source)."""
_AS_WELL: Final = 0.5
"""Of what the best reading tells for its effort, from which on wires are looked at before (common practice, no source)."""
_CLOSE: Final = 0.25
_MOST_FORMS: Final = 6
_MOST_FORMS_OF_MANY: Final = 2


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
class NextLook:
    """What to look at next, without a meter.

    Args:
        answers: what may be seen, each as `riserkit diagnose --sees` has it; of terminals several may be so.
        open_bits: how much is open now.
        left_bits: how much of it this leaves open on average.
    """

    answers: tuple[str, ...]
    open_bits: float
    left_bits: float


@dataclass(frozen=True, slots=True)
class Looks:
    """All that can be seen, with what each form of each suspect allows.

    Args:
        every: the looks.
        low, high: 1 where the first answer is sure, 0 and 1 where either may be; where wires are landed a number for what is
            seen there; shape (looks, forms).
        typical: likewise with everything as stated.
    """

    every: tuple[Look, ...]
    low: FloatArray
    high: FloatArray
    typical: FloatArray


def forms_of(suspect: Suspect, *, many: bool) -> list[tuple[Suspect, float]]:
    """A suspect in the forms it may have, and the share of each: a poor joint in parts of the range of its resistance.

    They serve to choose a reading, not to rule anything out.

    Args:
        suspect: a fault.
        many: one of many, of which two forms do.
    """
    ways = suspect.ways
    if suspect.joint_ohm is None or len(ways) < 3:
        return [(suspect, 1.0)]
    most = _MOST_FORMS_OF_MANY if many else _MOST_FORMS
    places = sorted({round(k) for k in np.linspace(0, len(ways) - 1, most + 1)})
    pairs = [(ways[a], ways[b]) for a, b in pairwise(places)]
    return [(replace(suspect, ways=pair), 1.0 / len(pairs)) for pair in pairs]


def with_meter_error(asks: Sequence[Ask], found: Predicted) -> Predicted:
    """Ranges of readings, as predicted, with the error of the meter; resistances that count as open are one."""
    volts = np.array([ask.asked.meter == VOLTS for ask in asks], dtype=np.bool_)[:, None]
    low, high, typical = (np.where(np.isfinite(x) | volts, x, OPEN_OHM) for x in (found.low, found.high, found.typical))
    usual = np.abs(np.nan_to_num(typical))
    error = np.where(volts, METER_V + METER_SHARE * usual, CONTINUITY_TOLERANCE * usual + LEADS_OHM)
    return Predicted(low - error, high + error, typical)


@dataclass(frozen=True)
class ReadingTable:
    """Every reading that can be taken under every form of every suspect left; or voltages only.

    Attributes:
        of: the place of the suspect that each form is of, in order.
        weights: of the forms: how often each is met, as far as that is trusted, and how well it explains what was read.
        asks: the readings.
        predicted: the meter's error in the ranges, shape (readings, forms).
        looks: what can be seen beside.
        whole: by whole ranges of all readings; else nobody can say which suspects no reading tells apart.
        is_off: the last reading was taken with power off.
    """

    of: IntArray
    weights: FloatArray
    asks: tuple[Ask, ...]
    predicted: Predicted
    looks: Looks
    whole: bool
    is_off: bool = False

    @property
    def count(self) -> int:
        """Of suspects."""
        return int(self.of[-1]) + 1 if len(self.of) else 0

    def groups(self) -> list[int]:
        """The group of each suspect: those that no reading tells apart, directly or by a chain of such.

        Where only voltages have been tried nobody can say so, and each is by itself.
        """
        group = list(range(self.count))
        if not self.whole or len(group) < 2:
            return group
        one = ~apart(self.predicted.low, self.predicted.high, self.predicted.typical)
        forms = [np.flatnonzero(self.of == k) for k in group]
        for k in range(len(group)):
            for other in range(k):
                pairs = one[np.ix_(forms[k], forms[other])]
                if pairs.any():
                    alike = pairs & self._alike(forms[k], forms[other])
                    # every form of the one looks like some form of the other
                    if alike.any(axis=0).all() or alike.any(axis=1).all():
                        group[k] = group[other]
                        break
        return group

    def _alike(self, some: IntArray, others: IntArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        a, b = self.predicted.typical[:, some, None], self.predicted.typical[:, None, others]
        close = np.isclose(a, b, rtol=0.02, atol=_CLOSE, equal_nan=True)
        alike: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = np.logical_and.reduce(close, axis=0)
        return alike

    @property
    def _first(self) -> IntArray:
        """The place of each suspect's first form."""
        first: IntArray = np.searchsorted(self.of, np.arange(self.count))
        return first

    @property
    def open_bits(self) -> float:
        """How much is open now."""
        return entropy_bits(np.add.reduceat(self.weights, self._first)) if self.count else 0.0

    def look(self) -> NextLook | None:
        """What to look at: what tells most for the effort it takes; None where nothing seen tells enough.

        To look where the wires of a device are landed takes as long as a reading there, and has to tell about as much.
        """
        every = self.looks.every
        if self.count < 2 or not every:
            return None
        left = expected_bits(self.weights, self.looks.low, self.looks.high, self.looks.typical, self.of)
        now = self.open_bits
        told = now - left
        worth = told / np.array([one.effort for one in every]) ** _REACH
        reading = self.best
        least = _AS_WELL * (now - reading.left_bits) / reading.ask.effort**_REACH if reading is not None else 0.0
        wires = np.array([bool(one.device) for one in every])
        enough = (told >= _LEAST_BITS) & ~(wires & (worth < least))
        k = int(np.argmax(np.where(enough, worth, 0.0)))
        # no cover comes off as long as a glance tells anything like as much
        glances = np.flatnonzero(enough & ~wires)
        if wires[k] and len(glances):
            other = int(glances[np.argmax(worth[glances])])
            k = other if told[other] >= _AS_GOOD * told[k] else k
        return NextLook(every[k].answers, now, float(left[k])) if enough[k] else None

    @cached_property
    def best(self) -> NextReading | None:
        """The reading that tells most for the effort it takes; None where none tells anything of what is likely."""
        if self.count < 2 or not self.asks:
            return None
        found, first, now = self.predicted, self._first, self.open_bits
        left = expected_bits(self.weights, found.low, found.high, found.typical, self.of)
        telling = now - left >= _LEAST_BITS
        if not telling.any():
            return None
        worth = np.where(telling, (now - left) / np.array([ask.effort for ask in self.asks]) ** _REACH, 0.0)
        k = int(np.argmax(worth))
        # the door stays in use as long as readings at it tell anything like as much, unless power is off already
        in_use = np.flatnonzero(telling & np.array([ask.in_use for ask in self.asks]))
        if len(in_use) and not self.asks[k].in_use and not self.is_off:
            other = int(in_use[np.argmax(worth[in_use])])
            k = other if now - left[other] >= _AS_GOOD * (now - left[k]) else k
        # of each suspect what all its forms allow
        ask, low, high = (
            self.asks[k],
            np.minimum.reduceat(found.low[k], first),
            np.maximum.reduceat(found.high[k], first),
        )
        if ask.asked.meter == VOLTS and np.nansum(self.weights * found.typical[k]) < 0.0:
            ask, low, high = ask.turned(), -high, -low
        return NextReading(ask, now, float(left[k]), tuple(zip(low.tolist(), high.tolist(), strict=True)))
