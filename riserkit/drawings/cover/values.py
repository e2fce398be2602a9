"""The sheet index of a set, and how long lists of door details and of schedules are grouped in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.holds import HOLD
from riserkit.quantities.grouping import grouped
from riserkit.quantities.natural_order import runs

MOST_SINGLE: Final = 60
"""Door details, and sheets of schedules, listed one by one; more are listed by level or by schedule, with the first and the last."""


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """One sheet of the set. Entries of one `group`, not empty, may be listed together; `group` then names them.

    `held` names the opening on HOLD that the sheet is about; empty for any other. `kind` is that of the sheet.
    """

    sheet_id: str
    title: str
    group: str = ""
    held: str = ""
    kind: str = "door"

    @property
    def words(self) -> str:
        """The title, with HOLD before it where it applies."""
        return f"{HOLD}: {self.title}" if self.held else self.title


def index_rows(entries: Sequence[IndexEntry]) -> tuple[tuple[str, str], ...]:
    """Rows of the sheet index: identification, or the first and the last of a group, and title.

    Examples:
        >>> index_rows([IndexEntry("T-101", "Plan, Ground floor")])
        (('T-101', 'Plan, Ground floor'),)
    """
    times = Counter(entry.kind for entry in entries if entry.group)
    return tuple(_rows(entries, {kind for kind, count in times.items() if count > MOST_SINGLE}))


def _rows(entries: Sequence[IndexEntry], listed: Collection[str]) -> Iterator[tuple[str, str]]:
    groups = [entry.group if entry.kind in listed else "" for entry in entries]
    members = grouped((group, entry) for entry, group in zip(entries, groups, strict=True))
    told: set[str] = set()
    for entry, group in zip(entries, groups, strict=True):
        if not group or len(members[group]) == 1:
            yield entry.sheet_id, entry.words
        elif group not in told:
            told.add(group)
            first, last = members[group][0].sheet_id, members[group][-1].sheet_id
            held = runs(list(dict.fromkeys(member.held for member in members[group] if member.held)))
            hold = f". {HOLD}: {', '.join(held)}" if held else ""
            order = ", by the marks of the openings" if entry.kind == "door" else ""
            yield f"{first} … {last}", f"{group}, {len(members[group])} sheets{order}{hold}"
