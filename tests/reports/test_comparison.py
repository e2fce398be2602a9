"""What differs from an issue, as it is read."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace

import pytest

from riserkit.checked import Checked
from riserkit.quantities.printed import UnitSystem
from riserkit.record.compare import compare
from riserkit.record.facts import Facts, as_recorded
from riserkit.record.issue import Issue
from riserkit.reports.comparison import comparison_lines
from riserkit.reports.materials.facts import design_facts

ISSUE = Issue("A", datetime.date(2026, 3, 9), "for construction", "A. Drafter", "", (), {}, ())


def lines(*subjects: str) -> list[str]:
    now = {"findings": {subject: {"status": "warning"} for subject in subjects}}
    return list(comparison_lines(ISSUE, compare({}, now)))[3:]


def test_findings_of_one_rule_at_many_doors_are_one_line_and_the_others_are_seen() -> None:
    many = [f"opening {mark} not-returned landings" for mark in ("101", "gate 2", "103", "104")]
    told = lines(*many, "opening 105 channel-length", "opening 101 not-returned readings")
    assert told == [
        "  opening 101 not-returned readings: added",
        "  opening 105 channel-length: added",
        "  not-returned landings: added at 4 openings: 101, 103, 104, gate 2",
    ]


@pytest.mark.parametrize(
    "subjects", [[f"opening {n} tamper" for n in "123"], [f"opening {n} of-a-plugin" for n in "1234"]]
)
def test_a_few_and_those_of_a_rule_not_known_here_stand_by_themselves(subjects: list[str]) -> None:
    assert lines(*subjects) == [f"  {subject}: added" for subject in subjects]


WAS: Facts = {
    "openings": {"101": {"reader_height_m": "1.0668", "hottest_c": "40"}},
    "cables": {"101": {"length_m": "20.2"}, "102": {"length_m": "30.0"}},
    "ports": {"SW-1:2": {"opening": "102"}},
    "materials_list": {"cat6": {"length_m": "72.0"}, "strike": {"pieces": "2"}},
}
NOW: Facts = {
    "openings": {"101": {"reader_height_m": "1.2192"}},
    "cables": {"101": {"length_m": "42.7"}},
    "ports": {"SW-1:3": {"opening": "101"}},
    "materials_list": {"cat6": {"length_m": "42.7"}, "strike": {"pieces": "1"}, "reader": {"pieces": "1"}},
}


@pytest.mark.parametrize(
    ("system", "told"),
    [
        ("metric", ["1.1 m -> 1.2 m", "40 °C", "20.2 m -> 42.7 m", "72 m -> 42.7 m"]),
        ("imperial", ["3.5 ft -> 4 ft", "104 °F", "66 ft -> 140 ft", "236 ft -> 140 ft"]),
    ],
)
def test_lengths_and_temperatures_are_in_the_units_of_the_site(system: UnitSystem, told: list[str]) -> None:
    heights, hottest, length, total = told
    assert list(comparison_lines(ISSUE, compare(WAS, NOW), system))[2:] == [
        "Openings: 1 changed", "  101", f"    reader height: {heights}", f"    hottest: no longer stated (was {hottest})", "",
        "Cables: 1 removed, 1 changed", "  101", f"    length: {length}", "  102: removed", "",
        "Switch ports: 1 added, 1 removed", "  SW-1:2: removed, opening 102", "  SW-1:3: added, opening 101", "",
        "Materials: 1 added, 2 changed", f"  cat6: {total}", "  reader: none -> 1", "  strike: 2 -> 1",
    ]  # fmt: skip


def test_a_supply_of_several_doors_is_counted_once(checked_sample: Callable[[str], Checked]) -> None:
    design = checked_sample("seed-archive").design
    fed = [door for door in design.doors if door.wiring.drawn and door.wiring.drawn.supply_id == "PS-1"]
    assert len(fed) > 1
    assert design_facts(design)["materials_list"][design.site.supply["PS-1"].part] == {"pieces": "1"}


def test_a_record_of_an_earlier_riserkit_differs_in_nothing_that_it_does_not_tell() -> None:
    told = {kind: rows for kind, rows in WAS.items() if kind != "materials_list"} | {"materials": {"strike": {}}}
    assert not compare(as_recorded(told, WAS), WAS)
    changed = compare(as_recorded(told, NOW), NOW)
    assert {s.kind for s in changed.subjects} == {"openings", "cables", "ports"}
    said = "Materials are not compared: that issue was put on record by an earlier riserkit."
    assert said in comparison_lines(replace(ISSUE, facts=told), changed)
    assert said not in comparison_lines(replace(ISSUE, facts=WAS), changed)
