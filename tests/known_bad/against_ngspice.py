"""Random cases of state, fault and worst case over the circuits of all sound designs, each solved by ngspice as well.

Run `python -m tests.known_bad.against_ngspice 10000`; it prints how many cases were drawn, how many node voltages were
compared, the largest difference, and every disagreement beyond 1 %. A case counts as a disagreement also where a relay stands
otherwise than ngspice's own voltage at its coil makes it stand.

Not compared are cases without a steady state (a relay that chatters); they are counted. Node voltages of islands without a
path to the reference hang on a tie that the deck states; they are compared like all others.
"""

from __future__ import annotations

import random
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.faults import Fault, effects_of, single_faults, tamper_acts
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import SpiceDeck, deck_of_case
from riserkit.circuits.states import outside_names
from riserkit.circuits.topology import key_of
from riserkit.proofs.attack import reach_of

from .designs import cases, design_of

WITHIN = 0.01
"""A hundredth of the larger of the two voltages; of voltages below `FLOOR_V`, of that."""
FLOOR_V = 0.1
_AT_ONCE = 25
_MARK = "case-number"
_TIE = re.compile(r"^Rtie\d+ (n\d+) t\d+ 1\nVtie\d+ t\d+ 0 (\S+)$", re.MULTILINE)


@dataclass
class Tally:
    """What was drawn, compared and found."""

    drawn: Counter[str] = field(default_factory=Counter)
    compared: int = 0
    voltages: int = 0
    unsettled: int = 0
    worst: float = 0.0
    seeded: int = 0
    disagreements: list[str] = field(default_factory=list)


def circuits() -> Iterator[tuple[str, Netlist]]:
    """Arrangement and netlist of the sound designs' first doors, one of each structure."""
    seen = set()
    for case in cases("sound"):
        door = design_of(case).doors[0]
        if door.wiring.chosen is not None and door.wiring.circuit is not None:
            netlist = door.wiring.circuit.netlist
            if (key := key_of(netlist)) not in seen:
                seen.add(key)
                yield door.wiring.chosen.arrangement, netlist


def compare(count: int, seed: int, of: Sequence[tuple[str, Netlist]]) -> Tally:
    """Draw `count` cases over these circuits in turn and compare each with ngspice."""
    tally, rng = Tally(), random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        for place, (name, netlist) in enumerate(of):
            share = count // len(of) + (place < count % len(of))
            for start in range(0, share, _AT_ONCE):
                drawn = min(_AT_ONCE, share - start)
                tally.drawn[name] += drawn
                _compare(tally, rng, (name, netlist), drawn, Path(folder))
    return tally


def _compare(tally: Tally, rng: random.Random, of: tuple[str, Netlist], count: int, folder: Path) -> None:
    name, netlist = of
    circuit, drawn, faults = _draw(rng, netlist, count)
    solution = solve_cases(circuit, drawn)
    sound = np.flatnonzero((solution.trouble == 0) & (solution.adrift < 0) & (solution.shorted < 0))
    tally.unsettled += count - len(sound)
    # A constant-power load has two working points; everywhere else ngspice starts from nothing and has to find its own.
    led = bool(circuit.topology.of_kind(ElementKind.POWER_LOAD))
    decks = {int(k): deck_of_case(circuit, drawn, solution, int(k), (name, led)) for k in sound}
    found = _run(decks, folder)
    for k, deck in decks.items():
        theirs = found.get(k, {})
        if theirs.keys() != deck.nodes.keys() or max(map(abs, theirs.values())) > 1e3 or _tie_carries(deck, theirs):
            # Newton went in circles between segments, or lost an island's tie in the rounding of a matrix singular on its
            # way; led to our point, it stays there only if that is a solution.
            tally.seeded += 1
            theirs = _run({k: deck_of_case(circuit, drawn, solution, k, (name, True))}, folder).get(k, {})
        what = f"{name} {netlist.reference_node} {[str(f) for f in faults[k]]}"
        if theirs.keys() != deck.nodes.keys():
            tally.disagreements.append(f"{what}: ngspice found no working point")
            continue
        tally.compared += 1
        _nodes(tally, what, solution, k, theirs)
        _relays(tally, what, netlist, solution, k, theirs)


def _draw(rng: random.Random, netlist: Netlist, count: int) -> tuple[Circuit, Cases, list[tuple[Fault, ...]]]:
    """Cases at random: a fifth healthy, three fifths with one fault, a fifth with what an attacker can do."""
    reach = reach_of(netlist)
    single = [(f,) for f in single_faults(netlist)]
    acts = list(tamper_acts(netlist, reach.terminals, reach.conductors)) or single
    picked = [
        rng.choice(((), rng.choice(single), rng.choice(single), rng.choice(single), rng.choice(acts)))
        for _ in range(count)
    ]
    faults = list(dict.fromkeys(fault for together in picked for fault in together))
    plain = circuit_of(netlist)
    topology, effects = effects_of(plain.topology, faults)
    rows = np.zeros((count, 2), dtype=np.int64)
    for k, together in enumerate(picked):
        rows[k, : len(together)] = [faults.index(fault) + 1 for fault in together]
    names = outside_names(netlist)
    states = [{name: rng.random() < 0.3 for name in names} for _ in range(count)]
    drawn = Cases(
        column=np.zeros(count, dtype=np.int64),
        level=np.array([rng.choice(list(SourceLevel)) for _ in range(count)], dtype=np.int8),
        conductor_c=np.array([rng.uniform(-25.0, 60.0) for _ in range(count)]),
        state=np.arange(count),
        states=state_table(topology, states),
        acts=rows,
        effects=effects,
    )
    return Circuit(topology, plain.params), drawn, picked


def _run(decks: dict[int, SpiceDeck], folder: Path) -> dict[int, dict[str, float]]:
    """Node voltages of each deck, all in one run of ngspice."""
    lines = ["* all decks one after another", ".control"]
    for k, deck in decks.items():
        path = folder / f"{k}.cir"
        path.write_text(deck.text, "utf-8")
        lines += [f"echo {_MARK} {k}", f"source {path}", "remcirc", "destroy all"]
    driver = folder / "all.cir"
    driver.write_text("\n".join([*lines, "quit", ".endc", "R1 1 0 1", ".end", ""]), "utf-8")
    run = subprocess.run(
        ["ngspice", "-b", str(driver)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    found = {}
    for part in run.stdout.split(_MARK)[1:]:
        number, _, text = part.partition("\n")
        k = int(number)
        found[k] = decks[k].voltages_v(text)
    return found


def _tie_carries(deck: SpiceDeck, theirs: dict[str, float]) -> bool:
    """Whether ngspice's answer sends a current through what ties an island to the reference, which nothing can return."""
    by_spice = {spice: theirs[name] for name, spice in deck.nodes.items() if name in theirs}
    return any(abs(by_spice.get(node, 0.0) - float(volt)) > 1e-3 for node, volt in _TIE.findall(deck.text))


def _nodes(tally: Tally, what: str, solution: Solution, k: int, theirs: dict[str, float]) -> None:
    for node, volt in theirs.items():
        ours = float(solution.v[solution.topology.node(node), k])
        off = abs(ours - volt) / max(abs(ours), abs(volt), FLOOR_V)
        tally.voltages += 1
        tally.worst = max(tally.worst, off)
        if off > WITHIN:
            tally.disagreements.append(f"{what}: {node} {ours:.4f} V, ngspice {volt:.4f} V")


def _relays(tally: Tally, what: str, netlist: Netlist, solution: Solution, k: int, theirs: dict[str, float]) -> None:
    """Every relay stands as ngspice's voltage at its coil makes it stand."""
    topology = solution.topology
    for place, mover in enumerate(topology.movers):
        branch = topology.elements[mover]
        ref, _, name = branch.name.partition(".")
        values = next(e.values for e in netlist.component(ref).elements if e.name == name)
        if "v_pull_in_v" not in values or not solution.gate[mover, k]:
            continue
        across = abs(theirs.get(topology.nodes[branch.a], 0.0) - theirs.get(topology.nodes[branch.b], 0.0))
        on = bool(solution.coil[place, k])
        if (on and across < values["v_drop_out_v"] * (1 - WITHIN)) or (
            not on and across >= values["v_pull_in_v"] * (1 + WITHIN)
        ):
            tally.disagreements.append(f"{what}: {branch.name} {'picked up' if on else 'at rest'} at {across:.3f} V")


def main() -> None:
    """Compare as many cases as the first argument says, 10,000 without one."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    began = time.perf_counter()
    of = list(circuits())
    tally = compare(count, 20260314, of)
    print(f"{len(of)} circuits; cases by arrangement: {dict(sorted(tally.drawn.items()))}")
    print(f"{tally.compared} cases compared, {tally.voltages} node voltages, largest difference {tally.worst:.2e}")
    print(f"{tally.unsettled} cases without a steady state not compared; {tally.seeded} led to our point")
    print(f"{len(tally.disagreements)} disagreements beyond 1 %; {time.perf_counter() - began:.0f} s")
    print("\n".join(tally.disagreements[:20]))


if __name__ == "__main__":
    main()
