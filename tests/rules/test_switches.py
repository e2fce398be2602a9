"""Ports, shared power and backup of switches."""

import pytest

from tests.known_bad.designs import said_by

THREE = ({}, {}, {})


def switch(**more):
    return {"switches": (more, {"id": "SW2", "closet": "C2"})}


PORTS = [
    pytest.param({**switch(ports=4), "doors": THREE}, {"verdict": "pass", "margin": 1}, id="a port to spare"),
    pytest.param({**switch(ports=3), "doors": THREE}, {"verdict": "pass", "margin": 0}, id="at the limit"),
    pytest.param(
        {**switch(ports=2), "doors": ({}, {}, {"switch": "", "port": 0})},
        {"verdict": "fail", "margin": -1, "remedy": "1 more port here, for 103; closet C2 has 24 free."},
        id="one port short",
    ),
    pytest.param(
        {**switch(ports=2), "doors": (*THREE, {"closet": "C2", "switch": "SW2", "port": 1})},
        {"verdict": "fail", "remedy": "1 more port here; closet C2 has 23 free."},
        id="a port taken over there",
    ),
    pytest.param(
        {**switch(ports=4, uplink_ports=2), "doors": THREE},
        {"verdict": "fail", "limit": 2},
        id="uplinks are not for doors",
    ),
    pytest.param(
        {"switches": ({"ports": 2}, {"id": "SW1b", "ports": 1}), "doors": THREE},
        {"verdict": "pass", "limit": 3},
        id="all switches of the closet count",
    ),
    pytest.param({"doors": THREE}, {"verdict": "pass", "subject": "C2", "value": 0}, id="a closet without doors"),
]


@pytest.mark.parametrize(("spec", "expected"), PORTS)
def test_switch_ports_of_a_closet(judge, spec, expected):
    judge("switch-ports", spec, {"subject": "C1", "subject_kind": "closet", "unit": "ports", **expected})


@pytest.mark.parametrize(("port", "verdict"), [(19, "pass"), (20, "pass"), (21, "fail")])
def test_switch_port_is_no_uplink(judge, port, verdict):
    spec = {**switch(uplink_ports=4), "doors": ({"port": port},)}
    judge("switch-ports", spec, {"subject": "101", "verdict": verdict, "limit": 20, "value": port})


def fed(device_class=4, pse_w=10.2, **more):
    return {"link": {"device_class": device_class, "pse_w": pse_w, **more}}


ALLOCATED, DRAWN = "switch-class-budget", "switch-power-budget"
BUDGET = [
    pytest.param(370, (fed(), fed(), fed()), ALLOCATED, {"verdict": "pass", "value": 90}, id="classes fit"),
    pytest.param(90, (fed(), fed(), fed()), ALLOCATED, {"verdict": "pass", "margin": 0}, id="classes at the limit"),
    pytest.param(
        89.9, (fed(), fed(), fed()), ALLOCATED,
        {"verdict": "fail", "severity": "warning", "remedy": "feed 90 W, or 1 door on another switch: 60 W left"},
        id="classes do not fit",
    ),
    pytest.param(
        59, (fed(), fed(), fed()), ALLOCATED,
        {"verdict": "fail", "severity": "warning", "remedy": "2 doors on another"}, id="two to move",
    ),
    pytest.param(200, (fed(3), fed(1)), ALLOCATED, {"verdict": "pass", "value": 19.4}, id="the lower class is granted"),
    pytest.param(
        200, ({**fed(6), "poe_class": 3},), ALLOCATED, {"verdict": "pass", "value": 15.4}, id="no more than the port has"
    ),
    pytest.param(30.6, (fed(), fed(), fed()), DRAWN, {"verdict": "pass", "margin": 0}, id="drawn at the limit"),
    pytest.param(
        30.5, (fed(), fed(), fed()), DRAWN,
        {"verdict": "fail", "severity": "error", "value": 30.6, "remedy": "1 door on another switch: 20.4 W left"},
        id="too much is drawn",
    ),
    pytest.param(
        30, (fed(None), fed()), ALLOCATED, {"verdict": "not evaluated"}, id="the known ones alone take all there is"
    ),
    pytest.param(
        30, (fed(1), fed(3), fed(4)), ALLOCATED,
        {"verdict": "fail", "severity": "warning", "remedy": "1 door on another switch: 19.4 W left"}, id="the largest goes",
    ),
    pytest.param(
        60, (fed(), fed(), fed()), ALLOCATED,
        {"verdict": "fail", "severity": "warning", "remedy": "1 door on another switch: 60 W left"}, id="what is left fits just",
    ),
    pytest.param(60, (fed(None), fed()), ALLOCATED, {"verdict": "pass", "value": 60}, id="an unknown class at most its port's"),
    pytest.param(59, (fed(None), fed()), ALLOCATED, {"verdict": "not evaluated", "message": "101"}, id="unknown decides"),
    pytest.param(
        29, (fed(None), fed()), ALLOCATED,
        {"verdict": "fail", "severity": "warning", "value": 30}, id="too much without the unknown",
    ),
    pytest.param(39, (fed(4, None), fed()), DRAWN, {"verdict": "not evaluated", "message": "40.2 W"}, id="unknown draw"),
    pytest.param(
        40.2, (fed(4, None), fed()), DRAWN, {"verdict": "pass", "value": 40.2}, id="an unknown draw at most its class"
    ),
    pytest.param(29, ({"link": None},), DRAWN, {"verdict": "not evaluated"}, id="no link known"),
    pytest.param(None, (fed(),), DRAWN, {"verdict": "not evaluated", "remedy": "30 W"}, id="budget unknown"),
]  # fmt: skip


@pytest.mark.parametrize(("budget_w", "doors", "rule", "expected"), BUDGET)
def test_power_of_a_switch(judge, budget_w, doors, rule, expected):
    spec = {**switch(poe_budget_w=budget_w), "doors": doors}
    judge(rule, spec, {"subject": "SW1", "subject_kind": "switch", **expected})


@pytest.mark.parametrize("rule", [ALLOCATED, DRAWN])
def test_a_switch_without_doors_has_no_budget_to_keep(findings_of, rule):
    assert {f.subject for f in findings_of(rule, {})} == {"SW1"}


SAFE = {"opening": {"lock": "strike-12-safe", "fail_mode": "fail-safe"}}
UPS = [
    pytest.param(False, (SAFE, SAFE, {}), {"verdict": "fail", "severity": "warning", "value": 2, "remedy": "20.4 W"}, id="held"),
    pytest.param(False, ({}, {}), {"verdict": "pass", "value": 0, "margin": 0}, id="only fail-secure"),
    pytest.param(
        False, ({"opening": {"lock": "strike-12-safe", "fail_mode": None}},),
        {"verdict": "fail", "severity": "warning", "value": 1}, id="held, as the lock itself says",
    ),
    pytest.param(True, (SAFE,), {"verdict": "pass"}, id="on a UPS"),
    pytest.param(None, (SAFE,), {"verdict": "not evaluated", "remedy": "on_ups"}, id="not stated"),
    pytest.param(None, ({},), {"verdict": "pass"}, id="not stated, nothing held"),
    pytest.param(
        False, ({**SAFE, "wiring": {"chosen": {"supply_at": "closet C1"}}},), {"verdict": "pass"}, id="fed from a supply"
    ),
    pytest.param(
        False, ({"opening": {"lock": "", "fail_mode": None}},), {"verdict": "not evaluated", "message": "101"}, id="no lock known"
    ),
    pytest.param(
        False, ({**SAFE, "wiring": {"chosen": None}},), {"verdict": "not evaluated", "message": "101"}, id="no wiring known"
    ),
    pytest.param(
        False, ({**SAFE, "link": {"pse_w": None}},),
        {"verdict": "fail", "severity": "warning", "remedy": "for 1 door"}, id="held, watts unknown",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("on_ups", "doors", "expected"), UPS)
def test_ups_behind_fail_safe(judge, on_ups, doors, expected):
    judge("ups-behind-fail-safe", {**switch(on_ups=on_ups), "doors": doors}, {"subject": "SW1", **expected})


def test_what_other_devices_take_counts_and_no_door_is_moved_in_vain():
    """Two doors of class 4 set 60 W aside; with 320 W of cameras they are over 370 W, with 380 W the cameras alone are."""
    two = {"door": "strike", "openings": [{"like": "strike", "mark": "102", "x_m": 34}]}
    fits, over, alone = (
        said_by({**two, "switch": {"other_w": watts}}, "switch-class-budget")[0] for watts in (310, 320, 380)
    )
    assert (fits.verdict, fits.value) == ("pass", 370)
    assert (over.verdict, over.value) == ("fail", 380)
    assert "and 320 W of other devices" in over.message
    assert "1 door on another switch" in over.remedy
    assert "door" not in alone.remedy
    assert "other devices alone" in alone.remedy
