"""The cure that a tamper finding names does cure: the same door, wired so, is moved by no act. And what is proven is what is drawn."""

from __future__ import annotations

import pytest

from riserkit.proofs.values import Outcome

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", "release": "release-30"}

CURES = [
    pytest.param(
        {**STRIKE, "arrangement": "direct-with-peripherals"}, {"arrangement": "relay-module"}, id="strike, module"
    ),
    pytest.param(
        {**STRIKE, "arrangement": "relay-by-voltage"}, {"arrangement": "relay-external-supply"}, id="strike, supply"
    ),
    pytest.param(
        {**STRIKE, "lock": "exit-device-motor", "relay": "relay-volt"}, {"relay": "relay-auth"}, id="dry trigger"
    ),
    pytest.param(
        {**MAGNET, "arrangement": "splitter-magnet"}, {"controller_at": "secured"}, id="splitter, controller inside"
    ),
    pytest.param(
        {**MAGNET, "arrangement": "splitter-magnet"}, {"arrangement": "relay-external-supply"}, id="splitter, supply"
    ),
    pytest.param(
        {**MAGNET, "arrangement": "direct-with-peripherals"}, {"controller_at": "secured"}, id="direct, inside"
    ),
    pytest.param(
        {**MAGNET, "lock": "magnet-24-600"}, {"controller_at": "secured"}, id="24 V magnet, controller inside"
    ),
]


@pytest.mark.parametrize(("opening", "cure"), CURES)
def test_the_cure_named_cures(site_of, opening, cure):
    named = next(iter(cure.values()))
    before, after = (door.proof.about("tamper") for door in site_of(opening, {**opening, **cure}).doors)
    assert before.outcome is Outcome.FAIL
    words = {"relay-auth": "authenticated relay module", "secured": "controller_at secured"}.get(named, named)
    assert words in before.cure
    assert after.outcome is Outcome.PASS


def test_a_full_door_is_put_into_every_state(site_of):
    """Everything outside that moves a contact, each on and off with each other."""
    opening = {**MAGNET, "arrangement": "relay-external-supply", "fire_alarm_release": True}
    proof = site_of(opening).doors[0].proof.topology
    assert set(proof.names) == {
        "K1.output", "B2.motion", "S1.pressed", "K3.alarm", "N1.power_lost", "G1.mains_lost", "G1.battery_lost", "B1.open",
    }  # fmt: skip
    assert proof.states == 2**8


def test_what_is_proven_is_what_is_drawn(site_of):
    """One netlist: the proof's own, the one the sheet draws, and the one the conductor table is read off."""
    door = site_of(MAGNET).doors[0]
    netlist = door.wiring.netlist
    assert netlist == door.wiring.circuit.netlist
    drawn = {c.ref for c in netlist.conductors}
    for one in door.proof.topology.properties:
        if one.counterexample is not None:
            assert {*one.counterexample.path, *one.counterexample.affected} <= drawn
