"""Rows that came back before openings, closets or switches were renamed: each is of what it was of, by its name now."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from riserkit.model.returned import Returned
from riserkit.model.site import Site
from riserkit.record.issue import Issue
from riserkit.record.renames import Renames, renamed_since
from riserkit.record.returns import FieldReturn

# By column the table that names what stands in it.
_NAMES: Final[Mapping[str, str]] = {
    "opening": "openings",
    "equipment": "switches",
    "closet": "closets",
    "used_closet": "closets",
}
DOOR_CABLE: Final = re.compile(r"(.+)-(W[0-9]+)")


def under_names_now(returns: Sequence[FieldReturn], issues: Sequence[Issue], site: Site) -> tuple[FieldReturn, ...]:
    """Returns with every row under the names that its opening, closet and switch have now.

    A return that came before the first issue stands as it is: nothing says what was renamed since.

    Args:
        returns: as they are on record.
        issues: of the site, the first issued first.
        site: as its tables state it.
    """
    if not any(one.after for one in returns):
        return tuple(returns)
    since = renamed_since([issue.facts for issue in issues], site)
    renames = {issue.revision: now for issue, now in zip(issues, since, strict=True)}
    return tuple(_renamed(one, renames.get(one.after, {})) for one in returns)


def marks_now(issues: Sequence[Issue], site: Site) -> Mapping[str, str]:
    """Openings that were issued under a mark that no opening has now, and what each is called; empty where it is gone."""
    facts = [issue.facts for issue in issues]
    found: dict[str, str] = {}
    for said, renames in zip(facts, renamed_since(facts, site), strict=True):
        for mark in said.get("openings", {}):
            if mark not in site.opening:
                found[mark] = renames.get(("openings", mark), "")
    return found


def row_now(row: Returned, now: Mapping[str, str]) -> Returned:
    """A row under the mark that its opening has now.

    Args:
        row: as it came back.
        now: by a mark that no opening has any more what it is called.
    """
    return _row(row, {("openings", mark): other for mark, other in now.items() if other})


def _renamed(one: FieldReturn, renames: Renames) -> FieldReturn:
    if not renames:
        return one
    return replace(one, rows={table: tuple(_row(row, renames) for row in rows) for table, rows in one.rows.items()})


def _row(row: Returned, renames: Renames) -> Returned:
    changed: dict[str, str] = {}
    for column in type(row).model_fields:
        text = getattr(row, column)
        if column in _NAMES:
            changed[column] = renames.get((_NAMES[column], text), text)
        elif column == "cable" and (label := DOOR_CABLE.fullmatch(text)):
            changed[column] = f"{renames.get(('openings', label[1]), label[1])}-{label[2]}"
    return row.model_copy(update={name: text for name, text in changed.items() if text != getattr(row, name)})
