"""A hundred random cases of state, fault and tamper act, each against ngspice."""

from __future__ import annotations

import random
import shutil
import subprocess

import numpy as np
import pytest

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.faults import Fault, effects_of, single_faults, tamper_acts
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import deck_of_case
from riserkit.circuits.states import all_states, outside_names

REACH = ("K1.L+", "K1.L-", "K1.D", "K1.R", "K1.IC", "S1.1", "S1.2")


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
@pytest.mark.slow
def test_random_cases(tmp_path, magnet):
    """Node voltages within 1e-6 of ngspice, from which a start that is no solution does not stand."""
    net, rng = magnet(), random.Random(5)
    faults: list[tuple[Fault, ...]] = [(f,) for f in single_faults(net)]
    faults += tamper_acts(net, REACH, ["W5.7"])
    single = list(dict.fromkeys(fault for together in faults for fault in together))
    topology, effects = effects_of(circuit_of(net).topology, single)
    circuit = Circuit(topology, circuit_of(net).params)
    states = all_states(outside_names(net), {"G1.mains": True})
    picked = [rng.choice(faults[:60]) if k % 2 else rng.choice(faults) for k in range(100)]
    acts = np.zeros((100, 2), dtype=np.int64)
    for k, together in enumerate(picked):
        acts[k, : len(together)] = [single.index(fault) + 1 for fault in together]
    cases = Cases(
        np.zeros(100, dtype=np.int64),
        np.array([rng.choice(list(SourceLevel)) for _ in range(100)], dtype=np.int8),
        np.array([rng.uniform(-20.0, 60.0) for _ in range(100)]),
        np.array([rng.randrange(len(states)) for _ in range(100)]),
        state_table(topology, states),
        acts,
        effects,
    )
    solution = solve_cases(circuit, cases)
    assert ((solution.trouble == 0) & (solution.adrift < 0)).all()
    path = tmp_path / "deck.cir"
    for k, together in enumerate(picked):
        deck = deck_of_case(circuit, cases, solution, k)
        path.write_text(deck.text, encoding="utf-8")
        run = subprocess.run(
            ["ngspice", "-b", str(path)], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False
        )
        theirs = deck.voltages_v(run.stdout)
        assert theirs.keys() == deck.nodes.keys(), (together, run.stdout, run.stderr)
        for name, volt in theirs.items():
            assert solution.v[topology.node(name), k] == pytest.approx(volt, rel=1e-6, abs=1e-7), (together, name)
