"""A site against its issues: what has changed since, and a new issue."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from riserkit.checked import Checked
from riserkit.drawings.revisions.values import SheetContent, SheetRevisions, new_lines
from riserkit.drawings.set.ahead import Ahead
from riserkit.drawings.set.content import SheetSaid, set_content
from riserkit.field.transmittal import register_pdf, transmittal_pdf
from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.pipeline import AS_BUILT, Progress, as_it_was_built, check_site, no_progress, read_to_work, work_out
from riserkit.plugin.read import read_stated
from riserkit.quantities.printed import UnitSystem
from riserkit.record.compare import Difference, compare
from riserkit.record.errors import RecordError
from riserkit.record.facts import as_recorded
from riserkit.record.history import deltas, lines_of, moved_openings, with_issues
from riserkit.record.issue import Issue, IssuedSheet
from riserkit.record.photos import photos_folder
from riserkit.record.renames import Renames, facts_renamed, renamed_between, renamed_since
from riserkit.record.store import REVISION_RULE, issues_folder, revision_order, write_issue
from riserkit.reports.materials.facts import design_facts
from riserkit.reports.register import register_table, transmittal_table
from riserkit.results.build import (
    BuildOptions,
    Built,
    Wanted,
    build_checked,
    kept_work,
    revised_sheets,
    set_options,
    with_tables,
    write_table,
)
from riserkit.results.folder import folder_beside, looked_over
from riserkit.standards.sheets import door_sheet_id, numbered_sheet_id

Purpose = Literal["for approval", "for construction", "as built"]


@dataclass(frozen=True, slots=True)
class NewIssue:
    """What a new issue is.

    Args:
        revision: its letter, or a number before the first letter.
        date: that it bears; never the clock's.
        purpose: what the set may be used for; printed on every sheet.
        name: who issues it.
        note: what it is about, for the table of revisions.
    """

    revision: str
    date: datetime.date
    purpose: Purpose
    name: str
    note: str = ""


@dataclass(frozen=True)
class Issued:
    """What was issued: the record, what changed since the one before, and what was written."""

    issue: Issue
    difference: Difference
    built: Built
    record: Path

    @property
    def revised(self) -> tuple[IssuedSheet, ...]:
        """Sheets that this issue changed, added or withdrew."""
        return tuple(s for s in self.issue.sheets if s.revision == self.issue.revision)


@dataclass(frozen=True, slots=True)
class Compared:
    """What has changed since an issue, and the units in which the site reads it."""

    issue: Issue
    difference: Difference
    unit_system: UnitSystem


def compare_site(
    site: Path, revision: str | None = None, options: Mapping[str, str] | None = None, progress: Progress = no_progress,
    *, as_built: bool = False,
) -> Compared:  # fmt: skip
    """What has changed since an issue.

    Args:
        site: path of the site.
        revision: of the issue; the last when left out.
        options: settings of the input format.
        progress: called for every step.
        as_built: compare the site as it was built.

    Raises:
        RiserkitError: there is no such issue, or the site has problems.
    """
    stated, issues = read_to_work(site, options, as_built=as_built)
    issue = _issue_of(site, issues, revision)
    checked = check_site(stated, progress=progress)
    renames = renamed_since([one.facts for one in issues], stated)[issues.index(issue)]
    facts = design_facts(checked.design, checked.findings)
    difference = compare(facts_renamed(as_recorded(issue.facts, facts), renames), facts)
    return Compared(issue, difference, checked.design.site.info.unit_system)


def _issue_of(site: Path, issues: Sequence[Issue], revision: str | None) -> Issue:
    if not issues:
        raise RecordError(f"nothing of {site} has been issued: {issues_folder(site)} holds no issue")
    if revision is None:
        return issues[-1]
    for issue in issues:
        if issue.revision == revision:
            return issue
    raise RecordError(f"revision {revision} is not on record; issued so far: {', '.join(i.revision for i in issues)}")


def issue_site(
    site: Path, output: Path, new: NewIssue, options: BuildOptions | None = None, progress: Progress = no_progress
) -> Issued:
    """Build the set as a new issue and put it on record in the site.

    Only sheets whose content changed take the new revision; what changed on them is clouded.

    Args:
        site: path of the site.
        output: the folder of results.
        new: the issue.
        options: of the build.
        progress: called for every step.

    Raises:
        RiserkitError: the revision does not follow those on record, the site has problems, or something cannot be written.
    """
    asked = options or BuildOptions()
    stated, issues = read_stated(site, asked.reading)
    _refuse(new, issues)
    if new.purpose == AS_BUILT:
        stated = as_it_was_built(stated, issues, site)
        _refuse_before_returns(new, stated)
    # Worked out and laid out with the new line of the revision table, which every sheet leaves room for.
    bare = Issue(new.revision, new.date, new.purpose, new.name, new.note, (), {})
    if stated.info.issue_date > new.date and "issue_date" in stated.info.model_fields_set:
        raise RecordError(
            f"the site states issue_date {stated.info.issue_date.isoformat()}, after {new.date.isoformat()}: issue with that "
            "date, or correct it"
        )
    target, found = looked_over(output, keeps_foreign=asked.keep_edits)
    kept = kept_work(target)
    checked = work_out(with_issues(stated, (*issues, bare)), progress=progress, kept=kept)
    facts = design_facts(checked.design, checked.findings)
    renames = renamed_between(issues[-1].facts, facts) if issues else {}
    difference = (
        compare(facts_renamed(as_recorded(issues[-1].facts, facts), renames), facts) if issues else Difference()
    )
    follows = _Follows(new, issues, renames)
    with folder_beside(target) as place:
        likely = _with_issues(checked, (*issues, replace(bare, sheets=follows.likely(stated))))
        plain, tables = with_tables(likely, set_options(site, asked, {}))
        ahead = Ahead(place, follows.marked, plain.inspects)
        said = set_content(likely, plain, progress, ahead)
        issue = replace(bare, labels=_labels(checked, said), facts=facts, sheets=tuple(follows.sheets(said)))
        every = (*issues, issue)

        def more(folder: Path) -> None:
            register = register_table(every)
            write_table(folder, register)
            write_table(folder, transmittal_table(checked.design.site, issue))
            (folder / "register.pdf").write_bytes(register_pdf(checked.design.site, issue, register))
            (folder / "transmittal.pdf").write_bytes(transmittal_pdf(checked.design.site, issue))

        drawn = {sheet.sheet_id: sheet.drawn for sheet in said if sheet.drawn is not None}
        wanted = Wanted(
            asked, replace(plain, revised=revised_sheets(every)), every, photos_folder(site), more,
            tables=tables, ahead=drawn,
        )  # fmt: skip
        built = build_checked(_with_issues(checked, every), target, wanted, progress, found)
    return Issued(issue, difference, built, write_issue(site, issue))


def _with_issues(checked: Checked, issues: Sequence[Issue]) -> Checked:
    return replace(checked, design=replace(checked.design, site=with_issues(checked.design.site, issues)))


def _refuse(new: NewIssue, issues: Sequence[Issue]) -> None:
    if not REVISION_RULE.fullmatch(new.revision):
        raise RecordError(
            f"revision {new.revision[:20]!r}: expected a letter without I, O, Q, S, X and Z, or a number before the first "
            "letter"
        )
    if not issues:
        return
    last = issues[-1]
    if revision_order(new.revision) <= revision_order(last.revision):
        raise RecordError(f"revision {new.revision} does not follow {last.revision}, the last on record")
    if new.date < last.date:
        raise RecordError(
            f"revision {new.revision} is dated {new.date.isoformat()}, before {last.revision} of {last.date.isoformat()}"
        )


def _refuse_before_returns(new: NewIssue, stated: Site) -> None:
    last = stated.as_built.last_date if stated.as_built else None
    if last is not None and new.date < last:
        raise RecordError(
            f"revision {new.revision} is dated {new.date.isoformat()}, before the last row that came back, of {last.isoformat()}"
        )


def _labels(checked: Checked, said: Sequence[SheetSaid]) -> tuple[IssuedLabel, ...]:
    """Every label issued so far, numbers of sheets among them."""
    issued = {(label.kind, label.subject): label for label in checked.design.labels.issued}
    for sheet in said:
        if sheet.on_record:
            label = IssuedLabel(kind="sheet", subject=sheet.on_record, label=sheet.sheet_id)
            issued.setdefault((label.kind, label.subject), label)
    return tuple(issued.values())


class _Follows:
    """How each sheet of a new issue follows from what it says and from the issues before."""

    def __init__(self, new: NewIssue, issues: Sequence[Issue], renames: Renames) -> None:
        before = issues[-1] if issues else None
        self._new = new
        self._earlier = {sheet.number: sheet for sheet in before.sheets} if before else {}
        self._was = lines_of(before) if before else {}
        self._deltas = deltas(issues)
        self._now = {was: now for (table, was), now in renames.items() if table == "openings"}
        self._all_change = before is None or before.purpose != new.purpose

    def likely(self, site: Site) -> tuple[IssuedSheet, ...]:
        """What most likely takes the new revision, before anything is drawn: the cover, and sheets of new openings.

        None where every sheet takes it.
        """
        new = self._new
        doors = (door_sheet_id(opening.mark) for opening in site.openings)
        numbers = [numbered_sheet_id("0", 1), *(number for number in doors if number not in self._earlier)]
        sheets = (IssuedSheet(number, "", "", "", new.revision, new.date, {}) for number in numbers)
        return () if self._all_change else tuple(sheets)

    def marked(self, number: str, content: SheetContent) -> SheetRevisions | None:
        """What is clouded and marked with deltas on a sheet that says this."""
        sheet, before = self._sheet(SheetSaid(number, "", "", "", content)), self._deltas.get(number, ())
        if sheet.revision == self._new.revision and sheet.changed:
            return SheetRevisions(sheet.changed, (*before, (sheet.revision, sheet.changed)))
        return SheetRevisions({}, before) if before else None

    def sheets(self, said: Sequence[SheetSaid]) -> Iterator[IssuedSheet]:
        """Every sheet with its own revision; what is gone is void, and keeps its number."""
        new, left = self._new, dict(self._earlier)
        moved = moved_openings(
            {s.number: s.subject for s in left.values() if s.kind == "typical" and not s.void},
            {s.sheet_id: s.subject for s in said if s.kind == "typical"},
        )
        were = {now: f"opening {now}, formerly {was}" for was, now in self._now.items()}
        for sheet in said:
            left.pop(sheet.sheet_id, None)
            issued = self._sheet(sheet)
            note = moved.get(sheet.sheet_id, were.get(sheet.subject, ""))
            yield replace(issued, note=note) if issued.revision == new.revision else issued
        for old in left.values():
            other = self._now.get(old.subject, "")
            note = moved.get(old.number, f"opening {old.subject} is now {other}" if other else "")
            yield (
                old
                if old.void
                else replace(old, revision=new.revision, date=new.date, changed={}, void=True, note=note)
            )

    def _sheet(self, said: SheetSaid) -> IssuedSheet:
        """One sheet as it is issued, all but the note of what moved."""
        new, old = self._new, self._earlier.get(said.sheet_id)
        is_new = old is None or old.void
        if old is not None and not is_new and old.content == said.content and not self._all_change:
            return replace(old, title=said.title, subject=said.subject)
        changed = {} if is_new else new_lines(self._was, said.content)
        return IssuedSheet(
            said.sheet_id, said.title, said.kind, said.subject, new.revision, new.date, said.content, changed, is_new
        )
