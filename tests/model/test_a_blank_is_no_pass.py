"""A number that makes a door fail, taken away, makes no pass of it: what is missing is named."""

from __future__ import annotations

import pytest

from riserkit.findings import Severity, Verdict
from tests.model.papers import findings, raw, refused, with_value

# Case, table, row, field, and a value with which something fails.
BAD = [
    ("unstated", "switches", 0, "poe_budget_w", 1),
    ("unstated", "switches", 0, "own_w", 5000),
    ("unstated", "upses", 0, "battery_ah", 0.1),
    ("unstated", "upses", 0, "efficiency", 0.02),
    ("unstated", "upses", 0, "end_v", 1),
    ("unstated", "upses", 0, "output_w", 1),
    ("watt-hours", "upses", 0, "battery_wh", 1),
    ("unstated", "info", 0, "standby_hours", 900),
    ("routed", "cable_types", 0, "outside_diameter_m", "19 mm"),
    ("own-supply", "parts", 1, "battery_ah", 0.01),
    ("own-supply", "parts", 1, "output_a", 0.01),
    ("own-supply", "parts", 1, "end_v", 2),
    ("own-supply", "parts", 1, "float_v", 90),
]  # fmt: skip


def not_passed(given):
    return [f for f in findings(given) if f.verdict is not Verdict.PASS]


@pytest.mark.parametrize(("case", "table", "row", "field", "value"), BAD)
def test_what_failed_by_a_number_is_not_passed_without_it(case, table, row, field, value):
    sound = {(f.rule, f.subject) for f in not_passed(raw(case))}
    failing = {(f.rule, f.subject) for f in not_passed(with_value(case, table, row, field, value))} - sound
    assert failing, "the value makes something fail"
    blank = with_value(case, table, row, field, None)
    if refused(blank):
        return
    left = not_passed(blank)
    silent = failing - {(f.rule, f.subject) for f in left}
    named = [f for f in left if field in f.message + f.remedy and f.severity is not Severity.NOTE]
    assert not silent or named, silent
