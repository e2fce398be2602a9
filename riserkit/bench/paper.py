"""A lesson on paper: the complaint, readings that were taken, and apart from it the answer."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

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
            chance.shuffle(found)
            every.append(found)
    turns = max(map(len, every), default=0)
    drawn = [found[n] for n in range(turns) for found in every if n < len(found)]
    return tuple(drawn[:count])


def _of_door(mark: str, circuit: DoorCircuit) -> Iterator[PaperLesson]:
    table = bench_table(circuit)
    seen, lessons = lessons_of(table)
    for one in lessons:
        alike = tuple(table.faults[n].words for n in one.alike[:_MOST_ALIKE])
        yield PaperLesson(
            mark, seen.complaints[one.complaint], one.candidates, len(one.steps), table.faults[one.fault].words,
            tuple(step_words(one.steps)), alike, one.looked_at,
        )  # fmt: skip
