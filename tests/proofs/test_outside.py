"""Checks from outside: random cases against ngspice, and contact-only circuits against reachability in a graph."""

from __future__ import annotations

import random
import shutil
import subprocess
from itertools import product

import networkx as nx
import numpy as np
import pytest

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.faults import FaultKind, effects_of, single_faults
from riserkit.circuits.kept_cases import EITHER, POWERED, RELEASED
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import deck_of_case
from riserkit.circuits.states import all_states, outside_names
from riserkit.proofs.behaviour import ROOM_C, single_circuit, solve_door

MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", "fire_alarm_release": True}


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
@pytest.mark.parametrize("arrangement", ["splitter-magnet", "relay-external-supply", "controller-contact"])
def test_a_hundred_random_cases_have_the_lock_as_ngspice_has_it(site_of, arrangement, tmp_path):
    """Fifty cases of each of three shipped circuits: volts at the lock, and so how it stands, by another solver."""
    controller = "controller-dry" if arrangement == "controller-contact" else "controller-c4"
    wired = site_of({**MAGNET, "controller": controller, "arrangement": arrangement}).door["101"].wiring.circuit
    seen = solve_door(single_circuit(wired), True, ROOM_C)
    rng = random.Random(11)
    topology, effects = effects_of(circuit_of(wired.netlist).topology, single_faults(wired.netlist))
    circuit = Circuit(topology, circuit_of(wired.netlist).params)
    rows = [rng.randrange(len(seen.faults)) for _ in range(50)]
    columns = [rng.randrange(len(seen.states)) for _ in range(50)]
    cases = Cases(
        column=np.zeros(50, dtype=np.int64), level=np.full(50, SourceLevel.HIGH, dtype=np.int8),
        conductor_c=np.full(50, ROOM_C[0]), state=np.array(columns), states=state_table(topology, seen.states),
        acts=np.array(rows)[:, None], effects=effects, energised=True,
    )  # fmt: skip
    solution = solve_cases(circuit, cases)
    coil = seen.high.coil_index("M1.coil")
    path = tmp_path / "deck.cir"
    for k, (row, column) in enumerate(zip(rows, columns, strict=True)):
        deck = deck_of_case(circuit, cases, solution, k)
        path.write_text(deck.text, encoding="utf-8")
        run = subprocess.run(
            ["ngspice", "-b", str(path)], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False
        )
        theirs = deck.voltages_v(run.stdout)
        volts = abs(theirs.get("M1.+", 0.0) - theirs.get("M1.-", 0.0))
        assert volts == pytest.approx(abs(seen.high.coil_v[row, column, coil]), abs=1e-4), (seen.faults[row], column)
        stands = POWERED if volts >= 8.4 else RELEASED if volts < 0.6 else EITHER
        assert seen.high.coil[row, column, coil] == stands


@pytest.mark.parametrize("seed", range(6))
def test_contacts_alone_agree_with_reachability_in_a_graph(lab, seed):
    """A lock behind random contacts: powered exactly where both its ends reach the two poles and nothing shorts them."""
    rng = random.Random(seed)
    nodes = ["a", "b", "c", "d"]
    ends = [("p", "a"), *((rng.choice(["p", *nodes]), rng.choice(nodes)) for _ in range(5)), (rng.choice(nodes), "q")]
    ends = [(a, b) for a, b in ends if a != b]
    board = lab.part(
        "Z1", "p q a b c d",
        *(lab.contact(f"c{k}", a, b, f"Z1.s{k % 4}", rng.random() < 0.5) for k, (a, b) in enumerate(ends)),
    )  # fmt: skip
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 48.0, 9.0, 1.8))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 12.0))
    wires = (("W1", "G1.S+", "Z1.p"), ("W2", "Z1.q", "M1.+"), ("W3", "M1.-", "G1.S-"))
    wired = lab.circuit(wires, board, G1=supply, M1=strike)
    seen = solve_door(single_circuit(wired), False, ROOM_C)
    assert seen.states == all_states(outside_names(wired.netlist))
    judged = 0
    for (row, faults), (column, state) in product(enumerate(seen.faults), enumerate(seen.states)):
        if faults and faults[0].kind is FaultKind.CONDUCTOR_EARTHED:
            continue
        expected = _reaches(wired.netlist, state, faults)
        assert bool(seen.opened[row, column]) == expected, (faults, state)
        assert bool(seen.locked[row, column]) != expected
        judged += 1
    assert judged >= 16 * 10


def _reaches(netlist, state, faults):
    """Whether plus reaches the lock's plus and its minus the supply's, over conductors and closed contacts alone."""
    out = {(f.kind, f.subjects[0]) for f in faults}
    if (FaultKind.SUPPLY_DEAD, "G1.output") in out:
        return False
    graph = nx.Graph()
    graph.add_nodes_from(("G1.S+", "G1.S-", "M1.+", "M1.-"))
    for conductor in netlist.conductors:
        if (FaultKind.CONDUCTOR_OPEN, conductor.ref) not in out:
            graph.add_edge(str(conductor.a), str(conductor.b))
    for component in netlist.components:
        for element in component.elements:
            name = f"{component.ref}.{element.name}"
            if element.kind is not ElementKind.CONTACT or (FaultKind.CONTACT_OPEN, name) in out:
                continue
            closed = state[element.control] != element.normally_closed
            if closed or (FaultKind.CONTACT_WELDED, name) in out:
                graph.add_edge(f"{component.ref}.{element.a}", f"{component.ref}.{element.b}")
    return nx.has_path(graph, "G1.S+", "M1.+") and nx.has_path(graph, "M1.-", "G1.S-")
