"""A lock's own contact goes on the door input, tells a released lock, and is told of where it cannot be landed."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from riserkit.findings import Severity, Verdict
from riserkit.model import catalogue
from riserkit.model.parts import Lock
from riserkit.proofs.values import Outcome
from riserkit.reports.test_sheet import site_test_table
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import expected_readings
from riserkit.wiring.roles import ElementRole
from tests.wiring.miswired_doors import judge_miswirings

REX = {"rex": "rex-motion", "contact": "contact-reed"}
KEEPER = {"lock": "strike-12-secure-keeper", "egress": "mechanical", **REX}
BOND = {"lock": "magnet-12-300-bond", "egress": "sensor-release", **REX}
BOLT = {"lock": "strike-24-safe-bolt", "egress": "stair", **REX}
PAIR = {**BOND, "type": "double", "lock_count": 2}
AT = Temperatures(10.0, 40.0)


def landed(netlist) -> list[str]:
    return [
        f"{c.a} {c.b}"
        for c in netlist.conductors
        if {"K1.DOOR", "X2"} & {str(c.a), str(c.b), c.a.component, c.b.component}
    ]


def own(netlist) -> tuple[str, ...]:
    return netlist.elements(ElementRole.LATCH_CONTACT, ElementRole.BOND_CONTACT)


def of(found, rule, mark):
    return [f for f in found if f.rule == rule and f.subject == mark]


def changed(site_of, door, **values):
    """A door whose lock, under an id of its own, has these values otherwise."""
    part = next(p for p in catalogue.PARTS if p.id == door["lock"])
    made = {k: v for k, v in part.model_dump().items() if v not in (None, "")}
    return site_of({**door, "lock": "own"}, parts=[{**made, "id": "own", **values}])


@pytest.mark.parametrize(("door", "locks"), [(KEEPER, 1), (BOND, 1), (BOLT, 1), (PAIR, 2)])
def test_it_stands_in_series_with_the_door_contacts(site_of, door, locks):
    (one,) = site_of(door).doors
    netlist = one.wiring.netlist
    assert len(own(netlist)) == locks
    ends = landed(netlist)
    assert ends[0].startswith("K1.DOOR B1.1")
    for ref in ("M1", "M2")[:locks]:
        assert any(f"{ref}.1" in pair for pair in ends)
    cables = {c.ref: c for c in netlist.cables}
    assert [c.role for c in cables.values()].count("lock_contact") == locks
    colours = [c.colour for c in netlist.conductors if c.cable and cables[c.cable].role == "lock_contact"]
    assert colours == ["RD", "BK"] * locks


def test_two_wires_a_cable_and_the_last_one_returns(site_of):
    netlist = site_of(PAIR).doors[0].wiring.netlist
    chain = [(str(c.a), str(c.b)) for c in netlist.conductors if {"X2", "B4", "M2"} & {c.a.component, c.b.component}]
    assert ("X2.3", "M2.1") in chain
    assert ("M2.2", "K1.IC") in chain
    assert len(netlist.component("X2").terminals) == 3


@pytest.mark.parametrize("door", [KEEPER, BOND, PAIR, {**KEEPER, "contact": ""}, {**BOND, "contact": ""}])
def test_a_lock_that_lets_go_is_seen(site_of, door):
    """The same door without the contact has undetected faults; with it none, and what is reported is not counted."""
    plain = {**door, "lock": door["lock"].removesuffix("-keeper").removesuffix("-bond")}
    watched, blind = site_of(door, plain).doors
    assert blind.proof.about("undetected-fault").outcome is Outcome.FAIL
    assert watched.proof.about("undetected-fault").outcome is Outcome.PASS
    held = {door.mark: set(door.proof.about("fault-leaves-unlocked").fault_phrases) for door in (watched, blind)}
    assert not any("lock output" in words or "command in" in words for words in held[watched.mark])
    assert watched.proof.about("fault-leaves-unlocked").requests == len(held[watched.mark]) or door is PAIR


def test_a_bolt_contact_sees_no_released_strike(site_of):
    (door,) = site_of(BOLT).doors
    assert door.proof.about("undetected-fault").outcome is Outcome.FAIL
    (told,) = of(check(site_of(BOLT)), "lock-contact", door.mark)
    assert told.verdict is Verdict.PASS
    assert "bolt only" in told.message


def test_both_rules_pass_where_nothing_is_left(site_of):
    made = site_of({**KEEPER, "rex": ""})
    found = check(made)
    for rule in ("fault-leaves-unlocked", "undetected-fault"):
        (one,) = of(found, rule, made.doors[0].mark)
        assert one.verdict is Verdict.PASS, one.message
    assert "unreported at the door input" in of(found, "fault-leaves-unlocked", made.doors[0].mark)[0].message


def test_standing_requests_are_cleared_by_their_confirmation(site_of):
    made = site_of(KEEPER, confirmed=("standing-request-reported",))
    (one,) = of(check(made), "fault-leaves-unlocked", made.doors[0].mark)
    assert one.verdict is Verdict.PASS
    assert "request to exit that persists" in one.message
    assert "Confirmed by A. Official, 2026-03-14" in one.message
    (without,) = of(check(site_of(KEEPER)), "fault-leaves-unlocked", made.doors[0].mark)
    assert (without.verdict, without.severity) == (Verdict.FAIL, Severity.NOTE)


@pytest.mark.parametrize("door", [KEEPER, BOND, {**BOND, "contact": ""}])
@pytest.mark.slow
def test_the_test_sheet_asks_for_it_and_shows_it_bypassed(site_of, door):
    made = site_of(door)
    circuit = made.doors[0].wiring.circuit
    reading = [r for r in expected_readings(circuit, AT) if r.state == "controller releases, door kept closed"]
    assert [r.what for r in reading] == ["door input"]
    closed = next(r for r in expected_readings(circuit, AT) if (r.what, r.state) == ("door input", "door closed"))
    assert closed.expected < 0.5 < reading[0].expected
    of_contact = [
        j for j in judge_miswirings(circuit, AT)
        if any(s.startswith("M1.") and s != "M1.coil" for s in j.miswiring.subjects)
    ]  # fmt: skip
    sheet = [" ".join(map(str, row)) for row in site_test_table(made).rows]
    assert any("controller releases, door kept closed" in row for row in sheet)
    assert all(j.shown_by for j in of_contact if j.changes)
    assert not [
        j
        for j in judge_miswirings(circuit, AT)
        if j.changes and not j.shown_by and "lock_contact" in _roles(circuit, j)
    ]


def _roles(circuit, judged):
    cable = {c.ref: c.cable for c in circuit.netlist.conductors}
    role = {c.ref: c.role for c in circuit.netlist.cables}
    return {role.get(cable.get(s, ""), "") for s in judged.miswiring.subjects}


def test_what_cannot_be_landed_is_told(site_of):
    made = changed(site_of, BOND, contact_when_secured="open")
    (told,) = of(check(made), "lock-contact", made.doors[0].mark)
    assert (told.verdict, told.severity) == (Verdict.FAIL, Severity.WARNING)
    assert "open while the lock holds" in told.message
    assert not own(made.doors[0].wiring.netlist)
    unstated = changed(site_of, BOND, contact_when_secured="")
    (asked,) = of(check(unstated), "lock-contact", unstated.doors[0].mark)
    assert asked.verdict is Verdict.NOT_EVALUATED
    (missing,) = of(check(unstated), "missing-data", unstated.doors[0].mark)
    assert "contact_when_secured of own" in missing.message
    leaf = changed(
        site_of, {**KEEPER, "lock": "exit-device-motor"}, latch_contact="bolt", contact_when_secured="closed",
        contact_a=0.2, contact_v=30.0,
    )  # fmt: skip
    (in_leaf,) = of(check(leaf), "lock-contact", leaf.doors[0].mark)
    assert "hinge power transfer" in in_leaf.message


def test_its_rating_is_judged(site_of):
    made = changed(site_of, BOND, contact_v=1.0)
    found = of(check(made), "contact-rating", made.doors[0].mark)
    assert [f.verdict for f in found if "own contact" in f.message and f.unit == "V"] == [Verdict.FAIL]


def test_a_contact_is_of_its_locks_kind():
    base = {"id": "x", "rated_v": 12.0, "hold_a": 0.3}
    with pytest.raises(ValidationError, match="bond_contact of an electromagnetic lock"):
        Lock.model_validate({**base, "kind": "electromagnetic-lock", "latch_contact": "bolt"})
    with pytest.raises(ValidationError, match="latch_contact of kind strike"):
        Lock.model_validate({**base, "kind": "strike", "bond_contact": True})
