"""Worst cases against single solutions, and where the worst of them must lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from riserkit.circuits.cases import SourceLevel, State
from riserkit.circuits.circuit import circuits_of
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solve import solve
from riserkit.circuits.worst_cases import WORST_CASES, WorstCaseGroup, solve_worst_cases

ON = {"G1.mains": True}
PRESSED = {"G1.mains": True, "S3.pressed": True}


def solved_worst_cases(
    nets: Sequence[Netlist], low_c: float, high_c: float, states: Sequence[State] = ({},)
) -> WorstCaseGroup:
    """Netlists of one structure at all worst cases."""
    circuit = circuits_of(nets)[0].circuit
    return solve_worst_cases(circuit, (np.full(len(nets), low_c), np.full(len(nets), high_c)), states)


def test_every_worst_case_is_the_single_solution(magnet):
    nets = [magnet(0.2), magnet(0.9), magnet(1.5)]
    worst_cases = solved_worst_cases(nets, -20.0, 50.0, [ON, PRESSED])
    assert worst_cases.solution.count == 3 * 2 * 4
    for k, net in enumerate(nets):
        for s, state in enumerate((ON, PRESSED)):
            for c, worst_case in enumerate(WORST_CASES):
                one = solve(net, state, worst_case.level, 50.0 if worst_case.hot else -20.0)
                assert worst_cases.element_v("Y1.coil")[s, c, k] == one.element_v("Y1.coil")[0]
                assert worst_cases.element_a("K1.load")[s, c, k] == one.element_a("K1.load")[0]


def test_worst_case_by_hand(make):
    """10 V to 14 V, 1 Ω of copper at 20 °C, 9 Ω: lowest at 10 V and 60 °C, highest at 14 V and 0 °C."""
    parts = (
        make.component("G", "+ -", make.element("s", "source + -", v_nominal_v=12.0, v_low_v=10.0, v_high_v=14.0)),
        make.component("Y", "+ -", make.element("r", "resistor + -", r_ohm=9.0)),
    )
    wires = (make.conductor("1", "G.+", "Y.+", 0.5), make.conductor("2", "Y.-", "G.-", 0.5))
    worst_cases = solved_worst_cases([Netlist(parts, (), wires, (), "G.-")], 0.0, 60.0)
    volts = worst_cases.element_v("Y.r")[0, :, 0]
    hot, cold = 1.0 + 0.00393 * 40.0, 1.0 - 0.00393 * 20.0
    expected = [
        10.0 * 9.0 / (9.0 + cold),
        10.0 * 9.0 / (9.0 + hot),
        14.0 * 9.0 / (9.0 + cold),
        14.0 * 9.0 / (9.0 + hot),
    ]
    assert volts == pytest.approx(expected, rel=1e-6)
    assert str(WORST_CASES[int(volts.argmin())]) == "lowest source, hottest conductor"
    assert str(WORST_CASES[int(volts.argmax())]) == "highest source, coldest conductor"


def test_temperatures_may_differ_by_netlist(magnet):
    circuit = circuits_of([magnet(0.9), magnet(0.9)])[0].circuit
    near_v, far_v = solve_worst_cases(circuit, (np.array([0.0, 10.0]), np.array([40.0, 70.0])), [ON]).element_v(
        "Y1.coil"
    )[0, 1]
    assert far_v == solve(magnet(0.9), ON, SourceLevel.LOW, 70.0).element_v("Y1.coil")[0]
    assert near_v > far_v


def test_collapse_is_marked_for_its_netlist_alone(magnet):
    worst_cases = solved_worst_cases([magnet(0.2), magnet(9.0)], 0.0, 50.0, [ON])
    assert worst_cases.sound().all(axis=(0, 1)).tolist() == [True, False]
