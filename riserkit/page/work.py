"""What the pages of a site are read off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from riserkit.design import Design
from riserkit.drawings.door.notes import cautions
from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.holds import Holds, read_holds
from riserkit.drawings.set.plan import SetOptions
from riserkit.findings import Finding, at_openings
from riserkit.page.values import PageFrame


@dataclass(frozen=True)
class PageWork:
    """A site worked out and checked, with all that its pages are made from.

    Args:
        design: the design.
        findings: of its rules, acceptances applied.
        tests: what is measured at each opening, by mark.
        drawn: what is asked of the sheets that pages show.
        issue: revision of the set, in words.
        version: of the program.
    """

    design: Design
    findings: Sequence[Finding]
    tests: Mapping[str, DoorTest]
    drawn: SetOptions
    issue: str
    version: str = ""

    @cached_property
    def holds(self) -> Holds:
        """Openings on HOLD."""
        return read_holds(self.design, self.findings)

    @cached_property
    def findings_of(self) -> Mapping[str, tuple[Finding, ...]]:
        """Findings about each opening, those told of many at once among them."""
        found: dict[str, list[Finding]] = {}
        for finding in at_openings(self.findings):
            found.setdefault(finding.subject, []).append(finding)
        return {mark: tuple(few) for mark, few in found.items()}

    @cached_property
    def frame(self) -> PageFrame:
        """What every page says."""
        info = self.design.site.info
        site = " ".join(filter(None, (info.project_number, info.name)))
        return PageFrame(site, self.issue, cautions(self.design), self.version)
