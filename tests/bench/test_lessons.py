"""Lessons: the series finds the fault, is as short as can be, and `diagnose` agrees with the answer."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from riserkit.bench.faults import BenchFault, bench_faults
from riserkit.bench.lessons import Lesson, LessonStep, fewest_covering, lessons_of
from riserkit.bench.paper import in_turn, paper_lessons
from riserkit.bench.seen import (
    CARD_NO_EFFECT,
    NEVER_LOCKED,
    OFFLINE,
    RELEASE_NO_EFFECT,
    REX_ALWAYS,
    REX_NO_EFFECT,
    SHOWS_CLOSED,
    SHOWS_OPEN,
    SeenByAll,
)
from riserkit.bench.table import BenchTable
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.diagnose import Conclusion, diagnose
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.sights import read_sight
from riserkit.troubleshooting.suspects import Suspect, SuspectKind
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import OPEN_OHM, VOLTS
from tests.command import run
from tests.wiring.conftest import AT, Doors

SITE = Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site"
Tables = Callable[[str], BenchTable]
SAID_IN_WORDS = {
    CARD_NO_EFFECT: "card no effect", NEVER_LOCKED: "lock released", REX_NO_EFFECT: "REX no effect",
    RELEASE_NO_EFFECT: "release no effect", OFFLINE: "controller offline", REX_ALWAYS: "REX always on",
    SHOWS_OPEN: "door shows open", SHOWS_CLOSED: "door shows closed",
}  # fmt: skip
"""The same as `riserkit diagnose --sees` has it, where it has."""


def _fault(table: BenchTable, words: str, kind: str = "") -> int:
    return next(n for n, f in enumerate(table.faults) if words in f.words and (not kind or f.kind == kind))


def _said(table: BenchTable, seen: SeenByAll, fault: int) -> list[str]:
    return [words for words, under in zip(seen.complaints, seen.under, strict=True) if under[fault]]


def test_callers_say_what_a_fault_does(tables: Tables) -> None:
    table = tables("direct with peripherals")
    seen, _ = lessons_of(table)
    lock = table.circuit.locks[0]
    assert not seen.under[:, 0].any(), "nobody calls about a healthy door"
    assert _said(table, seen, _fault(table, f"coil of {lock} open"))[0] == CARD_NO_EFFECT
    assert _said(table, seen, _fault(table, "contact of B1", "contact stuck")) != []
    assert _said(table, seen, _fault(table, "lock output of K1 stays on"))[0] == NEVER_LOCKED
    assert _said(table, seen, _fault(table, "PoE cable W"))[0] == OFFLINE
    door_wire = next(c.ref for c in table.circuit.netlist.conductors if str(c.a) == "K1.DOOR")
    broken = next(n for n, f in enumerate(table.faults) if f.blames == {door_wire} and f.kind == "wire open")
    assert SHOWS_OPEN in _said(table, seen, broken)
    assert REX_NO_EFFECT in seen.complaints
    assert REX_ALWAYS in seen.complaints


@pytest.mark.parametrize(("variant", "asked"), [("direct", 5), ("direct with peripherals", 5), ("relay by voltage", 2)])
def test_answers_agree_with_diagnose(tables: Tables, variant: str, asked: int) -> None:
    """Told the complaint and the lesson's readings, `diagnose` has the fault among those left.

    What else it leaves the lesson leaves too, or the lesson rules it out by a reading of the tables, which are of parts as
    stated, where the whole range that `diagnose` allows reaches the reading. Then that range is at least as wide as the two
    are apart, but for the meter's error: derived, since the range holds the value of the tables.
    """
    table, chance = tables(variant), random.Random(variant)
    seen, lessons = lessons_of(table)
    told = [one for one in lessons if one.steps and seen.complaints[one.complaint] in SAID_IN_WORDS]
    for lesson in chance.sample(told, asked):
        fault, complaint = table.faults[lesson.fault], _complaint(table, seen, lesson)
        readings = [_observed(step) for step in lesson.steps]
        found = diagnose(table.circuit, [*complaint, *readings], AT)
        assert found.verdict is Conclusion.SINGLE, fault.words
        assert any(_is(c.suspect, fault) for c in found.candidates), fault.words
        alike = [fault, *(table.faults[n] for n in lesson.alike)]
        for candidate in found.candidates:
            if candidate.suspect.joint_ohm or any(_is(candidate.suspect, one) for one in alike):
                continue  # between the resistances of the tables a joint may show anything between theirs
            if candidate.suspect.kind is SuspectKind.OTHER_PART:
                continue  # the tables are of the wiring
            other = next(n for n, one in enumerate(table.faults) if one.words == candidate.suspect.words)
            for step, reading, band in zip(lesson.steps, readings, candidate.predicted[len(complaint) :], strict=True):
                usual = _shown(table, step, other)
                if band is None or usual is None or band[0] <= usual <= band[1]:
                    apart = 0.0 if usual is None else max(usual - reading.high, reading.low - usual)
                    assert band is None or band[1] - band[0] >= min(apart, 1e3) - 1e-3, (
                        fault.words,
                        other,
                        usual,
                        band,
                    )
                assert band is None or (band[0] <= reading.high and band[1] >= reading.low)


def _shown(table: BenchTable, step: LessonStep, fault: int) -> float | None:
    asked = step.ask.asked
    if asked.meter == VOLTS:
        return table.volts(fault, step.place, step.credential, asked.plus, asked.minus)
    return table.ohms_between(fault, step.place, asked.plus, asked.minus)


def _complaint(table: BenchTable, seen: SeenByAll, lesson: Lesson) -> list[Observation]:
    try:
        return list(read_sight(table.circuit, SAID_IN_WORDS[seen.complaints[lesson.complaint]]))
    except RiserkitError:
        return []


def _observed(step: object) -> Observation:
    asked, value = step.ask.asked, step.shown  # type: ignore[attr-defined]
    if asked.meter == VOLTS:
        error = METER_V + METER_SHARE * abs(value)
        return Observation(str(value), asked, value - error, value + error)
    if value >= OPEN_OHM:
        return Observation("open", asked, OPEN_OHM / 10.0, float("inf"))
    error = CONTINUITY_TOLERANCE * value + LEADS_OHM
    return Observation(str(value), asked, max(0.0, value - error), value + error)


def _is(suspect: Suspect, fault: BenchFault) -> bool:
    if fault.joint_ohm and suspect.joint_ohm:
        low, high = suspect.joint_ohm
        return suspect.blames == fault.blames and low <= fault.joint_ohm <= high
    return suspect.words == fault.words


def test_steps_count_down_to_the_fault_and_what_is_like_it(tables: Tables) -> None:
    table = tables("direct with peripherals")
    _, lessons = lessons_of(table)
    assert len(lessons) > 40
    for lesson in lessons:
        left = lesson.candidates
        for step in lesson.steps:
            assert step.ruled_out > 0
            left -= step.ruled_out
            assert left == step.left
        assert left == 1 + len(lesson.alike)
        assert lesson.fault not in lesson.alike
    assert len({table.faults[one.fault].kind for one in lessons}) >= 8


def test_an_answer_says_what_a_look_at_the_wires_shows(tables: Tables) -> None:
    table = tables("direct with peripherals")
    _, lessons = lessons_of(table)
    told = {table.faults[one.fault].kind: (table.faults[one.fault], one.looked_at) for one in lessons}
    for kind, words in {
        "wires exchanged": "are not as listed", "wire open": "may be seen at",
        "wires shorted": "nothing; every wire", "poor joint": "nothing; every wire",
    }.items():  # fmt: skip
        fault, looked_at = told[kind]
        assert words in looked_at, fault.words
    exchanged, looked_at = told["wires exchanged"]
    ends = {str(end) for c in table.circuit.netlist.conductors if c.ref in exchanged.blames for end in (c.a, c.b)}
    assert len(ends & set(looked_at.partition("wires at ")[2].partition(" are")[0].split(", "))) >= 2


def test_the_fewest_sets_are_found() -> None:
    """Against every choice of sets, for random ones."""
    chance = np.random.default_rng(7)
    for _ in range(60):
        sets = chance.random((7, 6)) < 0.4
        effort = chance.uniform(1.0, 3.0, 7)
        found = fewest_covering(sets, effort)
        covers = [
            few for count in range(1, 8) for few in combinations(range(7), count) if sets[list(few)].any(axis=0).all()
        ]
        if not covers:
            assert found is None
            continue
        assert found is not None
        assert sets[found].any(axis=0).all()
        if len(covers[0]) <= 3:
            assert len(found) == len(covers[0])
            least = min(effort[list(few)].sum() for few in covers if len(few) == len(found))
            assert effort[found].sum() == pytest.approx(least)


def test_a_printed_set_has_its_answers_apart_and_is_the_same_again(tmp_path: Path) -> None:
    site = Path(shutil.copytree(SITE, tmp_path / "site"))
    for name in ("openings.csv", "confirmations.csv"):  # one of the two doors shows it
        rows = (site / name).read_text("utf-8").splitlines(keepends=True)
        (site / name).write_text("".join(row for row in rows if not row.startswith("2,")), "utf-8")
    told = []
    for name in ("one", "two"):
        done = run("lesson", site, "-n", "3", "--seed", "5", "-o", tmp_path / name)
        assert done.exit_code == 0, done.output
        assert "3 lessons written" in done.output
        told.append([(tmp_path / name / file).read_text("utf-8") for file in ("lessons.html", "answers.html")])
    assert told[0] == told[1]
    asked, answered = told[0]
    assert asked.count("Caller:") == answered.count("Caller:") == 3
    assert answered.count("It was:") == answered.count("Without a meter:") == 3
    assert "It was:" not in asked
    assert "authority having jurisdiction" in asked


def test_a_printed_set_has_each_kind_of_fault_before_any_comes_again() -> None:
    """Most pairs of wires are exchanged by nobody: drawn evenly they were a third of a set."""
    circuit = Doors().circuit("direct-with-peripherals")
    kind = {fault.words: fault.kind for fault in bench_faults(circuit)}
    whole = paper_lessons([("1", circuit)], 500, 2)
    told = [kind[one.answer] for one in whole]
    first = told[: len(set(told))]
    assert len(set(first)) == len(first) >= 6, first
    assert paper_lessons([("1", circuit)], 8, 2) == whole[:8]


def test_what_is_met_often_comes_sooner() -> None:
    """Of three of one kind, met once and twice and seven times in ten, each is drawn first as often as it is met."""
    faults = [("open", 1.0), ("open", 2.0), ("open", 7.0)]
    first = [in_turn(faults, random.Random(seed))[0] for seed in range(2000)]
    # within four standard deviations
    assert [first.count(k) for k in range(3)] == [
        pytest.approx(2000 * share, abs=4.0 * (2000 * share * (1.0 - share)) ** 0.5) for share in (0.1, 0.2, 0.7)
    ]
    mixed = [("exchanged", 0.1)] * 50 + [("open", 1.0), ("dead", 0.1)]
    assert {mixed[k][0] for k in in_turn(mixed, random.Random(1))[:3]} == {"exchanged", "open", "dead"}
