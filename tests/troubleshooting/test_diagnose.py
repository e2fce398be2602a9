"""What a caller states, and what it comes to."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riserkit.circuits.miswirings import Miswiring, MiswiringKind, miswired, with_link
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.diagnose import Conclusion, Diagnosis, all_suspects, diagnose, explains
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation, read_reading
from riserkit.troubleshooting.predict import Effort, Predictions, predict
from riserkit.troubleshooting.sights import SIGHTS, read_sight
from riserkit.troubleshooting.states import door_states, read_state
from riserkit.troubleshooting.suspects import SuspectKind
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS, Measurement, measure
from tests.wiring.miswired_doors import VARIANTS

AT = Temperatures(10.0, 40.0)


@pytest.fixture(scope="module")
def strike(doors: Any) -> DoorCircuit:
    """A fail-secure strike, energised to release."""
    return doors.circuit("direct-with-peripherals")


def test_three_volts_at_the_strike_is_a_poor_joint_of_a_resistance_solved_for(strike: DoorCircuit) -> None:
    """By hand: the strike's coil and the joint divide the output's voltage, so R = coil (V / 3 - 1) less the wires' ohm."""
    found = diagnose(strike, [read_reading(strike, "M1+ M1- 3.0 V released")], AT)
    assert found.verdict is Conclusion.SINGLE
    joints = [c for c in found.candidates if c.suspect.joint_ohm]
    feed = [c for c in joints if "L+" in c.suspect.words or "L-" in c.suspect.words]
    assert feed, [c.suspect.words for c in found.candidates]
    coil_ohm = strike.netlist.element(strike.coil("M1")).values["r_ohm"]
    healthy = measure(
        [strike.netlist], [Measurement(VOLTS, "K1.L+", "K1.L-", read_state(strike, "released").outside)], AT
    )
    by_hand_ohm = coil_ohm * (float(healthy[0].nominal[0]) / 3.0 - 1.0)
    for candidate in feed:
        low, high = candidate.suspect.joint_ohm or (0.0, 0.0)
        assert low <= by_hand_ohm <= high
        assert high < 2.0 * low, "a range of two to one at most"


def test_a_healthy_door_has_no_candidate(strike: DoorCircuit) -> None:
    volts = measure([strike.netlist], [Measurement(VOLTS, "M1.+", "M1.-", read_state(strike, "released").outside)], AT)
    stated = f"M1+ M1- {float(volts[0].nominal[0]):.1f} V released"
    found = diagnose(strike, [read_reading(strike, stated), read_reading(strike, "M1+ M1- 0.0 V idle")], AT)
    assert found.verdict is Conclusion.HEALTHY
    assert not found.candidates
    assert found.odd == ()


def test_readings_that_contradict_one_another_are_named(strike: DoorCircuit) -> None:
    stated = ["M1+ M1- 12.0 V released", "B1.1 B1.2 0.0 V released", "M1- M1+ -3.0 V released"]
    found = diagnose(strike, [read_reading(strike, text) for text in stated], AT)
    assert found.verdict is Conclusion.CONTRADICTORY
    assert found.contradicting == (0, 2)


@pytest.mark.parametrize("stated", [("47.0 ohm", "12.0 ohm"), ("open", "48.0 ohm"), ("closed", "open")])
def test_ohms_of_one_pair_that_differ_contradict_one_another(strike: DoorCircuit, stated: tuple[str, str]) -> None:
    texts = ["M1+ M1- 12.0 V released", *(f"M1+ M1- {said} power off" for said in stated)]
    found = diagnose(strike, [read_reading(strike, text) for text in texts], AT)
    assert found.verdict is Conclusion.CONTRADICTORY
    assert found.contradicting == (1, 2)


def test_a_lock_that_is_both_locked_and_free_is_a_contradiction(strike: DoorCircuit) -> None:
    seen = [*read_sight(strike, "lock locked in idle"), *read_sight(strike, "lock released in idle")]
    assert diagnose(strike, seen, AT).verdict is Conclusion.CONTRADICTORY
    other_state = [*read_sight(strike, "lock locked in idle"), *read_sight(strike, "lock released in released")]
    assert diagnose(strike, other_state, AT).verdict is Conclusion.HEALTHY


def test_readings_of_one_pair_within_tolerance_stand_together(strike: DoorCircuit) -> None:
    texts = ["M1+ M1- 47.0 ohm power off", "M1+ M1- 48.5 ohm power off", "M1+ M1- 12.0 V released"]
    assert diagnose(strike, [read_reading(strike, text) for text in texts], AT).verdict is not Conclusion.CONTRADICTORY


def test_an_open_coil_has_its_full_voltage_and_the_door_stays_locked(strike: DoorCircuit) -> None:
    seen = [*read_sight(strike, "card no effect"), read_reading(strike, "M1+ M1- 12.0 V released")]
    found = diagnose(strike, seen, AT)
    assert found.verdict is Conclusion.SINGLE
    assert [c.suspect.words for c in found.candidates] == [
        "coil of M1 open", "M1 is a lock for 24 V, not for 12 V", "M1 is a fail-safe lock, not a fail-secure one",
    ]  # fmt: skip
    assert all(c.suspect.words != "coil of M1 open" for c in _released(strike).candidates), "it releases nothing"


def _released(strike: DoorCircuit) -> Diagnosis:
    return diagnose(strike, [*read_sight(strike, "lock released in idle")], AT)


def test_a_wire_that_is_off_is_named_by_what_is_seen_and_one_reading(strike: DoorCircuit) -> None:
    seen = read_sight(strike, "card no effect")
    found = diagnose(strike, [*seen, read_reading(strike, "M1+ M1- 0.0 V released")], AT)
    words = " | ".join(c.suspect.words for c in found.candidates)
    assert found.verdict is Conclusion.SINGLE
    assert "K1.L+ to M1.+, broken" in words
    assert "coil of M1 open" not in words, "an open coil leaves the voltage at its terminals"


def test_two_faults_where_no_single_one_explains(strike: DoorCircuit) -> None:
    """The strike's wire off and the door contact bypassed: two branches that no one fault of either touches."""
    wires = {str(end): c.ref for c in strike.netlist.conductors if c.cable for end in (c.a, c.b)}
    wrong = miswired(strike.netlist, Miswiring(MiswiringKind.OPEN, (wires["M1.+"],)))
    wrong = with_link(wrong, "B1.1", "B1.2")
    observed = []
    for plus, minus, state in (
        ("M1.+", "M1.-", "released"), ("K1.L+", "K1.L-", "released"), ("K1.DOOR", "K1.IC", "door open"),
        ("K1.REQ", "K1.IC", "idle"), ("K1.REQ", "K1.IC", "motion"),
    ):  # fmt: skip
        asked = Measurement(VOLTS, plus, minus, read_state(strike, state).outside)
        volts = float(measure([wrong], [asked], AT)[0].nominal[0])
        observed.append(read_reading(strike, f"{plus} {minus} {volts:.2f} V {state}"))
    found = diagnose(strike, observed, AT)
    assert found.verdict is Conclusion.DOUBLE
    assert any(wires["M1.+"] in c.suspect.blames and "B1" in c.suspect.words for c in found.candidates)


def test_the_first_reading_is_advised_without_any(strike: DoorCircuit) -> None:
    found = diagnose(strike, [], AT)
    assert found.next is not None
    assert found.next.left_bits < found.next.open_bits


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("M1+ M1- 3.0", "has no unit"),
        ("M1+ Z9- 3.0 V", "no terminal 'Z9-'"),
        ("M1+ M1- 3.0 V flooded", "has no state 'flooded'"),
        ("three volts", "cannot be read"),
        ("M1+ M1- open V idle", "is for ohms"),
        ("M1+ M1- 3.0 V power off", "with power off"),
        ("99: 3.0 V", "readings 1 to"),
        ("M1+ M1- 99999999 V idle", "over 120 V.*mains is on the wires"),
        ("1: -130 V", "over 120 V"),
        ("M1+ M1- -5 ohm power off", "below 0 ohm"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_would_do(strike: DoorCircuit, text: str, says: str) -> None:
    with pytest.raises(RiserkitError, match=says):
        read_reading(strike, text)


def test_a_sight_that_the_door_cannot_show_is_refused(strike: DoorCircuit, doors: Any) -> None:
    with pytest.raises(RiserkitError, match="expected lock locked"):
        read_sight(strike, "it hums")
    bare = doors.circuit("direct")
    with pytest.raises(RiserkitError, match="has no state 'motion'"):
        read_sight(bare, "REX no effect")


@pytest.mark.slow
def test_what_to_look_at_comes_before_the_meter_and_is_asked_once(strike: DoorCircuit) -> None:
    observed = [*read_sight(strike, "lock locked in motion")]
    asked = []
    while (look := diagnose(strike, observed, AT).look) is not None:
        assert look.left_bits < look.open_bits
        asked.append(look.answers[0])
        observed += read_sight(strike, look.answers[0])
    assert asked[0] == "lock locked in released", (
        "with a card the lock tells the sensor from what the controller drives"
    )
    assert len(asked) == len(set(asked))
    assert "lock locked in motion" not in asked, "the complaint has said so"


def test_what_a_sight_has_told_is_not_read_again_elsewhere(strike: DoorCircuit) -> None:
    """The lock is seen free when idle: that its 12 V may hang on a request at the edge of the input is told already."""
    seen = ("lock locked in motion", "lock released in released", "lock released in idle")
    # another lock acts otherwise at the same voltage, which would have to be read
    kept = Predictions(strike, AT, [s for s in all_suspects(strike) if s.kind is not SuspectKind.OTHER_PART])
    found = diagnose(strike, [one for words in seen for one in read_sight(strike, words)], AT, kept)
    assert len(found.candidates) > 1 and found.next is not None
    ends = {found.next.ask.asked.plus, found.next.ask.asked.minus}
    assert not (ends <= {"M1.+", "M1.-", "R1.K", "R1.A", "K1.L+", "K1.L-"} and found.next.ask.asked.meter == VOLTS)


def test_a_reader_with_light_may_lack_its_data(doors: Any) -> None:
    readers = {**doors.strike, "controller": "controller-box", "reader_in": "reader-out", "reader_out": "reader-out"}
    circuit = doors.circuit("direct-with-peripherals", readers)
    bus = [s for s in all_suspects(circuit) if s.kind == "wire open" and "BUS" in s.words]
    assert bus
    for words in ("reader lit", "reader dark"):
        assert explains(circuit, bus, read_sight(circuit, words), AT).any(axis=0).all(), words
    assert explains(circuit, bus, read_sight(circuit, "reader lit"), AT).all(), "its light hangs on its supply"


def test_what_is_usual_lies_within_what_may_be(strike: DoorCircuit) -> None:
    suspects = [s for s in all_suspects(strike) if s.joint_ohm is None][::3]
    asked = [ask.asked for ask in every_ask(strike) if ask.asked.meter == VOLTS and not ask.asked.less]
    found = predict(FaultNetlists(strike), suspects, asked, AT, typical=True)
    said = ~np.isnan(found.typical)
    assert said.mean() > 0.7
    within = (found.low - 0.02 <= found.typical) & (found.typical <= found.high + 0.02)
    assert (within | ~said).all()


def test_a_reading_that_was_taken_is_not_advised_again(strike: DoorCircuit) -> None:
    observed = [*read_sight(strike, "card no effect")]
    first = diagnose(strike, observed, AT).next
    assert first is not None
    for asked in (first.ask.asked, first.ask.turned().asked):
        again = diagnose(strike, [*observed, Observation("", asked, -60.0, 60.0)], AT).next
        assert again is not None and again.ask.asked.either_way != asked.either_way


@pytest.mark.parametrize(
    ("said", "meant"),
    [("Reader beeps, lock does not release", "card no effect"), ("reader shows green, door stays locked", "card no effect"),
     ("exit button has no effect", "REX no effect"), ("reader beeps", "reader lit"), ("Reader has no light", "reader dark"),
     ("door stays unlocked", "lock released"), ("door shows open all the time", "door shows open")],
)  # fmt: skip
def test_a_callers_own_words_mean_the_same(doors: Any, said: str, meant: str) -> None:
    readers = {**doors.strike, "controller": "controller-box", "reader_in": "reader-out"}
    circuit = doors.circuit("direct-with-peripherals", readers)
    found, wanted = ([replace(o, words="", one_of="") for o in read_sight(circuit, text)] for text in (said, meant))
    assert found == wanted


def test_a_rex_without_effect_is_a_door_that_stays_locked_whatever_the_reason(doors: Any) -> None:
    """Who says so has not looked at the controller: a relay that stays as it is does the same as a sensor that is not noticed."""
    circuit = doors.circuit("relay-module")
    effect = diagnose(circuit, read_sight(circuit, "REX has no effect"), AT)
    left = {c.suspect.words for c in effect.candidates}
    noticed = read_sight(circuit, "REX not noticed")
    unheard = {c.suspect.words for c in diagnose(circuit, noticed, AT).candidates}
    coil = {s.words for s in all_suspects(circuit) if s.words.startswith("coil of M1 open")}
    assert unheard and unheard <= left and coil <= left and not coil & unheard


def test_what_the_controller_reports_takes_one_that_answers(doors: Any) -> None:
    circuit = doors.circuit("splitter-magnet")
    dead = [s for s in all_suspects(circuit) if s.words == "K1 dead: draws nothing"]
    for words in ("REX quiet", "REX always on", "closed door shows closed", "door shows open"):
        assert dead and not explains(circuit, dead, read_sight(circuit, words), AT).all(axis=0).any(), words


def test_a_dead_input_has_no_voltage_and_may_show_the_door_open(strike: DoorCircuit) -> None:
    seen = [*read_sight(strike, "door shows open"), read_reading(strike, "K1.DOOR K1.IC 0.0 V idle")]
    found = diagnose(strike, seen, AT)
    assert "input of K1 at DOOR to IC dead" in {c.suspect.words for c in found.candidates}


def test_a_relay_that_clicks_has_its_coil_and_its_message(doors: Any) -> None:
    circuit = doors.circuit("relay-module")
    suspects = all_suspects(circuit)
    coil = next(s for s in suspects if s.words.startswith("coil of K2 open"))
    stuck = next(s for s in suspects if s.words == "contact of K2 at C to NC, stays open")
    states = {how: [f"relay {how} in {state}" for state in ("idle", "released")] for how in ("on", "off")}
    seen = [words for both in states.values() for words in both]
    usual = [words for words in seen if explains(circuit, suspects[:1], read_sight(circuit, words), AT).all()]
    assert len(usual) == 2
    for words in usual:
        moves = words in states["on"]
        assert explains(circuit, [stuck], read_sight(circuit, words), AT).all(), "it clicks, and its contact does not"
        assert bool(explains(circuit, [coil], read_sight(circuit, words), AT).all()) is not moves


def test_a_dead_controller_may_be_the_cable_the_port_or_itself(strike: DoorCircuit) -> None:
    """No probe goes into a switch's socket: what tells them apart is the port's light, another cable, another controller."""
    found = diagnose(strike, read_sight(strike, "dead controller"), AT)
    words = {c.suspect.words for c in found.candidates}
    assert "K1 dead" in words
    assert any(w.startswith("PoE cable W") and w.endswith("broken or not plugged in") for w in words)
    assert any(w.startswith("no power from the switch port") for w in words)
    assert len({c.alike for c in found.candidates}) == 1 and found.next is None
    online = diagnose(strike, [*read_sight(strike, "card no effect"), *read_sight(strike, "controller online")], AT)
    assert not words & {c.suspect.words for c in online.candidates}


def test_volts_are_read_before_power_is_taken_off_a_door(doors: Any) -> None:
    """Where a voltage tells about as much: network power, mains and battery off put the door out of use."""
    circuit = doors.circuit("relay-module")
    for complaint in ("card no effect", "REX has no effect", "lock released"):
        following = diagnose(circuit, read_sight(circuit, complaint), AT).next
        assert following is not None and following.ask.asked.meter == VOLTS, (complaint, following)


def test_readings_are_read_in_the_words_of_whoever_telephones(strike: DoorCircuit) -> None:
    plain = read_reading(strike, "M1.+ M1.- 3.0 V released")
    for said in ("M1+ M1- 3.0V dc released", "m1+ m1- 3,0 volts released", "M1.+ M1.- 3.0 VDC released"):
        found = read_reading(strike, said)
        assert (found.asked, found.low, found.high) == (plain.asked, plain.low, plain.high), said
    swapped = read_reading(strike, "M1- M1+ -3000 mV released")
    assert swapped.asked is not None and (swapped.asked.plus, swapped.asked.minus) == ("M1.-", "M1.+")
    assert swapped.high < 0.0
    # what was not said is told, as it is taken
    assert read_reading(strike, "M1+ M1- 3.0 V").words.endswith("(no state stated: taken as idle)")
    assert read_reading(strike, "M1+ M1- 40 ohm released").words.endswith("(ohms: taken with power off)")
    with pytest.raises(RiserkitError, match=r"such as 'M1\.\+ M1\.- 3\.0 V released' for what lock M1 gets"):
        read_reading(strike, "3 V at the strike")
    with pytest.raises(RiserkitError, match="is AC"):
        read_reading(strike, "M1+ M1- 12 V ac released")
    with pytest.raises(RiserkitError, match=r"its devices are .*M1"):
        read_reading(strike, "Z9.1 M1- 12 V idle")


def test_no_reading_asks_for_a_fire_alarm_where_another_tells_as_much(doors: Any) -> None:
    """A fire alarm takes the owner of the alarm, the PoE cable the door: somebody at the door is easier to have."""
    circuit = doors.circuit("relay-external-supply")
    effort = {ask.state: ask.effort for ask in every_ask(circuit) if ask.where == "M1.+ to M1.-"}
    assert effort["idle"] < effort["released"] < effort["no power on the PoE cable"] < effort["fire alarm"]


def test_a_lost_voltage_is_halved_in_on_along_the_wires_of_a_supply(doors: Any) -> None:
    """With the black lead on the supply's return, every terminal on the way to the lock can be read."""
    circuit = doors.circuit("relay-external-supply")
    along = {ask.asked.plus for ask in every_ask(circuit) if ask.asked.minus == "X1.0V" and ask.state == "idle"}
    assert {"K2.C", "K2.NC", "X1.1", "X1.3", "M1.+"} <= along


def test_leads_go_where_most_faults_show_a_positive_voltage(doors: Any) -> None:
    """The first of them may show nothing to either side."""
    circuit = doors.circuit("relay-external-supply")
    found = diagnose(circuit, read_sight(circuit, "REX always on"), AT).next
    assert found is not None and found.ask.asked.meter == VOLTS
    shown = [low + high for low, high in found.predicted if np.isfinite(low + high)]
    assert sum(shown) > 0.0, found.ask.words


def test_no_two_faults_are_told_in_the_same_words(doors: Any) -> None:
    """Two leads at one terminal, of which either may be exchanged with a wire, are told apart."""
    for name in doors.served:
        words = [s.words for s in all_suspects(doors.circuit(name)) if s.joint_ohm is None]
        assert len(set(words)) == len(words), [w for w in words if words.count(w) > 1]


def test_faults_inside_devices_are_told_as_a_fitter_meets_them(doors: Any) -> None:
    """Contacts that stand for power being there, and switches inside a device, have no terminals that anybody could look at."""
    for name in doors.served:
        inside = {SuspectKind.DEVICE, SuspectKind.SUPPLY, SuspectKind.STUCK}
        suspects = [s for s in all_suspects(doors.circuit(name)) if s.kind in inside]
        words = [s.words for s in suspects]
        assert len(set(words)) == len(words), [w for w in words if words.count(w) > 1]
        for one in suspects:
            if one.words.startswith("contact of"):
                assert " to " in one.words, one.words
    supply = {s.words for s in all_suspects(doors.circuit("relay-external-supply"))}
    assert {"no mains at G1", "battery of G1 dead or not connected", "G1 gives no voltage"} <= supply


def test_a_choice_among_many_is_made_by_ranges_that_hold_what_is_usual(strike: DoorCircuit) -> None:
    """Else readings seem to tell apart what they do not: they would be advised for nothing."""
    suspects = list(all_suspects(strike))
    asked = [ask.asked for ask in every_ask(strike) if ask.asked.meter == VOLTS and not ask.asked.less]
    rough, whole = (
        predict(FaultNetlists(strike), suspects, asked, AT, typical=True, effort=how)
        for how in (Effort.TWO_ENDS, Effort.WHOLE)
    )
    told = ~np.isnan(rough.typical)
    assert ((rough.low <= rough.typical + 1e-9) & (rough.typical <= rough.high + 1e-9) | ~told).all()
    assert np.array_equal(rough.typical, whole.typical, equal_nan=True)
    sure = np.isfinite(whole.low) & np.isfinite(whole.high)
    width, most = rough.high[sure] - rough.low[sure], whole.high[sure] - whole.low[sure]
    assert width.sum() > 0.7 * most.sum()


def test_every_sight_can_be_stated_at_some_door(doors: Any) -> None:
    readers = {**doors.strike, "controller": "controller-box", "reader_in": "reader-out", "reader_out": "reader-out"}
    circuits = [*map(doors.circuit, doors.served), doors.circuit("direct-with-peripherals", readers)]
    for name in SIGHTS:
        said = 0
        for circuit in circuits:
            try:
                where = f" at {circuit.locks[0]}" if name.endswith("as listed") else ""
                said += bool(read_sight(circuit, f"{name}{where}"))
            except RiserkitError:
                continue
        assert said, name


@pytest.mark.parametrize("said", ["poe off", "No power on the PoE cable", "cable unplugged"])
def test_power_off_on_the_cable_is_printed_in_plain_words(strike: DoorCircuit, said: str) -> None:
    assert read_state(strike, said).words == "no power on the PoE cable"


def _range(circuit: DoorCircuit, words: str, plus: str, minus: str, state: str) -> tuple[float, float]:
    """What is predicted with the fault of these words."""
    suspect = next(s for s in all_suspects(circuit) if words in s.words)
    asked = Measurement(VOLTS, plus, minus, read_state(circuit, state).outside)
    found = predict(FaultNetlists(circuit), [suspect], [asked], AT)
    return float(found.low[0, 0]), float(found.high[0, 0])


def test_the_controller_releases_for_somebody_at_the_sensor(strike: DoorCircuit) -> None:
    released = _range(strike, "no fault", "M1.+", "M1.-", "released")
    assert released[0] > 9.0
    assert _range(strike, "no fault", "M1.+", "M1.-", "motion") == pytest.approx(released, abs=0.01)
    assert _range(strike, "no fault", "M1.+", "M1.-", "idle") == pytest.approx((0.0, 0.0), abs=0.01)
    # what the controller does not read it does not act on
    assert _range(strike, "input of K1 at REQ", "M1.+", "M1.-", "motion") == pytest.approx((0.0, 0.0), abs=0.01)
    # and what it reads without anybody near it acts on too
    assert _range(strike, "contact of B2 at C to NO, stuck closed", "M1.+", "M1.-", "idle")[0] > 9.0


def test_a_meter_shows_nothing_between_what_nothing_joins(strike: DoorCircuit) -> None:
    """The data terminal hangs in the air; a wire off leaves the lock joined to its return only."""
    assert _range(strike, "no fault", "K1.J", "K1.A+", "idle") == (0.0, 0.0)
    assert _range(strike, "no fault", "K1.A+", "K1.A-", "idle")[0] > 11.0
    low, high = _range(strike, "K1.L+ to M1.+, broken", "K1.L+", "M1.+", "released")
    assert low > 11.0 and high < 13.0, "across the break the coil carries the meter's current"


def test_an_auxiliary_contact_releases_nothing(doors: Any) -> None:
    name, differs = VARIANTS["direct with peripherals, auxiliary contact"]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    assert _range(circuit, "no fault", "M1.+", "M1.-", "auxiliary")[1] < 0.1


def test_a_broken_cable_leaves_the_controller_without_power(strike: DoorCircuit) -> None:
    cable = "N1.J to K1.J, broken"
    for ends in (("K1.A+", "K1.A-"), ("K1.DOOR", "K1.IC"), ("M1.+", "M1.-")):
        for state in ("idle", "released", "door open", "motion"):
            assert _range(strike, cable, *ends, state) == pytest.approx((0.0, 0.0), abs=0.01), (ends, state)
    assert _range(strike, "no fault", "K1.DOOR", "K1.IC", "door open")[0] > 2.0
    assert _range(strike, "no fault", "K1.DOOR", "K1.IC", "poe off, door open") == pytest.approx((0.0, 0.0), abs=0.01)
    found = diagnose(strike, [read_reading(strike, "K1.A+ K1.A- 0.0 V idle")], AT)
    assert any(cable in c.suspect.words for c in found.candidates)


def test_states_are_put_together(strike: DoorCircuit) -> None:
    both = read_state(strike, "released, door open")
    states = door_states(strike)
    opened = {name for name, on in states["door open"].outside.items() if on} - {
        name for name, on in states["idle"].outside.items() if on
    }
    assert both.outside == {**states["released"].outside, **dict.fromkeys(opened, True)}


def test_what_is_off_in_a_state_stays_off_beside_another(doors: Any) -> None:
    """A fail-safe lock is released by the output that goes off."""
    safe = doors.circuit("direct-with-peripherals", {**doors.strike, "lock": "strike-12-safe"})
    assert read_state(safe, "idle").outside[safe.command] is True
    assert read_state(safe, "released, door open").outside[safe.command] is False


def test_a_broken_link_to_a_module_explains_a_lock_that_ignores_the_card(doors: Any) -> None:
    module = doors.circuit("relay-module")
    found = diagnose(module, read_sight(module, "card no effect"), AT)
    assert any("LKA" in c.suspect.words and "broken" in c.suspect.words for c in found.candidates)


def test_nobody_says_that_no_reading_tells_apart_what_only_voltages_were_tried_on(doors: Any) -> None:
    magnet = doors.circuit("relay-external-supply")
    found = diagnose(magnet, read_sight(magnet, "lock released in idle"), AT)
    alike = [c.alike for c in found.candidates]
    assert len(alike) > 60 and len(set(alike)) == len(alike)
    assert found.next is not None and found.next.ask.asked.meter == VOLTS


def test_voltages_at_an_open_contact_need_not_add_up(doors: Any) -> None:
    """What hangs free behind it goes along with the meter: 0 V from one terminal to each of two, and 23 V between those.

    Kirchhoff's law holds for each reading by itself, with the meter's own current in it.
    """
    circuit = doors.circuit("dry-trigger")
    texts = ["K2.C K2.NO 0.0 V idle", "K2.C K2.LKA 0.0 V idle", "K2.LKA K2.NO 23.9 V idle"]
    found = diagnose(circuit, [read_reading(circuit, text) for text in texts], AT)
    assert found.verdict is Conclusion.SINGLE
    assert any(c.suspect.words == "wires of W4 and W5 exchanged at K2.LKA and K2.C" for c in found.candidates)
    texts[2] = "K2.LKA K2.NO 5.0 V idle"
    found = diagnose(circuit, [read_reading(circuit, text) for text in texts], AT)
    assert (found.verdict, found.contradicting) == (Conclusion.CONTRADICTORY, (0, 1, 2))


def test_a_controller_that_accepts_a_card_has_power(doors: Any, strike: DoorCircuit) -> None:
    """Its lock staying locked is put down to neither its cable nor itself; with a supply of its own it need not be on the network."""
    told = {c.suspect.words for c in diagnose(strike, read_sight(strike, "card no effect"), AT).candidates}
    stays = {c.suspect.words for c in diagnose(strike, read_sight(strike, "lock locked in released"), AT).candidates}
    assert {"PoE cable W1, N1.J to K1.J, broken or not plugged in", "K1 dead"} <= stays - told
    assert told < stays
    splitter = doors.circuit("splitter-magnet")
    left = {c.suspect.words for c in diagnose(splitter, read_sight(splitter, "card no effect"), AT).candidates}
    feed = {s.words for s in all_suspects(splitter) if s.words.startswith("T1 gives no voltage")}
    assert feed and not feed & left
