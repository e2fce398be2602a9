"""What is said of a door with several devices of a kind holds where it is true of one of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from riserkit.errors import RiserkitError
from riserkit.troubleshooting.contradicting import contradicting
from riserkit.troubleshooting.diagnose import Conclusion, all_suspects, diagnose, explains
from riserkit.troubleshooting.looks import looks
from riserkit.troubleshooting.observed import read_reading
from riserkit.troubleshooting.sights import read_sight, sight_words
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.roles import DeviceRole

AT = Temperatures(10.0, 40.0)


@pytest.fixture(scope="module")
def leaves(doors: Any) -> DoorCircuit:
    """Two leaves, a strike and a contact at each, the contacts in series at one input."""
    return doors.circuit("direct-with-peripherals", {**doors.strike, "lock_count": 2, "type": "double"})


def _suspect(circuit: DoorCircuit, words: str) -> Suspect:
    return next(s for s in all_suspects(circuit) if s.words.startswith(words))


def _allowed(circuit: DoorCircuit, suspects: list[Suspect], said: str) -> list[bool]:
    return explains(circuit, suspects, read_sight(circuit, said), AT).all(axis=0).tolist()


def test_a_contact_stuck_at_one_leaf_shows_the_door_closed(leaves: DoorCircuit) -> None:
    """Whoever opens that leaf says so; the other one's contact still opens the input."""
    contacts = [c.ref for c in leaves.netlist.devices(DeviceRole.DOOR_CONTACT)]
    assert len(contacts) == 2
    stuck = [_suspect(leaves, f"contact of {ref} at 1 to 2, stuck closed") for ref in contacts]
    assert _allowed(leaves, stuck, "door shows closed") == [True, True]
    assert _allowed(leaves, stuck, "open door shows open") == [True, True], "the other leaf does"
    assert _allowed(leaves, [all_suspects(leaves)[0]], "door shows closed") == [False]
    for place, ref in enumerate(contacts):
        assert _allowed(leaves, stuck, f"door shows closed at {ref}") == [place == 0, place == 1]
        assert _allowed(leaves, stuck, f"open door shows open at {ref}") == [place == 1, place == 0]


def test_the_leaf_that_is_stuck_is_found_by_looking_at_each(leaves: DoorCircuit) -> None:
    """Nobody has said which leaf was open: that is asked, and the two are told apart without a meter."""
    asked = [look.answers[0] for look in looks(leaves)]
    assert {"open door shows open at B1", "open door shows open at B4", "lock locked at M2 in idle"} <= set(asked)
    look = diagnose(leaves, read_sight(leaves, "door shows closed"), AT).look
    assert look is not None and look.answers == ("open door shows open at B1", "door shows closed at B1")
    said = [*read_sight(leaves, "door shows closed"), *read_sight(leaves, "open door shows open at B1")]
    found = diagnose(leaves, said, AT)
    assert found.verdict is Conclusion.SINGLE
    words = {c.suspect.words for c in found.candidates}
    assert any(w.startswith("contact of B4 at 1 to 2, stuck closed") for w in words)
    assert not any(w.startswith("contact of B1") for w in words)
    # a reading at the contact that was open, as the lesson of this fault takes it
    metered = [*read_sight(leaves, "door shows closed"), read_reading(leaves, "B1.1 B1.2 3.3 V door open B1")]
    assert any(
        c.suspect.words.startswith("contact of B4 at 1 to 2, stuck") for c in diagnose(leaves, metered, AT).candidates
    )


def test_a_dead_input_reads_one_thing_whatever_is_done(leaves: DoorCircuit) -> None:
    """Closed with one leaf open and open with the other: whatever else is wrong, the input works."""
    dead = [_suspect(leaves, "input of K1 at DOOR to IC dead")]
    closed = read_sight(leaves, "door shows closed at B4")
    opened = read_sight(leaves, "open door shows open at B1")
    for seen in (closed, opened):
        assert explains(leaves, dead, seen, AT).all()
    assert not explains(leaves, dead, [*closed, *opened], AT).all()
    assert not explains(leaves, dead, [*opened, *read_sight(leaves, "closed door shows closed")], AT).all()
    # what is looked at next is told by what has been seen
    look = diagnose(leaves, closed, AT).look
    assert look is not None and look.answers == ("open door shows open at B1", "door shows closed at B1")


def test_one_of_two_locks_leaves_the_door_free_or_locked(leaves: DoorCircuit, doors: Any) -> None:
    coils = [_suspect(leaves, f"coil of {ref} open") for ref in leaves.locks]
    assert _allowed(leaves, coils, "card no effect") == [True, True]
    assert _allowed(leaves, coils, "card no effect at M1") == [True, False]
    magnets = doors.circuit("relay-external-supply", {**doors.served["relay-external-supply"], "lock_count": 2})
    coils = [_suspect(magnets, f"coil of {ref} open") for ref in magnets.locks]
    assert _allowed(magnets, coils, "door never locks") == [True, True]
    assert _allowed(magnets, coils, "lock released at M2 in idle") == [False, True]
    both = [*read_sight(magnets, "lock released in idle"), *read_sight(magnets, "lock locked in idle")]
    assert contradicting(both) == (), "one leaf is free, the other is not"
    one = [*read_sight(magnets, "lock released at M1 in idle"), *read_sight(magnets, "lock locked at M1 in idle")]
    assert contradicting(one) == (0, 1)


def test_one_of_two_readers_is_dark(doors: Any) -> None:
    readers = {**doors.strike, "controller": "controller-box", "reader_in": "reader-out", "reader_out": "reader-out"}
    circuit = doors.circuit("direct-with-peripherals", readers)
    refs = [c.ref for c in circuit.netlist.devices(DeviceRole.READER)]
    dead = [_suspect(circuit, f"{ref} dead") for ref in refs]
    assert _allowed(circuit, dead, "reader dark") == [True, True]
    assert _allowed(circuit, dead, f"reader dark at {refs[1]}") == [False, True]
    assert _allowed(circuit, dead, f"reader lit at {refs[1]}") == [True, False]


def test_a_device_that_is_named_has_to_be_there(leaves: DoorCircuit) -> None:
    with pytest.raises(RiserkitError, match="expected B1, B4"):
        read_sight(leaves, "door shows closed at B9")
    with pytest.raises(RiserkitError, match="of the whole door; leave out 'at B1'"):
        read_sight(leaves, "door shows open at B1")
    assert (
        read_sight(leaves, "DOOR shows closed at b4")[-1].asked
        == read_sight(leaves, "door shows closed at B4")[-1].asked
    )


def test_what_is_asked_of_each_device_is_read_and_told_by_it(leaves: DoorCircuit) -> None:
    for text in (one for look in looks(leaves) if not look.device for one in look.answers):
        assert not any(one.one_of for one in read_sight(leaves, text)), text
        _, _, named = text.partition(" at ")
        assert named.partition(" ")[0] in sight_words(text), text


def _on_a_link(circuit: DoorCircuit) -> Iterator[Suspect]:
    """Faults of the link between controller and relay module."""
    for s in all_suspects(circuit):
        if any(name in s.words for name in ("K1.LKA", "K1.LKB")):
            yield s


def test_a_controller_whose_link_to_the_module_is_off_still_answers(doors: Any) -> None:
    """It is on the network by its own socket: what it reports of its inputs rules no fault of the link out."""
    circuit = doors.circuit("relay-module", {**doors.served["relay-module"], "controller": "controller-dry-reader"})
    link = list(_on_a_link(circuit))
    assert link
    assert all(_allowed(circuit, link, "controller online"))
    assert not any(_allowed(circuit, link, "controller offline"))
    seen = [*read_sight(circuit, "REX always on"), read_reading(circuit, "K2.V- K2.LKB -12.0 V idle")]
    words = [c.suspect.words for c in diagnose(circuit, seen, AT).candidates]
    assert any(w.startswith("wires of") and w.endswith("exchanged at K1.A+ and K1.LKB") for w in words), words
    cable = [_suspect(circuit, "PoE cable W")]
    assert _allowed(circuit, cable, "controller online") == [False]
    assert _allowed(circuit, cable, "controller offline") == [True]


def test_a_plug_goes_into_no_terminal(doors: Any) -> None:
    """The cable from a splitter to the controller ends in plugs: it is plugged in or not, and changes places with no wire."""
    there = [s.words for s in all_suspects(doors.circuit("splitter-magnet")) if "K1.J" in s.words]
    assert len(there) == 1
    assert there[0].startswith("network cable W") and there[0].endswith("T1.JOUT to K1.J, broken or not plugged in")
