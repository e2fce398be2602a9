"""The solver against ngspice: random netlists, and a circuit the size of a real one in every state.

Both solve the same piecewise-linear model of diodes, suppressors and limits, so the comparison is of solvers, not
of diode curves. Tolerances are those the project has set: 1e-6 relative for ohmic circuits, 1e-3 with diodes.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from riserkit.circuits.cases import Cases, SourceLevel, plain_cases
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist, Terminal
from riserkit.circuits.solution import Solution
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.spice import deck_of_case, spice_deck
from tests.sweep import tried

_NGSPICE = shutil.which("ngspice")
if _NGSPICE is None and os.environ.get("RISERKIT_REQUIRE_NGSPICE") == "1":
    raise RuntimeError("ngspice is required here (RISERKIT_REQUIRE_NGSPICE=1) but is not installed")
needs_ngspice = pytest.mark.skipif(_NGSPICE is None, reason="ngspice is not installed")


def ngspice_v(folder: Path, circuit: Circuit, cases: Cases, solution: Solution, case: int = 0) -> dict[str, float]:
    """What ngspice finds by itself, or, where its iteration goes in circles, from our solution as a start.

    A constant-power load has two roots, so there ngspice is always told near which of them to look.
    """
    for start in (True,) if circuit.topology.of_kind(ElementKind.POWER_LOAD) else (False, True):
        deck = deck_of_case(circuit, cases, solution, case, ("circuit", start))
        path = folder / "deck.cir"
        path.write_text(deck.text, encoding="utf-8")
        run = subprocess.run(
            [str(_NGSPICE), "-b", str(path)],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        voltages = deck.voltages_v(run.stdout)
        # A limit in its flat part leaves ngspice a singular matrix, from which it can come back with 1e18 V.
        if voltages.keys() == deck.nodes.keys() and max(map(abs, voltages.values())) < MOST_V:
            return voltages
    pytest.fail(f"ngspice found no working point\n{run.stdout}{run.stderr}")


def assert_same(net: Netlist, rel: float, folder: Path, state: dict[str, bool] | None = None) -> None:
    circuit = circuit_of(net)
    cases = plain_cases(circuit, [state or {}])
    solution = solve_cases(circuit, cases).demand_sound()
    theirs = ngspice_v(folder, circuit, cases, solution)
    sources_v = [abs(e.values["v_nominal_v"]) for e in net.components[0].elements if e.kind is ElementKind.SOURCE]
    most_v = max(1e-3, float(np.abs(solution.v).max()), *sources_v)
    for name, volt in theirs.items():
        # A node at nearly 0 V is compared with the circuit's largest voltage, to which the rounding of ngspice belongs.
        assert float(solution.node_v(name)[0]) == pytest.approx(volt, rel=rel, abs=rel * 1e-3 * most_v), name


NODES = 7
MOST_V = 60.0 * 16
"""No node can stand above the sum of all sources, at most sixteen of 60 V."""

ends = st.lists(st.integers(0, NODES), min_size=2, max_size=2, unique=True).map(lambda n: (str(n[0]), str(n[1])))
ohms = st.floats(0.01, 1e4).map(lambda r: round(r, 4))
volts = st.floats(-60.0, 60.0).map(lambda v: round(v, 3))


def _spec(kind: str, **values: st.SearchStrategy[float]) -> st.SearchStrategy[tuple[str, dict[str, float]]]:
    return st.tuples(st.just(kind), st.fixed_dictionaries(values))


OHMIC = (
    _spec("resistor", r_ohm=ohms),
    _spec("coil", r_ohm=ohms),
    _spec("source", v_nominal_v=volts, r_ohm=ohms),
    _spec("contact", r_closed_ohm=ohms),
)
BENT = (
    _spec("diode", v_forward_v=st.floats(0.2, 1.2), r_on_ohm=st.floats(0.05, 2.0)),
    _spec("suppressor", v_clamp_v=st.floats(5.0, 40.0)),
    _spec("current-load", i_a=st.floats(0.01, 0.5), v_min_v=st.floats(1.0, 9.0)),
    _spec("source", v_nominal_v=st.floats(5.0, 60.0), r_ohm=st.floats(0.05, 10.0), i_limit_a=st.floats(0.1, 3.0)),
)


@st.composite
def netlists(draw: st.DrawFn, bent: bool) -> Netlist:
    """A chain of resistors through all nodes but perhaps one, a source, and up to fourteen elements anywhere."""
    apart = draw(st.integers(0, NODES))
    elements = []
    for k in range(NODES):
        if k != apart:
            elements.append(Element(f"c{k}", ElementKind.RESISTOR, str(k), str(k + 1), {"r_ohm": draw(ohms)}))
    kinds = OHMIC + BENT if bent else OHMIC
    for k, (kind, values) in enumerate(draw(st.lists(st.one_of(*kinds), min_size=1, max_size=14))):
        a, b = draw(ends)
        closed = draw(st.booleans())
        elements.append(Element(f"e{k}", ElementKind(kind), a, b, values, "", closed))
    a, b = draw(ends)
    elements.append(Element("s", ElementKind.SOURCE, a, b, {"v_nominal_v": draw(volts), "r_ohm": draw(ohms)}))
    terminals = tuple(Terminal(str(k)) for k in range(NODES + 1))
    return Netlist((Component("N", "N", terminals, tuple(elements)),), (), (), (), "N.0")


common = settings(
    max_examples=tried(80, 200),
    phases=[Phase.explicit, Phase.generate],
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@needs_ngspice
@common
@given(net=netlists(bent=False))
@pytest.mark.slow
def test_random_ohmic_netlists(tmp_path, net):
    assert_same(net, 1e-6, tmp_path)


@needs_ngspice
@common
@given(net=netlists(bent=True))
@pytest.mark.slow
def test_random_netlists_with_diodes_and_limits(tmp_path, net):
    assert_same(net, 1e-3, tmp_path)


@needs_ngspice
@pytest.mark.parametrize("level", list(SourceLevel))
@pytest.mark.parametrize("on", [(), ("K1.output",), ("S3.pressed",), ("S1.open", "S2.motion"), ("F1.alarm",)])
def test_real_circuit(tmp_path, magnet, level, on):
    """A constant-power load, limits, relay contacts and warm conductors together."""
    net = magnet()
    state = {"G1.mains": True, **dict.fromkeys(on, True)}
    circuit = circuit_of(net)
    cases = plain_cases(circuit, [state], level, 45.0)
    solution = solve_cases(circuit, cases).demand_sound()
    theirs = ngspice_v(tmp_path, circuit, cases, solution)
    for name, volt in theirs.items():
        assert float(solution.node_v(name)[0]) == pytest.approx(volt, rel=1e-6, abs=1e-9), name


def test_deck_is_the_same_every_time(magnet):
    first, second = (spice_deck(magnet(), {"G1.mains": True}, title="one\ntwo").text for _ in range(2))
    assert first == second
    assert first.startswith("* one two\n")
    assert first.endswith(".end\n")


def test_deck_says_which_contacts_are_open(magnet):
    text = spice_deck(magnet(), {"G1.mains": True, "S3.pressed": True}).text
    assert "* S3.contact: open" in text
    assert "* F1.contact\nR" in text
