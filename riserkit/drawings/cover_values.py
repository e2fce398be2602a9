"""The sheet index of a set, and how long lists of door details are grouped in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

MOST_SINGLE: Final = 60
"""Door details listed one by one; more are listed by level, first to last."""


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """One sheet of the set. Entries of one `group`, not empty, may be listed together; `group` then names them."""

    sheet_id: str
    title: str
    group: str = ""


def index_rows(entries: Sequence[IndexEntry]) -> tuple[tuple[str, str], ...]:
    """Rows of the sheet index: identification, or the first and the last of a group, and title.

    Examples:
        >>> index_rows([IndexEntry("T-101", "Plan, Ground floor")])
        (('T-101', 'Plan, Ground floor'),)
    """
    grouped = sum(bool(entry.group) for entry in entries) > MOST_SINGLE
    return tuple(_rows(entries, grouped=grouped))


def _rows(entries: Sequence[IndexEntry], *, grouped: bool) -> Iterator[tuple[str, str]]:
    for group, found in groupby(entries, key=lambda entry: entry.group if grouped else ""):
        members = list(found)
        if not group or len(members) == 1:
            yield from ((entry.sheet_id, entry.title) for entry in members)
        else:
            ids = f"{members[0].sheet_id} to {members[-1].sheet_id}"
            yield ids, f"{group}, {len(members)} sheets, one for each opening in the order of the schedule"
