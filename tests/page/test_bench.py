"""The bench in a real browser: its numbers are the solver's, its controls work, a lesson is done as a learner does it."""

from __future__ import annotations

import random
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from riserkit.bench.faults import bench_faults
from riserkit.bench.script import MOST_BYTES
from riserkit.bench.switches import bench_switches, live_combinations
from riserkit.bench.topology import topology_name
from riserkit.troubleshooting.suspects import netlist_of
from riserkit.wiring.arrangement import DoorCircuit
from tests.bench.measured import Door, pick
from tests.page.conftest import FREE, HELD, quiet_tab

MARKS = (FREE, HELD)
CASES = 150
"""Door, state, fault and pair of terminals, for each of the two doors."""
_BY_NGSPICE = 15
_HALF_DIGIT_V = 0.005
_BESIDE_V = 0.0015
"""What the meter leaves of a voltage behind less than 1.1 kohm is taken as all of it: 0.01 % of 13.7 V."""


@pytest.fixture
def tab(chromium: Any) -> Iterator[Any]:
    with quiet_tab(chromium, 1280, 900) as page:
        yield page


def _open(tab: Any, folder: Path, mark: str) -> Any:
    tab.goto(f"file://{folder}/doors/{mark}.html")
    tab.wait_for_selector("#bench[data-ready]")
    return tab


def _shown(tab: Any, asked: list[list[Any]]) -> list[str]:
    shown: list[str] = tab.evaluate("asked => asked.map(one => window.riserkitBenchReading(...one))", asked)
    return shown


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.slow
def test_numbers_are_the_solvers_and_those_of_ngspice(
    tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit], tmp_path: Path, mark: str
) -> None:
    circuit, chance = circuits[mark], random.Random(int(mark))
    switches = bench_switches(circuit)
    faults = [f for f in bench_faults(circuit) if netlist_of(circuit, f.way) is not None]
    combinations = live_combinations(circuit, switches)
    terminals = [f"{c.ref}.{t.name}" for c in circuit.netlist.components for t in c.terminals]
    asked: list[list[Any]] = []
    for _ in range(CASES):
        fault = chance.randrange(len(faults))
        on = sorted(chance.choice(combinations).on) + ([0] if chance.random() < 0.5 else [])
        blamed = {str(e) for c in circuit.netlist.conductors if c.ref in faults[fault].blames for e in (c.a, c.b)}
        ends = pick(chance, sorted(blamed) if len(blamed) > 1 and chance.random() < 0.4 else terminals)
        asked.append([fault, on, "volts", *ends])
    shown = _shown(_open(tab, page_folder, mark), asked)
    steady = outside = 0
    for (fault, on, _, plus, minus), text in zip(asked, shown, strict=True):
        own = Door.of(circuit, faults[fault]).volts(switches, on, plus, minus)
        where = f"{faults[fault].words}; {[switches[n].words for n in on]}; {plus} to {minus}"
        if own.volts is None:
            assert text == "unsteady", where
            continue
        found = float(text.removesuffix(" V"))
        assert abs(found - own.volts) <= _HALF_DIGIT_V + _BESIDE_V, where
        steady += 1
        if outside < _BY_NGSPICE and abs(own.volts) > 0.5 and (theirs := own.by_ngspice(tmp_path)) is not None:
            assert found == pytest.approx(theirs, rel=0.01, abs=_HALF_DIGIT_V + _BESIDE_V), where
            outside += 1
    assert steady > CASES * 0.8
    assert outside == _BY_NGSPICE or shutil.which("ngspice") is None


def test_ohms_only_with_power_off(tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit]) -> None:
    circuit = circuits[HELD]
    switches = bench_switches(circuit)
    ends = circuit.netlist.ends(circuit.coil(circuit.locks[0]))
    powers = [n for n, s in enumerate(switches) if s.is_power]
    page = _open(tab, page_folder, HELD)
    page.click("#bench button:text-is('Ω')")
    page.wait_for_function("document.querySelector('.bench-reading').textContent.length > 0")
    on, off = _shown(page, [[0, [], "ohms", *ends], [0, powers, "ohms", *ends]])
    assert "power off" in on.lower()
    coil_ohm = circuit.netlist.element(circuit.coil(circuit.locks[0])).values["r_ohm"]
    assert off == f"{coil_ohm:.1f} Ω"
    assert np.isfinite(coil_ohm)


def test_every_switch_and_the_lock(tab: Any, page_folder: Path) -> None:
    page = _open(tab, page_folder, HELD)
    lock = page.locator(".bench-lock")
    assert lock.inner_text() == "Locked"
    for words in page.locator(".bench-switches button[aria-pressed]").all_inner_texts()[:7]:
        button = page.locator("#bench button", has_text=words).first
        button.click()
        assert button.get_attribute("aria-pressed") == "true"
        assert page.locator(".bench-why li").count() >= 2
        if words in {"Card at the reader", "Somebody at the REX", "Manual release pressed"}:
            assert lock.inner_text() == "Released"
        button.click()
    assert lock.inner_text() == "Locked"
    page.click("#bench button:text-is('All power off')")
    assert lock.inner_text() == "Released"
    assert "not read" in page.locator(".bench-state ul").nth(1).inner_text()


def test_a_fault_from_the_wiring_and_probes_on_terminals(tab: Any, page_folder: Path) -> None:
    page = _open(tab, page_folder, FREE)
    page.select_option("#bench-red", label="M1.+")
    page.select_option("#bench-black", label="M1.-")
    page.click("#bench button:text-is('Card at the reader')")
    healthy = float(page.inner_text(".bench-reading").removesuffix(" V"))
    assert healthy > 11.0
    assert page.locator(".bench-arrows path").count() > 2
    page.locator(".bench-wire-hit").last.dispatch_event("click")
    assert page.input_value("#bench-where").startswith("w ")
    page.select_option("#bench-where", "d M1")
    page.select_option("#bench-fault", label="coil of M1 shorted")
    assert "shorted" in page.inner_text("#bench")
    assert abs(float(page.inner_text(".bench-reading").removesuffix(" V"))) < 1.0
    assert "at its limit" in page.inner_text(".bench-why")
    page.locator("svg .bench-hit").last.dispatch_event("click")
    assert page.input_value("#bench-red") != "-1"
    assert page.locator("details tbody tr").count() >= 1


def test_a_lesson_as_a_learner_does_it(tab: Any, page_folder: Path) -> None:
    page = _open(tab, page_folder, FREE)
    page.fill("#bench-seed", "7")
    page.click("#bench button:text-is('Start lesson')")
    complaint = page.inner_text(".bench-complaint")
    assert complaint.startswith("Caller: ")
    # what nobody sees at a door is measured
    assert "across" not in page.inner_text(".bench-why") and page.inner_text(".bench-lock")
    assert page.locator("svg .bench-flows").count() == 0
    assert "nobody sees a current" in page.locator("#bench details tbody").text_content()
    assert not page.is_visible("#bench-finder")
    page.select_option("#bench-red", label="M1.+")
    page.select_option("#bench-black", label="M1.-")
    page.click("#bench button:text-is('Card at the reader')")
    assert re.fullmatch(r"2 readings\.", page.locator(".bench-lesson [role=status]").first.inner_text())
    page.click("#bench button:text-is('Answer')")
    assert "Choose a fault first" in page.inner_text(".bench-lesson")
    page.select_option("#bench-fault", index=3)
    page.click("#bench button:text-is('Answer')")
    answer = page.inner_text(".bench-lesson")
    assert "It was:" in answer
    assert "You took 2 readings" in answer
    assert "Without a meter: " in answer
    assert "across" in page.inner_text(".bench-why") and page.is_visible("#bench-finder")
    # each reading of the series shows on the bench what the answer says it does
    assert page.locator(".bench-lesson ol > li").count() > 0
    for n in range(page.locator(".bench-lesson ol > li").count()):
        row = page.locator(".bench-lesson ol > li").nth(n)
        said = row.inner_text().partition(": ")[2].partition(" (healthy")[0].replace("kohm", "kΩ").replace("ohm", "Ω")
        row.locator("button").click()
        page.wait_for_timeout(100)
        assert page.inner_text(".bench-reading") == said
    page.click("#bench button:text-is('Next lesson')")
    page.fill("#bench-seed", "7")
    page.click("#bench button:text-is('Start lesson')")
    assert page.inner_text(".bench-complaint") == complaint


@pytest.mark.slow
def test_tables_are_small_and_shared_and_quick(tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit]) -> None:
    files = {path.stem: path.stat().st_size for path in (page_folder / "bench").iterdir()}
    assert set(files) == {topology_name(circuit) for circuit in circuits.values()}
    assert max(files.values()) <= MOST_BYTES
    page = _open(tab, page_folder, HELD)
    took_ms = page.evaluate("performance.getEntriesByName('bench ready')[0].duration")
    assert took_ms < 3000.0, "from the script's start to the first view; a third of it on a machine that is not busy"
