"""Remarks that speak of what no wiring has, and remarks that nothing reads: each is told, once for the site."""

import pytest

from riserkit.findings import Verdict
from riserkit.rules._shared.evaluate import check

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "free_egress_hardware": True}


def told(site_of, *remarks):
    """Findings by what they are about: message, openings and remedy."""
    made = site_of(*({**STRIKE, "x_m": 1 + 5 * k, "remarks": text} for k, text in enumerate(remarks)))
    found = [f for f in check(made) if f.rule == "remarks-not-shown"]
    assert all(f.verdict is Verdict.NOT_EVALUATED and f.subject_kind == "site" and f.remedy for f in found)
    assert not [f.remedy for f in found if "{" in f.remedy]
    assert len({f.remedy for f in found}) == len(found), "a list shows findings of one remedy without their words"
    return {f.about: f for f in found}


@pytest.mark.parametrize(
    ("remarks", "about"),
    [
        ("Lockdown by guard room", "a lockdown"),
        ("elevator recall on fire signal", "an elevator"),
        ("lift lobby", "an elevator"),
        ("automatic operator, strike releases first", "an automatic operator"),
        ("operator by others", "an automatic operator"),
        ("released by the operator at the desk", ""),
        ("existing cable 2 x 0.6 mm shared with bell", "a cable used again or shared"),
        ("reuse old wiring", "a cable used again or shared"),
        ("Laser on: door must not open without abort", "a laser or other hazard"),
        ("emergency stop button inside", "an emergency stop"),
        ("key switch in guard room", "an override"),
        ("local alarm sounder", "an alarm or a call"),
        ("smoke vent opens it", "smoke or ventilation"),
        ("loop detector", "a vehicle or gate control"),
        ("reuse existing strike in the shared office", ""),
        ("lifting hinges, no drilling", ""),
        ("paint to match", ""),
    ],
)  # fmt: skip
def test_a_remark_is_told_by_what_it_speaks_of(site_of, remarks, about):
    (found,) = told(site_of, remarks).values()
    assert found.about == about
    assert f"101 {remarks!r}" in found.message
    assert found.concerns == ("101",)


def test_what_another_rule_reads_is_not_told_again(site_of):
    read = "released by fire alarm; interlocked with 9; delayed egress; cold store; closer removed; 30 min rating plate; 12 V AC bell"
    assert told(site_of, f"{read}; frameless glass") == {}
    assert told(site_of, "") == {}


def test_many_openings_are_one_finding_with_all_of_them(site_of):
    found = told(site_of, *["Lockdown. Paint it"] * 9)["a lockdown"]
    rest = told(site_of, *["Lockdown. Paint it"] * 8, "Key switch. Lockdown. Paint it")[""]
    assert found.concerns == rest.concerns == tuple(str(101 + k) for k in range(9))
    assert "101, 102, 103, 104, 105, 106 and 3 more 'Paint it'" in rest.message


def test_columns_of_a_door_list_are_searched_for_functions_only(site_of):
    """An imported list puts a column of each door into its remarks; a sentence of somebody's is told all the same."""
    column = "Finish: P-2; Notes: mind the step"
    found = told(site_of, column, column, f"{column}; Finish: lockdown blue; Mind: the cat")
    assert set(found) == {"", "a lockdown"}
    assert "P-2" not in found[""].message
    assert "'Notes: mind the step'" in found[""].message
    assert "103 'Mind: the cat'" in found[""].message
    assert "103 'Finish: lockdown blue'" in found["a lockdown"].message
