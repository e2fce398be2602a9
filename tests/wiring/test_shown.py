"""Which miswirings a door's readings show: some by name, a sample of all, and what is honestly left over."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest

from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.wiring.readings.meter import OHMS, Measurement, measure
from riserkit.wiring.readings.shown import (
    MeterSheet,
    door_miswirings,
    likely_miswirings,
    not_shown,
    wired_alike,
)
from riserkit.wiring.readings.wired import in_words
from tests.wiring.miswired_doors import VARIANTS, judge_miswirings, variant_circuits

BYPASSED, WRONG, OPEN = MiswiringKind.BYPASSED, MiswiringKind.WRONG_CONTACT, MiswiringKind.OPEN


def ref_between(circuit: Any, a: str, b: str) -> str:
    (found,) = [c.ref for c in circuit.netlist.conductors if {str(c.a), str(c.b)} == {a, b}]
    return found


@pytest.mark.parametrize(
    ("name", "kind", "subject", "shown_by"),
    [
        ("splitter-magnet", BYPASSED, "B2.break", "lock M1: controller locks; wires off K1.REQ; motion at B2"),
        ("relay-external-supply", BYPASSED, "B2.break", "lock M1: was energised; PoE cable unplugged in the closet"),
        ("splitter-magnet", BYPASSED, "S1.break", "lock M1: was energised; manual release S1 pressed"),
        ("splitter-magnet", BYPASSED, "K3.contact", "lock M1: was energised; fire alarm relay K3 in alarm"),
        ("splitter-magnet", BYPASSED, "S1.tell", "REX/AUX input: idle, nobody near"),
        ("direct-with-peripherals", BYPASSED, "B1.contact", "door input: door open"),
        ("direct-with-peripherals", WRONG, "B2.contact", "REX/AUX input: idle, nobody near"),
    ],
)
def test_a_contact_miswired_is_shown_by_the_reading_that_asks_for_it(
    doors: Any, name: str, kind: MiswiringKind, subject: str, shown_by: str
) -> None:
    (judged,) = judge_miswirings(doors.circuit(name), doors.at, [Miswiring(kind, (subject,))])
    assert judged.changes
    assert judged.shown_by == shown_by


def test_the_sensors_pole_is_shown_by_no_other_reading(doors: Any) -> None:
    """Without the two readings that take the controller's input away, a bypassed pole is as invisible as it is dangerous."""
    circuit = doors.circuit("splitter-magnet")
    sheet = MeterSheet(circuit, doors.at)
    pole = Miswiring(BYPASSED, ("B2.break",))
    seen = sheet.shown_by(pole)
    kept = tuple(q for q in sheet._asked if "wires off K1.REQ" not in q.state)
    sheet.__dict__["_asked"] = kept
    sheet.__dict__.pop("_readings"), sheet.__dict__.pop("setups")
    assert seen and not sheet.shown_by(pole)


def test_a_link_left_in_and_a_lead_missing_are_shown(doors: Any) -> None:
    outside = doors.circuit("relay-external-supply")
    link = Miswiring(MiswiringKind.LINK_LEFT_IN, ("K2.V+", "K2.C"))
    assert link in door_miswirings(outside)
    (judged,) = judge_miswirings(outside, doors.at, [link])
    assert judged.shown_by.startswith("supply-to-common link of K2")
    fed = doors.circuit("relay-module")
    assert link not in door_miswirings(fed)
    gone = Miswiring(MiswiringKind.LEAD_MISSING, (ref_between(fed, "K2.V+", "K2.C"),))
    (judged,) = judge_miswirings(fed, doors.at, [gone])
    assert judged.changes
    assert judged.shown_by


def test_suppressors_missing_or_reversed_are_functional_and_shown(doors: Any) -> None:
    """No lock moves otherwise for it, yet nothing takes up the coil's kick."""
    diode, varistor = doors.circuit("direct"), doors.circuit("splitter-magnet")
    missing = Miswiring(MiswiringKind.LEAD_MISSING, (ref_between(varistor, "R1.1", "M1.+"),))
    (judged,) = judge_miswirings(varistor, doors.at, [missing])
    assert judged.changes == ("suppressor R1",)
    assert judged.shown_by == "suppressor R1, lead to the lock: power off, batteries off"
    turned = [m for m in door_miswirings(diode) if m.kind is MiswiringKind.REVERSED]
    (judged,) = judge_miswirings(diode, doors.at, turned)
    assert {"suppressor R1", "overload"} <= set(judged.changes)
    assert judged.shown_by


def test_a_broken_module_link_reaches_no_relay(doors: Any) -> None:
    circuit = doors.circuit("relay-module")
    (judged,) = judge_miswirings(circuit, doors.at, [Miswiring(OPEN, (ref_between(circuit, "K1.LKA", "K2.LKA"),))])
    assert judged.shown_by
    assert "lock M1" in judged.changes


def test_what_changes_nothing_is_not_functional(doors: Any) -> None:
    """The two conductors of a door contact exchanged at the contact."""
    circuit = doors.circuit("direct-with-peripherals")
    pair = ref_between(circuit, "K1.DOOR", "B1.1"), ref_between(circuit, "B1.2", "K1.IC")
    (judged,) = judge_miswirings(circuit, doors.at, [Miswiring(MiswiringKind.EXCHANGED, pair, ("B1.1", "B1.2"))])
    assert (judged.changes, judged.shown_by) == ((), "")


@pytest.mark.slow
def test_the_healthy_door_shows_nothing(doors: Any) -> None:
    """Every variant measured as it is meant: no reading lies outside its own band."""
    for name, circuit in variant_circuits(doors):
        healthy = Miswiring(MiswiringKind.POOR_JOINT, (circuit.netlist.conductors[0].ref,), r_ohm=1e-9)
        sheet = MeterSheet(circuit, doors.at)
        assert (sheet.shown_by(healthy), sheet.changes(healthy)) == ("", ()), name


@pytest.mark.slow
def test_of_a_sample_of_all_miswirings_nearly_all_are_shown(doors: Any) -> None:
    """Six of every variant, drawn by a fixed seed; the whole is tests/benchmarks/bench_miswirings.py."""
    rng, functional, hidden = random.Random(11), 0, []
    for name, circuit in variant_circuits(doors):
        every = door_miswirings(circuit)
        judged = judge_miswirings(circuit, doors.at, rng.sample(every, min(6, len(every))))
        working = [one for one in judged if one.changes]
        functional += len(working)
        hidden += [f"{name}: {in_words(circuit.netlist, one.miswiring)}" for one in working if not one.shown_by]
    assert functional > 90
    assert len(hidden) <= 0.02 * functional, hidden


def test_there_are_more_than_a_thousand_of_them(doors: Any) -> None:
    counts = {name: len(door_miswirings(circuit)) for name, circuit in variant_circuits(doors)}
    assert counts.keys() == VARIANTS.keys()
    assert sum(counts.values()) > 2500
    assert {arrangement for arrangement, _ in VARIANTS.values()} == set(doors.served)


def test_what_is_left_over_is_told_in_words(doors: Any) -> None:
    """A REX contact that carries nothing to the controller: its sensor is dead, and closed whatever is done to it."""
    part = {"id": "deaf", "kind": "rex-sensor", "rated_v": 24, "draw_a": 0.02, "releases_on_loss": True, "poles": 1,
            "tolerance_low": 0.15, "tolerance_high": 0.15}  # fmt: skip
    circuit = doors.circuit("direct-with-peripherals", {**doors.strike, "rex": "deaf"}, parts=[part])
    left = not_shown(circuit, doors.at)
    words = [in_words(circuit.netlist, one.miswiring) for one in left]
    assert all(one.changes and not one.shown_by for one in left)
    assert "bypassed at B2.C B2.NO" in words
    # the same as with every reading tried on every miswiring
    judged = judge_miswirings(circuit, doors.at, likely_miswirings(circuit))
    assert left == tuple(one for one in judged if one.changes and not one.shown_by)


def test_doors_of_one_kind_are_judged_once(doors: Any) -> None:
    run = {"id": "L", "from_end": "101/controller", "to_end": "101/lock", "length_m": 33.0}
    assert wired_alike(doors.circuit("direct")) == wired_alike(doors.circuit("direct", runs=[run]))
    assert wired_alike(doors.circuit("direct")) != wired_alike(
        doors.circuit("direct", {**doors.served["direct"], "lock": "strike-12-safe"})
    )


def test_the_ohmmeter_reads_copper_and_coil(doors: Any) -> None:
    """With power off: the lock's coil across its own terminals, its conductor from end to end."""
    circuit = doors.circuit("direct")
    asked = (Measurement(OHMS, "M1.+", "M1.-", dead=True), Measurement(OHMS, "K1.L+", "M1.+", dead=True))
    coil, wire = measure([circuit.netlist], asked, doors.at)
    copper_ohm = next(c.r20_ohm for c in circuit.netlist.conductors if str(c.b) == "M1.+")
    assert coil.nominal[0] == pytest.approx(48.0, rel=1e-4)
    assert wire.nominal[0] == pytest.approx(copper_ohm, rel=1e-3)
    opened = replace(
        circuit.netlist, conductors=tuple(c for c in circuit.netlist.conductors if str(c.b) not in ("M1.+", "M1.-"))
    )
    assert measure([opened], asked[1:], doors.at)[0].nominal[0] == float("inf")
