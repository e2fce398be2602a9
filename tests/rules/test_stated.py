"""What is stated: implausible values of parts, stated things that nothing uses, dates, ways out, lengths."""

from __future__ import annotations

import pytest

from riserkit.findings import Severity, Verdict
from riserkit.model.problems import InputError
from tests.known_bad.designs import findings_of, said_by


def said(rule, case, about=None):
    """Open findings of a rule that do not pass; of one condition, where it is named."""
    return [
        f for f in findings_of({"door": "strike", **case})
        if f.rule == rule and f.is_open and f.verdict is not Verdict.PASS and about in (None, f.about)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("like", "columns", "column"),
    [
        # At the limits of what a lock holds with, 0.3 W and 60 W, and just outside.
        ("strike-12-secure", {"hold_a": 0.025, "pull_in_a": 0.025}, ""),
        ("strike-12-secure", {"hold_a": 0.024, "pull_in_a": 0.024}, "hold_a"),
        ("strike-12-secure", {"pull_in_a": 0.24}, "pull_in_a"),
        ("strike-12-secure", {"pull_in_a": 0.25}, ""),
        ("strike-12-secure", {"inductance_h": 10}, ""),
        ("strike-12-secure", {"inductance_h": 10.1}, "inductance_h"),
    ],
)
def test_a_locks_values_are_those_of_a_lock(like, columns, column):
    case = {"parts": [{"like": like, "id": "odd", **columns}], "opening": {"lock": "odd"}}
    assert [f.about for f in said("implausible-data", case)] == ([f"{column} of odd"] if column else [])


@pytest.mark.parametrize(("float_v", "odd"), [(12.0, False), (11.9, True), (15.0, False), (15.1, True)])
def test_a_battery_is_charged_above_its_nominal_voltage(float_v, odd):
    part = {"like": "supply-12-3", "id": "odd", "float_v": float_v}
    supply = {"id": "PS", "part": "odd", "opening": "101", "on_battery": "yes"}
    assert bool(said("implausible-data", {"parts": [part], "supplies": [supply]})) is odd


def test_a_slip_is_printed_as_it_was_written():
    case = {
        "parts": [{"like": "strike-12-secure", "id": "odd", "hold_a": 0.00035, "pull_in_a": ""}],
        "opening": {"lock": "odd"},
    }
    messages = [f.message for f in said("implausible-data", case)]
    assert any("hold_a is 0.00035 A; a strike has 0.02 A to 5.00 A" in message for message in messages)


@pytest.mark.parametrize(
    ("opening", "column"),
    [
        ({"relay": "relay-volt"}, "relay"),
        ({"relay": "relay-volt", "arrangement": "relay-by-voltage"}, ""),
        ({"splitter": "splitter-12"}, "splitter"),
        ({"suppressor": "diode-1a"}, ""),
        ({"release_height_m": 1.1}, "release"),
        ({"delay_s": 15}, "delay_s"),
        ({"rex": "", "rex_height_m": 2.2}, "rex_height_m"),
        ({"rex_height_m": 2.2}, ""),
    ],
)
def test_what_is_stated_is_used(opening, column):
    assert [f.about for f in said("stated-not-used", {"opening": opening})] == ([column] if column else [])


@pytest.mark.parametrize(
    ("ends", "opening", "used"),
    [
        (("101/controller", "101/lock"), {}, True),
        (("101/contact", "101"), {}, True),
        (("101/controller", "101/relay"), {}, False),
        (("101/controller", "101/relay"), {"relay": "relay-volt", "arrangement": "relay-by-voltage"}, True),
        (("101/controller", "101/lock_contact"), {}, False),
        (("101/controller", "101/supply"), {}, False),
        (("C1", "101/supply"), {}, False),
    ],
)
def test_a_run_is_for_a_cable_that_the_wiring_has(ends, opening, used):
    run = {"id": "R", "from_end": ends[0], "to_end": ends[1], "length_m": 3}
    assert [f.about for f in said("stated-not-used", {"runs": [run], "opening": opening})] == (
        [] if used else ["run R"]
    )


def test_a_supply_that_is_named_feeds_the_lock_and_one_that_feeds_nothing_is_a_note():
    supply = {"id": "PS", "part": "supply-12-3", "closet": "C1", "on_battery": "yes"}
    assert [f.subject_kind for f in said("stated-not-used", {"supplies": [supply]})] == ["supply"]
    named = {"supplies": [supply], "opening": {"supply": "PS", "arrangement": "direct-with-peripherals"}}
    assert "supply" in [f.about for f in said("stated-not-used", named)]


@pytest.mark.parametrize(
    ("issued", "verdicts"), [("2026-03-14", set()), ("2026-03-13", {Verdict.FAIL}), ("", {Verdict.NOT_EVALUATED})]
)
def test_a_confirmation_is_not_later_than_the_drawings(issued, verdicts):
    case = {"door": "sensor", "site": {"issue_date": issued}}
    assert {finding.verdict for finding in said("dated-after-issue", case)} == verdicts


NOBODY_INSIDE = {"egress": "none", "rex": "", "free_egress_hardware": "no"}


@pytest.mark.parametrize(
    ("more", "shut"),
    [
        ({}, True),
        ({"free_egress_hardware": ""}, True),
        ({"free_egress_hardware": "yes"}, False),
        ({"rex": "rex-button"}, True),
        ({"rex": "rex-button", "free_egress_hardware": "yes"}, False),
        ({"rex": "rex-button", "lock": "strike-12-safe", "fail_mode": "fail-safe"}, False),
        ({"rex": "rex-button", "rex_aux_input": "auxiliary"}, True),
        ({"reader_out": "reader-out"}, True),
        ({"reader_out": "reader-out", "lock": "strike-12-safe", "fail_mode": "fail-safe"}, False),
        ({"lock": "magnet-12-300", "fail_mode": "fail-safe", "free_egress_hardware": "yes"}, True),
        ({"egress": "mechanical"}, False),
    ],
)
def test_somebody_inside_gets_out(more, shut):
    assert bool(said("no-way-out", {"opening": {**NOBODY_INSIDE, **more}})) is shut


@pytest.mark.parametrize(("length_m", "short"), [(27.1, False), (26.9, True)])
def test_a_run_is_not_shorter_than_nine_tenths_of_the_straight_line(length_m, short):
    """From (0, 0) to (30, 1): 30.02 m."""
    run = {"id": "R1", "from_end": "C1", "to_end": "101", "length_m": length_m, "basis": "measured"}
    assert bool(said("implausible-geometry", {"runs": [run]}, "length")) is short


@pytest.mark.parametrize(("ceiling_m", "low"), [(2.134, False), (2.13, True)])
def test_a_ceiling_is_above_the_doors_under_it(ceiling_m, low):
    assert bool(said("implausible-geometry", {"level": {"ceiling_m": ceiling_m}}, "ceiling of L1")) is low


@pytest.mark.parametrize(("length_m", "asked"), [(300, False), (301, True)])
def test_a_long_optical_backbone_is_not_evaluated(length_m, asked):
    """10GBASE-SR over OM3: 300 m (IEEE 802.3 clause 52, from memory)."""
    case = {
        "closets": [{"id": "C2", "level": "L1", "x_m": 30, "y_m": 10, "fed_from": "C1"}],
        "runs": [{"id": "R1", "from_end": "C1", "to_end": "C2", "length_m": length_m, "basis": "measured"}],
    }
    found = [f for f in said("channel-length", case) if f.subject_kind == "cable"]
    assert [f.verdict for f in found] == ([Verdict.NOT_EVALUATED] if asked else [])


@pytest.mark.parametrize("name", ["-", "TBD", "n/a", "N. A.", "nobody", "???"])
def test_a_placeholder_is_no_name(name):
    row = {"opening": "101", "condition": "listed-system", "name": name, "date": "2026-03-14"}
    with pytest.raises(InputError, match="expected the name of whoever answers for it"):
        findings_of({"door": "strike", "confirmations": [row]})


@pytest.mark.parametrize("name", ["A. Official", "Ng", "Ó"])
def test_a_short_name_is_a_name(name):
    row = {"opening": "101", "condition": "listed-system", "name": name, "date": "2026-03-14"}
    assert findings_of({"door": "strike", "confirmations": [row]})


@pytest.mark.parametrize(("lock", "late"), [("magnet-12-300", True), ("strike-12-safe", False)])
def test_a_diode_makes_a_magnet_let_go_late(lock, late):
    case = {"door": "sensor", "opening": {"lock": lock, "suppressor": "diode-1a"}}
    assert bool(said("suppressor-rating", case, "kind of R1")) is late


@pytest.mark.parametrize(("system", "words"), [("metric", "it is 13 mm off"), ("imperial", "it is 8/16 in off")])
def test_a_release_that_is_a_little_too_high_is_not_told_to_move_by_nothing(system, words):
    case = {"door": "sensor", "site": {"unit_system": system}, "opening": {"release_height_m": "48.5 in"}}
    assert [words in f.remedy for f in said("manual-release-placing", case)] == [True]


def test_a_part_of_the_site_under_the_id_of_a_shipped_one_is_told():
    """The site's own counts; alike in every value it replaces nothing."""
    own = {"parts": [{"like": "strike-12-secure", "id": "strike-12-secure", "hold_a": 0.3, "pull_in_a": 0.3}]}
    (found,) = said("shipped-replaced", own)
    assert (found.about, found.severity) == ("strike-12-secure", Severity.NOTE)
    assert "hold_a, pull_in_a" in found.message
    assert not said("shipped-replaced", {"parts": [{"like": "strike-12-secure", "id": "strike-12-secure"}]})
    cable = {"cable_types": [{"like": "18-2", "id": "18-2", "outside_diameter_m": 0.006}]}
    assert [f.about for f in said("shipped-replaced", cable)] == ["18-2"]


def test_a_battery_too_hot_is_told_in_the_units_of_the_site() -> None:
    asked = {
        "door": "strike-24",
        "site": {"unit_system": "imperial"},
        "remove": ["supplies"],
        "supplies": [
            {"id": "PS24", "part": "supply-24-4", "opening": "101", "battery_c": "140 °F", "minus_joined": "none"}
        ],
    }
    (found,) = said_by(asked, "implausible-data")
    assert "140 °F; a supply has -40 °F to 122 °F" in found.message
