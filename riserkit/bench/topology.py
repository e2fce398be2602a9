"""Everything of one topology that a page needs, as the text of its script."""

from __future__ import annotations

from typing import Final

from riserkit.bench.faults import JOINTS_OHM
from riserkit.bench.lessons import Lesson, LessonStep, lessons_of, shown_words
from riserkit.bench.picture import wiring_picture
from riserkit.bench.script import MOST_BYTES, bench_script
from riserkit.bench.spread import wide_readings
from riserkit.bench.switches import MOST_COMBINATIONS
from riserkit.bench.table import BenchTable, bench_table, table_key
from riserkit.circuits.errors import CircuitError
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.meter import OHMS

_FEWER: Final = (MOST_COMBINATIONS, 32, 12)


def has_bench(circuit: DoorCircuit | None) -> bool:
    """Whether a door's circuit can be put on the bench: there is one, and its parts state all values."""
    return circuit is not None and not circuit.netlist.unknown


def topology_name(circuit: DoorCircuit) -> str:
    """The name of its table: the same for doors whose numbers are the same."""
    return table_key(circuit)


def topology_script(circuit: DoorCircuit) -> str:
    """The script of a topology; with fewer switches at a time where it would be too large.

    Raises:
        CircuitError: the circuit is ill-posed, or its tables are too large whatever is left out.
    """
    name = topology_name(circuit)
    for most in _FEWER:
        table = bench_table(circuit, most)
        text = bench_script(table, name, _more(table))
        if len(text) <= MOST_BYTES:
            return text
    raise CircuitError(name, f"its tables take more than {MOST_BYTES} bytes even with fewer switches at a time")


def _more(table: BenchTable) -> dict[str, object]:
    seen, lessons = lessons_of(table)
    return {
        "picture": wiring_picture(table.circuit.netlist),
        "joints": list(JOINTS_OHM),
        "complaints": list(seen.complaints),
        "wide": wide_readings(table),
        "lessons": [_lesson(table, one) for one in lessons],
    }


def _lesson(table: BenchTable, lesson: Lesson) -> list[object]:
    steps = [_step(table, step) for step in lesson.steps]
    return [lesson.fault, lesson.complaint, steps, list(lesson.alike), lesson.looked_at]


def _step(table: BenchTable, step: LessonStep) -> list[object]:
    """Meter, leads, switches that are on, what it shows, how many it rules out and leaves, what a healthy door shows."""
    asked = step.ask.asked
    on = set(table.dead[step.place].on if asked.meter == OHMS else table.combinations[step.place].on)
    if step.credential:
        on |= {n for n, switch in enumerate(table.switches) if not switch.names}
    shown, usual = (shown_words(asked.meter, value) for value in (step.shown, step.usual))
    meter = "R" if asked.meter == OHMS else "V"
    return [meter, asked.plus, asked.minus, sorted(on), shown, step.ruled_out, step.left, usual]
