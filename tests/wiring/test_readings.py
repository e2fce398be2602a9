"""What the installer's meter should show: closed forms where there are any, and the worst cases around them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from riserkit.wiring.arrangement import Choice
from riserkit.wiring.choose.judge import solve_side_by_side
from riserkit.wiring.readings.expected import Reading, expected_readings, readings_of_doors

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
    lost = one(readings(doors, "direct"), "voltage drop to M1", "lock energised")
    assert lost.expected == pytest.approx(12.0 * copper_ohm / loop_ohm, rel=1e-9)
    assert (reading.plus, reading.minus, lost.plus, lost.minus) == ("M1.+", "M1.-", "K1.L+", "K1.L-")


@pytest.mark.parametrize("name", NAMES)
def test_expected_lies_in_its_band_and_the_band_is_that_of_the_worst_cases(doors: Any, name: str) -> None:
    found = readings(doors, name)
    for reading in found:
        if reading.expected is not None and reading.low is not None and reading.high is not None:
            assert reading.low <= reading.expected + 1e-9
            assert reading.expected <= reading.high + 1e-9
    if name in ("dry-trigger", "relay-external-supply"):
        return  # judged picking up too, and measured holding; judged down to the battery's end, and measured on the mains
    need = doors.need(doors.served[name])
    choice = Choice(need.lock_cables[0], doors.arrangement(name).supplies(need)[0])
    volts = solve_side_by_side([need], [choice], doors.circuit(name), doors.at)[0]
    far = one(found, "lock M1, far end", "lock energised")
    # A meter's own error of 0.05 V and half a percent is let in on both sides.
    margin_v = 0.05 + 0.005 * volts.lock_high_v
    assert (far.low, far.high) == pytest.approx((volts.lock_low_v - margin_v, volts.lock_high_v + margin_v), abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_the_lock_shows_nothing_when_it_is_off(doors: Any, name: str) -> None:
    reading = one(readings(doors, name), "lock M1", "lock not energised")
    assert reading.expected == pytest.approx(0.0, abs=1e-9)
    assert (reading.low, reading.high) == pytest.approx((0.0, 0.05), abs=1e-9)


@pytest.mark.parametrize("name", ["relay-external-supply", "splitter-magnet"])
@pytest.mark.parametrize("act", ["manual release S1 pressed", "fire alarm relay K3 in alarm"])
def test_release_and_alarm_take_the_lock_to_nothing(doors: Any, name: str, act: str) -> None:
    assert one(readings(doors, name), "lock M1", act).expected == pytest.approx(0.0, abs=1e-9)


def test_losing_power_is_told_as_it_is(doors: Any) -> None:
    """On a battery the lock stays held without mains; without the PoE cable its sensor is dead, which releases it."""
    found = readings(doors, "relay-external-supply")
    assert one(found, "lock M1", "PoE cable unplugged").expected == pytest.approx(0.0, abs=1e-9)
    assert one(found, "lock M1", "mains off, on battery").expected > 20.0
    assert one(found, "lock M1", "mains off, battery off").expected == pytest.approx(0.0, abs=1e-9)
    assert one(readings(doors, "splitter-magnet"), "lock M1", "PoE cable unplugged").expected == pytest.approx(0.0)


def test_inputs_read_both_states(doors: Any) -> None:
    """Open shows the controller's own 3.3 V, closed nearly nothing."""
    found = readings(doors, "splitter-magnet")
    volts = {(r.what, r.state): r.expected for r in found if "input" in r.what and r.unit == "V"}
    assert volts == {
        ("door input", "door closed"): pytest.approx(0.0, abs=0.01),
        ("door input", "door open"): pytest.approx(3.3, rel=1e-6),
        ("REX/AUX input", "idle, nobody near"): pytest.approx(3.3, rel=1e-6),
        ("REX/AUX input", "controller releases, nobody near"): pytest.approx(3.3, rel=1e-6),
        ("REX/AUX input", "motion at B2"): pytest.approx(0.0, abs=0.01),
        ("REX/AUX input", "S1 pressed"): pytest.approx(0.0, abs=0.01),
        ("REX/AUX input", "supply wire off B2.+; nobody near"): pytest.approx(0.0, abs=0.01),
    }
    assert {(r.plus, r.minus) for r in found if r.what == "door input"} == {("K1.DOOR", "K1.IC")}


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
    used = "K2.NC" if name == "splitter-magnet" else "K2.NO"
    assert all(f"wire off {used}" in r.state and r.meter == "ohms" for r in found)


def test_the_diode_is_tested_where_it_is_landed(doors: Any) -> None:
    """Its cathode's lead off the lock's plus: from the lock's minus it conducts, the other way round it does not."""
    found = readings(doors, "direct")
    forward = one(found, "diode, forward: banded end goes to lock +", "power off")
    assert (forward.plus, forward.minus) == ("M1.-", "free lead of R1")
    assert forward.expected == pytest.approx(0.7, abs=0.01)
    assert "lead of R1 off M1.+" in forward.state
    reverse = one(found, "diode, reverse", "power off")
    assert (reverse.plus, reverse.minus, reverse.words) == ("free lead of R1", "M1.-", "open")


def test_a_suppressor_has_both_leads_at_the_lock(doors: Any) -> None:
    found = [r for r in readings(doors, "splitter-magnet") if r.what.startswith("suppressor")]
    assert [(r.plus, r.minus, r.words) for r in found] == [("R1.1", "M1.+", "closed"), ("R1.2", "M1.-", "closed")]


def test_a_battery_backed_supply_is_read_on_mains_and_on_battery(doors: Any) -> None:
    """27.4 V at most, as the lock is judged for, and 2 % less at least on mains; on its battery down to 21.6 V."""
    found = readings(doors, "relay-external-supply")
    floating = one(found, "where lock power comes from", "door idle")
    assert "mains on, battery charged" in floating.state
    assert floating.expected == pytest.approx(27.4, abs=0.02)
    assert floating.low == pytest.approx(27.4 * 0.98, abs=0.25)
    assert floating.high == pytest.approx(27.4, abs=0.2)
    far, battery = one(found, "lock M1, far end", "mains on"), one(found, "lock M1", "on battery")
    assert far.low > 26.0
    assert battery.low == pytest.approx(21.6 - 0.4, abs=0.2)
    assert battery.high == pytest.approx(27.4, abs=0.2)
    part = {"id": "bare", "kind": "dc-supply", "output_v": 24, "output_a": 2, "tolerance": 0.02}
    opening = {**doors.served["relay-external-supply"], "supply": "S"}
    without = readings(
        doors, "relay-external-supply", opening, parts=[part], supplies=[{"id": "S", "part": "bare", "opening": "101"}]
    )
    assert not [r for r in without if "battery" in r.what + r.state]
    assert one(without, "where lock power comes from", "door idle").expected == pytest.approx(24.0, abs=0.02)


@pytest.mark.parametrize("name", ["relay-external-supply", "splitter-magnet"])
def test_idle_is_locked_so_a_fail_safe_lock_draws_its_current(doors: Any, name: str) -> None:
    """What the sheet calls idle is the state in which the magnet holds: the feed reads the same as with the lock energised."""
    found = readings(doors, name)
    idle = one(found, "where lock power comes from", "door idle")
    energised = one(found, "where lock power comes from", "lock energised")
    assert idle.expected == pytest.approx(energised.expected, rel=1e-12)
    circuit = doors.circuit(name)
    assert circuit.locked_state == circuit.powered
    assert doors.circuit("direct").locked_state == doors.circuit("direct").commanded


def test_the_sensors_own_pole_is_tested_without_the_controller(doors: Any) -> None:
    """Controller locks, its input disconnected: motion alone, and the loss of the sensor's supply alone, release."""
    for name in ("relay-external-supply", "splitter-magnet"):
        found = [r for r in readings(doors, name) if "wires off K1.REQ" in r.state]
        assert [r.state.partition("; ")[2] for r in found] == [
            "wires off K1.REQ; motion at B2", "wires off K1.REQ; supply wire off B2.+",
        ]  # fmt: skip
        assert all(r.state.startswith("controller locks") for r in found)
        assert [r.expected for r in found] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_the_supply_to_common_link_is_measured(doors: Any) -> None:
    """Closed where it feeds the lock, open where another supply lands on the common."""
    for name, words in (("relay-module", "closed"), ("splitter-magnet", "closed"), ("relay-external-supply", "open"),
                        ("dry-trigger", "open")):  # fmt: skip
        reading = one(readings(doors, name), "supply-to-common link of K2", "power off")
        assert (reading.plus, reading.minus, reading.words) == ("K2.V+", "K2.C", words)


def test_the_release_is_timed_with_a_stopwatch(doors: Any) -> None:
    reading = one(readings(doors, "splitter-magnet"), "hold time of S1", "controller locks")
    assert (reading.meter, reading.expected, reading.low, reading.unit) == ("stopwatch", 30.0, 30.0, "s")
    part = {"id": "silent", "kind": "release-button", "contact_a": 3.0, "poles": 2}
    opening = {**doors.served["splitter-magnet"], "release": "silent"}
    unknown = one(readings(doors, "splitter-magnet", opening, parts=[part]), "hold time of S1", "controller locks")
    assert (unknown.expected, unknown.low, unknown.words) == (None, 30.0, "hold time not stated")


def test_inputs_are_set_to_the_state_they_rest_in(doors: Any) -> None:
    found = readings(doors, "splitter-magnet")
    settings = {r.plus: r.words for r in found if r.meter == "controller's setting"}
    assert settings == {"K1.DOOR": "normally closed", "K1.REQ": "normally open"}


def test_an_overloaded_source_has_no_reading(doors: Any) -> None:
    """A strike of 1 A on an output that gives 0.6 A: what it gives beyond is not computed, what does not load it is."""
    part = {"id": "greedy", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 1.0, "pull_in_a": 1.0,
            "tolerance_low": 0.15, "tolerance_high": 0.15}  # fmt: skip
    found = readings(doors, "direct", {**doors.served["direct"], "lock": "greedy"}, parts=[part])
    far = one(found, "lock M1, far end", "lock energised")
    assert (far.expected, far.low, far.high, far.words) == (None, None, None, "not computed: over limit")
    assert one(found, "auxiliary output", "door idle").expected == pytest.approx(12.0, abs=0.01)


def test_a_long_lock_wire_reads_its_copper(doors: Any) -> None:
    """120 m of one conductor: more than an ohm, so the sheet says how much, over the temperatures and with the leads."""
    run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": 120.0}
    circuit = doors.circuit("direct", runs=[run])
    copper_ohm = next(c.r20_ohm for c in circuit.netlist.conductors if str(c.b) == "M1.+")
    reading = one(expected_readings(circuit, doors.at), "lock M1, + wire", "power off")
    assert copper_ohm > 1.0
    assert reading.expected == pytest.approx(copper_ohm, rel=1e-4)
    assert reading.low < copper_ohm * (1 - 0.00393 * 10)
    assert reading.high > copper_ohm * (1 + 0.00393 * 20)


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
