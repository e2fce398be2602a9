"""The site as built: judged by every rule with what was landed, measured and read."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from riserkit.as_built.lines import judged_readings, sheet_lines
from riserkit.as_built.site import as_built_site
from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.findings import Finding, Severity, Verdict
from riserkit.kept import KeptWork
from riserkit.model.as_built import AsBuilt
from riserkit.model.returned import FIELD_TABLES
from riserkit.pipeline import check_site, design_site, work_out
from riserkit.plugin.read import read_site
from riserkit.reports.test_sheet import door_tests
from riserkit.rules._shared.base import Rule
from riserkit.rules._shared.evaluate import INTERNAL_ERROR
from riserkit.rules.cable_test import CableTested
from riserkit.rules.lock_voltage import LockVoltage
from riserkit.rules.manual_release_placing import ManualReleasePlacing
from riserkit.rules.not_returned import NotReturned
from riserkit.rules.reach_height import ReachHeight
from riserkit.rules.reading_out_of_range import ReadingOutOfRange
from riserkit.rules.release_on_fire_alarm import ReleaseOnFireAlarm
from riserkit.rules.wrong_landing import WrongLanding
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.roles import DeviceRole, ElementRole
from tests.known_bad.designs import design_of

from .conftest import SITE
from .crews import Filled, filled, relanded


def facts(rows: Filled) -> AsBuilt:
    """Rows as they would be on record."""
    return AsBuilt.model_validate(
        {name: tuple(FIELD_TABLES[name].record.model_validate(row) for row in found) for name, found in rows.items()}
    )


KEPT = KeptWork()
"""Of circuits that many of these tests share."""


def built(design: Design, rows: Filled) -> Checked:
    return work_out(as_built_site(design, facts(rows)), kept=KEPT)


def made(design: Design, rows: Filled) -> Design:
    """Worked out and not checked, for tests of a single rule."""
    return design_site(as_built_site(design, facts(rows)), kept=KEPT)


def of(rule: Rule, worked_out: Design, mark: str) -> list[Finding]:
    """What one rule says of an opening."""
    return [f for f in rule.evaluate(worked_out) if f.subject == mark]


def open_rules(checked: Checked, mark: str) -> Mapping[str, Severity]:
    return {f.rule: f.severity for f in checked.findings if f.is_open and f.subject == mark}


def of_rule(checked: Checked, rule: str, mark: str) -> list[Finding]:
    return [f for f in checked.findings if f.rule == rule and f.subject == mark]


@pytest.mark.slow
def test_a_site_built_as_drawn_gains_no_finding(designed: Design) -> None:
    """Complete papers, all in range: nothing is open that was not open on the design."""
    plain = check_site(read_site(SITE))
    found = built(designed, filled(designed))
    assert {f.key for f in found.findings if f.is_open} == {f.key for f in plain.findings if f.is_open}
    assert {c.basis for c in found.design.cables} == {"measured"}
    assert not found.design.site.as_built or not found.design.site.as_built.differences


def test_nothing_that_has_not_come_back_passes(designed: Design) -> None:
    found = made(designed, {})
    for mark in ("1", "2"):
        about = {f.about: f for f in of(NotReturned(), found, mark)}
        assert set(about) == {"door", "landings", "readings", "lengths"}
        assert all(f.verdict is Verdict.NOT_EVALUATED for f in about.values())
        assert [f.verdict for f in of(CableTested(), found, mark)] == [Verdict.NOT_EVALUATED]


def test_a_door_that_is_not_done_is_an_error(designed: Design) -> None:
    rows = filled(designed)
    rows["doors"][0] |= {"done": "partly", "reason": "strike not delivered"}
    (found,) = of(NotReturned(), made(designed, rows), "1")
    assert (found.severity, found.about) == (Severity.ERROR, "door")
    assert "strike not delivered (A. Lee, 2026-03-20)" in found.message


def test_a_release_that_was_bypassed_is_a_life_safety_error(designed: Design) -> None:
    """The wire to the manual release lands on the wire back from it: pressed, the button breaks nothing."""
    rows = filled(designed)
    relanded(rows, "2", "18", landed_to="X1.2")
    found = built(designed, rows)
    assert open_rules(found, "2")["release-by-hand"] is Severity.ERROR
    (wrong,) = of_rule(found, "wrong-landing", "2")
    assert wrong.severity is Severity.ERROR
    assert "X1.1 to X1.2, drawn X1.1 to S1.11" in wrong.message
    assert "when lock M1 holds" in wrong.message
    assert "release-by-hand" not in open_rules(found, "1")
    (difference,) = found.design.site.as_built.differences if found.design.site.as_built else ()
    assert (difference.was, difference.is_now, difference.by) == ("X1.1 to S1.11", "X1.1 to X1.2", "A. Lee")


def test_a_lock_that_is_never_energised_has_no_release_time(designed: Design) -> None:
    """Its wire off, the solver leaves a hair of either sign at the coil."""
    rows = filled(designed)
    relanded(rows, "1", "8", landed_to="none")
    notes = door_tests(made(designed, rows))["1"].notes
    assert "M1: release time not computed, it is never energised." in notes


def test_exchanged_colours_change_nothing_and_are_a_note(designed: Design) -> None:
    rows = filled(designed)
    relanded(rows, "1", "2", landed_colour="BK")
    relanded(rows, "1", "3", landed_colour="RD")
    found = made(designed, rows)
    assert [f.severity for f in of(WrongLanding(), found, "1")] == [Severity.NOTE, Severity.NOTE]
    netlist = found.door["1"].wiring.netlist
    assert netlist is not None
    assert [(c.ref, c.colour) for c in netlist.conductors if c.ref in "23"] == [("2", "BK"), ("3", "RD")]


def test_a_spare_that_was_landed_is_no_spare(designed: Design) -> None:
    rows = filled(designed)
    spare = {"opening": "2", "cable": "2-W3", "colour": "RD", "landed_from": "B2.NO", "landed_to": "K1.REQ"}
    rows["landings"].append({**spare, "by": "A. Lee", "date": "2026-03-20"})
    netlist = made(designed, rows).door["2"].wiring.netlist
    assert netlist is not None
    assert [(s.cable, s.colour) for s in netlist.spares] == [("W3", "GN")]
    assert ("W3", "RD", "B2.NO", "K1.REQ") in {(c.cable, c.colour, str(c.a), str(c.b)) for c in netlist.conductors}


@pytest.mark.parametrize(("mark", "no"), [("1", "1"), ("1", "8"), ("2", "8")])
def test_a_wire_left_off_is_judged_and_breaks_no_rule(designed: Design, mark: str, no: str) -> None:
    """Data, a lock's wire, a module's link: every rule still answers."""
    rows = filled(designed)
    relanded(rows, mark, no, landed_to="none")
    found = built(designed, rows)
    assert not [f for f in found.findings if f.about == INTERNAL_ERROR]
    (wrong,) = of_rule(found, "wrong-landing", mark)
    assert "not landed" in wrong.message
    assert wrong.severity is Severity.ERROR


def test_a_long_cable_fails_and_is_not_thickened(designed: Design) -> None:
    """What is in the wall stays: no other cable or arrangement is chosen for a length that came back.

    The lock's current is the same within the copper: volts lost are its amperes over twice the wire.
    """
    rows = filled(designed)
    (row,) = [row for row in rows["lengths"] if row["cable"] == "1-W4"]
    row["length_m"] = "180 m"
    found = made(designed, rows)
    wiring, before = found.door["1"].wiring, designed.door["1"].wiring
    assert wiring.chosen is not None
    assert before.chosen is not None
    assert (wiring.chosen.arrangement, wiring.chosen.lock_cable) == (before.chosen.arrangement, "18-2")
    (low, *_) = of(LockVoltage(), found, "1")
    assert (low.verdict, low.severity) == (Verdict.FAIL, Severity.ERROR)
    plain = design_site(read_site(SITE).with_changes(runs=[
        {"id": "R1", "from_end": "1/controller", "to_end": "1/lock", "length_m": 180, "basis": "measured", "cable_type": "18-2"}
    ]))  # fmt: skip
    assert plain.door["1"].wiring.voltages.lock_low_v == pytest.approx(wiring.voltages.lock_low_v or 0.0)


def test_a_measured_loop_resistance_wins_in_power_and_voltage(designed: Design) -> None:
    """Twice the copper by the tester: the link and the lock's wires have twice their resistance.

    A pair's loop is two conductors; over two powered pairs each way goes over both conductors of one (IEEE 802.3 clause 145).
    The tester's cable counts as cold as it gets, 10 °C here: alpha of copper 0.00393 at 20 °C (IEC 60228, from memory).
    """
    rows = filled(designed)
    before = made(designed, rows)
    (test,) = [row for row in rows["cable_tests"] if row["cable"] == "1A-A01"]
    test["loop_ohm"] = "9 ohm"
    rows["cable_tests"].append(
        {"cable": "1-W4", "loop_ohm": "2.5 ohm", "by": "A. Lee", "date": "2026-03-20", "instrument": "7"}
    )
    found = made(designed, rows)
    link, link_before = found.door["1"].link, before.door["1"].link
    assert link is not None
    assert link_before is not None
    cords_ohm = resistance_per_m_20c_ohm("24 AWG", "stranded") * 10.0
    cold = 1 + 0.00393 * (10 - 20)
    hot = 1 + 0.00393 * (link.temperature_c - 20)
    assert link.loop_ohm == pytest.approx(9 / 2 / cold * hot + cords_ohm, rel=2e-3)
    assert link.loop_ohm > link_before.loop_ohm
    now, was = found.door["1"].wiring.voltages, before.door["1"].wiring.voltages
    assert now.lock_a is not None
    assert was.lock_low_v is not None
    assert now.lock_low_v is not None
    netlist = before.door["1"].wiring.netlist
    assert netlist is not None
    assert now.lock_high_v is not None
    coil_ohm, hottest = now.lock_high_v / now.lock_a, 1 + 0.00393 * (35 - 20)
    drawn_ohm = 2 * next(c.r20_ohm for c in netlist.conductors if c.cable == "W4") * hottest
    tested_ohm = 2.5 / cold * hottest
    # One source, one coil: what the source gives is what the lock gets and what the copper takes, either way.
    assert now.lock_low_v * (1 + tested_ohm / coil_ohm) == pytest.approx(
        was.lock_low_v * (1 + drawn_ohm / coil_ohm), rel=2e-3
    )
    assert now.lock_low_v < was.lock_low_v - 0.3


def test_a_test_that_failed_is_an_error_and_a_marginal_one_a_note(designed: Design) -> None:
    """ANSI/TIA-1152 (from memory): an asterisk marks a result nearer to the limit than the tester is accurate."""
    for result, severity in (("FAIL", Severity.ERROR), ("FAIL*", Severity.ERROR), ("PASS*", Severity.NOTE)):
        rows = filled(designed)
        rows["cable_tests"][0] |= {"result": result}
        (found,) = of(CableTested(), made(designed, rows), "1")
        assert (found.severity, found.verdict) == (severity, Verdict.FAIL)
        assert result in found.message


def test_a_reading_is_out_by_how_much_and_the_fault_is_named(designed: Design) -> None:
    """0 V at the lock with 12 V at the terminals it is fed from: one of its two wires is open."""
    rows = filled(designed)
    far = next(r for r in rows["readings"] if r["opening"] == "1" and r["what"] == "lock M1, far end")
    rows["readings"] = [r for r in rows["readings"] if r["what"] in ("auxiliary output", "where lock power comes from")]
    rows["readings"].append({**far, "reading": "0.0 V"})
    found = made(designed, rows)
    (out,) = [f for f in of(ReadingOutOfRange(), found, "1") if f.verdict is Verdict.FAIL]
    line = next(ln for ln in sheet_lines(found, found.door["1"]) if ln.what == "lock M1, far end")
    assert line.low is not None
    assert out.margin == pytest.approx(-(int(line.low * 10) / 10), abs=0.11)
    assert out.severity is Severity.ERROR
    assert "K1.L+ to M1.+, broken or not connected" in out.message
    assert "fits every reading of the door" in out.message


@pytest.mark.slow
def test_a_reading_that_a_landing_explains_says_so(designed: Design) -> None:
    rows = filled(designed)
    relanded(rows, "2", "18", landed_to="X1.2")
    pressed = next(
        r for r in rows["readings"] if r["opening"] == "2" and "S1 pressed" in r["state"] and "lock" in r["what"]
    )
    pressed["reading"] = "13.4"
    (out,) = [f for f in of(ReadingOutOfRange(), made(designed, rows), "2") if f.verdict is Verdict.FAIL]
    assert "The landings that came back give this" in out.message


def test_readings_as_drawn_of_a_door_that_was_landed_otherwise_are_asked_about(designed: Design) -> None:
    """Every reading came back in range, though no motion would reach the input that way: one of the two is not so."""
    rows, netlist = filled(designed), designed.door["2"].wiring.netlist
    assert netlist is not None
    wire = next(c for c in netlist.conductors if {str(c.a), str(c.b)} == {"K1.REQ", "B2.NO"})
    end = "landed_from" if str(wire.a) == "K1.REQ" else "landed_to"
    relanded(rows, "2", wire.ref, **{end: "K1.DOOR"})
    (found,) = of(ReadingOutOfRange(), made(designed, rows), "2")
    assert (found.verdict, found.severity, found.about) == (Verdict.NOT_EVALUATED, Severity.WARNING, "landings")
    assert "The landings that came back cannot give" in found.message
    assert "such as REX/AUX input: K1.REQ K1.IC, motion at B2: 0.00 (" in found.message
    # What changes nothing leaves every reading as it was.
    alike = filled(designed)
    relanded(alike, "1", "2", landed_colour="BK")
    relanded(alike, "1", "3", landed_colour="RD")
    assert [f.verdict for f in of(ReadingOutOfRange(), made(designed, alike), "1")] == [Verdict.PASS]


def test_every_reading_of_a_sound_door_is_in_range(designed: Design) -> None:
    found = made(designed, filled(designed))
    judged = [one for door in found.doors for one in judged_readings(found, door)]
    assert len(judged) == sum(len(sheet_lines(found, door)) for door in found.doors)
    assert all(one.good for one in judged)


def test_a_button_that_hangs_too_high_is_an_error(designed: Design) -> None:
    """IBC sensor release: 40 to 48 in above the floor; 1.30 m is 51 in."""
    rows = filled(designed)
    rows["devices"] = [
        {"opening": "2", "device": "S1", "fitted_height_m": "1.30 m", "by": "A. Lee", "date": "2026-03-20"}
    ]
    found = of(ManualReleasePlacing(), made(designed, rows), "2")
    assert [f.about for f in found if f.verdict is Verdict.FAIL and f.severity is Severity.ERROR] == ["height"]


def test_a_separate_reader_is_judged_where_it_was_put_and_a_controller_above_the_ceiling_is_no_reader() -> None:
    """ADA 308.2.1: 15 to 48 in; 1.40 m is 55 in. The controller at 2.6 m is nobody's to reach."""
    reader = {"reader_out": "reader-out", "controller_at": "secured"}
    design = design_site(read_site(SITE).with_changes(openings={"1": reader}))
    netlist = design.door["1"].wiring.netlist
    assert netlist is not None
    (device,) = netlist.devices(DeviceRole.READER)
    (controller,) = netlist.devices(DeviceRole.CONTROLLER)
    who = {"by": "A. Lee", "date": "2026-03-20"}
    rows: Filled = {"devices": [{"opening": "1", "device": controller.ref, "fitted_height_m": "2.6 m", **who}]}
    assert not [
        f for f in of(ReachHeight(), made(design, rows), "1") if f.about == "reader" and f.value == pytest.approx(2.6)
    ]
    rows["devices"].append({"opening": "1", "device": device.ref, "fitted_height_m": "1.40 m", **who})
    (found,) = [f for f in of(ReachHeight(), made(design, rows), "1") if f.about == "reader"]
    assert (found.verdict, found.value) == (Verdict.FAIL, pytest.approx(1.40))


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        ("category 6 permanent link", ""), ("Cat 6A Perm. Link", ""), ("class E PL", ""),
        ("cat 5e channel", "says nothing of its own category"),
        ("class D", "says nothing of its own category"), ("", "is not stated"), ("own limit 7", "of no known category"),
    ],
)  # fmt: skip
def test_a_pass_to_less_than_the_cable_s_category_is_no_pass(designed: Design, limit: str, words: str) -> None:
    rows = filled(designed)
    rows["cable_tests"][0]["limit"] = limit
    found = [f for f in of(CableTested(), made(designed, rows), "1") if f.about == "limit"]
    assert [f.verdict for f in found] == [Verdict.NOT_EVALUATED] * bool(words)
    assert all(words in f.message for f in found)


def test_an_alarm_relay_that_was_bypassed_is_landed_and_not_stated_again() -> None:
    """The remedy said to state fire_alarm_release, which the door states; the wire is on the wrong terminal."""
    design = design_of({"door": "sensor"})
    netlist = design.door["101"].wiring.netlist
    assert netlist is not None
    (relay,) = [c.ref for c in netlist.components if c.has(ElementRole.FIRE_CONTACT)]
    (wire,) = [c for c in netlist.conductors if f"{relay}.NC" in (str(c.a), str(c.b))]
    rows = filled(design)
    relanded(rows, "101", wire.ref, landed_from=f"{relay}.C")
    (found,) = of(ReleaseOnFireAlarm(), made(design, rows), "101")
    assert found.verdict is Verdict.FAIL
    assert f"conductor {wire.ref}, 101-{wire.cable} {wire.colour}: {wire.a} to {wire.b};" in found.remedy
    assert found.remedy.startswith("Land as drawn what wrong-landing lists: ")
    assert "State" not in found.remedy


def test_an_alarm_relay_that_was_never_drawn_is_asked_for_whatever_was_landed() -> None:
    opening = {"fire_alarm_release": "no", "fire_relay": ""}
    design = design_of({"door": "stair", "site": {"building_code": "IBC 2024"}, "opening": opening})
    netlist = design.door["101"].wiring.netlist
    assert netlist is not None
    wire = next(c for c in netlist.conductors if str(c.b) == "B1.1")
    rows = filled(design)
    relanded(rows, "101", wire.ref, landed_to="B1.2")
    worked_out = made(design, rows)
    assert [f.about for f in of(WrongLanding(), worked_out, "101")]
    (found,) = of(ReleaseOnFireAlarm(), worked_out, "101")
    assert found.remedy.startswith("State fire_alarm_release and land the alarm relay's C and NC")


def test_papers_of_another_revision_are_told_of(designed: Design) -> None:
    """A row that came back for a conductor that the design no longer has is not forgotten."""
    rows = filled(designed)
    changed = made(design_site(read_site(SITE).with_changes(openings={"1": {"rex": None}})), rows)
    told = [f.about for f in of(NotReturned(), changed, "1")]
    assert any(about.startswith("landing of conductor 4 1-W3") for about in told)
