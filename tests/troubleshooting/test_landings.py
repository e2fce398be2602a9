"""Where wires are landed is looked at beside the landing list: what shows there, what may, and what does not."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riserkit.circuits.miswirings import MiswiringKind
from riserkit.circuits.netlist import Netlist
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.asking import Looks, ReadingTable
from riserkit.troubleshooting.asks import Ask
from riserkit.troubleshooting.changes import Wired
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.diagnose import Conclusion, all_suspects, diagnose, explains
from riserkit.troubleshooting.landings import landing_places, other_landings
from riserkit.troubleshooting.looks import Look, looks
from riserkit.troubleshooting.sights import read_sight, sight_words
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, netlist_of, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS, Measurement
from tests.troubleshooting.simulated import not_as_listed, truths
from tests.wiring.miswired_doors import variant_circuits

AT = Temperatures(10.0, 40.0)
_SHOWS = (SuspectKind.EXCHANGED, SuspectKind.REVERSED, SuspectKind.LINK)


@pytest.fixture(scope="module")
def relay(doors: Any) -> DoorCircuit:
    """A strike behind a relay module."""
    return doors.circuit("relay-module")


def _landed(netlist: Netlist) -> set[tuple[str, str]]:
    return {(c.ref, str(end)) for c in netlist.conductors for end in (c.a, c.b)}


def test_what_shows_is_where_the_landed_wires_differ(doors: Any) -> None:
    """Against the netlist that the fault makes: terminals at which another set of wires is."""
    tried = 0
    for _, circuit in variant_circuits(doors):
        terminals = {end for ends in landing_places(circuit.netlist).values() for end in ends}
        for suspect in single_suspects(circuit):
            change, shown = suspect.ways[0][0], other_landings(circuit.netlist, suspect.ways[0])
            assert shown.surely | shown.perhaps <= terminals, suspect.words
            if not isinstance(change, Wired):
                assert not shown.surely, suspect.words
                continue
            wrong = netlist_of(circuit, suspect.ways[0])
            if wrong is None:
                continue
            differ = {end for _, end in _landed(wrong) ^ _landed(circuit.netlist)}
            if change.miswiring.kind is MiswiringKind.WRONG_CONTACT and not differ:
                continue  # no terminal of the netlist stands for the other contact
            if suspect.kind is SuspectKind.REVERSED:  # its leads may be followed from their other ends
                named = [c for c in circuit.netlist.conductors if c.ref in suspect.blames]
                differ_or_may = differ | {str(end) for c in named for end in (c.a, c.b)}
                assert shown.surely | shown.perhaps == differ_or_may, suspect.words
            else:
                assert shown.surely | shown.perhaps == differ, suspect.words
            if suspect.kind in _SHOWS:
                assert shown.surely == differ, suspect.words
            tried += bool(differ)
    assert tried > 2000


@pytest.mark.parametrize(
    "kind", [SuspectKind.POOR_JOINT, SuspectKind.SHORT, SuspectKind.EARTHED, SuspectKind.SUPPLY, SuspectKind.DEVICE]
)
def test_what_nobody_sees_at_terminals_does_not_show(relay: DoorCircuit, kind: SuspectKind) -> None:
    some = [s for s in single_suspects(relay) if s.kind is kind]
    shown = [other_landings(relay.netlist, s.ways[0]) for s in some]
    assert len(some) > 2
    assert not any(one.surely | one.perhaps for one in shown if kind is not SuspectKind.SHORT)
    assert not any(one.surely for one in shown)


def test_wires_of_one_cable_and_one_colour_are_not_told_apart(relay: DoorCircuit) -> None:
    one = next(
        m for s in single_suspects(relay)
        if s.kind is SuspectKind.EXCHANGED and isinstance(s.ways[0][0], Wired) and (m := s.ways[0][0].miswiring)
        and len({relay.netlist.conductors[int(ref) - 1].cable for ref in m.subjects}) == 1
        and relay.netlist.conductors[int(m.subjects[0]) - 1].cable
    )  # fmt: skip
    same = tuple(replace(c, colour="RD") if c.ref in one.subjects else c for c in relay.netlist.conductors)
    assert other_landings(relay.netlist, (Wired(one),)).surely == set(one.ends)
    shown = other_landings(replace(relay.netlist, conductors=same), (Wired(one),))
    assert (shown.surely, shown.perhaps) == (frozenset(), frozenset(one.ends))


def _left(circuit: DoorCircuit, *said: str) -> list[Suspect]:
    """Suspects that allow all that is said."""
    some = list(all_suspects(circuit))
    fits = np.ones(len(some), dtype=np.bool_)
    for text in said:
        fits &= explains(circuit, some, read_sight(circuit, text), AT).all(axis=0)
    return [s for s, fit in zip(some, fits, strict=True) if fit]


def test_as_listed_rules_out_what_would_show_there_and_nothing_else(relay: DoorCircuit) -> None:
    gone = {s.words for s in all_suspects(relay)} - {s.words for s in _left(relay, "as listed at K2")}
    exchanged = {
        s.words for s in all_suspects(relay) if s.kind is SuspectKind.EXCHANGED and "exchanged at K2." in s.words
    }
    assert exchanged and exchanged <= gone
    assert all("K2" in words for words in gone)
    assert not any("broken" in words or "stuck" in words for words in gone), (
        "it may be broken, or stick, where nobody sees it"
    )
    assert any(words.endswith("missing") for words in gone), "a lead from one terminal of it to another"


def test_not_as_listed_keeps_what_shows_there_or_may(relay: DoorCircuit) -> None:
    left = _left(relay, "not as listed at K2.C")
    assert all("K2.C" in s.words or "at K2, C to" in s.words or "of K2 at C to" in s.words for s in left), left
    assert {SuspectKind.EXCHANGED, SuspectKind.BROKEN} <= {s.kind for s in left}
    both = [
        s for s in _left(relay, "not as listed at K2.C", "not as listed at K2.NO") if s.kind is SuspectKind.EXCHANGED
    ]
    assert both and all("K2.C" in s.words and "K2.NO" in s.words for s in both)
    unused = {s.kind for s in _left(relay, "not as listed at K2.NC")}
    assert unused == {SuspectKind.WRONG_CONTACT, SuspectKind.STUCK}, "it should have no wire"
    assert {s.words for s in left} < {s.words for s in _left(relay, "not as listed at K2")}


def test_as_listed_and_not_as_listed_contradict_one_another(relay: DoorCircuit) -> None:
    seen = [*read_sight(relay, "not as listed at K2.C"), *read_sight(relay, "as listed at K2")]
    found = diagnose(relay, seen, AT)
    assert found.verdict is Conclusion.CONTRADICTORY
    assert found.contradicting == (0, 1)
    elsewhere = [*read_sight(relay, "not as listed at K2.C"), *read_sight(relay, "as listed at K1")]
    assert diagnose(relay, elsewhere, AT).verdict is Conclusion.SINGLE


@pytest.mark.parametrize(
    ("said", "expected"),
    [("as listed", "add which"), ("as listed at Z9", "expected"), ("not as listed at K2.Q", "K2.C"),
     ("as listed at K2 in idle", "leave out")],
)  # fmt: skip
def test_what_is_no_place_of_wires_is_refused(relay: DoorCircuit, said: str, expected: str) -> None:
    with pytest.raises(RiserkitError, match=expected):
        read_sight(relay, said)


def test_every_device_with_wires_can_be_looked_at(relay: DoorCircuit) -> None:
    some = {one.device: one for one in looks(relay) if one.device}
    assert set(some) == set(landing_places(relay.netlist)) and "N1" in some
    for look in some.values():
        for text in look.answers:
            (seen,) = read_sight(relay, text)
            assert seen.as_listed is (text == look.answers[0])
            assert sight_words(text) != text


def test_whoever_looks_sees_what_is_there(doors: Any) -> None:
    """At doors with each fault: nothing that the technician says rules the fault out."""
    chance = random.Random(3)
    for _, circuit in variant_circuits(doors):
        places = landing_places(circuit.netlist)
        every = {s.words: s for s in single_suspects(circuit) if s.joint_ohm is None}
        seen_some = 0
        for truth in truths(circuit):
            landed = not_as_listed(circuit, truth.netlist, chance)
            if truth.words not in every:
                assert not landed, truth.words
                continue
            shown = other_landings(circuit.netlist, every[truth.words].ways[0])
            assert shown.surely <= landed <= shown.surely | shown.perhaps, truth.words
            assert landed <= {end for ends in places.values() for end in ends}
            seen_some += bool(landed)
        assert seen_some > 5


def _table(wires_bits: bool) -> ReadingTable:
    """Four faults: the reading tells two pairs apart, 1 bit; wires tell each, 2 bits, or one from the others, 0.8 bits."""
    volts = np.array([[0.0, 0.0, 12.0, 12.0]])
    shown = np.array([[0.0, 1.0, 2.0, 3.0] if wires_bits else [0.0, 0.0, 0.0, 1.0]])
    looked = Looks((Look(("as listed at K1", "not as listed at K1.C"), 1.0, "K1"),), shown, shown, shown)
    asks = (Ask("M1.+ to M1.-", "idle", Measurement(VOLTS, "M1.+", "M1.-"), 1.0),)
    return ReadingTable(np.arange(4), np.ones(4), asks, Predicted(volts - 0.1, volts + 0.1, volts), looked, whole=True)


def test_wires_are_looked_at_where_they_tell_at_least_half_of_a_reading() -> None:
    assert _table(True).look() is not None
    assert _table(False).look() is not None
    heavy = replace(_table(False), looks=replace(_table(False).looks, every=(Look(("as listed at K1",), 10.0, "K1"),)))
    assert heavy.look() is None, "0.8 bits, over the fourth root of ten 0.46"
    assert replace(heavy, asks=()).look() is not None, "no reading tells anything"


def test_a_card_that_is_read_takes_data(doors: Any) -> None:
    readers = {**doors.strike, "controller": "controller-box", "reader_in": "reader-out"}
    circuit = doors.circuit("direct-with-peripherals", readers)
    reader = next(c.ref for c in circuit.netlist.components if c.role == "reader")
    bus = {c.ref for c in circuit.netlist.conductors if f"{reader}.BUSA" in (str(c.a), str(c.b))}
    read, not_read = ({s.words for s in _left(circuit, said) if s.blames == bus and s.kind is SuspectKind.BROKEN}
                      for said in ("card read", "card not read"))  # fmt: skip
    assert len(not_read) == 1 and not read
    lit = [*read_sight(circuit, "reader lit"), *read_sight(circuit, "card not read")]
    assert diagnose(circuit, lit, AT).verdict is Conclusion.SINGLE, "its light is on, and it sends nothing"
