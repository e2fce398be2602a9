"""The sample sites: what they are there to show."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.checked import Checked
from riserkit.circuits.faults import FaultKind
from riserkit.design import asked_classes, wire
from riserkit.holds import drawn_failing, read_holds
from riserkit.network.plan import plan_network
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.values import DoorWiring

SAMPLES = Path(__file__).resolve().parents[1] / "sample_drawings"

# What may reject a candidate. Some are left to the tests of wiring: every site has a splitter to offer unless its facts take
# it away, no sound arrangement leaves a voltage on a lock that is switched off, and contacts break more than doors have.
DECIDING = {
    "auxiliary-limit", "class-power", "conductors", "device-voltage-low", "exposed-wires", "fire-contact", "lock-action",
    "lock-output", "lock-voltage-high", "lock-voltage-low", "magnet", "missing-backup",
    "module-link", "output-limit", "own-supply", "peripherals",
    "reader-bus", "relay", "relay-contact", "release", "release-contact", "release-in-series", "sensor-contact",
    "source-voltage", "supply", "supply-limit",
}  # fmt: skip
ELSEWHERE = {
    "splitter", "lock-off", "output-contact", "output-contact-voltage", "device-voltage-high",
    "relay-contact-voltage", "release-contact-voltage",
    "sensor-contact-voltage", "fire-contact-voltage", "stated-values",
}  # fmt: skip


@pytest.fixture(scope="module")
def checked(checked_sample: Callable[[str], Checked]) -> Callable[[str], Checked]:
    return checked_sample


@pytest.fixture(scope="module")
def judged(checked) -> tuple[DoorWiring, ...]:
    site = checked("seed-archive").design.site
    return wire(site, plan_network(site, asked_classes(site)), site.openings, everything=True)


def test_the_first_look_has_no_error(checked):
    """Its doors hold; what a stranger or a single fault could do is told all the same."""
    found = checked("first-look")
    assert len(found.design.doors) == 2
    assert not found.open_errors
    assert {d.wiring.chosen is not None for d in found.design.doors} == {True}


@pytest.mark.slow
def test_the_larger_sample_is_as_large_as_it_says(checked):
    site = checked("seed-archive").design.site
    assert len(site.levels) >= 3
    assert len(site.closets) >= 3
    assert len(site.openings) >= 24
    assert {o.type for o in site.openings} == {"single", "double", "gate"}


@pytest.mark.slow
@pytest.mark.parametrize("rule", ["channel-length", "lock-voltage"])
def test_cables_and_locks_both_pass_and_fail(checked, rule):
    verdicts = {str(f.verdict) for f in checked("seed-archive").findings if f.rule == rule}
    assert {"pass", "fail"} <= verdicts


@pytest.mark.slow
def test_every_arrangement_is_chosen_somewhere(checked):
    chosen = {d.wiring.chosen.arrangement for d in checked("seed-archive").design.doors if d.wiring.chosen}
    assert chosen == {a.name for a in SHIPPED_ARRANGEMENTS}


@pytest.mark.slow
def test_every_reason_decides_somewhere(judged):
    """A reason decides where a candidate fails by it alone."""
    deciding, known = set(), set()
    for wiring in judged:
        for candidate in wiring.considered:
            known |= {reason.name for reason in candidate.reasons}
            names = {reason.name for reason in candidate.failed}
            deciding |= names if len(names) == 1 else set()
    assert deciding >= DECIDING
    assert known <= DECIDING | ELSEWHERE


@pytest.mark.slow
def test_what_was_chosen_is_the_cheapest_that_holds(judged):
    for wiring in judged:
        holding = [c.cost for c in wiring.considered if c.feasible]
        if wiring.chosen is not None and not wiring.forced:
            assert wiring.chosen.cost == min(holding), wiring.mark
        if wiring.chosen is None:
            assert not holding, wiring.mark


@pytest.mark.slow
@pytest.mark.parametrize("every", [4, pytest.param(1, marks=pytest.mark.sweep)])
def test_judged_side_by_side_or_alone_is_the_same(checked, every):
    """Openings are judged in groups that differ by lengths only; what tells them apart must be in the group's key."""
    site = checked("seed-archive").design.site
    plan = plan_network(site, asked_classes(site))
    together = wire(site, plan, site.openings)
    for opening, wiring in list(zip(site.openings, together, strict=True))[::every]:
        alone = wire(site, plan, (opening,))[0]
        assert (alone.chosen, alone.nearest, alone.voltages) == (wiring.chosen, wiring.nearest, wiring.voltages), (
            opening.mark
        )


@pytest.mark.slow
def test_an_acceptance_is_kept_with_reason_name_and_date(checked):
    accepted = [f for f in checked("seed-archive").findings if f.acceptance]
    assert [(f.rule, f.subject, f.acceptance.name) for f in accepted if f.acceptance] == [
        ("channel-length", "110", "M. Iyer")
    ]


def listed_errors() -> set[tuple[str, str]]:
    """(subject, rule) of every error that the larger sample's page says it shows."""
    found = set()
    for line in (SAMPLES / "seed-archive" / "README.md").read_text("utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("|") and "`" in line:
            found |= {(cells[0], rule.strip("` ")) for rule in cells[1].split(",")}
    return found


@pytest.mark.slow
def test_the_larger_sample_has_the_errors_that_its_page_lists_and_no_others(checked):
    open_errors = {(f.subject, f.rule) for f in checked("seed-archive").open_errors}
    assert open_errors == listed_errors()


@pytest.mark.slow
def test_the_openings_that_an_error_holds_are_those_of_the_page_and_what_its_supply_feeds(checked):
    found = checked("seed-archive")
    marks = {subject for subject, _ in listed_errors()} & set(found.design.door)
    assert set(read_holds(found.design, found.findings).held) == marks | {"301"}


COUNTEREXAMPLES = {
    "110": ("release-by-hand", None),
    "114": ("lock-follows-controller", None),
    "116": ("release-on-sensor-loss", FaultKind.CONDUCTOR_OPEN),
    "214": ("lock-follows-controller", None),
    "218": ("tamper", FaultKind.JOINED),
}


@pytest.mark.slow
def test_counterexamples_of_every_kind_are_drawn(checked):
    """A release that is missing, a conductor at fault, a lock that does not obey, and an act from the unsecured side."""
    drawn = {d.mark: drawn_failing(d) for d in checked("seed-archive").design.doors}
    told = {
        mark: (one.name, next((fault.kind for fault in one.counterexample.faults), None))
        for mark, one in drawn.items()
        if one is not None and one.counterexample is not None
    }
    assert told == COUNTEREXAMPLES


@pytest.mark.slow
def test_what_holds_of_many_doors_does_not_drown_the_rest(checked):
    """Of a rule that would speak at nearly every door no more is said than the doors that stand out, and the rest at once.

    Of tamper four times: by closing, by cutting, by a request at the controller, and by one at a reader outside.
    """
    found = [f for f in checked("seed-archive").findings if f.verdict == "fail"]
    for rule, most in (("fault-leaves-unlocked", 1), ("undetected-fault", 1), ("tamper", 4)):
        said = [f for f in found if f.rule == rule]
        assert {f.subject_kind for f in said} <= {"opening", "site"}
        assert 1 <= sum(f.subject_kind == "site" for f in said) <= most
        assert len(said) <= 8
        assert sum(len(f.concerns) for f in said) > 20


@pytest.mark.parametrize("sample", ["first-look", pytest.param("seed-archive", marks=pytest.mark.slow)])
def test_no_two_findings_share_rule_subject_condition_and_doors(checked, sample):
    found = checked(sample).findings
    keys = [(f.subject_kind, *f.key, f.concerns) for f in found]
    assert len(keys) == len(set(keys)) > 0
    assert all(f.harm is not None for f in found)


def test_what_is_kept_of_the_first_look_is_what_is_drawn(first_look_results):
    """The larger sample is compared where it is built anyway, by .ci/run."""
    sample = SAMPLES / "first-look"
    kept = [path for part in ("drawings", "schedules") for path in sorted((sample / part).iterdir())]
    assert kept
    for path in (*kept, sample / "findings.csv", sample / "findings.json"):
        built = first_look_results / path.relative_to(sample)
        assert path.read_bytes() == built.read_bytes(), path.relative_to(sample)
    drawn = {path.name for path in (first_look_results / "drawings").glob("*.dxf")}
    assert drawn == {path.name for path in (sample / "drawings").glob("*.dxf")}
