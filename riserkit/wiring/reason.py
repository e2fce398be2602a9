"""One test of a candidate arrangement, as data; its sentence is made when it is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.quantities.printed import format_pair

SLACK: Final = 1e-9
"""A value on its limit passes, whatever the last bit of the arithmetic says."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One test of a candidate.

    Args:
        name: what was tested, in words, such as `output-limit`.
        passed: None when data is missing.
        what: the whole sentence of a test that is no number, else what was measured.
        value: the number that decided, in `unit`; None when unknown, as `limit`.
        limit: against what.
        unit: of both, as printed; empty for a test that is no number.
        at_most: the value may not exceed the limit; False: may not fall below it.
        why: why there is no value, where that is known, such as `not computed: over limit`.
    """

    name: str
    passed: bool | None
    what: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    at_most: bool = True
    why: str = ""

    @property
    def text(self) -> str:
        """The whole sentence."""
        if not self.unit:
            return self.what
        if self.why:
            return f"{self.what}: {self.why}"
        if self.value is None or self.limit is None:
            missing = "limit" if self.limit is None else "value"
            return f"{self.what}: not evaluated, the {missing} is unknown"
        word = "at most" if self.at_most else "at least"
        value, limit = format_pair(self.value, self.limit, self.unit, least_decimals=2)
        return f"{self.what} {value}, {word} {limit}"
