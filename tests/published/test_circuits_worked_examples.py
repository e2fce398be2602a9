"""Worked examples that others have published, solved by the circuit engine.

Read from the shared reference files, where each stands with its source. A result
agrees if it rounds to the printed digits; where a print is known to be wrong or cut short, the test says so.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.circuits.constant_power import power_link
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.solve import solve
from riserkit.circuits.transient import release_time_s

Reader = Callable[[str], list[dict[str, str]]]


@pytest.fixture
def example(reference_rows: Reader) -> Callable[[int, str], dict[str, str]]:
    """One worked example; its topic is checked, so that a renumbered file cannot pass unnoticed."""

    def find(number: int, topic: str) -> dict[str, str]:
        row = next(row for row in reference_rows("worked_examples.csv") if row["id"] == str(number))
        assert topic in row["topic"]
        return row

    return find


def link(source_v: float, r_wire_ohm: float, load: ElementKind, values: dict[str, float]) -> Netlist:
    """A source without resistance, two conductors, a load."""
    ends = (Terminal("+"), Terminal("-"))
    source = Element("s", ElementKind.SOURCE, "+", "-", {"v_nominal_v": source_v})
    parts = (Component("G", "G", ends, (source,)), Component("Y", "Y", ends, (Element("l", load, "+", "-", values),)))
    wires = tuple(Conductor(pole, Landing("G", pole), Landing("Y", pole), "RD", "", r_wire_ohm) for pole in ("+", "-"))
    return Netlist(parts, (), wires, (), "G.-")


def test_dc_voltage_drop_100_ft_of_16_awg(example):
    """Course guide (secondary): 100 ft one way, 4.99 Ω/kft, 4 A at 24 V: printed 4.0 V, 16.7 %."""
    row = example(1, "DC voltage drop")
    solution = solve(link(24.0, 0.1 * 4.99, ElementKind.CURRENT_LOAD, {"i_a": 4.0}))
    drop_v = 24.0 - solution.element_v("Y.l")[0]
    assert drop_v == pytest.approx(float(row["recomputed"]), abs=5e-4)
    assert row["published_result"].startswith(f"{drop_v:.1f}")


def test_voltage_drop_50_ft_of_12_awg(example):
    """Secondary page: 50 ft one way, 1.98 Ω/kft, 22 A at 120 V: printed 4.36 V, 3.63 %."""
    row = example(2, "voltage drop")
    solution = solve(link(120.0, 0.05 * 1.98, ElementKind.CURRENT_LOAD, {"i_a": 22.0}))
    drop_v = 120.0 - solution.element_v("Y.l")[0]
    assert row["published_result"] == f"{drop_v:.2f} ({100 * drop_v / 120:.2f}%)"


@pytest.mark.parametrize(
    ("number", "topic", "source_v", "loop_ohm", "pd_w", "printed_v"),
    [
        (14, "class 3", 44.0, 20.0, 12.95, 37.0),
        (15, "class 4", 50.0, 12.5, 25.5, 42.5),
        (16, "class 8", 52.0, 6.25, 71.3, 41.1),
    ],
)
def test_poe_power_at_100_m(example, number, topic, source_v, loop_ohm, pd_w, printed_v):
    """IEEE 802.3 class values: power at the far end by the solver and in closed form; printed volts are cut, not rounded."""
    row = example(number, topic)
    assert f"{pd_w:g} W" in row["published_result"]
    solution = solve(link(source_v, loop_ohm / 2, ElementKind.POWER_LOAD, {"p_w": pd_w}))
    closed = power_link(source_v, loop_ohm, pd_w)
    assert solution.element_v("Y.l")[0] == pytest.approx(float(closed.load_v), rel=1e-6)
    assert printed_v - 0.001 <= float(closed.load_v) < printed_v + 0.1
    stated_w = float(row["inputs"].split(" W")[0])
    assert float(closed.source_w) == pytest.approx(stated_w, rel=5e-4)


def test_every_poe_class_at_100_m(reference_rows):
    """IEEE 802.3 classes 0 to 8: the power a source must give is what the device's power and the channel make of it.

    The publication rounds; its largest departure is that of class 5, 40.0 W at the device for 39.94 W (0.18 % at the source).
    """
    classes = reference_rows("poe_classes.csv")
    assert len(classes) == 9
    for row in classes:
        source_v, loop_ohm = float(row["V_PSE_min_V"]), float(row["R_effective_loop_ohm"])
        closed = power_link(source_v, loop_ohm, float(row["P_PD_max_W"]))
        assert float(closed.source_w) == pytest.approx(float(row["P_PSE_min_W"]), rel=2e-3), row["class"]
        assert float(closed.current_a) == pytest.approx(float(row["I_total_solved_from_P_PD_A"]), abs=5e-4), row[
            "class"
        ]


def test_poe_drop_at_half_an_ampere(example):
    """Secondary page: 48 V, 0.5 A, 12.5 Ω: 6.25 V lost. It prints 42-43 V left; 48 - 6.25 is 41.75 V."""
    row = example(17, "PoE drop")
    solution = solve(link(48.0, 6.25, ElementKind.CURRENT_LOAD, {"i_a": 0.5}))
    left_v = solution.element_v("Y.l")[0]
    assert row["published_result"].startswith(f"{48.0 - left_v:.2f} V drop")
    assert f"{left_v:.2f} V" in row["recomputed"]


def test_release_times_by_clamp(reference_rows):
    """The same coil, let go at 10 % of its current, by what takes it (textbook RL decay): times to their last digit."""
    table = reference_rows("solenoid_release.csv")
    assert len(table) == 5
    for row in table:
        time_s = release_time_s(
            float(row["L_H"]),
            float(row["R_ohm"]),
            float(row["I0_A"]),
            float(row["I_release_A(10%)"]),
            float(row["V_clamp"]),
        )
        assert 1e3 * time_s == pytest.approx(float(row["t_release_ms"]), abs=5.5e-3), row["clamp"]


@pytest.mark.parametrize("celsius", [20.0, 40.0, 60.0, 90.0])
def test_copper_temperature(example, celsius):
    """NEC chapter 9 table 8 note: R2 = R1 (1 + 0.00323 (T2 - 75)); 0.00323 is 0.00393 taken from 20 °C to 75 °C.

    The printed factor has three digits, so over 55 K the two differ by at most 55 x 5e-6.
    """
    assert example(21, "temperature correction")["published_result"] == "0.00323"
    net = link(10.0, 1.0, ElementKind.RESISTOR, {"r_ohm": 100.0})

    def wire_ohm(at_c: float) -> float:
        solution = solve(net, conductor_c=at_c)
        lost_v = solution.node_v("G.+")[0] - solution.node_v("Y.+")[0]
        return float(lost_v / solution.conductor_a("+")[0])

    assert wire_ohm(celsius) / wire_ohm(75.0) == pytest.approx(1.0 + 0.00323 * (celsius - 75.0), abs=55 * 5e-6)
