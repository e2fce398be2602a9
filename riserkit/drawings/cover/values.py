"""The sheet index of a set, and how long lists of door details are grouped in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.holds import HOLD
from riserkit.quantities.natural_order import runs

MOST_SINGLE: Final = 60
"""Door details listed one by one; more are listed by level, with the first and the last."""


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """One sheet of the set. Entries of one `group`, not empty, may be listed together; `group` then names them.

    `held` names the opening on HOLD that the sheet is about; empty for any other.
    """

    sheet_id: str
    title: str
    group: str = ""
    held: str = ""

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
    grouped = sum(bool(entry.group) for entry in entries) > MOST_SINGLE
    return tuple(_rows(entries, grouped=grouped))


def _rows(entries: Sequence[IndexEntry], *, grouped: bool) -> Iterator[tuple[str, str]]:
    members: dict[str, list[IndexEntry]] = {}
    for entry in entries:
        members.setdefault(entry.group if grouped else "", []).append(entry)
    told: set[str] = set()
    for entry in entries:
        group = entry.group if grouped else ""
        if not group or len(members[group]) == 1:
            yield entry.sheet_id, entry.words
        elif group not in told:
            told.add(group)
            first, last = members[group][0].sheet_id, members[group][-1].sheet_id
            held = runs(list(dict.fromkeys(member.held for member in members[group] if member.held)))
            hold = f". {HOLD}: {', '.join(held)}" if held else ""
            yield f"{first} … {last}", f"{group}, {len(members[group])} sheets, by the marks of the openings{hold}"
