"""Acceptances that match nothing, with what they may have meant: none outlives its cause unseen."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from typing import Final

from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.records import Acceptance
from riserkit.model.site import Site

ACCEPTANCE_UNUSED: Final = "acceptance-unused"


def unused_acceptances(site: Site, found: Sequence[Finding]) -> list[Finding]:
    """A note for every acceptance that names no finding, or only passing ones."""
    if not site.acceptances:
        return []
    open_keys = {f.key for f in found if f.verdict is not Verdict.PASS}
    return [_unused(site, a, found) for a in site.acceptances if a.key not in open_keys]


def _unused(site: Site, acceptance: Acceptance, found: Sequence[Finding]) -> Finding:
    said = f"The acceptance by {acceptance.name} of {acceptance.date.isoformat()} matches nothing"
    return Finding(
        rule=ACCEPTANCE_UNUSED, verdict=Verdict.FAIL, severity=Severity.NOTE, subject=acceptance.subject,
        subject_kind=_kind(site, acceptance.subject), source="the site's own record", harm=Harm.DRAFTING,
        message=f"{said}: {_cause(acceptance, found)}.",
        remedy="Remove this acceptance, or correct its rule, subject and about.",
    )  # fmt: skip


def _cause(acceptance: Acceptance, found: Sequence[Finding]) -> str:
    of_rule = [f for f in found if f.rule == acceptance.rule]
    if not of_rule:
        near = difflib.get_close_matches(acceptance.rule, sorted({f.rule for f in found}), n=1)
        return f"no finding {acceptance.rule} of {acceptance.subject}{_meant(near)}"
    same = [f for f in of_rule if f.subject == acceptance.subject]
    if not same:
        return f"no finding {acceptance.rule} of {acceptance.subject}{_meant(_near(acceptance.subject, of_rule))}"
    return _other_condition(acceptance, same)


def _other_condition(acceptance: Acceptance, same: Sequence[Finding]) -> str:
    name = f"{acceptance.rule} of {acceptance.subject}"
    named = f'"{acceptance.about}"' if acceptance.about else ""
    if any(f.about == acceptance.about for f in same):
        return f"{name}{f', {acceptance.about},' if acceptance.about else ''} passes now"
    waiting = sorted({f.about for f in same if f.verdict is not Verdict.PASS and f.about})
    if waiting:
        known = f"{name} has no open condition {named}" if named else f"{name} judges several conditions"
        return f"{known}; state in about: {' or '.join(waiting)}"
    return f"{name} passes now"


def _near(subject: str, of_rule: Iterable[Finding]) -> list[str]:
    """Subjects that differ by capitals alone, else those spelt alike."""
    subjects = sorted({f.subject for f in of_rule})
    alike = [s for s in subjects if s.casefold() == subject.casefold()]
    return alike or difflib.get_close_matches(subject, subjects, n=3)


def _meant(names: Iterable[str]) -> str:
    told = " or ".join(names)
    return f"; is {told} meant" if told else ""


def _kind(site: Site, subject: str) -> str:
    tables = (
        ("opening", site.opening), ("closet", site.closet), ("switch", site.switch), ("supply", site.supply),
        ("ups", {ups.id for ups in site.upses}), ("pathway", site.pathway_segment),
    )  # fmt: skip
    return next((kind for kind, table in tables if subject in table), "site")
