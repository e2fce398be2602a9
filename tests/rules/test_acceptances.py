"""An acceptance covers the doors, the condition, the severity and the number it was written for, never more."""

from dataclasses import replace
from pathlib import Path

import pytest
from pydantic import ValidationError

from riserkit.acceptances import accept, accepted_text
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, Harm, Severity, Verdict, status
from riserkit.model.records import Acceptance
from riserkit.pipeline import counts
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


def unused(build, *acceptances, **volts):
    made = build({"doors": ({"volts": volts},), "acceptances": [a.model_dump() for a in acceptances]})
    return [f.message for f in check(made) if f.rule == "acceptance-unused"]


def test_an_acceptance_without_its_condition_says_which_there_are(build):
    (one,) = unused(build, given(rule="lock-voltage", value="5 V", severity="error"), lock_low_v=5.0)
    assert "state in about: lowest voltage." in one
    (both,) = unused(build, given(rule="lock-voltage", about="voltage"), lock_low_v=5.0, lock_high_v=50.0)
    assert 'no open condition "voltage"; state in about: highest voltage or lowest voltage.' in both


@pytest.mark.parametrize(
    ("names", "meant"),
    [
        ({"subject": "101A"}, "no finding channel-length of 101A; is 101a meant"),
        ({"subject": "10la"}, "is 101a meant"),
        ({"rule": "Channel-Length"}, "is channel-length meant"),
        ({"rule": "channel_length"}, "is channel-length meant"),
    ],
)
def test_a_slip_in_a_mark_or_a_rule_covers_nothing_and_says_what_may_be_meant(build, names, meant):
    row = given(**{"rule": "channel-length", "subject": "101a", "value": "96 m", "severity": "error", **names})
    made = build({"doors": ({"mark": "101a", "length_m": 96.0},), "acceptances": [row.model_dump()]})
    found = check(made)
    assert [f.is_open for f in found if f.rule == "channel-length" and f.verdict is Verdict.FAIL] == [True]
    (note,) = [f.message for f in found if f.rule == "acceptance-unused"]
    assert meant in note


def test_what_was_accepted_of_a_switch_is_not_accepted_of_a_supply_of_the_same_name():
    switch, supply = (found(subject="A1", subject_kind=kind) for kind in ("switch", "supply"))
    assert covered(switch, given(subject="A1"))
    both = accept([switch, supply], [given(subject="A1")])
    assert all(f.is_open and "supply and switch are both named A1" in f.message for f in both)
    passes = replace(supply, verdict=Verdict.PASS)
    assert accept([switch, passes], [given(subject="A1")])[0].acceptance is not None


def test_a_supply_accepted_for_one_door_is_not_accepted_for_the_next_that_hangs_on_it():
    supply = found(subject="PS-1", subject_kind="supply", serves=("301",))
    written = given(subject="PS-1", doors="301")
    assert covered(supply, written)
    assert not covered(replace(supply, serves=("301", "305")), written)
    assert not covered(supply, given(subject="PS-1")), "it names no door"
    load = replace(supply, value=0.28, limit=0.25, unit="A", serves=("301", "305"))
    assert covered(load, given(subject="PS-1", value="0.28 A")), "a load that is no higher, however many doors draw it"
    doors = replace(supply, value=1.0, limit=0.0, unit="doors", serves=("305",))
    assert not covered(doors, given(subject="PS-1", value="1 door", doors="301")), "as many, but another door"


@pytest.mark.parametrize("value", ["nan m", "inf m", "1e999 m", "96 m or so", "about 96"])
def test_a_value_that_is_no_number_is_refused(value):
    with pytest.raises(ValidationError, match="expected the value that was accepted"):
        given(value=value)


@pytest.mark.parametrize(("accepted", "value", "limit"), [("1.3 m", 0.5, 1.016), ("0.9 m", 1.5, 1.219)])
def test_too_high_was_accepted_and_too_low_was_not(accepted, value, limit):
    """A height between two limits has one condition."""
    assert not covered(found(value=value, limit=limit, unit="m"), given(value=accepted))
