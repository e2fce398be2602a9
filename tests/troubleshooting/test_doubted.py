"""Readings that may be a slip: what a colleague asks to be read again, and what he expects then."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.troubleshooting.diagnose import HEALTHY, Conclusion, Diagnosis, diagnose
from riserkit.troubleshooting.doubted import Slip
from riserkit.troubleshooting.observed import read_reading
from riserkit.troubleshooting.sights import read_sight
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures

AT = Temperatures(10.0, 40.0)


@pytest.fixture(scope="module")
def strike(doors: Any) -> DoorCircuit:
    """A fail-secure strike, energised to release."""
    return doors.circuit("direct-with-peripherals")


@pytest.fixture(scope="module")
def magnet(doors: Any) -> DoorCircuit:
    """A magnet fed from a supply outside, whose relays may be at their limit."""
    return doors.circuit("relay-external-supply")


def _told(circuit: DoorCircuit, readings: tuple[str, ...], sights: tuple[str, ...] = ()) -> Diagnosis:
    seen = [one for text in sights for one in read_sight(circuit, text)]
    return diagnose(circuit, [*(read_reading(circuit, text) for text in readings), *seen], AT)


def test_a_negative_voltage_that_nothing_explains_may_be_turned_leads(strike: DoorCircuit) -> None:
    found = _told(strike, ("M1+ M1- -12.0 V released",), ("card no effect",))
    assert found.verdict is Conclusion.UNEXPLAINED
    (doubt,) = found.doubts
    assert doubt.slip is Slip.TURNED and doubt.places == (0,)
    assert doubt.suspects[0].words == "coil of M1 open"
    low, high = doubt.predicted[0]
    assert low > 11.0 and high < 13.0


def test_leads_in_the_wrong_sockets_turn_every_reading(strike: DoorCircuit) -> None:
    found = _told(strike, ("M1+ M1- -3.0 V released", "K1.L+ K1.L- -12.0 V released"))
    (doubt,) = found.doubts
    assert (doubt.slip, doubt.places) == (Slip.TURNED, (0, 1))
    assert {s.kind for s in doubt.suspects} == {"poor joint"}


def test_a_decimal_off_at_a_door_that_is_else_healthy_is_asked_for_again(strike: DoorCircuit) -> None:
    """A poor joint foretells 1.2 V too: both are told."""
    found = _told(strike, ("M1+ M1- 1.20 V released",))
    assert found.verdict is Conclusion.SINGLE and found.candidates
    (doubt,) = found.doubts
    assert doubt.slip is Slip.DECIMAL and doubt.suspects == (HEALTHY,)


def test_a_poor_joint_is_no_slip(strike: DoorCircuit) -> None:
    assert not _told(strike, ("M1+ M1- 3.0 V released",), ("card no effect",)).doubts


def test_a_complaint_is_not_talked_away_by_a_decimal(strike: DoorCircuit) -> None:
    assert not _told(strike, ("M1+ M1- 1.20 V released",), ("card no effect",)).doubts


def test_a_little_off_goes_before_faults_that_allow_anything(magnet: DoorCircuit) -> None:
    """An open contact has the whole voltage of its supply, which here is a little below what the design allows."""
    whole = _told(magnet, ("B2.2C B2.2NC 26.9 V idle",), ("lock released",))
    words = "contact of B2 at 2C to 2NC, stays open"
    assert words in {c.suspect.words for c in whole.candidates} and not whole.doubts
    found = _told(magnet, ("B2.2C B2.2NC 25.6 V idle",), ("lock released",))
    assert words not in {c.suspect.words for c in found.candidates}
    (doubt,) = found.doubts
    assert doubt.slip is Slip.CLOSE
    assert words in {s.words for s in doubt.suspects}


def test_a_reading_without_which_the_door_is_healthy_is_named(magnet: DoorCircuit) -> None:
    found = _told(magnet, ("G1.S+ G1.S- 0.0 V idle", "M1+ M1- 26.7 V idle"))
    (doubt,) = found.doubts
    assert (doubt.slip, doubt.places, doubt.suspects) == (Slip.LEFT_OUT, (0,), (HEALTHY,))


def test_of_readings_that_contradict_one_another_that_which_is_off_is_named(strike: DoorCircuit) -> None:
    found = _told(strike, ("M1+ M1- 12.0 V released", "M1+ M1- 0.0 V released"))
    assert found.verdict is Conclusion.CONTRADICTORY
    assert [doubt.places for doubt in found.doubts] == [(1,)]


@pytest.mark.parametrize("shown", ["0.1 V", "-0.2 V", "150 mV"])
def test_a_meter_shows_a_little_where_there_is_nothing(strike: DoorCircuit, shown: str) -> None:
    found = _told(strike, (f"M1+ M1- {shown} released",), ("card no effect",))
    assert "lock output of K1 dead" in {c.suspect.words for c in found.candidates}


def test_a_quarter_of_a_volt_is_more_than_nothing(strike: DoorCircuit) -> None:
    found = _told(strike, ("M1+ M1- 0.25 V released",), ("card no effect",))
    assert "lock output of K1 dead" not in {c.suspect.words for c in found.candidates}
