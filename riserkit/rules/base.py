"""What a rule is: a name in words, a page of its own, and a function from a design to findings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Protocol, runtime_checkable

from riserkit.design import Design
from riserkit.findings import Finding, Severity, Verdict


@runtime_checkable
class Rule(Protocol):
    """One rule.

    The class docstring is the rule's page, with the sections `Why`, `Measures`, `Limit`, `Remedy` and `Source`, in this order.
    """

    name: ClassVar[str]
    source: ClassVar[str]

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for everything the rule speaks of, passes included."""
        ...


def measured(
    rule: Rule, subject: tuple[str, str], value: float, limit: float, unit: str, *, message: str, at_most: bool = True,
    severity: Severity = Severity.ERROR, remedy: str = "", source: str = "",
) -> Finding:  # fmt: skip
    """A finding with a number. The limit itself passes.

    Args:
        rule: the rule that speaks.
        subject: (kind, id).
        value: measured, in `unit`.
        limit: in the same unit.
        unit: as printed.
        message: the whole sentence.
        at_most: the value may not exceed the limit; False: may not fall below it.
        severity: when it fails.
        remedy: printed only when it fails.
        source: when it differs from the rule's own.
    """
    margin = limit - value if at_most else value - limit
    # Lengths and volts come out of sums of decimals: a nanometre beyond the limit is the limit.
    passed = margin >= -1e-9
    return Finding(
        rule=rule.name, verdict=Verdict.PASS if passed else Verdict.FAIL, severity=severity, subject=subject[1],
        subject_kind=subject[0], message=message, source=source or rule.source, value=value, limit=limit, unit=unit,
        margin=margin, remedy="" if passed else remedy,
    )  # fmt: skip


def not_evaluated(rule: Rule, subject: tuple[str, str], message: str, remedy: str) -> Finding:
    """The rule cannot be evaluated for lack of data; says which."""
    return Finding(
        rule=rule.name, verdict=Verdict.NOT_EVALUATED, severity=Severity.WARNING, subject=subject[1],
        subject_kind=subject[0], message=message, source=rule.source, remedy=remedy,
    )  # fmt: skip
