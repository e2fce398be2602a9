"""Values that decide whether a door passes, each against a figure worked out by hand."""

from __future__ import annotations

from collections import Counter
from math import comb
from types import SimpleNamespace

import numpy as np
import pytest

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.faults import FaultKind, single_faults
from riserkit.circuits.kept_cases import EITHER, POWERED, RELEASED
from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist, Terminal
from riserkit.circuits.study import study
from riserkit.model.opening import EgressRole, Opening
from riserkit.model.parts import Lock
from riserkit.proofs.asked import asked_of
from riserkit.proofs.behaviour import NO, UNSURE, YES, Behaviour, closed
from riserkit.proofs.values import RELEASE_BY_HAND
from riserkit.proofs.worst_cases import worst_cases_of
from riserkit.standards.copper import resistance_per_m_20c_ohm, solid_resistance_per_m_20c_ohm
from riserkit.wiring import parts

from .designs import design_of

# NEC chapter 9 table 8 (verified): 18 AWG stranded 26.1 ohm/km at 75 °C, brought to 20 °C with 0.00393 /K.
OHM_PER_M_18 = 26.1e-3 / (1 + 0.00393 * 55)
# IACS (NBS Handbook 100, verified): 23 AWG solid 66.78, 24 AWG 84.21 ohm/km at 20 °C.
OHM_PER_M_23, OHM_PER_M_24 = 66.78e-3, 84.21e-3


def test_a_lock_that_states_neither_pull_in_nor_drop_out_gets_them_from_its_tolerance():
    """85 % of 24 V to pull in, a tenth of it to let go (common practice, no source)."""
    lock = Lock(id="x", kind="strike", rated_v=24, hold_a=0.2, tolerance_low=0.15, tolerance_high=0.1)
    values = parts.lock(lock, "M1").elements[0].values
    assert (values["v_pull_in_v"], values["v_drop_out_v"]) == pytest.approx((20.4, 2.4))


@pytest.mark.parametrize(
    ("door", "element", "pull_in_v", "drop_out_v"),
    [("module", "K2.relay", 10.2, 1.2), ("sensor", "B2.relay", 10.2, 2.4), ("voltage-relay", "K2.trigger", 10.2, 1.2)],
)
def test_relays_and_sensors_pick_up_and_let_go(door, element, pull_in_v, drop_out_v):
    """12 V coils of a tolerance of 15 %; a module lets go at a tenth, a sensor at a fifth (common practice, no source)."""
    values = design_of({"door": door}).doors[0].wiring.circuit.netlist.element(element).values
    assert (values["v_pull_in_v"], values["v_drop_out_v"]) == pytest.approx((pull_in_v, drop_out_v))


def test_an_exit_devices_supply_is_told_by_seven_tenths_of_what_a_closed_trigger_gives():
    """24 V over two equal resistors: 12 V across the trigger while it is closed (common practice, no source)."""
    lock = Lock(id="x", kind="electrified-exit-device", rated_v=24, hold_a=0.7, tolerance_low=0.15, own_supply=True)
    sense = next(e for e in parts.exit_device_supply(lock, "G1").elements if e.kind is ElementKind.COIL)
    assert (sense.values["v_pull_in_v"], sense.values["v_drop_out_v"]) == pytest.approx((8.4, 1.2))


def test_lowest_voltage_at_a_strike_by_hand():
    """11.4 V behind 0.02 ohm, two contacts of 0.05 ohm and the copper there and back at 40 °C, into 48 ohm."""
    run = {
        "id": "R1",
        "from_end": "101/controller",
        "to_end": "101/lock",
        "length_m": 20,
        "cable_type": "18-2",
        "basis": "measured",
    }
    volts = design_of({"door": "strike", "runs": [run]}).doors[0].wiring.voltages
    copper_ohm = 2 * 20 * OHM_PER_M_18 * (1 + 0.00393 * 20)
    assert volts.lock_low_v == pytest.approx(11.4 * 48 / (48 + 0.02 + 2 * 0.05 + copper_ohm), rel=1e-5)


def test_loop_to_the_controller_counts_the_cords():
    """Over two pairs each way is two conductors in parallel, so a metre of channel is a metre of one; cords are stranded."""
    link = design_of({"door": "strike"}).doors[0].link
    warm = 1 + 0.00393 * (link.temperature_c - 20)
    loop_ohm = (link.length_m - 10) * OHM_PER_M_23 * warm + 10 * OHM_PER_M_24 * 1.026
    assert link.loop_ohm == pytest.approx(loop_ohm, rel=1e-3)


def test_watts_that_arrive_over_a_long_loop():
    """Class 4: 30 W at 50 V are 0.6 A; 0.36 W are lost in each ohm, the standard's own 12.5 ohm leave 25.5 W."""
    run = {"id": "R1", "from_end": "C1", "to_end": "101", "length_m": 80, "basis": "measured"}
    cable = {"like": "cat6", "id": "thin", "gauge": "26 AWG"}
    case = {"door": "strike", "runs": [run], "cable_types": [cable], "opening": {"horizontal_cable": "thin"}}
    link = design_of({**case, "site": {"pathway_c": 60}}).doors[0].link
    assert link.loop_ohm > 12.5
    assert link.pd_limit_w == pytest.approx(30 - 0.36 * link.loop_ohm)


@pytest.mark.parametrize("gauge", ["17 AWG", "8 AWG", "6 AWG"])
def test_thick_conductors_outside_the_table_are_taken_as_stranded(gauge):
    """NEC chapter 9 table 8 (verified): stranding adds 2.0 to 2.6 % to the solid value in every row."""
    solid_ohm = solid_resistance_per_m_20c_ohm(int(gauge.split()[0]))
    assert 1.020 <= resistance_per_m_20c_ohm(gauge) / solid_ohm <= 1.027


def test_every_single_fault_is_tried():
    netlist = design_of({"door": "sensor"}).doors[0].wiring.circuit.netlist
    kinds = Counter(fault.kind for fault in single_faults(netlist))
    elements = Counter(e.kind for c in netlist.components for e in c.elements)
    in_cable = Counter(c.cable for c in netlist.conductors if c.cable)
    assert kinds[FaultKind.CONTACT_WELDED] == kinds[FaultKind.CONTACT_OPEN] == elements[ElementKind.CONTACT]
    assert kinds[FaultKind.CONDUCTOR_OPEN] == kinds[FaultKind.CONDUCTOR_EARTHED] == len(netlist.conductors)
    assert kinds[FaultKind.CONDUCTORS_SHORTED] == sum(comb(n, 2) for n in in_cable.values())
    assert kinds[FaultKind.SUPPLY_DEAD] == elements[ElementKind.SOURCE]


@pytest.mark.parametrize("role", [EgressRole.NONE, EgressRole.STAIR, EgressRole.DELAYED, None])
def test_a_manual_release_is_judged_wherever_one_is_stated(role):
    opening = Opening(mark="1", level="L1", x_m=0, y_m=0, release="release-30", egress=role)
    assert RELEASE_BY_HAND in asked_of(opening, fail_safe=True, edition="2021")


@pytest.mark.parametrize(("series_ohm", "reads_closed"), [(4600, True), (4800, False), (50, True), (90_000, False)])
def test_an_input_reads_closed_down_to_half_the_current_of_a_dead_short(series_ohm, reads_closed):
    """Its pull-up has 4.7 kilohm; as much again in the loop leaves half (common practice, no source)."""
    values = {"v_nominal_v": 3.3, "v_low_v": 3.3, "v_high_v": 3.3, "r_ohm": 4700.0}
    source = Element("input", ElementKind.SOURCE, "D", "IC", values)
    loop = Element("loop", ElementKind.RESISTOR, "D", "IC", {"r_ohm": series_ohm})
    netlist = Netlist((Component("K1", "K1", (Terminal("D"), Terminal("IC")), (source, loop)),), (), (), (), "K1.IC")
    assert bool(closed(netlist, study(netlist, ({},), ((),), ("K1.input",)), "K1.input").all()) is reads_closed


def test_inputs_have_a_pull_up_of_4_7_kilohm():
    """0.7 mA through a closed contact, as small reed contacts are made for (common practice, no source)."""
    netlist = design_of({"door": "strike"}).doors[0].wiring.circuit.netlist
    assert netlist.element("K1.input_door").values["r_ohm"] == netlist.element("K1.input_req").values["r_ohm"] == 4700.0


@pytest.mark.parametrize("element", ["G1.mains", "G1.battery"])
def test_a_supply_with_a_battery_has_two_ways_to_be_alive(element):
    assert design_of({"door": "sensor"}).doors[0].wiring.circuit.netlist.element(element)


def test_what_is_proven_is_proven_at_the_weakest_and_at_the_strongest_a_lock_gets():
    """Least volts at the end of the longest and hottest copper, most volts over the shortest and coldest (Ohm's law)."""
    short, long = (design_of({"door": door}).doors[0].wiring.circuit.netlist for door in ("bare", "strike"))
    weak, strong = worst_cases_of(short, long, (-5.0, 50.0))
    assert (weak.netlist, weak.level, weak.at_c) == (long, SourceLevel.LOW, 50.0)
    assert (strong.netlist, strong.level, strong.at_c) == (short, SourceLevel.HIGH, -5.0)


def test_a_lock_that_stands_otherwise_at_the_other_worst_case_is_unsure():
    def ends(*stands):
        return SimpleNamespace(coil_index=lambda _: 0, coil=np.array(stands, dtype=np.int8).reshape(1, -1, 1))

    low = ends(POWERED, RELEASED, POWERED, RELEASED, EITHER)
    high = ends(POWERED, RELEASED, RELEASED, POWERED, EITHER)
    door = SimpleNamespace(
        low=low, high=high, fail_safe=True, circuit=SimpleNamespace(locks=("M1",), coil=lambda ref: ref)
    )
    assert Behaviour.locks.func(door).ravel().tolist() == [YES, NO, UNSURE, UNSURE, UNSURE]
