"""The closed form of a power-fed link against the solver and at its limits."""

from __future__ import annotations

import numpy as np
import pytest

from riserkit.circuits.constant_power import power_link
from riserkit.circuits.errors import CircuitValueError
from riserkit.circuits.settle import Solver
from riserkit.circuits.solve import solve


@pytest.mark.parametrize(
    ("v", "r", "p"), [(50.0, 12.5, 25.5), (44.0, 20.0, 12.95), (52.0, 6.25, 71.3), (48.0, 1e-3, 60.0)]
)
def test_agrees_with_the_solver(make, v, r, p):
    net = make.board(
        "0 1",
        make.element("s", "source 1 0", v_nominal_v=v, r_ohm=r),
        make.element("p", "power-load 1 0", p_w=p),
    )
    link, solution = power_link(v, r, p), solve(net)
    assert float(link.load_v) == pytest.approx(solution.node_v("N.1")[0], rel=1e-9)
    assert float(link.current_a) == pytest.approx(solution.element_a("N.p")[0], rel=1e-9)


@pytest.mark.parametrize("p", [1.0, 12.95, 30.0, 48.0])
def test_a_lone_load_comes_to_rest_after_its_first_step(make, monkeypatch, p):
    """Without load, with its tangent there, and once more, which only confirms where it comes to rest."""
    rounds = []
    linear = Solver.linear
    monkeypatch.setattr(Solver, "linear", lambda *args: (rounds.append(1), linear(*args))[1])
    net = make.board(
        "0 1 2",
        make.element("s", "source 1 0", v_nominal_v=50.0, r_ohm=10.0),
        make.element("r", "resistor 1 2", r_ohm=2.5),
        make.element("p", "power-load 2 0", p_w=p),
    )
    assert solve(net).node_v("N.2")[0] == pytest.approx(float(power_link(50.0, 12.5, p).load_v), rel=1e-12)
    assert len(rounds) == 3 if p < 48.0 else len(rounds) > 3  # at 48 W of 50 it is close to its collapse


@pytest.mark.parametrize(("p", "feasible"), [(49.999, True), (50.0, True), (50.001, False)])
def test_limit_is_v_squared_over_four_r(p, feasible):
    """50 V behind 12.5 Ω gives at most 50 W, then at half the voltage."""
    link = power_link(50.0, 12.5, p)
    assert bool(link.feasible) == feasible
    assert float(link.most_w) == 50.0
    assert np.isnan(link.load_v) == (not feasible)
    if p == 50.0:
        assert float(link.load_v) == 25.0


def test_no_resistance_and_no_load():
    link = power_link([48.0, 48.0], [0.0, 10.0], [30.0, 0.0])
    assert link.load_v.tolist() == [48.0, 48.0]
    assert link.source_w.tolist() == [30.0, 0.0]
    assert link.most_w[0] == np.inf


def test_energy_is_kept():
    v, r, p = np.full(50, 50.0), np.linspace(0.1, 20.0, 50), 25.5
    link = power_link(v, r, p)
    assert link.source_w == pytest.approx(p + link.current_a**2 * r, rel=1e-12)


@pytest.mark.parametrize(
    ("args", "name"), [((0.0, 1.0, 1.0), "source_v"), ((1.0, -1.0, 1.0), "loop_ohm"), ((1.0, 1.0, np.nan), "load_w")]
)
def test_impossible_values_are_named(args, name):
    with pytest.raises(CircuitValueError, match=name):
        power_link(*args)
