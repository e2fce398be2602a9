"""A lesson on paper: the complaint, readings that were taken, and apart from it the answer."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.bench.faults import BenchFault
from riserkit.bench.lessons import lessons_of, step_words
from riserkit.bench.table import bench_table, table_key
from riserkit.wiring.arrangement import DoorCircuit

_MOST_ALIKE: Final = 6


@dataclass(frozen=True, slots=True)
class PaperLesson:
    """One lesson: what is handed out, and the answer.

    Args:
        mark: of the door.
        complaint: what the caller says.
        candidates: how many faults give this complaint.
        readings: how many readings find it.
        answer: the fault.
        steps: the readings that find it, in words, with what each shows and rules out.
        alike: faults that no reading tells from it.
        looked_at: what of it is seen without a meter where wires are landed.
    """

    mark: str
    complaint: str
    candidates: int
    readings: int
    answer: str
    steps: tuple[str, ...]
    alike: tuple[str, ...]
    looked_at: str


def paper_lessons(doors: Sequence[tuple[str, DoorCircuit]], count: int, seed: int) -> tuple[PaperLesson, ...]:
    """So many lessons of these doors, the same for the same seed; fewer where the doors have not so many.

    Args:
        doors: mark and circuit of each.
        count: how many.
        seed: of what is drawn.

    Raises:
        CircuitError: a circuit is ill-posed.
    """
    chance = random.Random(seed)
    order = list(doors)
    chance.shuffle(order)
    every: list[list[PaperLesson]] = []
    solved: set[str] = set()
    for mark, circuit in order:
        if len(every) >= count:
            break
        key = table_key(circuit)
        if key not in solved:  # doors wired alike have the same lessons
            solved.add(key)
            found = list(_of_door(mark, circuit))
            order_of = in_turn([(fault.kind, fault.weight) for fault, _ in found], chance)
            every.append([found[k][1] for k in order_of])
    turns = max(map(len, every), default=0)
    drawn = [found[n] for n in range(turns) for found in every if n < len(found)]
    return tuple(drawn[:count])


def in_turn(faults: Sequence[tuple[str, float]], chance: random.Random) -> list[int]:
    """Places of faults in the order drawn: what is met often comes sooner, each kind once before any comes again.

    Most pairs of wires that may be exchanged are exchanged by nobody, and there are more of them than of all else. Drawn by weight
    without putting back: P. S. Efraimidis and P. G. Spirakis, Information Processing Letters 97 (2006), 181-185.

    Args:
        faults: kind of each, and how often it is met beside the others; more than 0.
        chance: what they are drawn with.
    """
    drawn = sorted(range(len(faults)), key=lambda k: -(chance.random() ** (1.0 / faults[k][1])))
    turns: Counter[str] = Counter()
    turn = {}
    for k in drawn:
        kind, _ = faults[k]
        turn[k] = turns[kind]
        turns[kind] += 1
    return sorted(drawn, key=lambda k: turn[k])


def _of_door(mark: str, circuit: DoorCircuit) -> Iterator[tuple[BenchFault, PaperLesson]]:
    table = bench_table(circuit)
    seen, lessons = lessons_of(table)
    for one in lessons:
        alike = tuple(table.faults[n].words for n in one.alike[:_MOST_ALIKE])
        fault = table.faults[one.fault]
        yield fault, PaperLesson(
            mark, seen.complaints[one.complaint], one.candidates, len(one.steps), fault.words,
            tuple(step_words(one.steps)), alike, one.looked_at,
        )  # fmt: skip
