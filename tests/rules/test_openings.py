"""What every opening needs before anything can be proven: a way, a role in egress, data, an arrangement, unlike labels."""

import pytest

from riserkit.model.opening import EgressRole
from riserkit.model.parts import Controller, Lock, Relay

BARE_LOCK = Lock(id="bare-lock", kind="strike")
BARE = (BARE_LOCK, Controller(id="bare", kind="controller"), Relay(id="bare-relay", kind="relay", command="voltage"))

WAY = [
    pytest.param({}, {"verdict": "pass", "message": "closet C1"}, id="a way"),
    pytest.param({"labels": {"closet": {"C1": "1A"}}}, {"verdict": "pass", "message": "closet 1A (C1)"}, id="by its label"),
    pytest.param(
        {"doors": ({"length_m": None},)},
        {"verdict": "fail", "severity": "error", "remedy": "Closet C1 is 10 m away"}, id="no way",
    ),
    pytest.param(
        {"doors": ({"placed": False, "opening": {"x_m": 37.0, "y_m": -2.0}},)},
        {"verdict": "fail", "remedy": "Closet C2 is 5 m away"}, id="no cable, the nearest closet is named",
    ),
    pytest.param(
        {"doors": ({"placed": False, "opening": {"x_m": 37.0}},), "info": {"unit_system": "imperial"}},
        {"verdict": "fail", "remedy": "9.8 ft away"}, id="in feet",
    ),
    pytest.param(
        {"backbone": ({"from_id": "C1", "to_id": "C2"},)}, {"subject": "C1>C2", "verdict": "pass"}, id="backbone with a way"
    ),
    pytest.param(
        {"backbone": ({"from_id": "C1", "to_id": "C2", "length_m": None},)},
        {"subject": "C1>C2", "subject_kind": "cable", "verdict": "fail", "remedy": "C1 and C2"}, id="backbone without",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), WAY)
def test_unreachable(judge, spec, expected):
    judge("no-cable-route", spec, expected)


def test_unreachable_without_any_closet(judge):
    spec = {"closets": (), "switches": (), "doors": ({"placed": False},)}
    judge("no-cable-route", spec, {"verdict": "fail", "remedy": "State a closet"})


@pytest.mark.parametrize("role", list(EgressRole))
def test_every_stated_egress_role_will_do(judge, role):
    judge(
        "egress-role-unstated", {"doors": ({"opening": {"egress": role}},)}, {"verdict": "pass", "message": role.value}
    )


def test_egress_is_never_assumed(judge):
    expected = {"verdict": "not evaluated", "severity": "warning", "remedy": "mechanical"}
    judge("egress-role-unstated", {"doors": ({"opening": {"egress": None}},)}, expected)


def opening(**more):
    return {"doors": ({"opening": more},)}


MISSING = [
    pytest.param({}, {"verdict": "pass"}, id="nothing"),
    pytest.param(opening(lock=""), {"verdict": "not evaluated", "remedy": "State lock."}, id="no lock"),
    pytest.param(opening(controller=""), {"verdict": "not evaluated", "message": "auxiliary-limit"}, id="no controller"),
    pytest.param(
        opening(lock="bare-lock"),
        {"verdict": "not evaluated", "remedy": "State rated_v, hold_a, tolerance_low, tolerance_high of bare-lock"},
        id="a lock without data",
    ),
    pytest.param(
        opening(lock="bare-lock", fail_mode=None), {"verdict": "not evaluated", "message": "ups-behind-fail-safe"},
        id="what it does unpowered",
    ),
    pytest.param(opening(fail_mode=None), {"verdict": "pass"}, id="the lock itself says what it does unpowered"),
    pytest.param(
        opening(controller="bare"), {"verdict": "not evaluated", "message": "input_v of bare."}, id="controller data"
    ),
    pytest.param(
        opening(relay="bare-relay"), {"verdict": "not evaluated", "message": "trigger_a of bare-relay"}, id="another part's data"
    ),
    pytest.param(
        {"doors": ({"wiring": {"missing": ["arrangement 'knob'"]}},)},
        {"verdict": "not evaluated", "message": "knob"}, id="what the wiring misses",
    ),
    pytest.param(
        {"doors": ({"opening": {"lock": ""}, "wiring": {"missing": ["lock"]}},)},
        {"verdict": "not evaluated", "remedy": "State lock."}, id="said only once",
    ),
    pytest.param({}, {"subject": "SW1", "verdict": "pass"}, id="a switch"),
    pytest.param(
        {"switches": ({"poe_budget_w": None},)},
        {"subject": "SW1", "verdict": "not evaluated", "message": "switch-class-budget, switch-power-budget"}, id="its total",
    ),
    pytest.param(
        {"switches": ({"on_ups": None},)},
        {"subject": "SW1", "verdict": "not evaluated", "message": "ups-behind-fail-safe"}, id="its backup",
    ),
    pytest.param(
        {"supplies": ({"id": "PS1", "part": "supply-12-3", "closet": "C1"},)}, {"subject": "PS1", "verdict": "pass"}, id="supply"
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), MISSING)
def test_missing_data(judge, spec, expected):
    judge("missing-data", {"parts": BARE, **spec}, expected)


WEAK = ("output-limit", False, "lock output gives 0.75 A, at most 0.60 A", 0.75, 0.6, "A")
THIN = ("lock-voltage-low", False, "lowest voltage 10.00 V, at least 10.20 V", 10.0, 10.2, "V")
UNFIT = ("parts", False, "no relay module")
OPEN = ("class-power", None, "the device draws: not evaluated")
FINE = ("output-limit", True, "lock output gives 0.60 A", 0.6, 0.6, "A")
ARRANGED = [
    pytest.param(
        {"chosen": {"reasons": [FINE]}},
        {"verdict": "pass", "message": "direct with 18-2, lock power over the PoE cable"}, id="feasible",
    ),
    pytest.param(
        {"chosen": None, "nearest": {"arrangement": "relay-module", "reasons": [FINE, WEAK]}, "considered": [{}, {}, {}]},
        {"verdict": "fail", "value": 0.75, "limit": 0.6, "margin": -0.15, "unit": "A",
         "message": "among 3 considered; closest relay-module"},
        id="too much",
    ),
    pytest.param(
        {"chosen": None, "nearest": {"reasons": [THIN, UNFIT]}},
        {"verdict": "fail", "margin": -0.2, "message": "; no relay module"},
        id="too little, and a test without a number",
    ),
    pytest.param(
        {"chosen": None, "nearest": {"reasons": [UNFIT, THIN]}},
        {"verdict": "fail", "message": "no relay module; lowest voltage"}, id="the test without a number first",
    ),
    pytest.param({"chosen": None}, {"verdict": "fail", "message": "No arrangement is suitable"}, id="nothing near"),
    pytest.param(
        {"chosen": {"reasons": [WEAK]}, "forced": True, "considered": [
            {"arrangement": "dear", "cost": 3}, {"arrangement": "cheap", "cost": 2}, {"arrangement": "bad", "reasons": [WEAK]}]},
        {"verdict": "fail", "message": "The forced arrangement direct with 18-2"},
        id="forced against its tests",
    ),
    pytest.param({"chosen": {"supply_at": "closet C1"}}, {"verdict": "pass", "message": "from closet C1"}, id="a supply"),
    pytest.param({"forced": True}, {"verdict": "pass", "message": "as forced"}, id="forced and feasible"),
    pytest.param(
        {"chosen": {"reasons": [FINE, OPEN]}}, {"verdict": "not evaluated", "message": "the device draws"}, id="a test lacks data"
    ),
    pytest.param(
        {"chosen": None, "missing": ["lock", "controller"]},
        {"verdict": "not evaluated", "remedy": "State lock, controller"}, id="data missing",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("wiring", "expected"), ARRANGED)
def test_no_suitable_wiring(judge, wiring, expected):
    judge("no-suitable-wiring", {"doors": ({"wiring": wiring},)}, expected)


TWICE = {"cable": {"101": "1A-A01", "102": "1A-A01", "103": "1A-A02"}}
CLASH = {"cable": {"101": "1A-A01"}, "clashes": (("1A-A01", ("101", "102")),)}
ACROSS = {"cable": {"101": "1A-A01"}, "port": {"SW1:1": "1A-A01"}}


@pytest.mark.parametrize("labels", [TWICE, CLASH], ids=["found", "reported"])
def test_label_on_two_things(judge, labels):
    expected = {"subject": "1A-A01", "subject_kind": "label", "verdict": "fail", "message": "2 things: 101, 102"}
    judge("label-unique", {"labels": labels}, {**expected, "remedy": "1 of them, for example 102"})


def test_a_stated_label_that_an_issued_one_overrules_is_told(judge):
    labels = {"cable": {"101": "1A-A01"}, "overruled": (("cable", "101", "1A-B07"),)}
    expected = {"subject": "101", "subject_kind": "cable", "verdict": "fail", "severity": "note"}
    told = {"message": "states 1A-B07 for the cable; 1A-A01 was issued", "remedy": "Take 1A-B07 off the cable"}
    judge("label-overruled", {"labels": labels}, {**expected, **told})


def test_no_label_overruled(findings_of):
    (found,) = findings_of("label-overruled", {"labels": {"cable": {"101": "1A-A01"}}})
    assert (found.verdict, found.subject_kind) == ("pass", "site")


def test_only_the_shared_label_is_found(findings_of):
    assert [f.subject for f in findings_of("label-unique", {"labels": TWICE})] == ["1A-A01"]


@pytest.mark.parametrize(
    ("spec", "kind", "remedy"),
    [
        ({"closets": ({"id": "101"},)}, "closet", "TR-101"),
        ({"supplies": ({"id": "101", "part": "supply-12-3", "closet": "C1"},)}, "supply", "PS-101"),
    ],
)
def test_a_closet_or_supply_with_the_name_of_an_opening_is_told(judge, spec, kind, remedy):
    """A returned length to that name could be meant for either, and is refused when the set is long issued."""
    expected = {"subject": "101", "subject_kind": kind, "verdict": "fail", "severity": "warning"}
    judge("label-unique", spec, {**expected, "message": "and an opening", "remedy": remedy})


@pytest.mark.parametrize("labels", [ACROSS, {}], ids=["one label on two kinds", "none"])
def test_unlike_labels(judge, labels):
    judge("label-unique", {"labels": labels}, {"subject": "Unnamed site", "subject_kind": "site", "verdict": "pass"})


def estimate(length_m, **more):
    return {"doors": ({"length_m": length_m, "basis": "estimated", **more},)}


ESTIMATED = [
    pytest.param(estimate(50), {"verdict": "pass", "limit": 75.6}, id="far from the limit"),
    pytest.param(estimate(75.6), {"verdict": "pass", "margin": 0}, id="at nine tenths"),
    pytest.param(
        estimate(76), {"verdict": "fail", "severity": "note", "limit": 75.6, "remedy": "at most 84 m"}, id="near the limit"
    ),
    pytest.param(
        {**estimate(78, cable="scr"), "cable_types": (
            {"id": "scr", "kind": "category", "gauge": "23 AWG", "screened": True},)},
        {"verdict": "pass", "limit": 78.3}, id="screened cable",
    ),
    pytest.param(estimate(120), {"verdict": "fail", "severity": "note"}, id="beyond the limit"),
    pytest.param({"doors": ({"length_m": 83, "basis": "measured"},)}, {"verdict": "pass", "message": "measured"}, id="measured"),
    pytest.param({"doors": ({"length_m": 83, "basis": "routed"},)}, {"verdict": "pass"}, id="routed"),
    pytest.param(estimate(None), {"verdict": "not evaluated"}, id="no way"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), ESTIMATED)
def test_estimated_length(judge, spec, expected):
    judge("estimated-length", spec, expected)
