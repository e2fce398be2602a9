"""An acceptance covers the doors, the condition, the severity and the number it was written for, never more."""

from dataclasses import replace
from pathlib import Path

import pytest

from riserkit.acceptances import accept, accepted_text
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, Harm, Severity, Verdict, status
from riserkit.model.records import Acceptance
from riserkit.pipeline import check_site, counts
from riserkit.reports.findings import finding_data
from riserkit.rules._shared.evaluate import check

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
APPROVED = {"authority": "Building department", "reference": "letter 2026-118"}


def given(**more):
    return Acceptance(
        **{"rule": "ours", "subject": "101", "reason": "tested", "name": "A. Engineer", "date": "2026-03-14", **more}
    )


def found(**more):
    plain = {"rule": "ours", "verdict": Verdict.FAIL, "severity": Severity.WARNING, "subject": "101",
             "subject_kind": "opening", "message": "It fails.", "source": "none", "harm": Harm.CODE}  # fmt: skip
    return Finding(**{**plain, **more})


def covered(finding, *acceptances):
    (one,) = accept([finding], acceptances)
    assert one.is_open is (one.message != finding.message), "what stays open says why"
    return not one.is_open


def test_a_warning_is_covered_by_a_plain_acceptance():
    assert covered(found(), given())


@pytest.mark.parametrize("harm", list(Harm))
def test_an_acceptance_written_for_a_warning_does_not_cover_the_error_it_becomes(harm):
    unknown = found(verdict=Verdict.NOT_EVALUATED, harm=harm)
    assert covered(unknown, given())
    assert covered(unknown, given(severity="warning"))
    assert not covered(replace(unknown, verdict=Verdict.FAIL, severity=Severity.ERROR), given(**APPROVED))
    assert not covered(replace(unknown, verdict=Verdict.FAIL, severity=Severity.ERROR), given(severity="warning"))
    error = replace(unknown, verdict=Verdict.FAIL, severity=Severity.ERROR)
    assert covered(error, given(severity="error", **APPROVED))
    assert not covered(found(), given(severity="note"))


def test_each_condition_of_one_rule_and_door_is_accepted_by_its_name():
    low, high = found(about="lowest voltage"), found(about="highest voltage")
    one = given(about="lowest voltage")
    assert [f.acceptance is not None for f in accept([low, high], [one])] == [True, False]
    assert [f.acceptance is not None for f in accept([low, high], [given()])] == [False, False]


def test_a_group_accepted_for_three_doors_does_not_cover_two_new_ones():
    three = found(subject="Site", subject_kind="site", value=3.0, limit=0.0, unit="doors", concerns=("1", "2", "3"))
    written = given(subject="Site", doors="1, 2, 3", value="3 doors")
    assert covered(three, written)
    assert covered(replace(three, value=2.0, concerns=("1", "3")), written)
    assert not covered(replace(three, value=5.0, concerns=("1", "2", "3", "4", "5")), written)
    assert not covered(replace(three, concerns=("1", "2", "4")), written), "as many, but another door"
    assert not covered(three, given(subject="Site", value="3 doors")), "a count names no door"
    (one,) = accept([replace(three, concerns=("1", "2", "10", "9"))], [written])
    assert "it was not written for 9, 10 (column doors)" in one.message


@pytest.mark.parametrize("approval", [{}, {"authority": "Building department"}, {"reference": "letter 2026-118"}])
def test_a_life_safety_error_is_accepted_only_with_authority_and_reference(approval):
    error = found(severity=Severity.ERROR, harm=Harm.LIFE_SAFETY)
    assert not covered(error, given(severity="error", **approval))
    assert covered(error, given(severity="error", **APPROVED))
    assert covered(replace(error, harm=Harm.INTRUSION), given(severity="error", **approval))
    assert covered(replace(error, severity=Severity.WARNING), given(severity="error", **approval))


def test_an_accepted_life_safety_error_stays_marked_and_is_counted_apart():
    error = found(severity=Severity.ERROR, harm=Harm.LIFE_SAFETY)
    accepted = accept([error, found(subject="102")], [given(severity="error", **APPROVED), given(subject="102")])
    assert [status(f) for f in accepted] == [ACCEPTED_LIFE_SAFETY, "accepted"]
    assert (counts(accepted)["accepted"], counts(accepted)["accepted life-safety error"]) == (1, 1)
    text = accepted_text(accepted[0].acceptance)
    assert text == "ACCEPTED BY A. Engineer, 2026-03-14, approved by Building department letter 2026-118: tested"
    assert (finding_data(accepted[0])["authority"], finding_data(accepted[0])["reference"]) == tuple(APPROVED.values())


@pytest.mark.parametrize("sample", ["first-look", "seed-archive"])
def test_no_two_findings_of_a_sample_share_rule_subject_condition_and_doors(sample):
    checked = check_site(SAMPLES / sample / "site")
    keys = [(f.subject_kind, *f.key, f.concerns) for f in checked.findings]
    assert len(keys) == len(set(keys)) > 0
    assert all(f.harm is not None for f in checked.findings)


def test_an_acceptance_without_its_condition_says_which_there_are(build):
    low = {"doors": ({"volts": {"lock_low_v": 5.0}},)}
    made = build({**low, "acceptances": [given(rule="lock-voltage", value="5 V", severity="error").model_dump()]})
    (note,) = [f for f in check(made) if f.rule == "acceptance-unused"]
    assert "state one in about: lowest voltage" in note.message
