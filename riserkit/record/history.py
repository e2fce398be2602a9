"""What the issues so far make of a site: its labels, its lines of the revision table, and what is marked on its sheets."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from riserkit.model.former import former_names
from riserkit.model.records import Revision
from riserkit.model.site import Site
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import upper_first
from riserkit.record.issue import Issue, IssuedSheet
from riserkit.record.renames import Renames, renamed_since, renames_of_lines, under_new_names

_AT_DOOR: Final = re.compile(r"(.+)-W(\d+)")
_OF_THE_NETWORK: Final = frozenset({"", "data", "backbone"})

Lines = Mapping[str, tuple[str, ...]]


def with_issues(site: Site, issues: Sequence[Issue]) -> Site:
    """The site with the labels and revisions of its issues, and with date and status of the last.

    Labels of a closet, switch or opening that has been renamed since stand on it as it is called now.
    What its own tables state of a label counts before them, and so does a date that is later than the last issue's; a
    revision on record counts before a stated line.

    Args:
        site: as it was read.
        issues: the first issued first.
    """
    renames = renamed_since([issue.facts for issue in issues], site)
    stated_labels = under_new_names(site.issued_labels, renames_of_lines(renames, site))
    earlier = _earlier_marks(site, issues, renames)
    if not issues:
        changed: dict[str, object] = {"issued_labels": stated_labels, "earlier_marks": earlier}
        return site if stated_labels == site.issued_labels and not earlier else site.model_copy(update=changed)
    labels = {
        (label.kind, label.subject): label
        for issue, now in zip(issues, renames, strict=True)
        for label in under_new_names(issue.labels, now)
    }
    labels |= {(label.kind, label.subject): label for label in stated_labels}
    issued = [revision_of(issue) for issue in issues]
    names = {revision.index for revision in issued}
    stated = [revision for revision in site.revisions if revision.index not in names]
    info, last = site.info, issues[-1]
    if info.issue_date <= last.date:
        info = info.model_copy(update={"issue_date": last.date, "status": last.purpose})
    changed = {
        "info": info, "issued_labels": tuple(labels.values()), "revisions": (*stated, *issued), "earlier_marks": earlier,
        "issued_cables": tuple(_issued_cables(issues, renames)),
    }  # fmt: skip
    return site.model_copy(update=changed)


def _earlier_marks(site: Site, issues: Sequence[Issue], since: Sequence[Renames]) -> tuple[tuple[str, str], ...]:
    """The marks of openings with another one at an issue, each with the last of those; stated ones where they can be."""
    found = {now: was for renames in since for (table, was), now in renames.items() if table == "openings"}
    issued = [issue.facts.get("openings", {}) for issue in issues]
    stated = {
        now: was
        for was, now in former_names({one.mark: one.formerly for one in site.openings}).items()
        if was not in site.opening and not any(was in rows and now in rows for rows in issued)
    }
    return tuple(sorted({**found, **stated}.items()))


def _issued_cables(issues: Sequence[Issue], since: Sequence[Renames]) -> Iterator[tuple[str, str, int]]:
    """(mark as it is now, what it serves, number) of each cable at a door that was ever issued.

    What the last issue says of a number holds; what an earlier one says of another number for the same use does too, where
    the use was gone in between.
    """
    served: dict[str, dict[int, str]] = {}
    for issue, now in zip(issues, since, strict=True):
        rows = issue.facts.get("cables", {})
        here: dict[str, dict[int, str]] = {}
        for subject, row in rows.items():
            if row.get("serves", "") not in _OF_THE_NETWORK and (found := _AT_DOOR.fullmatch(subject)):
                mark = now.get(("openings", found[1]), found[1])
                here.setdefault(mark, {})[int(found[2])] = row["serves"]
        for mark, numbers in here.items():
            uses = set(numbers.values())
            before = {number: "" if use in uses else use for number, use in served.get(mark, {}).items()}
            served[mark] = before | numbers
    for mark, numbers in sorted(served.items()):
        yield from ((mark, use, number) for number, use in sorted(numbers.items()))


def revision_of(issue: Issue) -> Revision:
    """The line of the revision table that an issue adds to the sheets that it changed."""
    sheets = [sheet.number for sheet in issue.sheets if sheet.revision == issue.revision and not sheet.void]
    return Revision(
        index=issue.revision,
        date=issue.date,
        description=issue.note or upper_first(issue.purpose),
        name=issue.name,
        sheets=", ".join(sheets),
    )


def clouded(issues: Sequence[Issue]) -> Mapping[str, Lines]:
    """By sheet what the last issue changed; a first issue changes nothing."""
    return {s.number: s.changed for s in issues[-1].sheets if _is_marked(s, issues[-1])} if issues else {}


def deltas(issues: Iterable[Issue]) -> Mapping[str, tuple[tuple[str, Lines], ...]]:
    """By sheet, the letter of each issue that changed something on it, with what it changed."""
    found = grouped(
        (sheet.number, (issue.revision, sheet.changed))
        for issue in issues
        for sheet in issue.sheets
        if _is_marked(sheet, issue)
    )
    return {number: tuple(marked) for number, marked in found.items()}


def lines_of(issue: Issue) -> Mapping[str, frozenset[str]]:
    """Everything that an issue's sheets said, by id of the thing."""
    found: dict[str, set[str]] = {}
    for sheet in issue.sheets:
        for name, lines in sheet.content.items():
            found.setdefault(name, set()).update(lines)
    return {name: frozenset(lines) for name, lines in found.items()}


def moved_openings(before: Mapping[str, str], now: Mapping[str, str]) -> Mapping[str, str]:
    """By typical sheet, where the openings that came to it stood, and where those that left it stand.

    Args:
        before: by sheet the openings that it showed, as `3, 5`.
        now: the same of the new issue.

    Examples:
        >>> dict(moved_openings({"T-511": "3, 4, 5"}, {"T-511": "3", "T-512": "4, 5"}))
        {'T-511': 'openings 4, 5 now on T-512', 'T-512': 'openings 4, 5 from T-511'}
    """
    was = {mark: sheet for sheet, marks in before.items() for mark in marks.split(", ") if mark}
    stands = {mark: sheet for sheet, marks in now.items() for mark in marks.split(", ") if mark}
    moved: dict[tuple[str, str, str], list[str]] = {}
    for mark, sheet in stands.items():
        if was.get(mark, sheet) != sheet:
            moved.setdefault((sheet, "from", was[mark]), []).append(mark)
            moved.setdefault((was[mark], "now on", sheet), []).append(mark)
    found: dict[str, list[str]] = {}
    for (sheet, how, other), marks in sorted(moved.items()):
        word = "opening" if len(marks) == 1 else "openings"
        found.setdefault(sheet, []).append(f"{word} {', '.join(marks)} {how} {other}")
    return {sheet: "; ".join(words) for sheet, words in found.items()}


def _is_marked(sheet: IssuedSheet, issue: Issue) -> bool:
    return bool(sheet.changed) and sheet.revision == issue.revision and not sheet.void
