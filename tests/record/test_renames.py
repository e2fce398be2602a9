"""A closet or switch that is renamed after an issue keeps the labels on its panels, ports and cables."""

from __future__ import annotations

import datetime
from typing import Any

import pytest

from riserkit.design import Design, design
from riserkit.findings import Verdict
from riserkit.model.records import IssuedLabel
from riserkit.model.returned import ReturnedDoor, ReturnedEquipment, ReturnedLength
from riserkit.model.site import Site
from riserkit.record.compare import compare
from riserkit.record.facts import facts_of, stated_rows
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue
from riserkit.record.renames import facts_renamed, renamed_between
from riserkit.record.returned_names import under_names_now
from riserkit.record.returns import FieldReturn
from riserkit.rules.label_overruled import LabelOverruled
from riserkit.rules.label_without_equipment import LabelWithoutEquipment
from riserkit.rules.label_without_opening import LabelWithoutOpening
from tests.conftest import OPENING
from tests.record.test_numbers import _site

DATE = datetime.date(2026, 3, 9)
SWITCH = {"ports": 8, "poe_class": 4, "poe_budget_w": 400}


def tables() -> dict[str, Any]:
    """Two floors with a closet each, one of them fed from the other, a switch in each and a door on each."""
    return {
        "levels": [{"id": "L1", "elevation_m": 0}, {"id": "L2", "elevation_m": 4}],
        "closets": [
            {"id": "C1", "level": "L1", "x_m": 0, "y_m": 0},
            {"id": "C2", "level": "L2", "x_m": 0, "y_m": 0, "fed_from": "C1"},
        ],
        "switches": [{"id": f"S{n}", "closet": f"C{n}", **SWITCH} for n in (1, 2)],
        "openings": [{**OPENING, "mark": str(n), "level": f"L{n}", "x_m": 3} for n in (1, 2)],
    }


def issued(made: Design, revision: str) -> Issue:
    """The issue that this design would be, as far as labels go."""
    facts = {table: stated_rows(made.site, table) for table in ("closets", "switches", "openings")}
    return Issue(revision, DATE, "for construction", "A. Drafter", "", made.labels.issued, facts)


def renamed(rows: dict[str, Any], **names: str) -> dict[str, Any]:
    """The same tables with other ids of closets and switches."""
    changed = {key: [dict(row) for row in found] for key, found in rows.items()}
    for row in (*changed["closets"], *changed["switches"]):
        for column in ("id", "closet", "fed_from"):
            if column in row:
                row[column] = names.get(row[column], row[column])
    return changed


def labels(made: Design) -> dict[str, str]:
    """What stands on closets, cables and ports in use, whatever they are called."""
    given = made.labels
    return {
        **{f"closet of {s.id[-1]}": given.closet[s.closet] for s in made.site.switches},
        **{f"cable of {mark}": given.cable[mark] for mark in ("1", "2")},
        "backbone": given.cable[next(c for c in given.cable if ">" in c)],
        **{f"port of {d.mark}": given.port_of(d.placement) for d in made.doors},
    }


def gone(site: Site) -> list[str]:
    """What the rule says is left without its thing."""
    return [f.remedy for f in LabelWithoutEquipment().evaluate(design(site)) if f.verdict is Verdict.FAIL]


@pytest.fixture(scope="module")
def first() -> Design:
    return design(_site(tables()))


@pytest.mark.parametrize(
    "names",
    [{"C1": "TR-1"}, {"C2": "TR-2"}, {"C1": "Z1", "C2": "A1"}, {"S2": "X2"}, {"C1": "TR-1", "S1": "SW-1"}],
    ids=str,
)
def test_what_is_evident_keeps_every_label(first: Design, names: dict[str, str]) -> None:
    site = with_issues(_site(renamed(tables(), **names)), [issued(first, "A")])
    assert labels(design(site)) == labels(first)
    assert not gone(site)


def test_names_change_again_at_every_issue(first: Design) -> None:
    """C1 becomes TR-1, then T-1; and what is C1 by then is another closet, with another label."""
    one = with_issues(_site(renamed(tables(), C1="TR-1")), [issued(first, "A")])
    issues = [issued(first, "A"), issued(design(one), "B")]
    rows = renamed(tables(), C1="T-1")
    rows["closets"].append({"id": "C1", "level": "L1", "x_m": 40, "y_m": 0, "fed_from": "T-1"})
    made = design(with_issues(_site(rows), issues))
    assert labels(made) == labels(first)
    assert made.labels.closet["C1"] not in {label for _, label in labels(first).items()}
    assert not made.labels.clashes


def test_one_that_moved_too_is_asked_about_and_may_be_stated(first: Design) -> None:
    rows = renamed(tables(), C1="TR-1")
    rows["closets"][0]["x_m"] = 1
    site = with_issues(_site(rows), [issued(first, "A")])
    assert design(site).labels.closet["TR-1"] == "1B"
    assert any("state formerly C1 in its row of closets" in remedy for remedy in gone(site))
    rows["closets"][0]["formerly"] = "C1"
    site = with_issues(_site(rows), [issued(first, "A")])
    assert labels(design(site)) == labels(first)
    assert not gone(site)


def test_two_alike_in_one_closet_are_not_guessed(first: Design) -> None:
    rows = tables()
    rows["switches"].append({"id": "S3", "closet": "C1", **SWITCH})
    before = design(_site(rows))
    now = {
        **rows,
        "switches": [{**row, "id": {"S1": "X", "S3": "Y"}.get(row["id"], row["id"])} for row in rows["switches"]],
    }
    assert len([r for r in gone(with_issues(_site(now), [issued(before, "A")])) if "formerly" in r]) == 2
    now["switches"] = [{**row, "formerly": {"X": "S1", "Y": "S3"}.get(row["id"], "")} for row in now["switches"]]
    made = design(with_issues(_site(now), [issued(before, "A")]))
    assert [made.labels.switch[s] for s in ("X", "Y")] == [before.labels.switch[s] for s in ("S1", "S3")]


def test_labels_given_back_as_a_table_follow_a_stated_name() -> None:
    """Issued before there were records: the lines of issued_labels name what it was."""
    rows = renamed(tables(), C1="TR-1")
    rows["closets"][0]["formerly"] = "C1"
    site = _site(rows)
    lines = (
        IssuedLabel(kind="closet", subject="C1", label="1F"),
        IssuedLabel(kind="cable", subject="C1>C2", label="1F/2A-1"),
    )
    made = design(with_issues(site.model_copy(update={"issued_labels": lines}), []))
    assert (made.labels.closet["TR-1"], made.labels.cable["TR-1>C2"]) == ("1F", "1F/2A-1")


def test_one_that_was_removed_may_be_void(first: Design) -> None:
    """No closet came in its place: the label is told until somebody says it is off."""
    rows = tables()
    rows = {**rows, "closets": rows["closets"][:1], "switches": rows["switches"][:1]}
    site = with_issues(_site(rows), [issued(first, "A")])
    assert len(gone(site)) == 3, "closet, switch and backbone cable"
    void = tuple(label.model_copy(update={"void": True}) for label in site.issued_labels)
    assert not gone(site.model_copy(update={"issued_labels": void}))


@pytest.mark.parametrize(
    ("former", "says"),
    [(("C9", ""), "no label was ever issued for C9"), (("C9", "C9"), "states the same former name")],
    ids=str,
)
def test_a_former_name_that_does_nothing_is_told(former: tuple[str, str], says: str) -> None:
    rows = tables()
    rows["closets"] = [{**row, "formerly": name} for row, name in zip(rows["closets"], former, strict=True)]
    assert any(says in f.message for f in LabelWithoutEquipment().evaluate(design(_site(rows))))


def renumbered(**changes: Any) -> dict[str, Any]:
    """The same tables, opening 1 under another number."""
    rows = tables()
    return {**rows, "openings": [{**rows["openings"][0], "mark": "7", **changes}, rows["openings"][1]]}


def test_an_opening_with_another_number_keeps_its_cable_and_its_port(first: Design) -> None:
    site = with_issues(_site(renumbered()), [issued(first, "A")])
    made = design(site)
    assert made.labels.cable["7"] == first.labels.cable["1"]
    assert made.labels.port_of(made.door["7"].placement) == first.labels.port_of(first.door["1"].placement)
    assert made.labels.opening["7"] == "7"
    assert dict(site.earlier_mark) == {"7": "1"}
    assert [f.verdict for f in LabelWithoutOpening().evaluate(made)] == [Verdict.PASS]


def test_an_opening_that_moved_too_may_be_stated(first: Design) -> None:
    moved = with_issues(_site(renumbered(x_m=3.4)), [issued(first, "A")])
    assert dict(moved.earlier_mark) == {}
    assert design(moved).labels.cable["7"] != first.labels.cable["1"]
    said = with_issues(_site(renumbered(x_m=3.4, formerly="1")), [issued(first, "A")])
    assert dict(said.earlier_mark) == {"7": "1"}
    assert design(said).labels.cable["7"] == first.labels.cable["1"]


def test_a_comparison_says_of_another_number_what_changed_and_no_more(first: Design) -> None:
    """The opening came and went nowhere: its mark is another, with the labels that are made of it."""
    was = facts_of(first)
    now = facts_of(design(with_issues(_site(renumbered()), [issued(first, "A")])))
    difference = compare(facts_renamed(was, renamed_between(was, now)), now)
    assert {s.change for s in difference.subjects} == {"changed"}
    told = {(f.kind, f.field) for s in difference.subjects for f in s.facts}
    assert told == {("openings", "mark"), ("wiring", "label")}
    assert {s.change for s in compare(was, now).subjects} > {"changed"}


@pytest.mark.parametrize(
    ("formerly", "told"),
    [("2", "which is an opening of the site"), ("9", "no label was ever issued for 9"), ("1", "")],
)
def test_a_former_mark_that_does_nothing_is_told(first: Design, formerly: str, told: str) -> None:
    site = with_issues(_site(renumbered(x_m=3.4, formerly=formerly)), [issued(first, "A")])
    found = [f for f in LabelWithoutOpening().evaluate(design(site)) if f.about == "formerly"]
    assert [told in f.message for f in found] == ([True] if told else [])


def under_marks(former: dict[str, str]) -> dict[str, Any]:
    """The same openings under other marks: by mark now the one at the issue, stated."""
    rows = tables()
    was = {row["mark"]: row for row in rows["openings"]}
    return {**rows, "openings": [{**was[old], "mark": mark, "formerly": old} for mark, old in former.items()]}


@pytest.mark.parametrize("former", [{"2": "1", "1": "2"}, {"2": "1", "3": "2"}], ids=["exchanged", "moved up by one"])
def test_marks_that_were_exchanged_or_moved_up_take_cable_and_port_along(first: Design, former: dict[str, str]) -> None:
    issues = [issued(first, "A")]
    site = with_issues(_site(under_marks(former)), issues)
    made = design(site)
    for mark, old in former.items():
        assert made.labels.cable[mark] == first.labels.cable[old]
        assert made.labels.port_of(made.door[mark].placement) == first.labels.port_of(first.door[old].placement)
    assert dict(site.earlier_mark) == former
    assert not [f for f in LabelWithoutOpening().evaluate(made) if f.about == "formerly"]
    told = compare(
        facts_renamed(issues[0].facts, renamed_between(issues[0].facts, issued(made, "B").facts)),
        issued(made, "B").facts,
    )
    assert {s.change for s in told.subjects} == {"changed"}
    again = design(with_issues(_site(under_marks(former)), [*issues, issued(made, "B")]))
    assert dict(again.labels.cable) == dict(made.labels.cable), "stated once, it is not done again at the next issue"


def test_a_mark_of_an_opening_that_is_gone_is_nobody_elses(first: Design) -> None:
    """Opening 2 is gone and 1 is called 2 now: cables of both are in the wall under what would be one number."""
    site = with_issues(_site(under_marks({"2": "1"})), [issued(first, "A")])
    assert dict(site.earlier_mark) == {}
    found = [f for f in LabelWithoutOpening().evaluate(design(site)) if f.about == "formerly"]
    assert ["labels of both are on site" in f.message for f in found] == [True]


def test_closets_that_exchange_their_names(first: Design) -> None:
    rows = renamed(tables(), C1="C2", C2="C1")
    rows["closets"] = [{**row, "formerly": {"C1": "C2", "C2": "C1"}[row["id"]]} for row in rows["closets"]]
    made = design(with_issues(_site(rows), [issued(first, "A")]))
    assert [made.labels.closet[c] for c in ("C2", "C1")] == [first.labels.closet[c] for c in ("C1", "C2")]
    rows["closets"][0]["formerly"] = ""
    half = design(with_issues(_site(rows), [issued(first, "A")]))
    assert any("C2 is a closet of the site" in f.message for f in LabelWithoutEquipment().evaluate(half))


def test_what_came_back_is_told_under_the_name_now(first: Design) -> None:
    who = {"by": "A. Lee", "date": DATE}
    rows = {
        "doors": (
            ReturnedDoor(opening="1", done="no", reason="lintel", **who),
            ReturnedDoor(opening="2", done="yes", **who),
        ),
        "lengths": (
            ReturnedLength(cable="1-W2", length_m=7, **who),
            ReturnedLength(cable="1F.A-01", length_m=30, **who),
        ),
        "equipment": (ReturnedEquipment(equipment="S1", serial="17", **who),),
    }
    given = under_marks({"2": "1", "1": "2"})
    given["switches"] = [{**row, "id": {"S1": "X1"}.get(row["id"], row["id"])} for row in given["switches"]]
    returns = [FieldReturn(1, {}, rows), FieldReturn(2, {}, rows, "A")]
    before, since = under_names_now(returns, [issued(first, "A")], _site(given))
    assert before == returns[0], "it came before the first issue"
    assert [(row.opening, row.done) for row in since.rows["doors"]] == [("2", "no"), ("1", "yes")]
    assert [row.cable for row in since.rows["lengths"]] == ["2-W2", "1F.A-01"]
    assert [row.equipment for row in since.rows["equipment"]] == ["X1"]


def test_a_cable_named_after_a_closet_that_it_left_is_told(first: Design) -> None:
    rows = tables()
    moved = [{**rows["openings"][0], "closet": "C2"}, rows["openings"][1]]
    with_other_closet = _site({**rows, "openings": moved})
    made = design(with_issues(with_other_closet, [issued(first, "A")]))
    assert made.labels.cable["1"] == first.labels.cable["1"], "a label once issued stays until somebody says otherwise"
    (found,) = LabelOverruled().evaluate(made)
    assert (found.subject, found.verdict) == ("1", Verdict.FAIL)
    assert (
        found.message
        == "Its cable was issued as 1A-A01, after closet 1A, and comes from closet 2A now, port 2A.R1-A:02."
    )
    assert "(cable, 1), such as 2A-A02" in found.remedy
    given = IssuedLabel(kind="cable", subject="1", label="2A-A02")
    relabelled = with_other_closet.model_copy(update={"issued_labels": (given,)})
    again = design(with_issues(relabelled, [issued(first, "A")]))
    assert again.labels.cable["1"] == "2A-A02"
    assert [f.verdict for f in LabelOverruled().evaluate(again)] == [Verdict.PASS]
