"""Every reading in volts of every arrangement against ngspice: idle, energised, released, on mains and on battery."""

from __future__ import annotations

import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.spice import spice_deck
from riserkit.wiring.readings.meter import VOLTS, Measurement, measure, set_up
from riserkit.wiring.readings.questions import questions
from tests.wiring.conftest import AT, SERVED, Doors

pytestmark = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
# nominal, then a worst case drawn by a fixed seed: its place among the worst cases, level, conductor temperature
WORST_CASES = ((0, SourceLevel.LOW, AT.coldest_c), (1, SourceLevel.LOW, AT.hottest_c), (2, SourceLevel.HIGH, AT.coldest_c),
           (3, SourceLevel.HIGH, AT.hottest_c))  # fmt: skip


def theirs_v(folder: Path, circuit: Any, asked: Measurement, level: SourceLevel, conductor_c: float) -> float:
    """What ngspice gives between the leads."""
    netlist = set_up(circuit.netlist, asked)
    known = {e.control for c in netlist.components for e in c.elements}
    state = {name: on for name, on in asked.outside.items() if name in known}
    deck = spice_deck(netlist, state, level, conductor_c)
    path = folder / "deck.cir"
    path.write_text(deck.text, encoding="utf-8")
    command = ["ngspice", "-b", str(path)]
    run = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    volts = deck.voltages_v(run.stdout)
    across = volts[asked.plus] - volts[asked.minus]
    return across - (volts[asked.less[0]] - volts[asked.less[1]]) if asked.less else across


@pytest.mark.parametrize("name", SERVED)
def test_every_voltage_on_the_sheet_agrees_with_ngspice(tmp_path: Path, name: str) -> None:
    circuit, rng, states = Doors().circuit(name), random.Random(8), set()
    asked = [q for q in questions(circuit) if q.asked.meter == VOLTS]
    shown = measure([circuit.netlist], [q.asked for q in asked], AT)
    for question, one in zip(asked, shown, strict=True):
        where = f"{question.what}: {question.state}"
        assert one.trouble[0] == 0, where
        place, level, conductor_c = rng.choice(WORST_CASES)
        nominal_v = theirs_v(tmp_path, circuit, question.asked, SourceLevel.NOMINAL, 20.0)
        worst_v = theirs_v(tmp_path, circuit, question.asked, level, conductor_c)
        assert one.nominal[0] == pytest.approx(nominal_v, rel=1e-5, abs=1e-6), where
        assert one.worst[place, 0] == pytest.approx(worst_v, rel=1e-5, abs=1e-6), where
        states.add(question.state)
    assert any("idle" in state for state in states)
    if name == "relay-external-supply":
        assert any("on battery" in state for state in states)
        assert any("battery charged" in state for state in states)
