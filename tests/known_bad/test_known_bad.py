"""Designs known to be dangerous, insecure or unworkable: for each the rule that has to answer, and how loudly.

Every case changes a door that is sound (`test_known_sound.py`), so what a rule says of it is said because of the change.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import pytest

from riserkit.findings import Finding, Severity
from riserkit.model.problems import InputError
from riserkit.rules._shared.evaluate import ACCEPTANCE_UNUSED
from riserkit.rules._shared.shipped import SHIPPED_RULES

from .designs import cases, findings_of, said_by

CASES = cases("bad")
_LOUDNESS: Final = {Severity.NOTE: 1, Severity.WARNING: 2, Severity.ERROR: 3}


def failing(case: Mapping[str, Any]) -> str:
    """Why the program's answer to a case will not do; empty when it will."""
    wanted, rules = case["answer"].split("|"), case.get("rule", "").split("|")
    try:
        findings = said_by(case, *rules)
    except InputError as refusal:
        return "" if "refused" in wanted else f"refused: {refusal}"
    least = min((_LOUDNESS[Severity(w)] for w in wanted if w != "refused"), default=9)
    if any(f.rule in rules and f.is_open and _LOUDNESS[f.severity] >= least for f in findings):
        return ""
    told = [f for f in findings_of(case) if f.is_open and f.severity is not Severity.NOTE]
    return f"wanted {case['answer']} of {case.get('rule')}, got {'; '.join(map(_in_short, told)) or 'nothing'}"


def _in_short(finding: Finding) -> str:
    return f"{finding.severity} {finding.rule} {finding.subject}: {finding.message}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_known_bad(case):
    assert not failing(case), case["why"]


def test_every_case_has_a_name_a_source_and_a_reason():
    assert len({case["id"] for case in CASES}) == len(CASES) >= 150
    for case in CASES:
        assert case["source"] and case["why"], case["id"]


def test_every_case_names_rules_that_there_are():
    """A name that no rule has can never answer; it would stand for a question that nobody asks."""
    known = {rule.name for rule in SHIPPED_RULES} | {ACCEPTANCE_UNUSED}
    for case in CASES:
        loud = [word for word in case["answer"].split("|") if word != "refused"]
        named = case["rule"].split("|") if "rule" in case else []
        assert set(named) <= known, case["id"]
        assert bool(named) == bool(loud), case["id"]
