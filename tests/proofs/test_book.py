"""What is shared between doors, what is told of a door, and that the numbers printed are the numbers solved."""

from __future__ import annotations

import re

import pytest

import riserkit.circuits.kept_cases as kept_cases_module
import riserkit.circuits.study as study_module
import riserkit.proofs.history as history_module
import riserkit.proofs.prove as prove_module
from riserkit.circuits.faults import single_faults
from riserkit.circuits.solve import solve_parts
from riserkit.circuits.states import all_states, outside_names
from riserkit.drawings.door.tables import truth_table_text
from riserkit.proofs.asked import asked_of, ibc_edition
from riserkit.proofs.book import Entry, Unproven, extremes_of
from riserkit.proofs.sentences import CAUTION, proof_line, proof_words
from riserkit.proofs.words import plain_words
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", "lock_wiring_secured": True}


def test_doors_that_differ_by_lengths_and_role_share_one_proof(site_of):
    made = site_of(STRIKE, {**STRIKE, "x_m": 40, "width_m": 1.2}, {**STRIKE, "egress": "none"}, {**STRIKE, "rex": ""})
    proofs = [door.proof for door in made.doors]
    assert proofs[0].topology is proofs[1].topology is proofs[2].topology
    assert proofs[3].topology is not proofs[0].topology
    assert proofs[0].topology.doors == 3
    assert made.doors[0].proof.topology is proofs[0].topology, "solved once"


def test_shared_doors_are_proven_with_the_shortest_and_the_longest_of_their_cables(site_of):
    doors = site_of(STRIKE, {**STRIKE, "width_m": 3.0}, {**STRIKE, "width_m": 1.5}).doors
    extremes = extremes_of(doors[0].wiring.circuit, [[Entry(d.opening, None, d.wiring) for d in doors]])
    own = [{c.ref: c.r20_ohm for c in d.wiring.circuit.netlist.conductors} for d in doors]
    assert own[0]["8"] < own[2]["8"] < own[1]["8"]
    for ref in own[0]:
        each = [ohm[ref] for ohm in own]
        for netlist, ohm in ((extremes.shortest, min(each)), (extremes.longest, max(each))):
            assert next(c.r20_ohm for c in netlist.conductors if c.ref == ref) == pytest.approx(ohm)


def test_the_cases_printed_are_the_cases_solved(site_of):
    door = site_of(STRIKE).doors[0]
    netlist, proof = door.wiring.circuit.netlist, door.proof.topology
    states, faults = len(all_states(outside_names(netlist))), len(single_faults(netlist))
    assert (proof.states, proof.faults) == (states, faults)
    assert proof.cases == states * (faults + 1) * 2
    assert proof_line(door.proof).startswith(f"{states} states x {faults} faults")


def test_a_door_that_holds_says_so_in_one_line(site_of):
    door = site_of(MAGNET).doors[0]
    proof = door.proof
    assert not proof.lacking
    held, unseen = len(proof.about("fault-leaves-unlocked").faults), len(proof.about("undetected-fault").faults)
    size = f"{proof.topology.states} states x {proof.topology.faults} faults"
    assert proof_line(proof) == (
        f"{size}, release passes in all;"
        " not judged: manual release welded or shorted across, contacts stuck while lock power is lost;"
        f" {held} faults leave it unlocked;"
        f" {unseen} faults leave it unlocked undetected by the inputs; REX input accessible: connect K1.REQ to K1.IC"
    )
    words = proof_words(proof, door.opening)
    assert words[-1] == CAUTION
    assert "manual release pressed: released." in words


def test_a_door_that_does_not_names_the_case(site_of):
    door = site_of({**STRIKE, "egress": "stair"}, building_code="IBC 2024").doors[0]
    proof = door.proof
    assert "release-on-power-loss" in {one.name for one in proof.failed}
    assert "release-on-fire-alarm fails: The circuit has no fire alarm relay" in proof_line(proof)
    assert any("fail-secure: without power it stays locked" in line for line in proof_words(proof, door.opening))


def test_a_way_out_that_is_lacking_comes_before_everything(site_of):
    line = proof_line(site_of({**MAGNET, "egress": "hardware-release", "lock_wiring_secured": False}).doors[0].proof)
    assert "release-by-hand fails: The circuit has no manual release" in line


def test_an_act_from_outside_stands_behind(site_of):
    line = proof_line(site_of(STRIKE).doors[0].proof)
    assert " faults checked; " in line
    assert line.endswith("tamper: connect K1.L+ (RD of W4) to K1.A+ (RD of W3)")


def test_without_a_circuit_nothing_is_proven(site_of):
    made = site_of({**STRIKE, "lock": ""}, {**STRIKE, "fail_mode": "fail-safe"})
    for mark, why in (("101", "data missing: lock"), ("102", "fail-secure, fail-safe is wanted")):
        proof = made.door[mark].proof
        assert isinstance(proof, Unproven)
        assert why in proof.why
        assert proof_line(proof).startswith("Not checked")


TABLES = [
    pytest.param(STRIKE, {("no power on the PoE cable",): "locked", ("REX active",): "released",
                          ("controller releases",): "released", ("controller locks",): "locked"},
                 id="strike on the output"),
    pytest.param(MAGNET, {("manual release pressed",): "released", ("lock supply without mains and battery",): "released",
                          ("REX active",): "released", ("no power on the PoE cable",): "locked",
                          ("controller releases",): "released", ("controller locks",): "locked"},
                 id="magnet on a supply of its own"),
]  # fmt: skip


@pytest.mark.parametrize(("opening", "expected"), TABLES)
def test_truth_table(site_of, opening, expected):
    table = site_of(opening).doors[0].proof.topology.table
    assert {row.state[-1:]: row.lock_state for row in table} == expected


@pytest.mark.parametrize(
    ("code", "edition"),
    [("IBC 2021, as adopted locally", "2021"), ("2024 IBC", "2024"), ("IBC-2024", "2024"), ("IBC 1999", ""), ("", "")],
)
def test_edition(code, edition):
    assert ibc_edition(code) == edition


def test_stair_doors_are_asked_for_release_from_2024_on(site_of):
    opening = site_of({**STRIKE, "egress": "stair"}).doors[0].opening
    assert "release-on-power-loss" not in asked_of(opening, True, "2021")
    assert {"release-on-power-loss", "release-on-fire-alarm"} <= set(asked_of(opening, True, "2024"))


@pytest.mark.parametrize(
    ("opening", "checked_again"),
    [
        pytest.param(STRIKE, 2, id="one act opens it"),
        pytest.param(MAGNET, 0, id="no act opens it"),
        pytest.param({**STRIKE, "controller_at": "secured"}, 0, id="nothing in reach"),
    ],
)
def test_the_counts_printed_are_the_rows_that_the_solver_was_given(site_of, monkeypatch, opening, checked_again):
    """Rows counted where the solver hands out its solutions, apart from any count kept by the proof.

    Of the door's own states not every combination is solved; tests/circuits/test_independence.py holds them to be the same.

    What relays can have done before is worked out besides, and judges nothing.
    An act that opens the door is solved twice more by itself, to tell it at the terminals in reach; that is no new act.
    """
    rows = {"solve_door": 0, "tamper": 0, "history": 0}
    at_work = []

    def counted_parts(circuit, cases):
        for part in solve_parts(circuit, cases):
            rows[at_work[-1]] += part.v.shape[1]
            yield part

    def told(where, work):
        def solve(*args, **options):
            at_work.append(where)
            try:
                return work(*args, **options)
            finally:
                at_work.pop()

        return solve

    monkeypatch.setattr(kept_cases_module, "solve_parts", counted_parts)
    monkeypatch.setattr(prove_module, "solve_door", told("solve_door", prove_module.solve_door))
    monkeypatch.setattr(prove_module, "tamper", told("tamper", prove_module.tamper))
    monkeypatch.setattr(history_module, "study", told("history", study_module.study))
    door = site_of(opening).doors[0]
    proof = door.proof
    printed = proof_words(proof, door.opening)[0]
    states, faults, worst_cases, cases, acts = map(int, re.findall(r"\d+", printed))
    assert cases == states * (faults + 1) * worst_cases
    assert 0 < rows["solve_door"] <= cases, "states of parts that share no current are put together"
    assert rows["tamper"] == acts + checked_again
    assert proof_line(proof).startswith(f"{states} states x {faults} faults")


DOORS = (
    STRIKE, MAGNET, {**MAGNET, "arrangement": "splitter-magnet", "fire_alarm_release": True},
    {**STRIKE, "arrangement": "relay-by-voltage"}, {**STRIKE, "arrangement": "relay-module"}, {**STRIKE, "rex": "", "contact": ""},
    {"lock": "strike-24-secure", "egress": "mechanical", "rex": "rex-motion", "type": "double"},
    {"lock": "exit-device-motor", "egress": "mechanical", "rex": "rex-motion"},
    {**STRIKE, "controller": "controller-dry", "controller_at": "secured", "reader_in": "reader-out"},
)  # fmt: skip


def test_every_contact_and_source_of_the_shipped_arrangements_has_a_name_in_words(site_of):
    made, seen = site_of(*DOORS), set()
    for door in made.doors:
        netlist = door.wiring.netlist
        seen.add(door.wiring.drawn.arrangement)
        for fault in single_faults(netlist):
            told = plain_words(netlist, (fault,))
            for subject in fault.subjects:
                assert subject not in told or subject in {c.ref for c in netlist.conductors}, told
    assert seen == {a.name for a in SHIPPED_ARRANGEMENTS}


def test_the_words_are_those_of_a_fitter(site_of):
    """Where the current goes, what the lock then does, and every fault that holds the door: told as one would find it."""
    opening = {**STRIKE, "arrangement": "relay-by-voltage", "lock_wiring_secured": True}
    door = site_of(opening).doors[0]
    proof = door.proof
    words = proof_words(proof, door.opening)
    tamper = next(line for line in words if line.startswith("tamper: fails. "))
    assert tamper.count("connect K1.L+") == 1, "an act is told once"
    assert "The coil of M1 then has 11.8 V; it is released." in tamper
    assert "Current path: from K1.A+ over 8 (RD of W4) to K2.V+, over 12 (lead) to K2.C," in tamper
    held = next(line for line in words if line.startswith("fault-leaves-unlocked: fails. "))
    assert held.count(";") == len(proof.about("fault-leaves-unlocked").faults) - 1
    assert "lock output of the controller stuck closed" in held
    assert words.index("Lock state without faults; the first matching line applies:") < words.index(CAUTION)


def test_a_lock_fed_past_a_release_that_is_lacking_is_told_with_its_current(site_of):
    door = site_of({"lock": "magnet-12-300", "egress": "hardware-release", "rex": "rex-button"}).doors[0]
    proof = door.proof
    line = next(line for line in proof_words(proof, door.opening) if line.startswith("release-by-hand: fails. "))
    assert "no manual release is in this path" in line
    assert "it is locked. Current path: from K1.L+" in line
    assert line.endswith("to K1.L-.")


@pytest.mark.parametrize(
    ("delay", "lock"), [({"delay_s": 15}, "released after the delay of 15 s"), ({}, "released after the delay")]
)
def test_a_request_releases_a_delayed_door_after_its_delay(site_of, delay, lock):
    door = site_of({"lock": "magnet-12-300", "egress": "delayed", "rex": "rex-bar", **delay}).doors[0]
    words = proof_words(door.proof, door.opening)
    assert f"REX active: {lock}." in words
    assert "controller releases: released." in words
    table = truth_table_text(door)
    assert table is not None
    assert ("REX active", lock) in table.rows
