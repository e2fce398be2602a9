"""What every paper of a site is made from, and what its pages all say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from riserkit.checked import Checked
from riserkit.design import DoorDesign
from riserkit.drawings.door.readings import DoorTest
from riserkit.field.blocks import PaperBlock
from riserkit.field.paper import Paper
from riserkit.field.revision import PaperRevision, door_revision, last_issued, site_revision
from riserkit.findings import Finding
from riserkit.quantities.printed import upper_first
from riserkit.record.facts import Facts
from riserkit.record.issue import Issue
from riserkit.reports.materials.facts import design_facts


@dataclass(frozen=True)
class FieldWork(Checked):
    """A site worked out and checked, with all that its papers are made from.

    Args:
        design, findings: as `Checked` has them.
        tests: what is measured at each opening, by mark.
        issues: on record, the first issued first.
        block_folders: the site's own blocks.
        of_design: those of the findings that the design has by itself, which an issue keeps; all of them when left out.
            What was found on the drawings is no change of the design.
    """

    tests: Mapping[str, DoorTest] = field(default_factory=dict)
    issues: Sequence[Issue] = ()
    block_folders: tuple[Path, ...] = field(default=(), repr=False)
    of_design: Sequence[Finding] | None = field(default=None, repr=False)

    @cached_property
    def facts(self) -> Facts:
        """What the design says, to be compared with what was issued."""
        findings = self.findings if self.of_design is None else self.of_design
        return design_facts(self.design, findings) if self.issues else {}

    @cached_property
    def last_issued(self) -> Facts:
        """What the last issue says, with openings called as they are now."""
        return last_issued(self.issues, self.facts)

    @property
    def project(self) -> str:
        """Number and name of the site."""
        return self.design.site.info.project

    @property
    def short_project(self) -> str:
        """Number of the site, else its name: what a QR code has room for."""
        info = self.design.site.info
        return info.project_number or info.name

    def revision_of(self, door: DoorDesign) -> PaperRevision:
        """The revision of a paper about a door."""
        return door_revision(self.design, door, self.issues, self.facts, self.last_issued)

    @cached_property
    def revision(self) -> PaperRevision:
        """The revision of a paper about the site."""
        return site_revision(self.design, self.issues, self.facts)

    def status_of(self, revision: PaperRevision) -> str:
        """What a paper of this revision may be used for; nothing where its subject has changed since."""
        status = self.design.site.info.status
        return "" if revision.changed else upper_first(status)

    def paper(self, subject: str, title: str, blocks: Sequence[PaperBlock], *, code: bool = True) -> Paper:
        """A paper about the site or one of its closets."""
        info, revision = self.design.site.info, self.revision
        approved = "" if revision.changed else info.approved_by
        said = f"{subject}; {revision.code}; {self.short_project}" if code else ""
        return Paper(
            subject, title, self.project, revision.words, self.status_of(revision), approved, tuple(blocks), code=said
        )
