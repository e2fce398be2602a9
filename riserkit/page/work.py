"""What the pages of a site are read off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from riserkit.checked import Checked
from riserkit.design import DoorDesign
from riserkit.drawings.door.notes import cautions
from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions
from riserkit.findings import AT_A_DOOR, Finding, Severity, Verdict
from riserkit.holds import heading_of
from riserkit.page.values import PageFrame
from riserkit.wiring.values import DoorWiring

OVERVIEW, FINDINGS, ACCEPTANCE = "index.html", "findings.html", "acceptance.html"
_PAGES = ((OVERVIEW, "Overview"), (FINDINGS, "Findings"), (ACCEPTANCE, "Acceptance"))


@dataclass(frozen=True)
class PageWork(Checked):
    """A site worked out and checked, with all that its pages are made from.

    Args:
        design, findings: as `Checked` has them.
        tests: what is measured at each opening, by mark.
        drawn: what is asked of the sheets that pages show.
        issue: revision and status of the set, in words.
        changed: by mark, what has changed of a door since it was issued, in words.
        version: of the program.
        judged: every opening's wiring with all candidates judged, by mark.
        sheets: what pages show in place of the sheets of a set, where there is no set.
        groups: by mark, what doors are grouped by in place of their levels, where there is no building.
    """

    tests: Mapping[str, DoorTest] = field(default_factory=dict)
    drawn: SetOptions = field(default_factory=SetOptions)
    issue: str = ""
    changed: Mapping[str, str] = field(default_factory=dict)
    version: str = ""
    judged: Mapping[str, DoorWiring] = field(default_factory=dict)
    sheets: tuple[SheetJob, ...] = ()
    groups: Mapping[str, str] = field(default_factory=dict)

    def marks_of(self, finding: Finding) -> tuple[str, ...]:
        """The openings that a finding concerns: its own, those it names, and those that hang on what fails."""
        failed = finding.verdict is not Verdict.PASS and finding.severity is Severity.ERROR
        own = (finding.subject,) if finding.subject_kind in AT_A_DOOR else ()
        named = (*own, *finding.concerns, *(finding.serves if failed else ()))
        return tuple(dict.fromkeys(mark for mark in named if mark in self.design.door))

    def level_name(self, door: DoorDesign) -> str:
        """The level of a door as people call it, or what stands in its place."""
        if door.mark in self.groups:
            return self.groups[door.mark]
        return self.design.site.level_name(door.opening.level)

    @cached_property
    def frame(self) -> PageFrame:
        """What every page says."""
        info = self.design.site.info
        site = info.project
        return PageFrame(site, self.issue, cautions(self.design), heading_of(self.design), self.version, _PAGES)
