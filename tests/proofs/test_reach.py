"""What can be done from the unsecured side: the shortest act is found where there is one, and none where there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from riserkit.circuits.netlist import Cable
from riserkit.drawings.door.faulted import marked_table
from riserkit.proofs.attack import reach_of
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.prove import prove
from riserkit.proofs.values import REX_EXPOSED, Outcome
from riserkit.wiring.roles import DeviceRole

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}


@pytest.mark.parametrize(
    ("arrangement", "more"),
    [("direct-with-peripherals", {}), ("relay-by-voltage", {}), ("relay-external-supply", {"relay": "relay-volt"})],
)
def test_a_strike_that_a_voltage_moves_is_opened_by_one_act(site_of, arrangement, more):
    proof = site_of({**STRIKE, "arrangement": arrangement, **more}).door["101"].proof
    found = proof.about("tamper")
    assert found.outcome is Outcome.FAIL
    assert len(found.counterexample.faults) == 1
    assert "K1.L+" in found.words
    assert "relay-module" in found.cure
    assert "behind K1" in found.words


@pytest.mark.parametrize("arrangement", ["relay-module", "relay-external-supply"])
def test_an_authenticated_module_on_the_secured_side_is_moved_by_nothing(site_of, arrangement):
    proof = site_of({**STRIKE, "arrangement": arrangement}).door["101"].proof
    found = proof.about("tamper")
    assert found.outcome is Outcome.PASS
    assert found.cases == proof.topology.tamper_cases > 5000
    assert proof.about(REX_EXPOSED).outcome is Outcome.FAIL, "the request input is another matter, and is told"


def test_with_the_controller_on_the_secured_side_nothing_is_in_reach(site_of):
    proof = site_of({**STRIKE, "arrangement": "relay-by-voltage", "controller_at": "secured"}).door["101"].proof
    assert proof.about("tamper").outcome is Outcome.PASS
    assert proof.topology.tamper_cases == 0


def test_a_magnet_on_a_splitter_is_dropped_by_a_short_and_one_on_its_own_supply_is_not(site_of):
    magnet = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion"}
    made = site_of({**magnet, "arrangement": "splitter-magnet"}, {**magnet, "arrangement": "relay-external-supply"})
    splitter, supply = (made.door[mark].proof.about("tamper") for mark in ("101", "102"))
    assert splitter.outcome is Outcome.FAIL
    assert "relay-external-supply" in splitter.cure
    assert supply.outcome is Outcome.PASS


def test_at_a_reader_outside_the_remedy_is_none_that_is_there_already(site_of):
    """The controller is on the secured side: neither its place nor what it is set to off the wall cures a short there."""
    secured = {
        "controller": "controller-box",
        "controller_at": "secured",
        "reader_in": "reader-out",
        "rex": "rex-motion",
    }
    magnet = {**secured, "lock": "magnet-24-600", "egress": "sensor-release", "lock_count": 2, "type": "double"}
    made = site_of(
        {**secured, "lock": "strike-12-secure", "egress": "mechanical"}, magnet, {**magnet, "rex": "rex-motion-24"}
    )
    strike, pair, fed_apart = (made.door[mark].proof for mark in ("101", "102", "103"))
    asking = strike.about(REX_EXPOSED)
    assert asking.outcome is Outcome.FAIL
    assert "switch without power" in asking.cure
    released = pair.about("tamper")
    assert released.outcome is Outcome.FAIL
    assert "B5.+" in released.words
    assert released.cure.startswith("Feed lock and REX sensor apart from the reader")
    assert fed_apart.about("tamper").outcome is Outcome.PASS, "the remedy does"
    assert fed_apart.about(REX_EXPOSED).outcome is Outcome.PASS


def test_two_acts_are_found_where_one_will_not_do(lab):
    """A lock that wants more than 24 V, between two wires in reach; its supply's two wires have to be joined to both."""
    box = lab.part("Z1", "a b c d", exposed=True)
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 480.0, 30.0, 1.8))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 36.0, i_limit_a=1.0))
    wires = (("W1", "Z1.a", "G1.S+"), ("W2", "Z1.b", "G1.S-"), ("W3", "Z1.c", "M1.+"), ("W4", "Z1.d", "M1.-"))
    found = lab.prove(lab.circuit(wires, box, G1=supply, M1=strike), fail_safe=False).about("tamper")
    assert found.outcome is Outcome.FAIL
    acts = {frozenset(act.subjects) for act in found.counterexample.faults}
    assert acts == {frozenset({"Z1.a", "Z1.c"}), frozenset({"Z1.b", "Z1.d"})}
    assert set(found.counterexample.path) == {"1", "2", "3", "4"}


def test_reach_is_what_lands_on_an_exposed_device(lab):
    reach = reach_of(lab.exposed(lab.circuit(), "K1").netlist)
    assert set(reach.terminals) == {"K1.A+", "K1.A-", "K1.D", "K1.R", "K1.IC"}, (
        "a jack that leads to nothing is left out"
    )
    assert set(reach.conductors) == {"2", "3", "6", "7", "14", "15"}
    assert reach.port, "the PoE cable is landed there too"


def test_unplugging_the_poe_cable_counts_as_an_act(site_of):
    """The sensor of a 24 V magnet hangs on the controller, so without the PoE cable the door has to unlock."""
    magnet = {"lock": "magnet-24-600", "egress": "sensor-release", "rex": "rex-motion"}
    found = site_of(magnet).door["101"].proof.about("tamper")
    assert found.outcome is Outcome.FAIL


def test_a_fail_safe_lock_that_holds_on_by_a_thread_counts_as_released(lab):
    """Shorted, a supply limited to 3 A leaves its magnet what two wires of 0.2 Ω and the short of 0.01 Ω drop."""
    box = lab.part("Z1", "a b", exposed=True)
    magnet = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 24.0, 8.4, 0.6))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 12.0, i_limit_a=3.0))
    wires = (("W1", "G1.S+", "M1.+"), ("W1", "G1.S-", "M1.-"), ("W2", "Z1.a", "M1.+"), ("W2", "Z1.b", "M1.-"))
    found = lab.prove(lab.circuit(wires, box, G1=supply, M1=magnet)).about("tamper")
    assert found.outcome is Outcome.FAIL
    assert 0.6 < found.counterexample.coil_v < 8.4
    assert found.counterexample.coil_v == pytest.approx(3.0 * 0.41, rel=0.02)


def test_a_cable_that_is_exposed_by_itself_is_in_reach_all_along(lab):
    """A surface-run lock cable on the unsecured side: cut, it drops the magnet, and its colour and way are told."""
    wired = lab.circuit()
    cable = Cable("W8", "18-2", 5.0, "stated", ("RD", "BK"), "18 AWG", role="lock", exposed=True)
    netlist = replace(wired.netlist, cables=(cable,))
    own = {c.ref for c in netlist.conductors if c.cable == "W8"}
    assert set(reach_of(netlist).conductors) == own
    assert not reach_of(replace(netlist, cables=(replace(cable, exposed=False),)))
    found = lab.prove(replace(wired, netlist=netlist)).about("tamper")
    assert found.outcome is Outcome.FAIL
    assert found.words.startswith("From the unsecured side, cut conductor RD of W8")
    assert found.words.endswith(": the lock is released.")
    assert "along an exposed cable" in found.words
    rows = marked_table(netlist, found, found.counterexample).rows
    assert {row[5] for row in rows if row[0] in own} == {"along W8"}


def test_an_attack_that_works_with_the_shortest_cables_only_is_found_and_says_so(lab):
    """24 V from outside over four wires of 0.2 Ω leave a strike of 24 Ω more than the 23 V it wants; wires of 5 Ω do not."""
    box = lab.part("Z1", "a b", exposed=True)
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 24.0, 23.0, 1.8))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 12.0, i_limit_a=0.01))
    wires = (("W1", "Z1.a", "X1.1"), ("W1", "Z1.b", "X1.0"), ("W2", "X1.1", "M1.+"), ("W2", "X1.0", "M1.-"),
             ("W3", "G1.S-", "X1.0"))  # fmt: skip
    short = lab.circuit(wires, box, G1=supply, M1=strike)
    far = tuple(replace(c, r20_ohm=5.0) for c in short.netlist.conductors)
    long = replace(short, netlist=replace(short.netlist, conductors=far))
    assert lab.prove(long, fail_safe=False).about("tamper").outcome is Outcome.PASS
    proof = prove(Extremes(long, short.netlist, long.netlist), False)
    found = proof.about("tamper")
    assert found.outcome is Outcome.FAIL
    assert "with the shortest cables" in found.counterexample.worst_case
    assert found.counterexample.worst_case in found.words
    assert found.counterexample.coil_v == pytest.approx(24.0 * 24.0 / (24.0 + 4 * 0.2 + 0.1), rel=1e-3)
    alike = lab.prove(short, fail_safe=False)
    assert alike.about("tamper").counterexample.worst_case == "", "it works at every worst case"
    assert proof.tamper_cases == 2 * alike.tamper_cases, "each length at each source voltage"


def test_two_acts_together_are_tried_with_each_length_at_each_source_voltage(lab):
    """A strike of 100 V that nothing brought along moves, so that every pair of acts is tried."""
    box = lab.part("Z1", "a b c d", exposed=True)
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 480.0, 100.0, 1.8))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 36.0, i_limit_a=1.0))
    wires = (("W1", "Z1.a", "G1.S+"), ("W2", "Z1.b", "G1.S-"), ("W3", "Z1.c", "M1.+"), ("W4", "Z1.d", "M1.-"))
    short = lab.circuit(wires, box, G1=supply, M1=strike)
    far = tuple(replace(c, r20_ohm=5.0) for c in short.netlist.conductors)
    long = replace(short, netlist=replace(short.netlist, conductors=far))
    alike = lab.prove(short, fail_safe=False)
    proof = prove(Extremes(long, short.netlist, long.netlist), False)
    assert alike.about("tamper").outcome is proof.about("tamper").outcome is Outcome.PASS
    assert proof.tamper_cases == 2 * alike.tamper_cases


def test_an_attack_that_works_at_the_highest_source_voltage_only_is_found_and_says_so(lab):
    """24 V put in series with a supply of 30 V within 5 %: 54 V, at most 55.5 V; the strike wants 54.9 V."""
    box = lab.part("Z1", "a c", exposed=True)
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 480.0, 54.9, 1.8))
    supply = lab.part("G1", "S+ S-", lab.source("output", "S+", "S-", 30.0))
    wires = (("W1", "Z1.a", "G1.S+"), ("W2", "Z1.c", "M1.+"), ("W3", "G1.S-", "M1.-"))
    found = lab.prove(lab.circuit(wires, box, G1=supply, M1=strike), fail_safe=False).about("tamper")
    assert found.outcome is Outcome.FAIL
    assert found.counterexample.worst_case == "at highest source voltage, conductors at 20 °C (68 °F)"
    assert found.counterexample.coil_v > 54.9


def test_only_the_readers_wires_are_accessible_where_only_the_reader_is_outside(site_of):
    """The controller's four terminals for the reader lead outside; its lock, inputs and PoE cable do not."""
    opening = {**STRIKE, "controller": "controller-c4", "reader_in": "reader-out", "contact": "contact-reed"}
    netlist = site_of({**opening, "controller_at": "secured"}).door["101"].wiring.netlist
    (outside,) = (c.ref for c in netlist.components if c.exposed)
    assert netlist.component(outside).role == DeviceRole.READER
    reader = {c.ref for c in netlist.conductors if outside in {c.a.component, c.b.component}}
    assert len(reader) == 4
    reach = reach_of(netlist)
    assert set(reach.conductors) <= reader
    assert {name.partition(".")[0] for name in reach.terminals} == {outside}
    assert not reach.port
    assert {f"{outside}.+", f"{outside}.-"} <= set(reach.terminals), "what feeds the reader is accessible"
    exposed = reach_of(site_of(opening).door["101"].wiring.netlist)
    assert set(exposed.conductors) > set(reach.conductors), "with the controller outside its other wires are too"
