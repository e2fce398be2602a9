"""The rules that read a door's proof and its release: each fails, passes, and answers when something is not stated."""

import re
from dataclasses import replace

import pytest

from riserkit.findings import Severity, Verdict, at_openings
from riserkit.model.records import Acceptance
from riserkit.proofs.values import REX_EXPOSED
from riserkit.rules._shared.evaluate import check

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion", "free_egress_hardware": True}
SAFE = {"lock": "strike-12-safe", "egress": "stair", "rex": "rex-motion", "free_egress_hardware": True}
PLACED = {"release_height_m": 1.1, "release_distance_m": 0.5, "release_sign": True}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", **PLACED}
SECURED = {"lock_wiring_secured": True}
INCH_M = 0.0254
PARTS = (
    {
        "id": "one-pole",
        "kind": "rex-sensor",
        "rated_v": 12,
        "draw_a": 0.02,
        "tolerance_low": 0.15,
        "tolerance_high": 0.15,
        "releases_on_loss": True,
        "poles": 1,
    },
    {"id": "unknown", "kind": "rex-sensor", "rated_v": 12, "draw_a": 0.02},
    {"id": "short-release", "kind": "release-button", "contact_a": 3, "poles": 2, "hold_s": 29.9},
    {"id": "untimed", "kind": "release-button", "contact_a": 3, "poles": 2},
    {"id": "rex-somewhere", "kind": "rex-sensor", "draw_a": 0, "poles": 1, "contact_a": 1, "contact_v": 30},
)
PASS, FAIL, OPEN = Verdict.PASS, Verdict.FAIL, Verdict.NOT_EVALUATED
ERROR, WARNING, NOTE = Severity.ERROR, Severity.WARNING, Severity.NOTE
HEIGHT, DISTANCE, SIGN, HOLD = "above the floor", "from the door", "marked", "manual release holds"

CASES = [
    ("release-by-hand", MAGNET, "interrupts|breaks lock power itself", PASS, None),
    ("release-by-hand", {**MAGNET, "egress": "hardware-release"}, "only signals the controller", FAIL, ERROR),
    ("release-by-hand", {**MAGNET, "egress": "hardware-release", "release": "release-bar"}, "breaks lock power", PASS, None),
    ("release-by-hand", {**MAGNET, "egress": "hardware-release", "release": "release-bar"}, "in the bar or handle", PASS, None),
    ("release-by-hand", {**MAGNET, "egress": "hardware-release", "release": "release-30"}, "button on the wall", FAIL, ERROR),
    ("release-by-hand", {**MAGNET, "egress": "hardware-release", "release": "untimed"}, "is not stated", OPEN, WARNING),
    ("egress-delay", {**MAGNET, "egress": "delayed", "rex": "rex-bar"}, "bar or handle", PASS, None),
    ("egress-delay", {**MAGNET, "egress": "delayed", "rex": "rex-motion"}, "pushing the bar starts nothing", FAIL, ERROR),
    ("egress-delay", {**MAGNET, "egress": "delayed", "rex": "rex-somewhere"}, "in the bar or handle", OPEN, WARNING),
    ("reach-height", {**MAGNET, "egress": "delayed", "rex": "rex-bar", "rex_height_m": 49 * INCH_M}, "Bar or handle", FAIL, WARNING),
    ("reach-height", {**MAGNET, "egress": "hardware-release", "release": "release-bar", "release_height_m": 35 * INCH_M}, "Bar or handle",
     PASS, None),
    ("release-by-hand", MAGNET, HOLD, PASS, None),
    ("release-by-hand", {**MAGNET, "release": "short-release"}, HOLD, FAIL, ERROR),
    ("release-by-hand", {**MAGNET, "release": "untimed"}, "is not stated", OPEN, WARNING),
    ("release-by-hand", {**MAGNET, "lock": ""}, "Not checked", OPEN, WARNING),
    ("release-on-sensor-loss", MAGNET, "unlocks for whoever", PASS, None),
    ("release-on-sensor-loss", {**MAGNET, "rex": "one-pole"}, "stays powered", FAIL, ERROR),
    ("release-on-sensor-loss", {**MAGNET, "rex": "unknown"}, "is not stated", OPEN, WARNING),
    ("release-on-sensor-loss", {**MAGNET, "rex": "rex-button"}, "no powered REX sensor", FAIL, ERROR),
    ("release-on-power-loss", MAGNET, "releases the door", PASS, None),
    ("release-on-power-loss", {**STRIKE, "egress": "delayed"}, "without power it stays locked", FAIL, ERROR),
    ("release-on-power-loss", {**MAGNET, "egress": "controlled", "controller": ""}, "Not checked", OPEN, WARNING),
    ("release-on-fire-alarm", {**SAFE, "fire_alarm_release": True}, "releases the door", PASS, None),
    ("release-on-fire-alarm", {**STRIKE, "fire_alarm_release": True}, "leaves it locked", FAIL, ERROR),
    ("release-on-fire-alarm", {**SAFE, "fire_alarm_release": True, "lock": ""}, "Not checked", OPEN, WARNING),
    ("fail-secure-on-power-loss", STRIKE, "stays locked when any or all power is lost", PASS, None),
    ("fail-secure-on-power-loss", {**STRIKE, "fail_mode": "fail-secure", "controller": ""}, "Not checked", OPEN, WARNING),
    ("lock-follows-controller", STRIKE, "lock follows the controller", PASS, None),
    ("lock-follows-controller", {**STRIKE, "lock": "strike-24-secure", "arrangement": "direct-with-peripherals"},
     "does not follow", FAIL, ERROR),
    ("lock-follows-controller", {**STRIKE, "lock": ""}, "Not checked", OPEN, WARNING),
    ("tamper", {**STRIKE, **SECURED}, "None of", PASS, None),
    ("tamper", STRIKE, "connect K1.L\\+", FAIL, WARNING),
    ("tamper", {**STRIKE, **SECURED, "arrangement": "relay-by-voltage"}, "K1.L\\+", FAIL, ERROR),
    ("tamper", {**STRIKE, "lock": ""}, "Not checked", OPEN, WARNING),
    ("tamper", STRIKE, "connect K1.REQ", FAIL, WARNING),
    ("tamper", {**STRIKE, **SECURED}, "request to exit", FAIL, ERROR),
    ("tamper", {**STRIKE, **SECURED}, "can still be released through its REX/AUX input", PASS, None),
    ("fault-leaves-unlocked", STRIKE, "leave the door unlocked", FAIL, NOTE),
    ("fault-leaves-unlocked", {**STRIKE, **SECURED}, "leave the door unlocked", FAIL, WARNING),
    ("undetected-fault", STRIKE, "lock output of the controller stuck closed", FAIL, NOTE),
    ("fault-leaves-unlocked", {**STRIKE, "lock": "strike-24-secure", "arrangement": "direct-with-peripherals"}, "None of", PASS, None),
    ("undetected-fault", {**STRIKE, "lock": "strike-24-secure", "arrangement": "direct-with-peripherals"}, "None of", PASS, None),
    ("free-egress-mechanical", STRIKE, "by its own hardware", PASS, None),
    ("free-egress-mechanical", {**STRIKE, "free_egress_hardware": False}, "No hardware", FAIL, ERROR),
    ("free-egress-mechanical", {**STRIKE, "free_egress_hardware": None}, "not stated", OPEN, WARNING),
    ("free-egress-mechanical", {**MAGNET, "egress": "mechanical"}, "holds the leaf", FAIL, ERROR),
    ("free-egress-mechanical", {**STRIKE, "lock": "latch-24", "free_egress_hardware": None}, "own hardware", PASS, None),
    ("manual-release-placing", MAGNET, HEIGHT, PASS, None),
    ("manual-release-placing", {**MAGNET, "release_height_m": 40 * INCH_M}, HEIGHT, PASS, None),
    ("manual-release-placing", {**MAGNET, "release_height_m": 39.9 * INCH_M}, HEIGHT, FAIL, ERROR),
    ("manual-release-placing", {**MAGNET, "release_height_m": 48 * INCH_M}, HEIGHT, PASS, None),
    ("manual-release-placing", {**MAGNET, "release_height_m": 48.1 * INCH_M}, HEIGHT, FAIL, ERROR),
    ("manual-release-placing", {**MAGNET, "release_height_m": None}, HEIGHT, OPEN, WARNING),
    ("manual-release-placing", {**MAGNET, "release_distance_m": 60 * INCH_M}, DISTANCE, PASS, None),
    ("manual-release-placing", {**MAGNET, "release_distance_m": 60.1 * INCH_M}, DISTANCE, FAIL, ERROR),
    ("manual-release-placing", {**MAGNET, "release_distance_m": None}, DISTANCE, OPEN, WARNING),
    ("manual-release-placing", MAGNET, SIGN, PASS, None),
    ("manual-release-placing", {**MAGNET, "release_sign": False}, SIGN, FAIL, ERROR),
    ("manual-release-placing", {**MAGNET, "release_sign": None}, "sign is not stated", OPEN, WARNING),
    ("egress-conditions", {**STRIKE, "egress": "delayed"}, "command centre", OPEN, WARNING),
    ("egress-conditions", {**STRIKE, "egress": "controlled"}, "Staff carry", OPEN, WARNING),
    ("egress-conditions", SAFE, "unlock together", OPEN, WARNING),
    ("egress-conditions", MAGNET, "emergency lighting", OPEN, WARNING),
    ("egress-conditions", MAGNET, "no fire alarm, sprinkler", OPEN, WARNING),
    ("egress-conditions", {**MAGNET, "fire_alarm_release": True}, "until the fire alarm system is reset", OPEN, WARNING),
    ("egress-conditions", {**MAGNET, "egress": "hardware-release"}, "one hand", OPEN, WARNING),
    ("release-on-fire-alarm", {**MAGNET, "fire_relay": "fire-relay"}, "State|No fire alarm relay", FAIL, ERROR),
    ("release-on-fire-alarm", {**MAGNET, "egress": "delayed", "lock": ""}, "Not checked", OPEN, WARNING),
    ("release-by-hand", {**MAGNET, "egress": "controlled", "lock": ""}, "Not checked", OPEN, WARNING),
]  # fmt: skip


def stated(opening):
    return {name: value for name, value in opening.items() if value is not None and value != ""}


def said(site_of, rule, opening, **info):
    opening = dict(opening)
    missing = {name: "" for name, value in opening.items() if value == ""}
    return [f for f in check(site_of({**stated(opening), **missing}, parts=PARTS, **info)) if f.rule == rule]


@pytest.mark.parametrize(("rule", "opening", "about", "verdict", "severity"), CASES)
def test_rule(site_of, rule, opening, about, verdict, severity):
    found = [f for f in said(site_of, rule, opening) if re.search(about, f.message)]
    assert len(found) == 1, said(site_of, rule, opening)
    assert found[0].verdict is verdict
    assert found[0].source
    if severity is None:
        assert found[0].remedy == ""
    else:
        assert found[0].severity is severity
        assert found[0].remedy
    if verdict is FAIL:
        assert re.search(r"^[A-Z0-9].{15,}\.$", found[0].remedy), "a remedy is an instruction, a whole sentence"


@pytest.mark.parametrize(
    ("rule", "opening"),
    [
        ("release-by-hand", STRIKE), ("release-on-sensor-loss", STRIKE), ("release-on-power-loss", STRIKE),
        ("release-on-fire-alarm", STRIKE), ("fail-secure-on-power-loss", MAGNET), ("manual-release-placing", STRIKE),
        ("egress-conditions", STRIKE), ("free-egress-mechanical", MAGNET),
    ],
)  # fmt: skip
def test_a_rule_keeps_silent_where_nothing_is_asked(site_of, rule, opening):
    assert said(site_of, rule, opening) == []


SHARED = [
    ("tamper", "lock wires"),
    ("tamper", "request input"),
    ("fault-leaves-unlocked", ""),
    ("undetected-fault", ""),
]


@pytest.mark.parametrize(("rule", "about"), SHARED)
def test_what_holds_of_many_doors_is_told_once_with_all_of_them(site_of, rule, about):
    made = site_of(*[STRIKE] * 3, {**STRIKE, "rex": ""}, {**STRIKE, "controller_at": "secured"})
    name = REX_EXPOSED if about == "request input" else rule
    found = [f for f in check(made) if (f.rule, f.about) == (rule, about) and f.verdict is FAIL]
    one = next(f for f in found if f.subject_kind == "site")
    at = {m for f in found for m in re.findall(r"\b10[1-5]\b", f.message)} | {f.subject for f in found} - {one.subject}
    proofs = {door.mark: door.proof.about(name).outcome == "fail" for door in made.doors}
    assert at == {mark for mark, fails in proofs.items() if fails}
    assert len(found) == 1
    assert (one.value, one.limit, one.unit) == (len(at), 0, "doors")
    assert one.subject == made.site.info.name
    assert set(one.concerns) == at
    spread = list(at_openings(found))
    assert {f.subject for f in spread} == at
    assert all(f.subject_kind == "opening" and f.remedy == one.remedy for f in spread)
    assert "101, 102, 103" in one.message, "in the order a person counts, those with one case together"
    assert len([f for f in check(made) if (f.rule, f.about) == (rule, about) and f.verdict is PASS]) == sum(
        door.proof.about(name).outcome == "pass" for door in made.doors
    )


@pytest.mark.parametrize(("rule", "about"), SHARED)
def test_a_door_that_asks_for_secured_wiring_stands_out(site_of, rule, about):
    opening = {**STRIKE, "arrangement": "relay-by-voltage"}
    found = [
        f
        for f in check(site_of(opening, opening, {**opening, **SECURED}))
        if (f.rule, f.about) == (rule, about) and f.verdict is FAIL
    ]
    assert {f.subject for f in found if f.subject_kind == "opening"} == (
        {"103"} if rule != "undetected-fault" else set()
    )
    assert [f.value for f in found if f.subject_kind == "site"] == [3 if rule == "undetected-fault" else 2]


@pytest.mark.parametrize(("rule", "about"), SHARED)
def test_an_acceptance_of_one_door_is_put_on_that_door_and_not_on_the_others(site_of, rule, about):
    given = {
        "rule": rule,
        "subject": "102",
        "about": about,
        "reason": "seen to",
        "name": "A. Engineer",
        "date": "2026-03-14",
    }
    made = site_of(*[STRIKE] * 3)
    told = replace(made, site=made.site.model_copy(update={"acceptances": (Acceptance(**given),)}))
    found = [
        f for f in check(told) if f.verdict is FAIL and (f.rule, f.about) in {(rule, about), ("acceptance-unused", "")}
    ]
    assert [(f.subject, f.acceptance is not None) for f in found if f.subject_kind == "opening"] == [("102", True)]
    assert [(f.value, f.acceptance) for f in found if f.subject_kind == "site"] == [(2, None)]


@pytest.mark.parametrize(
    ("doors", "covered"),
    [("101, 102, 103", True), ("103;102; 101, 999", True), ("101, 102", False), ("201, 202, 203", False), ("", False)],
)
def test_an_acceptance_for_several_doors_covers_no_other_doors(site_of, doors, covered):
    made = site_of(*[STRIKE] * 3)
    given = {
        "rule": "tamper",
        "about": "request input",
        "subject": made.site.info.name,
        "reason": "controllers are set so",
        "doors": doors,
    }
    accepted = (Acceptance(**given, name="A. Engineer", date="2026-03-14"),)
    told = replace(made, site=made.site.model_copy(update={"acceptances": accepted}))
    (one,) = [f for f in check(told) if f.about == "request input" and f.verdict is FAIL]
    assert one.is_open is not covered
    assert ("it was not written for" in one.message) is not covered


def test_doors_with_unlike_cures_are_told_apart(site_of):
    found = [f for f in check(site_of(STRIKE, STRIKE, SAFE, SAFE)) if f.about == "lock wires"]
    assert [f.value for f in found] == [2, 2]
    assert len({f.remedy for f in found}) == 2


def test_how_far_to_move_the_release_is_said(site_of):
    found = said(site_of, "manual-release-placing", {**MAGNET, "release_height_m": 1.319})
    assert found[0].margin == pytest.approx(48 * INCH_M - 1.319) or any("0.1 m off" in f.remedy for f in found)


@pytest.mark.parametrize(
    ("code", "section"),
    [
        ("IBC 2018", "1010.1.9.9"),
        ("IBC 2021", "1010.2.12"),
        ("IBC 2024", "1010.2.11"),
        ("Other code", "names no edition"),
    ],
)
def test_the_section_of_the_edition_named_is_cited(site_of, code, section):
    found = said(site_of, "release-on-sensor-loss", MAGNET, building_code=code)
    assert section in found[0].source


def test_stair_doors_are_held_to_the_2024_edition_only_where_it_is_named(site_of):
    assert said(site_of, "release-on-fire-alarm", SAFE, building_code="IBC 2021") == []
    found = said(site_of, "release-on-fire-alarm", SAFE, building_code="IBC 2024")
    assert [f.verdict for f in found] == [FAIL]
    assert "1010.2.6" in found[0].source


def test_a_controller_confirmed_to_ignore_its_input_off_the_wall_is_no_way_in(site_of):
    opening = {**STRIKE, **SECURED}
    found = {f.about: f for f in check(site_of(opening, confirmed=("requests-stop-off-wall",))) if f.rule == "tamper"}
    assert {about: f.verdict for about, f in found.items()} == {"lock wires": PASS, "request input": PASS}
    assert "A. Official, 2026-03-14" in found["request input"].message
    open_one = next(f for f in check(site_of(opening)) if f.about == "request input")
    assert (open_one.verdict, open_one.severity) == (FAIL, ERROR)
    assert "requests-stop-off-wall" in open_one.remedy


def test_a_confirmed_report_of_standing_requests_leaves_a_note_at_a_secured_door(site_of):
    opening = {**STRIKE, **SECURED}
    found = check(site_of(opening, confirmed=("standing-request-reported",)))
    assert [f.severity for f in found if f.rule == "fault-leaves-unlocked"] == [NOTE]
    assert not [f for f in found if f.about == "unused standing-request-reported"]


@pytest.mark.parametrize("condition", ["requests-stop-off-wall", "standing-request-reported"])
def test_a_confirmed_setting_that_clears_nothing_is_said(site_of, condition):
    made = site_of({**STRIKE, "controller_at": "secured"}, confirmed=(condition,))
    (one,) = [f for f in check(made) if f.about == f"unused {condition}"]
    assert (one.verdict, one.severity) == (FAIL, NOTE)


@pytest.mark.parametrize(
    ("remarks", "released", "said"),
    [
        ("Release on fire alarm; auto operator", False, "Release on fire alarm"),
        ("By others: fire alarm relay", False, "By others: fire alarm relay"),
        ("Asservie au SSI", False, "Asservie au SSI"),
        ("Release on fire alarm", True, ""),
        ("Fire-rated frame, alarm sounder", False, ""),
    ],
)
def test_remarks_that_speak_of_the_fire_alarm_are_asked(site_of, remarks, released, said):
    """Words in the remarks move nothing: whoever wrote them expects the door to be released."""
    relay = {"fire_alarm_release": True, "fire_relay": "fire-relay"} if released else {}
    found = check(site_of({**MAGNET, **relay, "remarks": remarks}))
    asked = [f.message for f in found if f.rule == "release-on-fire-alarm" and f.about == "remarks"]
    assert asked == (
        [f"Its remarks say {said!r}; that the fire alarm releases the door is not stated."] if said else []
    )


@pytest.mark.parametrize(
    ("stated", "asked"),
    [
        ({"remarks": "15 s delayed egress, sign by others"}, "its egress is sensor-release"),
        ({"remarks": "Delayed egress", "egress": None}, "its egress is not stated"),
        ({"remarks": "Delayed egress", "egress": "delayed", "delay_s": 15}, ""),
        ({"remarks": "Opening delayed by the client until May"}, ""),
    ],
)
def test_remarks_that_speak_of_delayed_egress_are_asked(site_of, stated, asked):
    found = check(site_of({**MAGNET, **stated}))
    told = [f.message for f in found if f.rule == "egress-delay" and f.about == "remarks"]
    assert [asked in message for message in told] == ([True] if asked else [])
