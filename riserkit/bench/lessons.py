"""Lessons: a fault to be found from a complaint, and the fewest readings that find it.

The readings are those that `riserkit diagnose` takes, with what each takes to take. A reading rules a fault out where it shows
plainly another value than the fault that is there. Of all sets of readings that leave nothing but what no reading tells apart, the
smallest is a smallest set that covers: searched in full up to three readings, beyond by whichever rules out most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Final

import numpy as np
import numpy.typing as npt

from riserkit.bench.live import REQUEST, STEADY
from riserkit.bench.ohms import TIE_UP
from riserkit.bench.seen import SeenByAll, seen_by_all
from riserkit.bench.table import BenchTable
from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.troubleshooting.asks import Ask, every_ask
from riserkit.troubleshooting.landings import landing_words, other_landings
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.meter import OHMS, OPEN_OHM, VOLTS
from riserkit.wiring.roles import DeviceRole, ElementRole

_APART_V, _APART_SHARE, _APART_OHM = 0.4, 0.12, 2.0
"""Two readings are plainly apart from here on: beyond a meter's error and most parts' tolerance (common practice, no source)."""
_AS_SOLVED_V: Final = 0.02
_MOST_ALIKE: Final = 4
MOST_READINGS: Final = 4
_MOST_OF_A_KIND: Final = 14
_EXACT: Final = 3


@dataclass(frozen=True, slots=True)
class LessonStep:
    """One reading of the series.

    Args:
        ask: the reading.
        place: combination, or dead combination for ohms.
        credential: whether the card is at the reader.
        shown: what the meter shows, volts or ohms.
        usual: what it shows at a healthy door; not a number where nothing steady.
        ruled_out: faults that it rules out, of those left before.
        left: faults left after, the true one among them.
    """

    ask: Ask
    place: int
    credential: bool
    shown: float
    usual: float
    ruled_out: int
    left: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson.

    Args:
        fault: place of the fault in the table.
        complaint: place of what the caller says.
        candidates: how many faults give this complaint.
        steps: the readings that find it, the one that rules out most first.
        alike: faults that no reading tells from it.
        looked_at: what of it is seen without a meter where wires are landed, in words.
    """

    fault: int
    complaint: int
    candidates: int
    steps: tuple[LessonStep, ...]
    alike: tuple[int, ...]
    looked_at: str


def lessons_of(table: BenchTable) -> tuple[SeenByAll, tuple[Lesson, ...]]:
    """The lessons of a door: faults that somebody would call about and that a few readings find; some of each kind."""
    seen = seen_by_all(table)
    readings = _Readings(table)
    found: list[Lesson] = []
    for _, of_kind in groupby(range(1, len(table.faults)), key=lambda n: table.faults[n].kind):
        told = [n for n in of_kind if seen.under[:, n].any()] if len(seen.complaints) else []
        step = max(1, len(told) // _MOST_OF_A_KIND)
        lessons = (readings.lesson(seen, n) for n in told[::step])
        found += [one for one in lessons if one is not None]
    return seen, tuple(found)


@dataclass(frozen=True)
class _Readings:
    table: BenchTable

    @cached_property
    def taken(self) -> list[tuple[Ask, int, bool]]:
        """Readings that the tables have, with the combination and whether a card is there."""
        table, circuit = self.table, self.table.circuit
        releases = not circuit.locked_state.get(circuit.command, False)
        live = {self._on(c.outside) | {str(c.on_battery)}: n for n, c in enumerate(table.combinations)}
        dead = {self._on(c.outside): n for n, c in enumerate(table.dead)}
        found = []
        for ask in every_ask(circuit):
            asked = ask.asked
            ends = {asked.plus, asked.minus}
            if asked.lifts or asked.less or asked.meter not in {VOLTS, OHMS} or not ends <= set(table.terminal_of):
                continue
            outside = {name: on for name, on in asked.outside.items() if name != circuit.command}
            if asked.meter == OHMS:
                place = dead.get(self._on(outside)) if table.ohms is not None else None
            else:
                place = live.get(self._on(outside) | {str(asked.on_battery)})
            if place is None:
                continue
            card = (
                bool(circuit.command) and asked.meter == VOLTS and asked.outside.get(circuit.command, False) is releases
            )
            if asked.meter == OHMS or self._as_held(place, card, ask):
                found.append((ask, place, card))
        return found

    @staticmethod
    def _on(outside: object) -> frozenset[str]:
        return frozenset(name for name, on in dict(outside).items() if on)  # type: ignore[call-overload]

    def _as_held(self, place: int, card: bool, ask: Ask) -> bool:
        """Whether the controller does what the reading takes it to do: a request makes it release, so then only inputs are read."""
        live, circuit = self.table.live, self.table.circuit
        if live.decides[0, place, int(card)] != REQUEST:
            return True
        ends = input_ends(circuit.netlist, ElementRole.REQUEST_INPUT)
        refs = {end.partition(".")[0] for end in (ask.asked.plus, ask.asked.minus)}
        sensors = {c.ref for c in circuit.netlist.devices(DeviceRole.REX_SENSOR)}
        return ({ask.asked.plus, ask.asked.minus} == set(ends) and landed(circuit.netlist, ends[0])) or refs <= sensors

    @cached_property
    def values(self) -> tuple[FloatArray, FloatArray]:
        """What each reading shows under each fault, and what the solver has without the meter; shape (readings, faults)."""
        shown = np.full((len(self.taken), len(self.table.faults)), np.nan)
        plain = shown.copy()
        for row, (ask, place, card) in enumerate(self.taken):
            plus, minus = (self.table.terminal_of[name] for name in (ask.asked.plus, ask.asked.minus))
            if ask.asked.meter == OHMS:
                ohms = self.table.ohms
                if ohms is not None and plus != minus:
                    pair = self.table.pair_of[min(plus, minus), max(plus, minus)]
                    shown[row] = np.minimum(ohms[:, place, pair], OPEN_OHM)
                plain[row] = shown[row]
            else:
                plain[row] = (
                    self.table.live.v[:, place, int(card), plus] - self.table.live.v[:, place, int(card), minus]
                )
                shown[row] = self._metered(place, int(card), plus, minus, plain[row])
        return shown, plain

    @cached_property
    def _left(self) -> tuple[IntArray, FloatArray]:
        """By pattern the part of each terminal, and what a meter leaves between two parts."""
        found = self.table.live.patterns.found
        most = max(len(p.share) for p in found)
        left = np.zeros((len(found), most, most))
        for k, p in enumerate(found):
            left[k, : len(p.share), : len(p.share)] = p.share
        return np.array([p.part for p in found]), left

    def _metered(self, place: int, card: int, plus: int, minus: int, plain: FloatArray) -> FloatArray:
        live = self.table.live
        patterns = live.pattern[:, place, card]
        part, left = self._left
        share = left[patterns, part[patterns, plus], part[patterns, minus]]
        shown = plain * share
        steady = live.trouble[:, place, card] == STEADY
        for fault in np.flatnonzero((share == 0.0) & (live.drift[:, place, card] > 0) & steady):
            names = (self.table.live.terminals[n] for n in (plus, minus))
            value = self.table.volts(int(fault), place, bool(card), *names)
            shown[fault] = np.nan if value is None else value
        return np.where(steady, shown, np.nan)

    def lesson(self, seen: SeenByAll, fault: int) -> Lesson | None:
        """The lesson of one fault; None where too much is alike or too many readings are needed."""
        complaint = int(seen.under[:, fault].argmax())
        rivals = np.flatnonzero(seen.under[complaint])
        rivals = rivals[rivals != fault]
        shown, plain = self.values
        # only what the solver has too where no meter ties things together: the advice of diagnose is of that
        fair = np.isfinite(shown[:, fault])
        for one in (0, fault):
            fair &= np.isnan(shown[:, one]) | (np.abs(shown[:, one] - plain[:, one]) < _AS_SOLVED_V)
        rows = np.flatnonzero(fair)
        out = _apart(shown[rows, fault][:, None], shown[np.ix_(rows, rivals)], self.ohmic[rows][:, None])
        told = out.any(axis=0)
        alike = rivals[~told]
        chosen = fewest_covering(out[:, told], self._effort[rows])
        # what the complaint alone tells is no lesson
        if not chosen or len(alike) > _MOST_ALIKE or len(chosen) > MOST_READINGS:
            return None
        steps = self._steps(rows[chosen], out[chosen], fault)
        looked_at = landing_words(other_landings(self.table.circuit.netlist, self.table.faults[fault].way))
        return Lesson(fault, complaint, len(rivals) + 1, steps, tuple(alike.tolist()), looked_at)

    @cached_property
    def ohmic(self) -> BoolArray:
        """Whether each reading is in ohms."""
        return np.array([ask.asked.meter == OHMS for ask, _, _ in self.taken], dtype=np.bool_)

    @cached_property
    def _effort(self) -> FloatArray:
        """What each reading takes to take."""
        return np.array([ask.effort for ask, _, _ in self.taken])

    def _steps(self, rows: IntArray, out: BoolArray, fault: int) -> tuple[LessonStep, ...]:
        left, steps, order = np.ones(out.shape[1], dtype=np.bool_), [], list(range(len(rows)))
        while order:
            k = max(order, key=lambda j: int((out[j] & left).sum()))
            order.remove(k)
            ruled_out = int((out[k] & left).sum())
            left &= ~out[k]
            ask, place, card = self.taken[rows[k]]
            shown = self.values[0][rows[k]]
            if ask.asked.meter == VOLTS and shown[0] < -_AS_SOLVED_V:
                ask, shown = ask.turned(), -shown
            steps.append(
                LessonStep(ask, place, card, float(shown[fault]), float(shown[0]), ruled_out, int(left.sum()) + 1)
            )
        return tuple(steps)


def _apart(true: FloatArray, others: FloatArray, ohmic: BoolArray) -> BoolArray:
    """Whether readings are plainly apart; what is unsteady differs from what is steady."""
    room = np.where(ohmic, _APART_OHM, _APART_V)
    most = np.maximum(np.abs(true), np.abs(others))
    with np.errstate(invalid="ignore"):
        differ = np.abs(true - others) > np.maximum(room, np.multiply(most, _APART_SHARE, out=most), out=most)
    apart: BoolArray = differ | (np.isnan(others) & np.isfinite(true))
    return apart


def fewest_covering(sets: BoolArray, effort: FloatArray) -> list[int] | None:
    """The fewest sets that cover everything, of those as few the least effort; None where they cannot.

    Args:
        sets: whether each set has each thing, shape (sets, things).
        effort: of each set.

    Examples:
        >>> fewest_covering(np.array([[1, 0, 0], [0, 1, 1], [1, 1, 0]], dtype=bool), np.array([1.0, 1.0, 1.0]))
        [1, 2]
    """
    if not sets.shape[1]:
        return []
    if not sets.any(axis=0).all():
        return None
    kept = _undominated(sets, effort)
    lacking = (~sets[kept]).astype(
        np.float32
    )  # counted exactly up to 16 million, and several times as fast as whole numbers
    for count in range(1, _EXACT + 1):
        best = _cover(lacking, effort[kept], count)
        if best is not None:
            return [kept[k] for k in best]
    chosen: list[int] = []
    left = np.ones(sets.shape[1], dtype=np.bool_)
    while left.any():
        k = max(kept, key=lambda j: int((sets[j] & left).sum()))
        chosen.append(k)
        left &= ~sets[k]
    return chosen


def _undominated(sets: BoolArray, effort: FloatArray) -> list[int]:
    """Sets but those of which another has all, and takes no more; the largest first."""
    size = sets.sum(axis=1)
    order = np.lexsort((effort, -size))
    order = order[size[order] > 0]
    # of equal sets the first
    bits = np.ascontiguousarray(np.packbits(sets[order], axis=1))
    _, first = np.unique(bits.view(f"V{bits.shape[1]}").ravel(), return_index=True)
    order = order[np.sort(first)]
    whole, takes = sets[order].astype(np.float32), effort[order]
    holds = ((1.0 - whole) @ whole.T == 0.0) & (takes[:, None] <= takes)
    kept: list[int] = order[~np.triu(holds, 1).any(axis=0)].tolist()
    return kept


def _cover(lacking: npt.NDArray[np.float32], effort: FloatArray, count: int) -> list[int] | None:
    """So many sets that together lack nothing, of the least effort; None where there are none."""
    if count == 1:
        whole = np.flatnonzero(lacking.sum(axis=1) == 0)
        return [int(whole[np.argmin(effort[whole])])] if whole.size else None
    best: tuple[float, list[int]] | None = None
    for first in range(len(lacking)) if count > 2 else (None,):
        here = lacking if first is None else lacking * lacking[first]
        both = here @ here.T
        rows, columns = np.nonzero(np.triu(both == 0, 1))
        if rows.size:
            k = int(np.argmin(effort[rows] + effort[columns]))
            found = [*([] if first is None else [first]), int(rows[k]), int(columns[k])]
            taken = float(effort[found].sum())
            if best is None or taken < best[0]:
                best = taken, found
    return best[1] if best else None


def step_words(steps: Sequence[LessonStep]) -> list[str]:
    """The readings in words, with what they show and rule out."""
    return [
        f"{s.ask.words}: {shown_words(s.ask.asked.meter, s.shown)} (healthy: {shown_words(s.ask.asked.meter, s.usual)}). "
        f"Rules out {s.ruled_out}, {s.left} left."
        for s in steps
    ]


def shown_words(meter: str, value: float) -> str:
    """A reading as a meter shows it."""
    if np.isnan(value):
        return "unsteady"
    if meter == VOLTS:
        return f"{round(value, 2) + 0.0:.2f} V"
    if value >= OPEN_OHM:
        return "open"
    value *= TIE_UP
    if value < 99.95:
        return f"{value:.1f} ohm"
    return f"{value:.0f} ohm" if value < 999.5 else f"{value / 1000.0:.3g} kohm"
