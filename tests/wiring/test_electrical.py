"""What the solver says of every arrangement, against closed forms, Kirchhoff, and ngspice."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from riserkit.circuits.solve import solve
from riserkit.circuits.spice import spice_deck
from riserkit.wiring.arrangement import Choice
from riserkit.wiring.choose.judge import solve_side_by_side
from tests.balance import dissipated_w, kcl_residual_a, supplied_w

NGSPICE = shutil.which("ngspice")
if NGSPICE is None and os.environ.get("RISERKIT_REQUIRE_NGSPICE") == "1":
    raise RuntimeError("ngspice is required here (RISERKIT_REQUIRE_NGSPICE=1) but is not installed")
NAMES = (
    "direct", "direct-with-peripherals", "relay-module", "relay-by-voltage", "relay-external-supply", "dry-trigger",
    "splitter-magnet", "controller-contact",
)  # fmt: skip
ALPHA_20C = 0.00393  # IACS copper, NBS Handbook 100
SOURCE_OHM, CONTACT_OHM = 0.02, 0.05


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("state", ["powered", "commanded", "everything moved"])
def test_kirchhoff_and_power_balance_hold(doors: Any, name: str, state: str) -> None:
    circuit = doors.circuit(name)
    moved = {"K1.output": True, "B1.open": True, "B2.motion": True}
    on = {"powered": circuit.powered, "commanded": circuit.commanded}.get(state, moved)
    known = {e.control for c in circuit.netlist.components for e in c.elements}
    solution = solve(circuit.netlist, {key: value for key, value in on.items() if key in known})
    assert float(kcl_residual_a(solution)[0]) < 1e-9
    assert float(supplied_w(solution)[0]) == pytest.approx(float(dissipated_w(solution)[0]), rel=1e-9)
    assert float(supplied_w(solution)[0]) > 0.0 or (name, state) == ("direct", "commanded")


@pytest.mark.parametrize("name", NAMES)
def test_the_lock_is_on_when_it_should_be_and_only_then(doors: Any, name: str) -> None:
    circuit = doors.circuit(name)
    rated_v = 24.0 if name in {"relay-external-supply", "controller-contact", "dry-trigger"} else 12.0
    on_v = float(solve(circuit.netlist, circuit.powered).element_v("M1.coil")[0])
    assert 0.8 * rated_v < on_v < rated_v
    assert float(solve(circuit.netlist, circuit.commanded).element_v("M1.coil")[0]) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("name", ["relay-external-supply", "controller-contact", "splitter-magnet"])
@pytest.mark.parametrize("state", ["S1.pressed", "K3.alarm"])
def test_release_and_alarm_drop_the_lock_whatever_the_controller_wants(doors: Any, name: str, state: str) -> None:
    circuit = doors.circuit(name)
    for output in (False, True):
        solution = solve(circuit.netlist, {"K1.output": output, state: True})
        assert float(solution.element_v("M1.coil")[0]) == pytest.approx(0.0, abs=1e-9)


def test_authenticated_module_is_not_moved_by_its_link_nor_without_its_supply(doors: Any) -> None:
    netlist = doors.circuit("relay-module").netlist
    module = netlist.component("K2")
    assert not {"M1", "M2"} & {end for e in module.elements for end in (e.a, e.b)}
    dead = solve(netlist, {"K1.output": True, "N1.power_lost": True})
    assert not bool(dead.closed("K2.no")[0])


def test_a_voltage_on_the_trigger_moves_the_other_kind(doors: Any) -> None:
    netlist = doors.circuit("relay-by-voltage").netlist
    assert bool(solve(netlist, {"K1.output": True}).powered("K2.trigger")[0])
    assert not bool(solve(netlist, {"K1.output": False}).powered("K2.trigger")[0])


@pytest.mark.parametrize("losing", ["direct", "relay-module", "splitter-magnet"])
def test_a_fail_safe_lock_on_the_poe_cable_lets_go_without_it(doors: Any, losing: str) -> None:
    opening = {**doors.served[losing], "lock": "magnet-12-300", "release": "release-30"}
    circuit = doors.circuit(losing, opening)
    assert float(solve(circuit.netlist, circuit.powered).element_v("M1.coil")[0]) > 10.0
    lost = solve(circuit.netlist, {**circuit.powered, "N1.power_lost": True})
    assert float(lost.element_v("M1.coil")[0]) == pytest.approx(0.0, abs=1e-9)


def _copper_ohm(netlist: Any, temp_c: float, *roles: str) -> float:
    """There and back over the cables of these roles: two conductors each."""
    refs = {c.ref for c in netlist.cables if c.role in roles}
    lock_wires = [c for c in netlist.conductors if c.cable in refs]
    return sum(c.r20_ohm for c in lock_wires) * (1 + ALPHA_20C * (temp_c - 20.0))


@pytest.mark.parametrize(("source_v", "temp_c", "end"), [(11.4, 40.0, "lock_low_v"), (12.6, 10.0, "lock_high_v")])
def test_direct_loop_in_closed_form(doors: Any, source_v: float, temp_c: float, end: str) -> None:
    """One loop: source, its switch, two conductors, the coil. Ohm's law by hand."""
    run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": 45.0}
    opening = doors.served["direct"]
    circuit = doors.circuit("direct", opening, runs=[run])
    volts = doors.choose(opening, runs=[run]).voltages
    coil_ohm = 12.0 / 0.25
    series_ohm = SOURCE_OHM + 2 * CONTACT_OHM + _copper_ohm(circuit.netlist, temp_c, "lock")
    assert getattr(volts, end) == pytest.approx(source_v * coil_ohm / (coil_ohm + series_ohm), rel=1e-9)


def test_length_counts_twice_and_resistance_is_that_of_the_gauge(doors: Any) -> None:
    """18 AWG by ASTM B258 (0.823 mm2) and IACS copper: 20.95 ohm per km solid, a little more stranded."""
    run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": 30.0}
    netlist = doors.circuit("direct", runs=[run]).netlist
    assert _copper_ohm(netlist, 20.0, "lock") == pytest.approx(60.0 * 20.95e-3, rel=0.05)


@pytest.mark.parametrize(("source_v", "temp_c", "end"), [(21.6, 40.0, "lock_low_v"), (27.4, 10.0, "lock_high_v")])
def test_external_supply_loop_in_closed_form(doors: Any, source_v: float, temp_c: float, end: str) -> None:
    """Battery spent and floating: mains and battery in parallel, feed, relay contact, lock cable, coil."""
    opening = {**doors.usual, "lock": "strike-24-secure"}
    circuit = doors.circuit("relay-external-supply", opening)
    need = doors.need(opening)
    volts = solve_side_by_side([need], [Choice(need.lock_cables[0], need.supplies[0])], circuit, doors.at)[0]
    coil_ohm = 24.0 / 0.15
    series_ohm = SOURCE_OHM + CONTACT_OHM / 2 + CONTACT_OHM + _copper_ohm(circuit.netlist, temp_c, "lock", "feed")
    assert getattr(volts, end) == pytest.approx(source_v * coil_ohm / (coil_ohm + series_ohm), rel=1e-9)


def test_two_leaves_add_up_at_the_output(doors: Any) -> None:
    one = doors.choose(doors.strike).voltages
    two = doors.choose({**doors.strike, "lock_count": 2, "type": "double"}).voltages
    assert two.lock_a == pytest.approx(one.lock_a, rel=0.02)
    assert two.output_a == pytest.approx(2 * two.lock_a, rel=1e-6)


def test_a_lock_is_lowest_while_it_picks_up_and_highest_while_it_holds(doors: Any) -> None:
    """12 A at pick-up, 0.7 A held: the same loop with the coil at 2 ohm and at 34.3 ohm."""
    need = doors.need(doors.served["dry-trigger"])
    circuit = doors.circuit("dry-trigger")
    volts = solve_side_by_side([need], [Choice(need.lock_cables[0])], circuit, doors.at)[0]
    fixed_ohm = SOURCE_OHM + 2 * CONTACT_OHM
    # The lock sits in the leaf: its loop is the lock cable to the power transfer and the leaf's cable beyond it.
    hot, cold = (_copper_ohm(circuit.netlist, t, "lock", "leaf") for t in (40.0, 10.0))
    # The trigger's pull-up and sense coil hang on the same live node; they draw 24 V / (2200 + 2200) ohm or less.
    assert volts.lock_low_v == pytest.approx(24 * 0.97 * 2.0 / (2.0 + fixed_ohm + hot), rel=1e-3)
    held_ohm = 24.0 / 0.7
    assert volts.lock_high_v == pytest.approx(24 * 1.03 * held_ohm / (held_ohm + fixed_ohm + cold), rel=1e-3)
    assert volts.lock_a == pytest.approx(24 * 1.03 / (2.0 + fixed_ohm + cold), rel=1e-3)


def test_device_power_is_own_and_what_is_passed_on(doors: Any) -> None:
    """Own 5 W, and what both outputs give over 85 %; a strike of 0.25 A and a sensor of 25 mA at 12.6 V."""
    volts = doors.choose(doors.strike).voltages
    given_w = 12.6 * (volts.output_a + volts.auxiliary_a)
    assert volts.pd_w == pytest.approx(5.0 + given_w / 0.85, rel=0.005)


def test_the_auxiliary_output_has_its_own_voltage(doors: Any) -> None:
    part = {"id": "two", "kind": "controller", "poe_class": 4, "own_w": 4, "output_v": 24, "output_limit_a": 0.3,
            "output_tolerance": 0.05, "auxiliary_v": 12, "auxiliary_limit_a": 0.5}  # fmt: skip
    circuit = doors.circuit(
        "direct-with-peripherals", {**doors.strike, "lock": "strike-24-secure", "controller": "two"}, parts=[part]
    )
    solution = solve(circuit.netlist, circuit.powered)
    volts = {name: float(solution.node_v(f"K1.{name}+")[0] - solution.node_v(f"K1.{name}-")[0]) for name in "LA"}
    assert volts["L"] == pytest.approx(24.0, rel=0.01)
    assert volts["A"] == pytest.approx(12.0, rel=0.01)


def test_a_supplys_own_resistance_counts(doors: Any) -> None:
    part = {"id": "soft", "kind": "dc-supply", "output_v": 24, "output_a": 2, "tolerance": 0, "source_ohm": 10}
    opening = {**doors.usual, "lock": "strike-24-secure", "supply": "S"}
    supply = {"id": "S", "part": "soft", "opening": "101"}
    circuit = doors.circuit("relay-external-supply", opening, parts=[part], supplies=[supply])
    lock_v = float(solve(circuit.netlist, circuit.powered).element_v("M1.coil")[0])
    assert lock_v == pytest.approx(24.0 * 160.0 / (160.0 + 10.0), rel=0.01)


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("state", ["powered", "commanded"])
def test_ngspice_agrees(doors: Any, name: str, state: str, tmp_path: Path) -> None:
    """Node voltages within 1e-3 relative, diodes and power loads being involved, as the project has set."""
    circuit = doors.circuit(name)
    on = getattr(circuit, state)
    deck = spice_deck(circuit.netlist, on, title=name)
    path = tmp_path / "door.cir"
    path.write_text(deck.text, encoding="utf-8")
    run = subprocess.run([str(NGSPICE), "-b", str(path)], capture_output=True, text=True, timeout=60, check=False)
    theirs = deck.voltages_v(run.stdout)
    assert theirs.keys() == deck.nodes.keys(), run.stdout + run.stderr
    ours = solve(circuit.netlist, on)
    for node, volt in theirs.items():
        assert float(ours.node_v(node)[0]) == pytest.approx(volt, rel=1e-3, abs=1e-4), node
