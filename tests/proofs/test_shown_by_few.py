"""What only some fault, some worst case or some lock shows: each claim is judged over all of them."""

from __future__ import annotations

from riserkit.circuits.faults import single_faults
from riserkit.circuits.netlist import Element, ElementKind
from riserkit.circuits.states import all_states, outside_names
from riserkit.proofs.values import Outcome

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion"}


def test_a_short_past_the_alarm_relay_counts(lab):
    """The conductor behind the alarm relay shares a cable with the supply's plus; sound, the door releases in alarm."""
    wires = tuple(
        ("W5", *wire[1:]) if wire[1:] == ("X1.3", "M1.+") else wire for wire in lab.rewired(("M1.- X1.0", "M1.- X1.0"))
    )
    found = lab.prove(lab.circuit(wires)).about("release-on-fire-alarm")
    assert found.outcome is Outcome.FAIL
    assert found.counterexample.faults
    assert "shorted" in found.counterexample.words


def test_a_short_to_another_supply_counts_when_power_is_lost(lab):
    """The lock's feed shares a cable with a live wire of another supply, which the loss of its own does not kill."""
    other = lab.part("G2", "S+ S-", lab.source("output", "S+", "S-", 12.0))
    lamp = lab.part("Q1", "1 2", Element("lamp", ElementKind.RESISTOR, "1", "2", {"r_ohm": 100.0}))
    wires = (*lab.sound, ("W8", "G2.S+", "Q1.1"), ("W9", "G2.S-", "Q1.2"), ("W9", "G2.S-", "X1.0"))
    proof = lab.prove(lab.circuit(wires, other, lamp))
    found = proof.about("release-on-power-loss")
    assert found.outcome is Outcome.FAIL
    assert found.counterexample.state["G1.mains_lost"]
    assert "shorted" in found.counterexample.words
    apart = (*lab.sound, ("W9", "G2.S+", "Q1.1"), ("W10", "G2.S-", "Q1.2"), ("W11", "G2.S-", "X1.0"))
    assert lab.prove(lab.circuit(apart, other, lamp)).about("release-on-power-loss").outcome is Outcome.PASS


def test_one_lock_of_two_that_stays_locked_is_enough(lab):
    """The second leaf's magnet is fed past the button."""
    second = lab.part("M2", "+ -", lab.coil("coil", "+", "-", 24.0, 8.4, 0.6))
    wired = lab.circuit((*lab.sound, ("W8", "X1.1", "M2.+"), ("W8", "M2.-", "X1.0")), second)
    both = type(wired)(
        wired.netlist,
        wired.powered,
        wired.commanded,
        ("M1", "M2"),
        fail_safe=True,
        supply=wired.supply,
        relay=wired.relay,
    )
    assert lab.prove(wired).about("release-by-hand").outcome is Outcome.FAIL, (
        "shorted in one cable they feed each other"
    )
    found = lab.prove(both).about("release-by-hand")
    assert found.outcome is Outcome.FAIL
    assert not found.counterexample.faults
    assert found.counterexample.lock == "M2"


def test_a_relay_that_holds_on_by_a_leak_is_not_taken_for_released(lab):
    """Past the module's open command 5 V leak to its coil: below pull-in, above drop-out. Once moved, it never falls back."""
    leak = Element("leak", ElementKind.RESISTOR, "V+", "_told", {"r_ohm": 280.0})
    sound = lab.parts()["K2"]
    leaking = lab.part("K2", "V+ V- C NO NC", *sound.elements, leak)
    found = lab.prove(lab.circuit(K2=leaking)).about("lock-follows-controller")
    assert found.outcome is Outcome.FAIL
    assert lab.prove(lab.circuit()).about("lock-follows-controller").outcome is Outcome.PASS


def test_only_losses_of_power_put_staying_locked_to_the_test(site_of):
    """Without data a dead controller commands nothing: door open or not, someone there or not, make the four cases."""
    found = site_of(STRIKE).doors[0].proof.about("fail-secure-on-power-loss")
    assert (found.outcome, found.cases) == (Outcome.PASS, 4)


def test_a_fault_that_stops_the_controller_is_no_silent_one(site_of):
    """The splitter feeds lock and controller; dead, the door is unlocked and the controller is missed at once."""
    opening = {**MAGNET, "rex": "rex-button"}
    made = site_of({**opening, "arrangement": "splitter-magnet"}, {**opening, "arrangement": "relay-external-supply"})
    fed_alike, fed_apart = (door.proof.about("undetected-fault").fault_phrases for door in made.doors)
    assert "splitter T1 dead" not in fed_alike
    assert "lock supply G1 dead" in fed_apart


def test_a_hung_controller_and_a_dead_sensor_are_among_the_cases(site_of):
    """Hung in either state: its command is free of what it sees. Dead: each contact and the detector fail either way."""
    door = site_of(MAGNET).doors[0]
    states = {(state["K1.output"], state["B2.motion"]) for state in all_states(outside_names(door.wiring.netlist))}
    assert states == {(False, False), (False, True), (True, False), (True, True)}
    told = {str(fault) for fault in single_faults(door.wiring.netlist)}
    assert {"B2.contact: contact failed open", "B2.contact: contact welded"} <= told
    assert any(one.startswith("B2.") and "failed open" in one for one in told)
