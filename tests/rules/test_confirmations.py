"""Conditions that no circuit shows: open until somebody confirms them, by name and date, at that door."""

import pytest

from riserkit.findings import Severity, Verdict
from riserkit.model.problems import InputError
from riserkit.rules._shared.evaluate import check
from riserkit.standards.egress_conditions import CONDITIONS_OF

MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion"}
DELAYED = {"lock": "magnet-12-300", "egress": "delayed", "rex": "rex-motion", "fire_alarm_release": True}
SENSOR = (*CONDITIONS_OF["sensor release"], "no-fire-system")


def said(made):
    return {f.about: f for f in check(made) if f.rule == "egress-conditions"}


def test_each_condition_is_a_finding_of_its_own_open_until_it_is_confirmed(site_of):
    found = said(site_of(MAGNET, building_code="IBC 2021"))
    assert set(found) == set(SENSOR)
    assert {(f.verdict, f.severity) for f in found.values()} == {(Verdict.NOT_EVALUATED, Severity.WARNING)}
    for condition, finding in found.items():
        assert condition in finding.message
    told = said(site_of(MAGNET, confirmed=SENSOR[1:], building_code="IBC 2021"))
    assert [c for c, f in told.items() if f.verdict is not Verdict.PASS] == [SENSOR[0]]
    assert "A. Official, 2026-03-14" in told[SENSOR[1]].message


def test_a_confirmation_covers_its_own_door_only(site_of):
    made = site_of(MAGNET, MAGNET, confirmed=SENSOR)
    only = tuple(c for c in made.site.confirmations if c.opening == "101")
    told = site_of(MAGNET, MAGNET)
    object.__setattr__(told, "site", told.site.model_copy(update={"confirmations": only}))
    open_ones = {f.subject for f in check(told) if f.rule == "egress-conditions" and f.is_open}
    assert open_ones == {"102"}


def test_a_door_that_the_fire_alarm_releases_is_asked_for_its_reset_and_not_for_the_absence_of_alarms(site_of):
    found = said(site_of({**MAGNET, "fire_alarm_release": True}))
    assert "alarm-holds-until-reset" in found
    assert "no-fire-system" not in found


def test_no_fire_system_is_not_believed_where_the_alarm_releases_another_door(site_of):
    made = site_of(MAGNET, {**MAGNET, "fire_alarm_release": True}, confirmed=("no-fire-system",))
    (found,) = [f for f in check(made) if f.about == "no-fire-system" and f.subject == "101"]
    assert (found.verdict, found.severity) == (Verdict.FAIL, Severity.ERROR)
    assert "102" in found.message


@pytest.mark.parametrize(
    ("change", "condition"),
    [
        ({"delay_s": 20}, "longer-delay-approved"),
        ({"rex": "", "lock": "latch-24"}, "delay-starts-at-hardware"),
        ({"type": "double", "inactive_leaf": "manual-bolts"}, "inactive-leaf-bolts"),
    ],
)
def test_what_is_stated_brings_its_own_condition(site_of, change, condition):
    assert condition not in said(site_of(DELAYED))
    assert said(site_of({**DELAYED, **change}))[condition].verdict is Verdict.NOT_EVALUATED


def test_a_confirmation_that_nothing_asks_for_is_told(site_of):
    found = said(site_of({"lock": "strike-12-secure", "egress": "mechanical"}, confirmed=("delay-sign",)))
    assert [(f.verdict, f.severity) for f in found.values()] == [(Verdict.FAIL, Severity.NOTE)]


def test_a_confirmation_of_an_unknown_condition_or_door_or_given_twice_is_a_problem_of_the_input(site_of):
    with pytest.raises(InputError, match="expected 'alarm-holds-until-reset'"):
        site_of(MAGNET, confirmed=("lighting",))
    with pytest.raises(InputError, match="condition of its own"):
        site_of(MAGNET, confirmed=("delay-sign", "delay-sign"))


@pytest.mark.parametrize(("code", "verdict"), [("IBC 2024", Verdict.PASS), ("International Building Code 2021", Verdict.PASS),
                                               ("", Verdict.NOT_EVALUATED), ("IBC 2015", Verdict.NOT_EVALUATED)])  # fmt: skip
def test_the_edition_is_asked_for_where_doors_depend_on_it(site_of, code, verdict):
    info = {"building_code": code} if code else {}
    (found,) = [f for f in check(site_of(MAGNET, **info)) if f.rule == "egress-edition-unstated"]
    assert found.verdict is verdict
    mechanical = {"lock": "strike-12-secure", "egress": "mechanical"}
    assert not [f for f in check(site_of(mechanical, **info)) if f.rule == "egress-edition-unstated"]
