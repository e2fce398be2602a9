"""A site against its issues: what has changed since, and a new issue."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from riserkit.pipeline import Progress, check_site, no_progress
from riserkit.record.compare import Difference, compare
from riserkit.record.errors import RecordError
from riserkit.record.facts import facts_of
from riserkit.record.issue import Issue
from riserkit.record.store import issues_folder, read_issues


def issue_of(site: Path, issues: Sequence[Issue], revision: str | None) -> Issue:
    """The issue of this revision, or the last.

    Raises:
        RecordError: there is none.
    """
    if not issues:
        raise RecordError(f"nothing of {site} has been issued: {issues_folder(site)} holds no issue")
    if revision is None:
        return issues[-1]
    for issue in issues:
        if issue.revision == revision:
            return issue
    raise RecordError(f"revision {revision} is not on record; issued so far: {', '.join(i.revision for i in issues)}")


def compare_site(
    site: Path, revision: str | None = None, options: Mapping[str, str] | None = None, progress: Progress = no_progress
) -> tuple[Issue, Difference]:
    """What has changed since an issue.

    Args:
        site: where the site stands.
        revision: of the issue; the last when left out.
        options: settings of the input format.
        progress: told of every step.

    Raises:
        RiserkitError: there is no such issue, or the site has problems.
    """
    issue = issue_of(site, read_issues(site), revision)
    checked = check_site(site, options, progress=progress)
    return issue, compare(issue.facts, facts_of(checked.design, checked.findings))
