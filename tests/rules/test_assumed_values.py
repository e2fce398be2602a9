"""The rule `assumed-values`, and the usual values that a circuit is calculated with."""

import pytest

from riserkit.design import design
from riserkit.findings import Severity, Verdict
from riserkit.rules.assumed_values import AssumedValues
from riserkit.wiring.assumed import assumed_values
from riserkit.wiring.roles import DeviceRole, ElementRole
from tests.known_bad.designs import design_of

FACTS = {
    "ambient_c": 21, "coldest_c": 5, "pathway_c": 41, "cords_total_m": 9, "cord_gauge": "24 AWG",
    "cord_stranding": "stranded", "closet_slack_m": 2, "door_slack_m": 2,
}  # fmt: skip


def judged(**facts):
    site = design_of({"door": "strike"}).site
    site = site.with_changes(info=dict.fromkeys(FACTS) | facts)
    (found,) = AssumedValues().evaluate(design(site))
    return found


@pytest.mark.parametrize("left_out", FACTS)
def test_each_fact_that_is_not_stated_is_named_with_the_value_taken(left_out):
    found = judged(**{name: value for name, value in FACTS.items() if name != left_out})
    assert (found.verdict, found.severity) == (Verdict.FAIL, Severity.NOTE)
    assert f" {left_out} " in found.message
    assert left_out in found.remedy
    assert not any(f" {name} " in found.message for name in FACTS if name != left_out)


def test_a_value_that_a_part_states_is_not_assumed():
    made = design_of({"door": "strike"})
    (door,) = made.doors
    lock = made.site.part[door.opening.lock]
    told = "lock drops out below 10% of its rated voltage"
    assumed = {lock.id: lock.model_copy(update={"v_drop_out_v": None})}
    known = {lock.id: lock.model_copy(update={"v_drop_out_v": 2.0})}
    assert told in assumed_values(door.wiring.circuit.netlist, assumed)
    assert told not in assumed_values(door.wiring.circuit.netlist, known)
    assert "closed contact 0.05 ohm" in assumed_values(door.wiring.circuit.netlist, known)


OWN = "lock's own supply ±3%, its trigger input 2200 ohm"


def test_what_is_taken_of_a_locks_own_supply_is_listed():
    """Tolerance and trigger decide what the controller's wire to it may be, and no column states them."""
    made, strike = design_of({"door": "exit-device"}), design_of({"door": "strike"})
    netlist = made.doors[0].wiring.circuit.netlist
    assert OWN in assumed_values(netlist, made.site.part)
    assert "own supply" not in assumed_values(strike.doors[0].wiring.circuit.netlist, strike.site.part)
    (supply,) = netlist.devices(DeviceRole.OWN_SUPPLY)
    (output,) = [e for e in supply.elements if e.role == ElementRole.SUPPLY_OUTPUT]
    assert output.values["v_high_v"] == pytest.approx(1.03 * output.values["v_nominal_v"])
    (trigger,) = [e for e in supply.elements if e.role == ElementRole.TRIGGER_INPUT]
    assert trigger.values["r_ohm"] == pytest.approx(2200)


def test_the_note_of_the_site_lists_it_and_asks_nobody_to_state_it():
    made = design_of({"door": "exit-device"})
    lock = made.doors[0].opening.lock
    (found,) = AssumedValues().evaluate(made)
    assert f"Taken of {lock}, which no column states: {OWN}." in found.message
    assert "supply" not in found.remedy
    (without,) = AssumedValues().evaluate(design_of({"door": "strike"}))
    assert "own supply" not in without.message
    stated = {"door": "exit-device", "site": FACTS}
    (all_stated,) = AssumedValues().evaluate(design_of(stated))
    assert all_stated.verdict is Verdict.PASS
    assert OWN in all_stated.message
