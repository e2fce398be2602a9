"""An error at a supply, a switch, a UPS, a closet or of the whole check holds every opening that hangs on it, and no other."""

from dataclasses import replace

import pytest

from riserkit.checked import Checked
from riserkit.findings import Harm, Severity, Verdict, at_openings
from riserkit.holds import hold_of, read_holds
from riserkit.reports.listing import FindingFilter, chosen
from riserkit.reports.schedules.site import openings_table
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.evaluate import check
from tests.known_bad.designs import design_of

SMALL = {"like": "supply-24-4", "id": "small", "output_a": 0.1}
BESIDE = {"like": "strike", "mark": "102", "x_m": 29}
TWO = {"door": "strike", "openings": [BESIDE]}
CASES = {
    "supply": (
        {**TWO, "parts": [SMALL], "supplies": [{"id": "PS", "part": "small", "closet": "C1", "on_battery": "yes"}],
         "opening": {"lock": "strike-24-secure", "supply": "PS"}},
        "supply-load", "PS", {"101"},
    ),
    "switch": ({**TWO, "switch": {"poe_budget_w": 10}}, "switch-power-budget", "SW1", {"101", "102"}),
    "ups": ({**TWO, "upses": [{"id": "U2", "closet": "C1", "battery_ah": 0.1, "end_v": 42, "efficiency": 0.9}],
             "switch": {"ups": "U2"}}, "standby", "U2", {"101", "102"}),
    "closet": ({**TWO, "switch": {"ports": 1}}, "switch-ports", "C1", {"102"}),
}  # fmt: skip


@pytest.mark.parametrize("kind", CASES)
def test_an_error_there_holds_each_opening_that_hangs_on_it(kind):
    case, rule, subject, marks = CASES[kind]
    made = design_of(case)
    found = check(made)
    (one,) = [f for f in found if (f.rule, f.subject) == (rule, subject) and f.verdict is Verdict.FAIL]
    assert one.severity is Severity.ERROR
    assert set(one.serves) == marks
    held = {mark for mark, hold in read_holds(made, found).held.items() if rule in hold.reasons}
    assert held == marks
    for door in made.doors:
        hold = hold_of(door, found)
        assert (hold is not None and rule in hold.reasons) is (door.mark in marks), "the door's own sheet says the same"
    name = {"ups": "UPS"}.get(kind, kind)
    told = {f.subject for f in at_openings(found) if f.message.endswith(f"see {rule} of {name} {subject}.")}
    assert told == marks
    rows = {row[0]: row for row in openings_table(made, found, read_holds(made, found)).rows}
    assert all(rows[mark][-1].startswith(f"HOLD: {rule}") or rule in rows[mark][-1] for mark in marks)
    assert all(rows[mark][-2] == "error" for mark in marks)
    assert one in chosen(made.site, found, FindingFilter(doors=(min(marks),)))


class Broken:
    """A rule that breaks off.

    Why:
        To see.
    Measures:
        Nothing.
    Limit:
        None.
    Remedy:
        None.
    Source:
        Common practice, no source.
    """

    name = "broken"
    source = COMMON_PRACTICE
    harm = Harm.LIFE_SAFETY

    def evaluate(self, _design):
        raise ZeroDivisionError
        yield


def test_a_check_that_broke_off_has_cleared_no_door():
    made = design_of(TWO)
    found = check(made, [Broken()])
    assert set(read_holds(made, found).held) == {"101", "102"}
    assert Checked(made, found).open_errors


def test_a_warning_there_holds_nothing():
    case, rule, subject, _ = CASES["switch"]
    made = design_of(case)
    (one,) = [f for f in check(made) if (f.rule, f.subject) == (rule, subject)]
    told = replace(one, severity=Severity.WARNING)
    assert one.serves
    assert [hold_of(door, [told]) for door in made.doors] == [None, None]
    assert {f.subject for f in at_openings([told])} == {subject}


class OfCables(Broken):
    __doc__ = Broken.__doc__
    name = "of-cables"

    def evaluate(self, design):
        for cable in design.pathway_cables:
            yield stated(self, ("cable", cable.subject), cable.subject == cable.mark, "It is kinked.")


def test_an_error_of_a_doors_lock_power_cable_holds_the_door_on_every_paper():
    made = design_of(CASES["supply"][0])
    (cable,) = [c for c in made.pathway_cables if c.subject != c.mark]
    found = check(made, [OfCables()])
    (told,) = [f for f in found if f.rule == "of-cables" and f.verdict is Verdict.FAIL]
    assert (told.subject_kind, told.subject, told.message) == (
        "opening",
        "101",
        f"Cable {cable.subject}: It is kinked.",
    )
    assert "of-cables" in read_holds(made, found).held["101"].reasons
    assert "of-cables" in hold_of(made.door["101"], found).reasons
    assert told in Checked(made, found).findings_of["101"]
