"""The list of `check`: by harm, a block a door, causes before consequences, nothing wider than a terminal."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from riserkit.errors import RiserkitError
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.place import Level
from riserkit.model.records import Acceptance
from riserkit.model.site import Site
from riserkit.pipeline import check_site
from riserkit.reports.findings import finding_data, findings_json_parts
from riserkit.reports.listing import FindingFilter, chosen, listing

SEED = Path(__file__).parents[2] / "sample_drawings" / "seed-archive" / "site"
SITE = Site(
    info=SiteInfo(name="Mill"),
    levels=(Level(id="L1", elevation_m=0), Level(id="L2", elevation_m=3)),
    openings=tuple(
        Opening(mark=m, level=level, x_m=0, y_m=0) for m, level in (("9", "L1"), ("10", "L1"), ("201", "L2"))
    ),
)


SEVERAL = "123456789"


def found(subject="9", **more):
    plain = {"rule": "lock-voltage", "verdict": Verdict.FAIL, "severity": Severity.ERROR, "subject": subject,
             "subject_kind": "opening", "message": f"It fails at {subject}.", "source": "none", "remedy": "Mend it.",
             "harm": Harm.DOES_NOT_WORK}  # fmt: skip
    return Finding(**{**plain, **more})


def text(*findings, **options):
    return [line.text for line in listing(SITE, findings, **options)]


def test_a_healthy_site_is_a_line_of_counts():
    passes = found(verdict=Verdict.PASS)
    assert text(passes) == ["Mill: 3 openings; 0 errors, 0 warnings, 0 notes open; 0 accepted; 1 passed"]


def test_life_safety_comes_first_then_openings_as_a_person_counts():
    lines = text(found("10"), found("9"), found("201", harm=Harm.LIFE_SAFETY), found("10", harm=Harm.CODE, rule="z"))
    heads = [line for line in lines[:-1] if not line.startswith(" ")]
    assert heads == ["LIFE SAFETY", "Opening 201", "DOES NOT WORK", "Opening 9", "Opening 10"]


def test_what_waits_for_a_cause_is_folded_under_it_and_the_cause_comes_first():
    cause = found(rule="no-suitable-wiring", message="None is suitable.")
    waits = replace(found(rule="auxiliary-limit", verdict=Verdict.NOT_EVALUATED), causes=("no-suitable-wiring",))
    lines = text(found(rule="channel-length"), replace(waits, rule="class-power"), waits, cause)
    assert lines[2].strip().startswith("error, no-suitable-wiring: None is suitable.")
    assert [line for line in lines if "auxiliary-limit" in line] == [
        "  Not evaluated until this is fixed: auxiliary-limit, class-power."
    ]


def test_what_waits_for_a_cause_that_is_not_there_is_not_hidden():
    waits = found(rule="auxiliary-limit", verdict=Verdict.NOT_EVALUATED, causes=("no-suitable-wiring",))
    assert any("error, not evaluated, auxiliary-limit" in line for line in text(waits))
    elsewhere = found("10", rule="no-suitable-wiring")
    assert any("error, not evaluated, auxiliary-limit" in line for line in text(waits, elsewhere))


def test_of_doors_that_say_the_same_one_block_is_listed():
    same = {"message": "Its egress is not stated."}
    assert "Openings 9, 10" in text(found("10", **same), found("9", **same))
    assert "Openings 9, 10" not in text(found("10", **same), found("9", **{**same, "remedy": "Another."}))


def test_notes_are_counted_by_rule_and_listed_when_asked_for():
    note = found(severity=Severity.NOTE)
    assert text(note)[-1] == "Not listed (--severity note shows them): lock-voltage (1)."
    assert "  note, lock-voltage: It fails at 9." in text(note, least=Severity.NOTE)
    warning = found(severity=Severity.WARNING)
    assert "  warning, lock-voltage: It fails at 9." not in text(warning, least=Severity.ERROR)


def test_an_accepted_life_safety_error_is_always_listed_and_counted_apart():
    a = Acceptance(rule="r", subject="9", reason="drilled", name="A. Engineer", date="2026-03-14", authority="Fire office",
                   reference="F-7")  # fmt: skip
    grave = found(harm=Harm.LIFE_SAFETY, acceptance=a)
    lines = " ".join(" ".join(text(grave, found("10", acceptance=a))).split())
    assert "opening 9, lock-voltage: ACCEPTED BY A. Engineer, 2026-03-14, approved by Fire office F-7: drilled" in lines
    assert "1 accepted life-safety error; 1 accepted; 0 passed" in lines
    assert "opening 10" not in lines


def test_a_choice_takes_doors_levels_and_rules_and_what_is_told_of_several():
    group = found("Mill", subject_kind="site", concerns=("9", "201"))
    every = (found("9"), found("10", rule="tamper"), found("201"), group)
    asked = {
        FindingFilter(): every,
        FindingFilter(doors=("9",)): (every[0], group),
        FindingFilter(levels=("L2",)): (every[2], group),
        FindingFilter(rules=("tamper",)): (every[1],),
        FindingFilter(doors=("9",), rules=("tamper",)): (),
        FindingFilter(rules=("no-way-out",)): (),
    }
    for choice, expected in asked.items():
        assert chosen(SITE, every, choice) == expected


@pytest.mark.parametrize(
    "choice", [FindingFilter(doors=("99",)), FindingFilter(levels=("L9",)), FindingFilter(rules=("nothing",))]
)
def test_what_is_not_there_is_refused_with_what_is(choice):
    with pytest.raises(RiserkitError, match=r"expected one of (9, 10, 201|L1, L2|assumed-values, )"):
        chosen(SITE, [found()], choice)


@pytest.mark.parametrize("whole_site", [False, pytest.param(True, marks=pytest.mark.sweep)])
def test_a_sick_site_is_read_at_80_columns_and_nothing_open_is_lost(seed_archive_doors, whole_site):
    checked = check_site(SEED if whole_site else seed_archive_doors)
    lines = [line.text for line in listing(checked.design.site, checked.findings)]
    assert max(map(len, lines)) <= 80
    whole = " ".join(" ".join(lines).split())
    for f in checked.findings:
        if f.is_open and f.severity is not Severity.NOTE and not f.causes:
            assert " ".join(f.message.split()) in whole or _folded(f, whole), f


def _folded(f, whole):
    """Named at the first opening with the same warning, or among the conditions of its rule."""
    if f.verdict is Verdict.FAIL:
        also = re.findall(rf"warning, {f.rule}: (?:(?! Fix: ).)*? [Aa]lso at ([^.]*)\.", whole)
        return any(f.subject in marks.split(", ") for marks in also)
    return bool(f.about) and re.search(rf"not evaluated, {f.rule}: [^.]*{re.escape(f.about)}", whole) is not None


def test_a_warning_that_fails_alike_is_folded_and_one_not_evaluated_never():
    warns = {"severity": Severity.WARNING, "message": "It fails."}
    lacks = {"severity": Severity.WARNING, "verdict": Verdict.NOT_EVALUATED}
    unknown = found("10", **lacks, message="Not known at 10.")
    other = found("201", **lacks, message="Not known at 201.")
    whole = " ".join(" ".join(text(found("9", **warns), found("10", **warns), unknown, other)).split())
    assert "warning, lock-voltage: It fails. Also at 10. Fix: Mend it." in whole
    assert whole.count("It fails.") == 1
    assert "warning, not evaluated, lock-voltage: Not known at 10. Fix" in whole
    assert "warning, not evaluated, lock-voltage: Not known at 201. Fix" in whole
    assert whole.count("Also at") == 1


def test_what_is_folded_keeps_the_figures_of_each_opening():
    several = [found(mark, severity=Severity.WARNING, message=f"It has {k} V.") for k, mark in enumerate(SEVERAL)]
    whole = " ".join(" ".join(text(*several[:2], replace(several[0], subject="7a"))).split())
    assert "It has 0 V. Also at 7a. At 2: It has 1 V. Fix: Mend it." in whole
    twice = replace(several[1], subject="4")
    assert "At 2, 4: It has 1 V." in " ".join(" ".join(text(*several[:2], twice)).split())
    whole = " ".join(" ".join(text(*several)).split())
    assert whole.count(" V.") == 7
    assert "At 7: It has 6 V. With words of their own, which --all shows, also at 8, 9." in whole


def test_what_one_rule_says_of_two_things_at_one_opening_is_not_folded_into_one():
    pair = [found(mark, severity=Severity.WARNING, about=what) for mark in ("9", "10") for what in ("lock", "reader")]
    whole = " ".join(" ".join(text(*(replace(f, message=f"The {f.about}.") for f in pair))).split())
    assert whole.count("Also at 10.") == 2


def test_what_waits_for_one_fact_of_the_site_is_folded():
    waits = {
        "message": "It waits.",
        "severity": Severity.WARNING,
        "verdict": Verdict.NOT_EVALUATED,
        "remedy": "State standby_hours of the site.",
    }
    fails = {**waits, "verdict": Verdict.FAIL}
    told = text(found("9", **waits), found("10", **waits), found("11", **fails), found("12", **fails))
    whole = " ".join(" ".join(told).split())
    assert "warning, not evaluated, lock-voltage: It waits. Also at 10. Fix: State standby_hours" in whole
    assert "warning, lock-voltage: It waits. Also at 12." in whole
    assert whole.count("Also at") == 2


def test_conditions_not_evaluated_with_one_remedy_are_one_line():
    one = found(severity=Severity.WARNING, verdict=Verdict.NOT_EVALUATED, about="sign", message="No sign: 3 m.")
    whole = " ".join(" ".join(text(one, replace(one, about="light", message="No light: 4 lx."))).split())
    assert "warning, not evaluated, lock-voltage: No light: 4 lx. No sign: 3 m. Fix: Mend it." in whole
    assert "2 of them not evaluated" in whole


def test_conditions_in_one_line_keep_what_each_of_them_says_first():
    one = found(
        rule="egress-conditions", severity=Severity.WARNING, verdict=Verdict.NOT_EVALUATED, about="sign",
        message="Not confirmed (delayed), sign: A sign is on the door.",
    )  # fmt: skip
    light = replace(one, about="light", message="Not confirmed (delayed), light: It is lit.")
    whole = " ".join(" ".join(text(one, light)).split())
    assert "egress-conditions: Not confirmed (delayed): light, sign. riserkit tables confirmations says" in whole
    other = replace(light, message="Not confirmed (by its name), light: It is lit.")
    apart = " ".join(" ".join(text(one, other)).split())
    assert "egress-conditions: Not confirmed (by its name), light: It is lit. Fix" in apart
    assert "egress-conditions: Not confirmed (delayed), sign: A sign is on the door. Fix" in apart


def test_facts_of_one_rule_that_are_not_stated_are_one_line_with_all_their_columns():
    one = found(
        severity=Severity.WARNING, verdict=Verdict.NOT_EVALUATED, about="sign", remedy="State a_m of this opening."
    )
    whole = " ".join(" ".join(text(one, replace(one, about="height", remedy="State b_m of this opening."))).split())
    assert (
        "warning, not evaluated, lock-voltage: Not stated: height, sign. Fix: State b_m, a_m of this opening." in whole
    )
    fails = replace(one, verdict=Verdict.FAIL, about="height", remedy="State b_m of this opening.")
    assert "Fix: State a_m of this opening." in " ".join(" ".join(text(one, fails)).split())


@pytest.mark.parametrize("count", [0, 1, 3])
def test_json_in_pieces_is_the_document_that_the_library_would_write(count):
    findings = [found(message='a "quoted"\nline é', concerns=("9", "10"))] * count
    document = {"site": "Mill", "findings": [finding_data(f) for f in findings]}
    assert "".join(findings_json_parts(SITE, findings)) == json.dumps(document, indent=1, ensure_ascii=False)
