"""What the installer's meter should show: closed forms where there are any, and the corners around them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from riserkit.wiring.arrangement import Choice
from riserkit.wiring.judge import solve_side_by_side
from riserkit.wiring.readings import Reading, expected_readings, readings_of_doors

NAMES = (
    "direct", "direct-with-peripherals", "relay-module", "relay-by-voltage", "relay-external-supply", "dry-trigger",
    "splitter-magnet",
)  # fmt: skip


def readings(doors: Any, name: str, opening: dict[str, Any] | None = None, **tables: Any) -> tuple[Reading, ...]:
    return expected_readings(doors.circuit(name, opening, **tables), doors.at)


def one(found: tuple[Reading, ...], what: str, state: str) -> Reading:
    (reading,) = [r for r in found if r.what == what and state in r.state]
    return reading


def test_far_end_in_closed_form(doors: Any) -> None:
    """Nominal 12 V at 20 °C: source, switch, two conductors and the coil of 48 ohm in one loop."""
    circuit = doors.circuit("direct")
    copper_ohm = sum(c.r20_ohm for c in circuit.netlist.conductors if c.cable == "W2")
    reading = one(readings(doors, "direct"), "lock M1, far end", "lock energised")
    loop_ohm = 0.02 + 2 * 0.05 + copper_ohm + 48.0
    assert reading.expected == pytest.approx(12.0 * 48.0 / loop_ohm, rel=1e-9)
    lost = one(readings(doors, "direct"), "lost on the way to M1", "lock energised")
    assert lost.expected == pytest.approx(12.0 * copper_ohm / loop_ohm, rel=1e-9)
    assert (reading.plus, reading.minus, lost.plus, lost.minus) == ("M1.+", "M1.-", "K1.L+", "K1.L-")


@pytest.mark.parametrize("name", NAMES)
def test_expected_lies_in_its_band_and_the_band_is_that_of_the_corners(doors: Any, name: str) -> None:
    found = readings(doors, name)
    for reading in found:
        if reading.expected is not None and reading.low is not None and reading.high is not None:
            assert reading.low <= reading.expected + 1e-9
            assert reading.expected <= reading.high + 1e-9
    if name == "dry-trigger":
        return  # its lock is judged picking up too, and measured holding
    need = doors.need(doors.served[name])
    choice = Choice(need.lock_cables[0], doors.arrangement(name).supplies(need)[0])
    volts = solve_side_by_side([need], [choice], doors.circuit(name), doors.at)[0]
    far = one(found, "lock M1, far end", "lock energised")
    # A meter's own error of 0.05 V is let in on both sides.
    assert (far.low, far.high) == pytest.approx((volts.lock_low_v - 0.05, volts.lock_high_v + 0.05), abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_the_lock_shows_nothing_when_it_is_off(doors: Any, name: str) -> None:
    reading = one(readings(doors, name), "lock M1", "lock not energised")
    assert reading.expected == pytest.approx(0.0, abs=1e-9)
    assert (reading.low, reading.high) == pytest.approx((0.0, 0.05), abs=1e-9)


@pytest.mark.parametrize("name", ["relay-external-supply", "splitter-magnet"])
@pytest.mark.parametrize("act", ["manual release S1 pressed", "fire alarm relay in alarm"])
def test_release_and_alarm_take_the_lock_to_nothing(doors: Any, name: str, act: str) -> None:
    assert one(readings(doors, name), "lock M1", act).expected == pytest.approx(0.0, abs=1e-9)


def test_losing_power_is_told_as_it_is(doors: Any) -> None:
    """On a battery the lock stays held without mains; without the data cable its sensor is dead, which releases it."""
    found = readings(doors, "relay-external-supply")
    assert one(found, "lock M1", "data cable unplugged").expected == pytest.approx(0.0, abs=1e-9)
    assert one(found, "lock M1", "mains off, battery connected").expected > 20.0
    assert one(found, "lock M1", "mains off, battery off").expected == pytest.approx(0.0, abs=1e-9)
    assert one(readings(doors, "splitter-magnet"), "lock M1", "data cable unplugged").expected == pytest.approx(0.0)


def test_inputs_read_both_states(doors: Any) -> None:
    """Open shows the controller's own 3.3 V, closed nearly nothing."""
    found = readings(doors, "splitter-magnet")
    volts = {(r.what, r.state): r.expected for r in found if "input" in r.what}
    assert volts == {
        ("door input", "door closed"): pytest.approx(0.0, abs=0.01),
        ("door input", "door open"): pytest.approx(3.3, rel=1e-6),
        ("second input", "idle"): pytest.approx(3.3, rel=1e-6),
        ("second input", "motion at B2"): pytest.approx(0.0, abs=0.01),
        ("second input", "S1 pressed"): pytest.approx(0.0, abs=0.01),
    }
    assert {(r.plus, r.minus) for r in found if r.what == "door input"} == {("K1.D", "K1.IC")}


def test_either_leaf_opens_the_door_input(doors: Any) -> None:
    opening = {**doors.strike, "lock_count": 2, "type": "double"}
    found = readings(doors, "direct-with-peripherals", opening)
    open_v = [r.expected for r in found if r.what == "door input" and "open" in r.state]
    assert open_v == pytest.approx([3.3, 3.3])
    assert {r.what for r in found} >= {"lock M1, far end", "lock M2, far end"}


@pytest.mark.parametrize("name", ["relay-module", "relay-by-voltage", "dry-trigger", "splitter-magnet"])
def test_the_modules_contacts_change_places(doors: Any, name: str) -> None:
    found = [r for r in readings(doors, name) if r.what.startswith("module contact")]
    assert [(r.what[-2:], r.words) for r in found] == [
        ("NO", "open"), ("NC", "closed"), ("NO", "closed"), ("NC", "open"),
    ]  # fmt: skip
    assert all("wire off K2.C" in r.state and r.meter == "ohms" for r in found)


def test_the_diode_is_tested_with_a_lead_lifted(doors: Any) -> None:
    found = readings(doors, "direct")
    forward = one(found, "diode, forward", "power off")
    assert (forward.plus, forward.minus, forward.expected) == ("R1.A", "R1.K", 0.7)
    assert "lifted" in forward.state
    reverse = one(found, "diode, reverse: cathode stands at lock +", "power off")
    assert (reverse.plus, reverse.minus, reverse.words) == ("R1.K", "R1.A", "open")


def test_a_battery_backed_supply_floats(doors: Any) -> None:
    reading = one(readings(doors, "relay-external-supply"), "supply with its battery charged", "mains on")
    assert (reading.expected, reading.plus, reading.minus) == (27.4, "G1.S+", "G1.S-")
    part = {"id": "bare", "kind": "dc-supply", "output_v": 24, "output_a": 2, "tolerance": 0.02}
    opening = {**doors.served["relay-external-supply"], "supply": "S"}
    without = readings(
        doors, "relay-external-supply", opening, parts=[part], supplies=[{"id": "S", "part": "bare", "opening": "101"}]
    )
    assert not [r for r in without if "battery" in r.what]


def test_a_lock_is_measured_while_it_holds(doors: Any) -> None:
    """24 V at 34.3 ohm, not at the 2 ohm of its pick-up."""
    reading = one(readings(doors, "dry-trigger"), "lock M1, far end", "lock energised")
    assert reading.expected == pytest.approx(24.0, rel=0.02)


def test_no_steady_state_has_no_number(doors: Any) -> None:
    part = {"id": "hungry", "kind": "controller", "poe_class": 4, "own_w": 800, "output_v": 12, "output_limit_a": 0.6,
            "auxiliary_v": 12, "auxiliary_limit_a": 0.7}  # fmt: skip
    found = readings(
        doors, "splitter-magnet", {**doors.served["splitter-magnet"], "controller": "hungry"}, parts=[part]
    )
    reading = one(found, "lock M1, far end", "lock energised")
    assert (reading.expected, reading.words) == (None, "not computed: no steady state")


def test_many_doors_read_as_each_alone(doors: Any) -> None:
    """Doors of all arrangements and of several lengths in one list."""
    circuits = [doors.circuit(name) for name in NAMES]
    for length_m in (7.0, 21.0):
        run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": length_m}
        circuits += [doors.circuit(name, runs=[run]) for name in NAMES]
    together = readings_of_doors(circuits, doors.at)
    for circuit, found in zip(circuits, together, strict=True):
        alone = expected_readings(circuit, doors.at)
        assert [replace(r, expected=None, low=None, high=None) for r in found] == [
            replace(r, expected=None, low=None, high=None) for r in alone
        ]
        for mine, own in zip(found, alone, strict=True):
            assert (mine.expected is None) == (own.expected is None)
            assert (mine.expected or 0.0) == pytest.approx(own.expected or 0.0, rel=1e-9, abs=1e-9)
