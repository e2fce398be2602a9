"""All rules together: acceptances, order, plugins' rules and their pages."""

from dataclasses import replace

import pytest

from riserkit.acceptances import accept
from riserkit.drawings.legibility.sheet import SHEET_CHECKS
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.records import Acceptance
from riserkit.rules._shared.base import Measure, Rule, measured, not_evaluated, stated
from riserkit.rules._shared.evaluate import check, every_rule
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.page import SECTIONS, RuleError, pages_of_package, read_page
from riserkit.rules._shared.shipped import SHIPPED_RULES

TOO_LONG = {"doors": ({"length_m": 96},)}


def acceptance(rule="channel-length", subject="101", **more):
    return {
        "rule": rule,
        "subject": subject,
        "reason": "measured and passed",
        "name": "A. Engineer",
        "date": "2026-03-14",
        "severity": "error",
        **more,
    }


class Ours:
    """A rule as a plugin would bring it.

    Why:
        To see that it is run.
    Measures:
        Nothing.
    Limit:
        None.
    Remedy:
        None.
    Source:
        None.
    """

    name = "ours"
    source = "none"
    harm = Harm.CODE

    def evaluate(self, design):
        for door in design.doors:
            yield stated(self, ("opening", door.mark), True, "seen")


def named(name, page=Ours.__doc__):
    return type("Other", (Ours,), {"name": name, "__doc__": page})()


def test_every_shipped_rule_has_its_page():
    for rule in SHIPPED_RULES:
        page = read_page(rule)
        assert all((page.summary, page.why, page.measures, page.limit, page.remedy, page.source)), rule.name
        assert isinstance(rule, Rule)
        assert rule.source, rule.name


def test_pages_read_from_source_are_those_of_the_rules_that_run():
    assert sorted(pages_of_package("riserkit.rules"), key=lambda page: page.name) == [
        read_page(r) for r in SHIPPED_RULES
    ]


def test_pages_of_sheet_checks_read_from_source_are_those_of_the_checks_that_run():
    pages = sorted(pages_of_package("riserkit.drawings.legibility"), key=lambda page: page.name)
    assert pages == sorted(map(read_page, SHEET_CHECKS), key=lambda page: page.name)


def test_every_shipped_rule_states_its_harm():
    for rule in SHIPPED_RULES:
        assert isinstance(rule.harm, Harm), rule.name


@pytest.mark.parametrize("harm", [None, "code"])
def test_a_plugins_rule_without_a_harm_is_refused_with_what_would_do(harm):
    with pytest.raises(RuleError, match=r"rule other: no harm stated; set harm to one of Harm\.LIFE_SAFETY"):
        every_rule([type("Other", (Ours,), {"name": "other", "__doc__": Ours.__doc__, "harm": harm})()])


def test_a_finding_has_the_harm_of_its_rule_unless_it_states_one(build):
    class Split(Ours):
        __doc__ = Ours.__doc__

        def evaluate(self, design):
            yield stated(self, ("opening", "101"), False, "plain")
            yield replace(stated(self, ("opening", "101"), False, "worse", about="exit"), harm=Harm.LIFE_SAFETY)

    found = {f.message: f.harm for f in check(build({}), [Split()]) if f.rule == "ours"}
    assert found == {"worse": Harm.LIFE_SAFETY, "plain": Harm.CODE}


def test_findings_are_listed_by_harm_then_by_opening_as_a_person_counts(build):
    marks = ["10", "9", "101B", "101A"]
    doors = [{"mark": mark, "length_m": 96, "opening": {"egress": None}} for mark in marks]
    found = [f for f in check(build({"doors": doors})) if f.verdict is not Verdict.PASS and f.subject_kind == "opening"]
    assert len({f.harm for f in found}) > 1
    harms = [list(Harm).index(f.harm) for f in found]
    assert harms == sorted(harms)
    for harm in set(harms):
        subjects = dict.fromkeys(f.subject for f in found if list(Harm).index(f.harm) == harm)
        assert list(subjects) == ["9", "10", "101A", "101B"]


def test_shipped_rules_stand_in_order_of_their_unlike_names():
    names = [rule.name for rule in SHIPPED_RULES]
    assert names == sorted(set(names))


def test_each_rule_is_one_file_named_after_it():
    for rule in SHIPPED_RULES:
        assert type(rule).__module__ == f"riserkit.rules.{rule.name.replace('-', '_')}"


@pytest.mark.parametrize("section", SECTIONS)
def test_a_page_without_a_section_is_refused(section):
    with pytest.raises(RuleError, match="expected a summary and the sections"):
        read_page(named("ours", Ours.__doc__.replace(f"    {section}:\n", "")))


def test_sections_out_of_order_are_refused():
    swapped = Ours.__doc__.replace("Why:", "?").replace("Limit:", "Why:").replace("?", "Limit:")
    with pytest.raises(RuleError, match="saw Limit, Measures, Why"):
        read_page(named("ours", swapped))


@pytest.mark.parametrize("name", ["Ours", "our_rule", "ours-", "R 1", ""])
def test_a_name_is_words_with_hyphens(name):
    with pytest.raises(RuleError, match="small words joined by hyphens"):
        every_rule([named(name)])


def test_a_plugins_rule_is_run(build):
    found = [f for f in check(build({"doors": ({}, {})}), [Ours()]) if f.rule == "ours"]
    assert [f.subject for f in found] == ["101", "102"]


@pytest.mark.parametrize("name", ["channel-length", "acceptance-unused"])
def test_a_plugins_rule_cannot_take_a_shipped_name(build, name):
    with pytest.raises(RuleError, match=f"two rules are named {name}"):
        check(build({}), [named(name)])


def test_an_acceptance_is_put_on_the_finding_it_names(build):
    found = check(build({**TOO_LONG, "acceptances": [acceptance(value="96 m")]}))
    accepted = [f for f in found if f.acceptance is not None]
    assert [(f.rule, f.subject, f.verdict, f.is_open) for f in accepted] == [
        ("channel-length", "101", Verdict.FAIL, False)
    ]
    assert not [f for f in found if f.rule == "acceptance-unused"]


@pytest.mark.parametrize(
    ("spec", "given", "kind", "cause"),
    [
        ({}, acceptance(), "opening", "passes now"),
        (TOO_LONG, acceptance(subject="999"), "site", "no finding channel-length of 999"),
        (TOO_LONG, acceptance(rule="no-such-rule"), "opening", "no finding no-such-rule of 101"),
        (TOO_LONG, acceptance(rule="switch-ports", subject="C1"), "closet", "passes now"),
        (TOO_LONG, acceptance(rule="channel-length", subject="SW1"), "switch", "no finding"),
    ],
)
def test_an_acceptance_that_covers_nothing_is_a_note(findings_of, spec, given, kind, cause):
    (found,) = findings_of("acceptance-unused", {**spec, "acceptances": [given]})
    assert (found.verdict, found.severity, found.subject, found.subject_kind) == (
        "fail",
        "note",
        given["subject"],
        kind,
    )
    assert cause in found.message
    assert "A. Engineer" in found.message


WORSE = [
    pytest.param(96.0, "96 m", True, id="the value accepted"),
    pytest.param(96.0, "315 ft", True, id="in feet, a little more"),
    pytest.param(96.04, "96 m", True, id="alike to the digits shown"),
    pytest.param(95.0, "96 m", True, id="better than accepted"),
    pytest.param(96.2, "96 m", False, id="worse than accepted"),
    pytest.param(96.0, "", False, id="no value stated"),
    pytest.param(96.0, "96 V", False, id="in another unit"),
]


@pytest.mark.parametrize(("length_m", "value", "covered"), WORSE)
def test_an_acceptance_covers_no_worse_value_than_the_one_accepted(build, length_m, value, covered):
    given = {**acceptance(), "value": value}
    found = check(build({"doors": ({"length_m": length_m},), "acceptances": [given]}))
    (one,) = [f for f in found if f.rule == "channel-length" and f.verdict is Verdict.FAIL]
    assert one.is_open is not covered
    assert ("The acceptance by A. Engineer of 2026-03-14 does not cover this" in one.message) is not covered
    assert not [f for f in found if f.rule == "acceptance-unused"], "it speaks of something, and the finding says so"


@pytest.mark.parametrize(("volts", "covered"), [(10.0, True), (9.9, True), (9.7, False)])
def test_of_a_value_that_may_not_fall_less_is_worse(volts, covered):
    found = measured(Ours(), ("opening", "101"), Measure(volts, 10.2, "V", at_most=False), "text", remedy="1 V more")
    (one,) = accept([found], [Acceptance(**{**acceptance("ours"), "value": "9.9 V"})])
    assert (one.acceptance is not None) is covered


def test_two_values_of_one_rule_and_subject_are_accepted_apart():
    high, low = (
        measured(Ours(), ("opening", "101"), Measure(volts, limit, "V", at_most), "text", remedy="1 V")
        for volts, limit, at_most in ((13.5, 13.2, True), (9.9, 10.2, False))
    )
    one = Acceptance(**{**acceptance("ours"), "value": "9.9 V"})
    assert [f.acceptance is not None for f in accept([high, low], [one])] == [False, True]
    other = Acceptance(**{**acceptance("ours"), "value": "13.5 V"})
    assert all(f.acceptance is not None for f in accept([high, low], [one, other]))


def test_a_value_accepted_says_nothing_of_a_finding_without_one():
    found = not_evaluated(Ours(), ("opening", "101"), "not known", "State it.")
    assert accept([found], [Acceptance(**{**acceptance("ours"), "value": "96 m"})])[0].is_open
    assert not accept([found], [Acceptance(**acceptance("ours"))])[0].is_open


@pytest.mark.parametrize("value", ["a lot", "96 furlongs", "1,234 m", "-3 doors"])
def test_what_is_no_value_is_refused_with_what_would_do(value):
    with pytest.raises(ValueError, match=r"94\.5 m, 9\.9 V or 3 doors"):
        Acceptance(**{**acceptance(), "value": value})


def test_what_is_not_evaluated_can_be_accepted(findings_of):
    spec = {"doors": ({"opening": {"egress": None}},), "acceptances": [acceptance("egress-role-unstated")]}
    (found,) = findings_of("egress-role-unstated", spec)
    assert found.acceptance is not None


def test_order_is_that_of_counting_and_the_same_each_time(build):
    marks = ["10", "9", "A10", "A9", "101B", "101A"]
    design = build({"doors": [{"mark": mark} for mark in marks]})
    found = [f.subject for f in check(design) if f.rule == "egress-role-unstated"]
    assert found == ["9", "10", "101A", "101B", "A9", "A10"]
    assert check(design) == check(design)


def test_one_finding_of_a_rule_subject_and_condition_so_that_an_acceptance_means_one_thing(build):
    supply = {"supplies": ({"id": "PS1", "part": "supply-12-3", "closet": "C1"},)}
    keys = [(f.subject_kind, *f.key) for f in check(build(supply))]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    ("value", "at_most", "verdict"),
    [
        (9.9, True, "pass"), (10.0, True, "pass"), (10.0000000005, True, "pass"), (10.00001, True, "fail"),
        (10.1, False, "pass"), (10.0, False, "pass"), (9.9999999995, False, "pass"), (9.99999, False, "fail"),
    ],
)  # fmt: skip
def test_the_limit_itself_passes(value, at_most, verdict):
    found = measured(Ours(), ("opening", "101"), Measure(value, 10.0, "m", at_most), "text", remedy="2 m less")
    assert found.verdict == verdict
    assert found.remedy == ("" if verdict == "pass" else "2 m less")


def test_a_remedy_is_only_worked_out_on_failure():
    def never():
        raise AssertionError("asked for though it passes")

    measured(Ours(), ("opening", "101"), Measure(1.0, 2.0, "m"), "text", remedy=never)
    with pytest.raises(AssertionError, match="asked for"):
        measured(Ours(), ("opening", "101"), Measure(3.0, 2.0, "m"), "text", remedy=never)


@pytest.mark.parametrize(
    ("count", "text"), [(0, ""), (2, "0, 1"), (6, "0, 1, 2, 3, 4, 5"), (8, "0, 1, 2, 3, 4, 5 and 2 more")]
)
def test_long_lists_are_cut(count, text):
    assert listed(str(number) for number in range(count)) == text


def test_missing_data_is_no_pass():
    found = not_evaluated(Ours(), ("opening", "101"), "what is missing", "state it")
    assert isinstance(found, Finding)
    assert (found.verdict, found.severity, found.is_open) == (Verdict.NOT_EVALUATED, Severity.WARNING, True)


@pytest.mark.parametrize("error", [ZeroDivisionError("float division by zero"), KeyError("S7"), ValueError("no way")])
def test_a_rule_that_breaks_off_is_an_error_and_leaves_the_others(build, monkeypatch, caplog, error):
    design = build(TOO_LONG)
    broken = next(rule for rule in SHIPPED_RULES if rule.name == "channel-length")
    whole = type(broken).evaluate

    def evaluate(self, design):
        yield from whole(self, design)
        raise error

    before = check(design)
    monkeypatch.setattr(type(broken), "evaluate", evaluate)
    with caplog.at_level("DEBUG", logger="riserkit.rules"):
        found = check(design)
    (more,) = [f for f in found if f not in before]
    assert (more.rule, more.verdict, more.severity) == ("channel-length", Verdict.NOT_EVALUATED, Severity.ERROR)
    assert f"internal error in rule channel-length: {error}" in more.message
    assert more.harm is broken.harm
    assert set(before) <= set(found), "what it found before, and what the other rules found, stays"
    assert "Traceback" in caplog.text
