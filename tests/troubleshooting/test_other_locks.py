"""A controller set the other way round, and a lock other than designed: the wiring is right, and the door is not."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.troubleshooting.diagnose import Conclusion, Diagnosis, all_suspects, diagnose
from riserkit.troubleshooting.observed import read_reading
from riserkit.troubleshooting.sights import read_sight
from riserkit.troubleshooting.suspects import SuspectKind, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures

AT = Temperatures(10.0, 40.0)


def _told(circuit: DoorCircuit, readings: tuple[str, ...], sights: tuple[str, ...] = ()) -> Diagnosis:
    seen = [one for text in sights for one in read_sight(circuit, text)]
    return diagnose(circuit, [*(read_reading(circuit, text) for text in readings), *seen], AT)


def _words(found: Diagnosis) -> list[str]:
    return [c.suspect.words for c in found.candidates]


@pytest.mark.parametrize(
    ("lock", "idle", "released", "words"),
    [
        (
            "strike-12-secure",
            "12.0",
            "0.0",
            "K1 set the other way round: its output on while locked, off while released",
        ),
        ("strike-12-safe", "0.0", "12.0", "K1 set the other way round: its output off while locked, on while released"),
    ],
)
def test_a_controller_set_for_the_other_action(doors: Any, lock: str, idle: str, released: str, words: str) -> None:
    circuit = doors.circuit("direct-with-peripherals", {**doors.strike, "lock": lock})
    found = _told(circuit, (f"M1+ M1- {idle} V idle", f"M1+ M1- {released} V released"))
    assert found.verdict is Conclusion.SINGLE
    assert _words(found) == [words]


def test_a_setting_is_told_from_the_wrong_contact_by_the_relay(doors: Any) -> None:
    """Behind a module both give the lock's voltage at the wrong time; only one moves the relay at the wrong time."""
    circuit = doors.circuit("relay-module")
    readings = ("M1+ M1- 12.0 V idle", "M1+ M1- 0.0 V released")
    setting, contact = (
        "K1 set the other way round: its output on while locked, off while released",
        "NC used for NO at K2, C to NO",
    )
    assert {setting, contact} <= set(_words(_told(circuit, readings)))
    assert setting not in _words(_told(circuit, readings, ("relay off in idle",)))
    assert contact not in _words(_told(circuit, readings, ("relay on in idle",)))


def test_a_fail_safe_strike_for_a_fail_secure_one_is_free_without_its_voltage(doors: Any) -> None:
    circuit = doors.circuit("direct-with-peripherals")
    found = _told(
        circuit, ("M1+ M1- 0.0 V idle", "M1+ M1- 12.0 V released"), ("lock released", "lock locked in released")
    )
    assert _words(found) == ["M1 is a fail-safe lock, not a fail-secure one"]
    assert found.odd == (2, 3), "the voltages are healthy"


def test_a_lock_for_24_v_has_its_12_v_and_four_times_the_resistance(doors: Any) -> None:
    circuit = doors.circuit("direct-with-peripherals")
    words = "M1 is a lock for 24 V, not for 12 V"
    said = ("M1+ M1- 12.0 V released",)
    assert words in _words(_told(circuit, said, ("card no effect",)))
    assert _words(_told(circuit, (*said, "M1+ M1- 190 ohm power off"), ("card no effect",))) == [words]


def test_a_lock_for_12_v_draws_four_times_the_current(doors: Any) -> None:
    circuit = doors.circuit(
        "relay-external-supply", {**doors.magnet, "lock": "strike-24-secure", "egress": "mechanical"}
    )
    found = _told(circuit, ("M1+ M1- 40 ohm power off",))
    assert "M1 is a lock for 12 V, not for 24 V" in _words(found)


def test_each_lock_of_a_pair_may_be_another(doors: Any) -> None:
    pair = doors.circuit("direct-with-peripherals", {**doors.strike, "lock_count": 2, "type": "double"})
    other = [s.words for s in all_suspects(pair) if s.kind is SuspectKind.OTHER_PART]
    assert sorted(other) == [
        f"{lock} is a {what}"
        for lock in ("M1", "M2")
        for what in ("fail-safe lock, not a fail-secure one", "lock for 24 V, not for 12 V")
    ]
    found = _told(
        pair,
        (),
        (
            "lock released at M2",
            "lock locked at M1",
            "lock released at M1 in released",
            "lock locked at M2 in released",
        ),
    )
    assert _words(found) == ["M2 is a fail-safe lock, not a fail-secure one"]


def test_the_bench_has_faults_of_the_wiring_only(doors: Any) -> None:
    circuit = doors.circuit("direct-with-peripherals")
    kinds = {s.kind for s in single_suspects(circuit)}
    assert SuspectKind.OTHER_PART not in kinds and SuspectKind.SETTING in kinds


def test_a_diode_is_reversed_once(doors: Any) -> None:
    """Its leads exchanged at the lock are the same as at the diode."""
    circuit = doors.circuit("direct-with-peripherals")
    named = {c.ref for c in circuit.netlist.conductors if "R1" in (c.a.component, c.b.component)}
    assert [s.kind for s in single_suspects(circuit) if s.blames == named] == [SuspectKind.REVERSED]


def test_many_wires_do_not_make_exchanges_likelier_than_a_broken_wire(doors: Any) -> None:
    """At the controller, with a dozen wires, all exchanges of one wire together are met no oftener than one wire that is open."""
    circuit = doors.circuit("relay-external-supply")
    some = single_suspects(circuit)
    for conductor in circuit.netlist.conductors:
        if not conductor.cable or conductor.colour == "4PR":
            continue
        broken = sum(s.weight for s in some if s.blames == {conductor.ref} and s.kind is SuspectKind.BROKEN)
        at_k1 = [
            s for s in some if s.kind is SuspectKind.EXCHANGED and conductor.ref in s.blames and "at K1." in s.words
        ]
        assert sum(s.weight for s in at_k1) <= 1.5 * broken


def test_a_contact_is_told_by_the_marks_of_its_terminals(doors: Any) -> None:
    """A sensor's relay is energised with nobody near: its contact marked NC is open at rest in the netlist, and is meant all the same."""
    words = {
        s.words for s in single_suspects(doors.circuit("relay-external-supply")) if s.kind is SuspectKind.WRONG_CONTACT
    }
    assert {
        "NO used for NC at B2, 2C to 2NC",
        "NC used for NO at B2, C to NO",
        "NO used for NC at K2, C to NC",
    } <= words
