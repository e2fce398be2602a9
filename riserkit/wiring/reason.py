"""One test of a candidate arrangement, as data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """One test of a candidate.

    `name` says in words what was tested, such as `output-limit`; `passed` is None when data is missing. `value`
    and `limit` are the
    numbers that decided, in `unit`; None when the test is not a number. `text` is the whole sentence.
    """

    name: str
    passed: bool | None
    text: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
