"""A design with what the rules say of it: what drawings, papers and reports are made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from riserkit.design import Design
from riserkit.findings import AT_A_DOOR, Finding, Severity, at_openings
from riserkit.holds import Holds, read_holds
from riserkit.quantities.grouping import grouped


@dataclass(frozen=True)
class Checked:
    """A design with the findings of its rules, acceptances applied; none where nothing was checked."""

    design: Design
    findings: tuple[Finding, ...] = ()

    @property
    def open_errors(self) -> tuple[Finding, ...]:
        """Errors that nobody has accepted."""
        return tuple(f for f in self.findings if f.is_open and f.severity is Severity.ERROR)

    @cached_property
    def holds(self) -> Holds:
        """Openings on HOLD."""
        return read_holds(self.design, self.findings)

    @cached_property
    def findings_of(self) -> Mapping[str, tuple[Finding, ...]]:
        """Findings about each opening by its mark, those told of many at once among them."""
        found = grouped((f.subject, f) for f in at_openings(self.findings) if f.subject_kind in AT_A_DOOR)
        return {mark: tuple(few) for mark, few in found.items()}
