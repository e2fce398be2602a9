"""A cable at a door keeps the number that it was issued under: the label is on it, whatever else the door gets or loses."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

from riserkit.design import Design, design
from riserkit.drawings.edits.inputs import door_inputs
from riserkit.record.facts import facts_of
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue
from riserkit.wiring.issued import with_issued_numbers
from tests.conftest import OPENING
from tests.record.test_numbers import _site
from tests.record.test_renames import tables

DATE = datetime.date(2026, 3, 9)
FIRST: dict[str, Any] = {
    "lock": "strike-12-secure-keeper",
    "controller": "controller-c4",
    "rex": "rex-motion",
    "contact": "",
}


def made(issues: list[Issue], mark: str = "1", **door: Any) -> Design:
    """The design of a site with two doors, the first of them as told, after these issues."""
    rows = tables()
    rows["openings"] = [{**OPENING, **FIRST, "level": "L1", "x_m": 3, "mark": mark, **door}, rows["openings"][1]]
    return design(with_issues(_site(rows), issues))


def issue(one: Design, revision: str) -> Issue:
    return Issue(revision, DATE, "for construction", "A. Drafter", "", one.labels.issued, facts_of(one))


def numbers(one: Design, mark: str = "1") -> dict[str, list[str]]:
    """By what they serve the designations of the door's cables."""
    netlist = one.door[mark].wiring.netlist
    assert netlist is not None
    found: dict[str, list[str]] = {}
    for cable in netlist.cables:
        found.setdefault(cable.role, []).append(cable.ref)
    return found


def test_a_device_more_takes_no_number_that_is_on_another_cable() -> None:
    first = made([])
    plain = made([], contact="contact-reed")
    assert numbers(plain)["rex"] != numbers(first)["rex"], "without an issue all are counted anew"
    one = made([issue(first, "A")], contact="contact-reed")
    was, now = numbers(first), numbers(one)
    assert {role: now[role] for role in was} == was
    assert now["contact"] == [f"W{sum(map(len, was.values())) + 1}"]


def test_a_number_of_a_cable_that_is_gone_is_not_used_again_and_its_own_comes_back() -> None:
    issues = [issue(made([]), "A")]
    gone = made(issues, rex="")
    issues.append(issue(gone, "B"))
    again = made(issues, rex="", reader_out="reader-out")
    ever = {ref for one in (made([]), gone) for refs in numbers(one).values() for ref in refs}
    assert not set(numbers(again)["reader"]) & ever
    issues.append(issue(again, "C"))
    back = made(issues, reader_out="reader-out")
    assert numbers(back)["rex"] == numbers(made([]))["rex"]
    assert numbers(back)["reader"] == numbers(again)["reader"]


def test_of_two_that_serve_the_same_each_keeps_its_own() -> None:
    """The last issue holds: a number that served the same at an earlier one is not used for anything else."""
    both = {
        "reader_in": "reader-out",
        "reader_out": "reader-out",
        "controller": "controller-box",
        "controller_at": "secured",
    }
    first = made([], **both)
    two = numbers(first)["reader"]
    assert len(two) == 2
    more = made([issue(first, "A")], **both, contact="contact-reed")
    assert numbers(more)["reader"] == two
    one = made([issue(first, "A")], **{**both, "reader_out": ""}, contact="contact-reed")
    assert numbers(one)["reader"] == two[:1]
    assert two[1] not in {ref for refs in numbers(one).values() for ref in refs}


def test_a_door_with_another_number_keeps_them() -> None:
    first = made([])
    one = made([issue(first, "A")], mark="11", formerly="1", contact="contact-reed")
    assert {role: numbers(one, "11")[role] for role in numbers(first)} == numbers(first)


def test_all_that_stands_on_a_cable_goes_by_its_number() -> None:
    first = made([], rex_cable="22-6")
    one = made([issue(first, "A")], rex_cable="22-6", contact="contact-reed").door["1"].wiring.netlist
    plain = made([], rex_cable="22-6", contact="contact-reed").door["1"].wiring.netlist
    assert one is not None
    assert plain is not None
    role, role_plain = ({c.ref: c.role for c in n.cables} for n in (one, plain))
    assert [c.ref for c in one.cables] == sorted(role, key=lambda ref: int(ref[1:]))
    assert [(str(c.a), str(c.b), role.get(c.cable)) for c in one.conductors] == [
        (str(c.a), str(c.b), role_plain.get(c.cable)) for c in plain.conductors
    ]
    assert sorted((role[s.cable], s.colour) for s in one.spares) == sorted(
        (role_plain[s.cable], s.colour) for s in plain.spares
    )


def test_what_an_issue_says_of_a_number_holds_before_what_an_earlier_one_said() -> None:
    first = made([])
    assert numbers(first)["rex"] == ["W3"]
    other = {"1-W3": {"serves": "lock"}, "1-W8": {"serves": "rex"}}
    later = Issue(
        "B", DATE, "for construction", "A. Drafter", "", first.labels.issued, {**facts_of(first), "cables": other}
    )
    now = numbers(made([issue(first, "A"), later]))
    assert (now["rex"], now["lock"]) == (["W8"], ["W3"])
    gone = {"1-W8": {"serves": "rex"}}
    later = Issue(
        "B", DATE, "for construction", "A. Drafter", "", first.labels.issued, {**facts_of(first), "cables": gone}
    )
    now = numbers(made([issue(first, "A"), later], reader_out="reader-out"))
    assert now["rex"] == ["W8"]
    assert "W3" not in {ref for refs in now.values() for ref in refs}, "it is on the cable that served the same before"


def test_doors_wired_alike_but_numbered_otherwise_have_circuits_of_their_own() -> None:
    """Findings name cables: what is worked out once for doors alike would name those of the other door."""
    rows = tables()
    alike = {**OPENING, **FIRST, "contact": "contact-reed", "level": "L1"}
    rows["openings"] = [{**alike, "x_m": 3, "mark": "1"}, {**alike, "x_m": 3, "y_m": 0.1, "mark": "3"}]
    one = design(with_issues(_site(rows), [issue(made([]), "A")]))
    keys = [one.door[mark].wiring.build.key for mark in ("1", "3")]  # type: ignore[union-attr]
    assert keys[0] != keys[1]
    assert numbers(one, "1") != numbers(one, "3")


def test_nothing_issued_leaves_a_netlist_as_it_is() -> None:
    netlist = made([]).door["1"].wiring.netlist
    assert netlist is not None
    named = replace(netlist, cables=tuple(replace(c, ref=f"own {c.ref}") for c in netlist.cables))
    assert with_issued_numbers(named, ()) is named


def test_a_sheet_is_drawn_anew_where_its_cables_have_other_numbers() -> None:
    one = made([])

    def inputs(number: int) -> str:
        other = replace(one, site=one.site.model_copy(update={"issued_cables": (("1", "rex", number),)}))
        return door_inputs(other, other.door["1"], (), "")

    assert inputs(2) == inputs(2)
    assert inputs(2) != inputs(9)
