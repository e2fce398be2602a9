"""Runs the rules over a design and puts the engineer's acceptances on what they find."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from riserkit.acceptances import accept
from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.design import Design, DoorDesign
from riserkit.errors import visible
from riserkit.findings import Finding, Severity, by_harm
from riserkit.rules._shared.base import Rule, Subject, harm_of, not_evaluated
from riserkit.rules._shared.page import RuleError, read_page
from riserkit.rules._shared.served import Served
from riserkit.rules._shared.shipped import SHIPPED_RULES
from riserkit.rules._shared.unused import ACCEPTANCE_UNUSED, unused_acceptances

INTERNAL_ERROR: Final = "internal error"
_log = logging.getLogger("riserkit.rules")


def check(
    design: Design, extra_rules: Sequence[Rule] = (), progress: Callable[[str, int, int], None] | None = None
) -> tuple[Finding, ...]:
    """Every rule's findings, passes included, acceptances applied, in a fixed order.

    An acceptance covers what it was written for, see `accept`. One that meets no finding, or only passing ones, is itself
    a note of the rule `acceptance-unused`, so that no acceptance outlives its cause unseen.

    Args:
        design: the whole design.
        extra_rules: of plugins, evaluated with the shipped ones.
        progress: called for every rule evaluated.

    Returns:
        Sorted by harm, then subject in the order a person counts (2 before 10), then severity; see `by_harm`.

    Raises:
        RuleError: two rules of one name, or a plugin's rule without a proper name, page or harm.
    """
    found: list[Finding] = []
    served = Served(design)
    rules = every_rule(extra_rules)
    for number, rule in enumerate(rules, start=1):
        found += (served.named(finding) for finding in _evaluated(rule, design))
        if progress is not None:
            progress("checking", number, len(rules))
    found += unused_acceptances(design.site, found)
    found.sort(key=by_harm)
    return accept(found, design.site.acceptances)


def every_rule(extra_rules: Iterable[Rule] = ()) -> tuple[Rule, ...]:
    """The shipped rules and these, checked.

    Raises:
        RuleError: two rules of one name, or an extra rule without a proper name, page or harm.
    """
    rules = {rule.name: rule for rule in SHIPPED_RULES}
    for rule in extra_rules:
        read_page(rule)
        harm_of(rule)
        if rule.name in rules or rule.name == ACCEPTANCE_UNUSED:
            raise RuleError(f"two rules are named {rule.name}; rename the plugin's")
        rules[rule.name] = rule
    return tuple(rules.values())


def _evaluated(rule: Rule, design: Design) -> Iterator[Finding]:
    """The rule's findings with its harm, where they state none of their own.

    One that breaks off at some openings is evaluated for the others without them, and is not evaluated at these, an error.
    What it found until then of anything else is kept; of the rest nothing is known, which is an error of the site.
    """
    found: list[Finding] = []
    try:
        found.extend(rule.evaluate(design))
    except FAILURES as error:
        _log.debug("rule %s broke off", rule.name, exc_info=True)
        found = [*_without_openings_that_fail(rule, design, found, error)]
    for finding in found:
        yield finding if finding.harm is not None else replace(finding, harm=rule.harm)


def _without_openings_that_fail(
    rule: Rule, design: Design, before: Sequence[Finding], error: Exception
) -> Iterator[Finding]:
    """Findings of the openings at which the rule does not break off, and an error at each of the others.

    Totals over openings would leave some out, so that they are taken from what was found before alone.
    """
    failing = {door.mark: why for door in design.doors if (why := _error_at(rule, design, (door,))) is not None}
    others = tuple(door for door in design.doors if door.mark not in failing)
    again = () if not failing else _found(rule, replace(design, doors=others))
    if not failing or isinstance(again, Exception):
        yield from before
        yield _broke_off(rule, ("site", design.site.info.name), error)
        return
    of_openings = [f for f in again if f.subject_kind == "opening" or f.concerns]
    totals = [f for f in before if f.subject_kind != "opening" and not f.concerns]
    yield from (*totals, *of_openings)
    for mark, why in failing.items():
        yield _broke_off(rule, ("opening", mark), why)
    if len(of_openings) < len(again) or totals:
        yield _broke_off(rule, ("site", design.site.info.name), error)


def _found(rule: Rule, design: Design) -> tuple[Finding, ...] | Exception:
    try:
        return tuple(rule.evaluate(design))
    except FAILURES as error:
        return error


def _error_at(rule: Rule, design: Design, doors: tuple[DoorDesign, ...]) -> Exception | None:
    """What the rule breaks off with where the design has these openings only."""
    found = _found(rule, replace(design, doors=doors))
    return found if isinstance(found, Exception) else None


def _broke_off(rule: Rule, subject: Subject, error: Exception) -> Finding:
    message = f"Not evaluated: internal error in rule {rule.name}: {visible(failure_words(error))}."
    remedy = "Check by hand what this rule checks, and report the message with the site that caused it."
    if subject[0] == "site":
        remedy = f"{remedy[:-1]}; findings of the rule on other subjects may be missing."
    found = not_evaluated(rule, subject, message, remedy, about=INTERNAL_ERROR)
    return replace(found, severity=Severity.ERROR)
