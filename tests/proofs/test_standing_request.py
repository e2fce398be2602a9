"""A request to exit that stands, or may stand, while nobody asks: no door to be locked, and no reason to fall over."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.kept_cases import RELEASED
from riserkit.circuits.study import study
from riserkit.proofs.behaviour import NO, ROOM_C, UNSURE, YES, single_circuit, solve_door
from riserkit.proofs.history import pulled_in_before
from riserkit.proofs.values import Outcome

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical"}
SENSOR = {"id": "rex-18", "kind": "rex-sensor", "title": "Motion REX sensor 18 V", "draw_a": 0.02, "releases_on_loss": True,
          "poles": 1, "contact_a": 1.0}  # fmt: skip


@pytest.mark.parametrize(("rated_v", "low", "outcome"), [(18, 0.35, "fail"), (12, 0.15, "pass")])
def test_a_sensor_that_may_not_pull_in_is_no_sensor_that_asks_for_nothing(site_of, rated_v, low, outcome):
    """Fed 12 V, a sensor of 18 V -35 % pulls in from 11.7 V on: at the lowest source it does not, and its contact stands closed."""
    sensor = {**SENSOR, "rated_v": rated_v, "tolerance_low": low, "tolerance_high": 0.35}
    door = site_of({**STRIKE, "rex": "rex-18", "arrangement": "direct-with-peripherals"}, parts=(sensor,)).doors[0]
    found = door.proof.about("lock-follows-controller")
    assert found.outcome == Outcome(outcome)
    if outcome == "fail":
        assert "request to exit at rest" in found.words
        assert found.counterexample is not None
        assert {door.proof.about(name).outcome for name in ("tamper", "undetected-fault", "fault-leaves-unlocked")} == {
            Outcome.NOT_EVALUATED
        }


def test_a_request_contact_that_stands_closed_is_told_and_stops_nothing(lab):
    """The sensor's contact landed where it is closed at rest: the controller never locks the door."""
    sound = lab.parts()["B2"]
    turned = tuple(replace(e, normally_closed=False) if e.name == "contact" else e for e in sound.elements)
    proof = lab.prove(lab.exposed(lab.circuit(B2=replace(sound, elements=turned)), "K1"))
    found = proof.about("lock-follows-controller")
    assert found.outcome is Outcome.FAIL
    assert "never locks the door" in found.words
    assert proof.about("undetected-fault").outcome is Outcome.NOT_EVALUATED
    assert proof.about("tamper").outcome is Outcome.NOT_EVALUATED


@pytest.mark.parametrize(("pull_in_v", "at_rest"), [(11.0, NO), (12.0, UNSURE), (14.0, YES)])
def test_no_worst_case_begins_with_a_relay_powered_that_can_never_have_pulled_in(lab, pull_in_v, at_rest):
    """12 V give 11.4 to 12.6: pulled in at both, at the highest alone, at neither though 14 V let go at 2.4 only."""
    sound = lab.parts()["B2"]
    relay = lab.coil("relay", "_held", "-", 480.0, pull_in_v, 2.4)
    elements = tuple(replace(relay, role=e.role) if e.name == "relay" else e for e in sound.elements)
    seen = solve_door(single_circuit(lab.circuit(B2=replace(sound, elements=elements))), True, ROOM_C)
    assert seen.request[0, seen.at_rest()] == at_rest


def test_only_what_pulls_in_from_rest_can_have_been_powered_before(lab):
    """The independent way round: started powered, the coil of 14 V stays so; that start is none that power-up reaches."""
    sound = lab.parts()["B2"]
    relay = lab.coil("relay", "_held", "-", 480.0, 14.0, 2.4)
    elements = tuple(replace(relay, role=e.role) if e.name == "relay" else e for e in sound.elements)
    netlist = lab.circuit(B2=replace(sound, elements=elements)).netlist
    seen = solve_door(single_circuit(lab.circuit()), True, ROOM_C)
    quiet = [seen.states[seen.at_rest()]]
    held = study(netlist, quiet, ((),), (), (SourceLevel.HIGH, 20.0), energised=True)
    assert held.coil_states("B2.relay")[0, 0] != RELEASED
    before = pulled_in_before(netlist, seen.states, ((),), 20.0)
    assert not before[0, held.coil_index("B2.relay")]
    assert before[0, held.coil_index("K2.relay")]
    assert np.all(before[0] == pulled_in_before(netlist, seen.states, ((), seen.faults[1]), 20.0)[0])
