"""Solve many doors' circuits at all worst cases in one process, against ngspice started once for each circuit and worst case.

    python tests/benchmarks/bench_circuits.py --doors 10000 --sample 30

Both are given the same netlists (one structure, every door with its own resistances) and go from netlist to node
voltages. ngspice is measured on a sample and extrapolated to all doors; its contacts come settled from the deck.
"""

from __future__ import annotations

import argparse
import importlib.util
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from types import ModuleType

import numpy as np

from riserkit.circuits.cases import plain_cases
from riserkit.circuits.circuit import circuit_of, circuits_of
from riserkit.circuits.faults import single_faults
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import deck_of_case
from riserkit.circuits.states import all_states, outside_names
from riserkit.circuits.study import study
from riserkit.circuits.worst_cases import WORST_CASES, solve_worst_cases

STATE = {"G1.mains": True}


def sample_netlists() -> ModuleType:
    """The netlist builder of the circuit tests."""
    path = Path(__file__).parents[1] / "circuits" / "conftest.py"
    spec = importlib.util.spec_from_file_location("circuit_samples", path)
    if spec is None or spec.loader is None:
        raise ImportError(f"cannot load {path}")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def our_seconds(nets: list[Netlist]) -> float:
    """From netlists to voltages at all worst cases, best of three."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        solved = []
        for group in circuits_of(nets):
            ends_c = np.full(group.index.size, 0.0), np.full(group.index.size, 50.0)
            solved.append(solve_worst_cases(group.circuit, ends_c, [STATE]))
        times.append(time.perf_counter() - start)
        for worst_cases in solved:
            worst_cases.solution.demand_sound()
    return min(times)


def ngspice_seconds(nets: list[Netlist], ngspice: str) -> float:
    """Mean seconds a run, without the time to write the deck."""
    spent, runs = 0.0, 0
    with tempfile.TemporaryDirectory() as folder:
        for net in nets:
            circuit = circuit_of(net)
            for worst_case in WORST_CASES:
                cases = plain_cases(circuit, [STATE], worst_case.level, 50.0 if worst_case.hot else 0.0)
                deck = deck_of_case(circuit, cases, solve_cases(circuit, cases), 0)
                path = Path(folder) / "deck.cir"
                path.write_text(deck.text, encoding="utf-8")
                start = time.perf_counter()
                run = subprocess.run(
                    [ngspice, "-b", str(path)], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False
                )
                spent += time.perf_counter() - start
                runs += 1
                if deck.voltages_v(run.stdout).keys() != deck.nodes.keys():
                    raise RuntimeError(f"ngspice found no working point: {run.stderr}")
    return spent / runs


def main() -> int:
    """Print times and their ratio; 1 if the ratio is under 100, 2 without ngspice."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--doors", type=int, default=10_000, help="doors solved by riserkit (default %(default)s)")
    parser.add_argument("--sample", type=int, default=30, help="doors run through ngspice (default %(default)s)")
    args = parser.parse_args()
    build = sample_netlists().held_magnet
    nets = [build(0.1 + 1e-5 * k, 20.0 + 1e-3 * k) for k in range(args.doors)]
    ours_s = our_seconds(nets)
    cases = args.doors * len(WORST_CASES)
    print(f"riserkit: {args.doors} doors x {len(WORST_CASES)} worst cases = {cases} cases in {ours_s:.2f} s")

    faults = [(), *((fault,) for fault in single_faults(nets[0]))]
    states = all_states(outside_names(nets[0]))
    start = time.perf_counter()
    count = study(nets[0], states, faults).count
    print(
        f"riserkit: {len(states)} states x {len(faults)} faults = {count} cases in {time.perf_counter() - start:.2f} s"
    )

    ngspice = shutil.which("ngspice")
    if ngspice is None:
        print("ngspice is not installed: no ratio")
        return 2
    run_s = ngspice_seconds(nets[: args.sample], ngspice)
    print(f"ngspice: {1e3 * run_s:.1f} ms a run, measured on {args.sample * len(WORST_CASES)} runs")
    once, at_all = args.doors * run_s / ours_s, cases * run_s / ours_s
    print(
        f"one run a door, one worst case each, extrapolated: {args.doors * run_s:.0f} s, {once:.0f} times riserkit's time"
    )
    print(
        f"one run a door and worst case, extrapolated:       {cases * run_s:.0f} s, {at_all:.0f} times riserkit's time"
    )
    return 0 if once >= 100.0 else 1


if __name__ == "__main__":
    sys.exit(main())
