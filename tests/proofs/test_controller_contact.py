"""Fault analysis of doors whose lock hangs on the controller's own dry contact. Common practice, no source."""

from __future__ import annotations

from riserkit.circuits.faults import FaultKind
from riserkit.proofs.values import Outcome

DOOR = {
    "controller": "controller-dry",
    "controller_at": "secured",
    "rex": "rex-motion",
    "arrangement": "controller-contact",
}
STRIKE = {**DOOR, "lock": "strike-12-secure", "egress": "mechanical"}
MAGNET = {
    **DOOR, "lock": "magnet-12-300", "egress": "sensor-release", "release": "release-30", "fire_alarm_release": True,
    "fire_relay": "fire-relay",
}  # fmt: skip


def proven(site_of, **opening):
    """The properties of one door's circuit, by name."""
    topology = site_of(opening).door["101"].proof.topology
    return {p.name: p for p in topology.properties}


def test_inside_nobody_reaches_the_contact(site_of):
    for door in (STRIKE, MAGNET):
        found = proven(site_of, **door)
        assert found["tamper"].outcome is Outcome.PASS
        assert found["lock-follows-controller"].outcome is Outcome.PASS


def test_outside_c_joined_to_no_releases_a_strike(site_of):
    found = proven(site_of, **{**STRIKE, "controller_at": "unsecured"})["tamper"]
    assert found.outcome is Outcome.FAIL
    (act,) = found.counterexample.faults
    assert act.kind is FaultKind.JOINED
    assert set(act.subjects) == {"K1.C", "K1.NO"}


def test_outside_a_wire_cut_at_the_contact_releases_a_magnet(site_of):
    """Fed at the junction box, the sensor's own supply is out of reach; what is left is the contact's pair."""
    found = proven(site_of, **{**MAGNET, "controller_at": "unsecured"})["tamper"]
    assert found.outcome is Outcome.FAIL
    (act,) = found.counterexample.faults
    assert act.kind is FaultKind.CUT
    netlist = site_of({**MAGNET, "controller_at": "unsecured"}).door["101"].wiring.netlist
    cut = next(c for c in netlist.conductors if act.subjects[0].endswith(c.ref))
    assert {str(cut.a), str(cut.b)} & {"K1.C", "K1.NC"}


def test_button_sensor_and_fire_alarm_release_a_magnet_whatever_the_contact_does(site_of):
    found = proven(site_of, **MAGNET)
    for name in ("release-by-hand", "release-on-sensor-loss", "release-on-fire-alarm", "release-on-power-loss"):
        assert found[name].outcome is Outcome.PASS, found[name].words


def test_a_strike_stays_locked_without_any_power(site_of):
    assert proven(site_of, **STRIKE)["fail-secure-on-power-loss"].outcome is Outcome.PASS


def test_what_sticks_in_the_output_is_told_by_name(site_of):
    """A strike is left unlocked by its contact welded, and by the command that holds the relay energised."""
    found = proven(site_of, **STRIKE)["fault-leaves-unlocked"]
    welded = {f.subjects[0] for f in found.faults if f.kind is FaultKind.CONTACT_WELDED}
    assert {"K1.no", "K1.output"} <= welded
    assert "contact C-NO of the controller stuck closed" in found.fault_phrases
    assert "lock output command in the controller stuck closed" in found.fault_phrases


def test_the_controller_s_own_relay_supply_dead_leaves_both_kinds_at_rest(site_of):
    """Contacts at rest: NO open, the strike locked; NC closed, the magnet held, which the button still releases."""
    for door in (STRIKE, MAGNET):
        dead = [
            f for f in proven(site_of, **door)["fault-leaves-unlocked"].faults if f.subjects[0].startswith("K1.relay_")
        ]
        assert not dead
