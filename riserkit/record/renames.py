"""Closets and switches under another id than at an issue: what was issued for them stays theirs.

A rename is stated, as `formerly`, or evident: one closet went and one came at the same place; one switch went and one came in
the same closet, alike in everything but its names. Where two could be meant nothing is carried over, and a rule says what is
left without its thing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.record.facts import Facts, Row, stated_rows

Renames = Mapping[tuple[str, str], str]
"""By table and former id, the id now."""

_PLACE: Final = ("level", "x_m", "y_m")
_NAMES: Final = frozenset({"id", "name", "formerly", "closet"})


def renamed_between(before: Facts, now: Facts) -> Renames:
    """What was renamed from one set of facts to the next.

    Args:
        before: facts of an issue.
        now: of the next issue, or of the site as it is.
    """
    found: dict[tuple[str, str], str] = {}
    for table, alike in (("closets", _same_place), ("switches", _same_switch)):
        was, rows = before.get(table, {}), now.get(table, {})
        new = {name: row for name, row in rows.items() if name not in was}
        stated = {row["formerly"]: name for name, row in new.items() if row.get("formerly", "") in was}
        gone = {name: row for name, row in was.items() if name not in rows and name not in stated}
        came = {name: row for name, row in new.items() if name not in stated.values()}
        evident = {}
        for name, row in gone.items():
            fits = [other for other, its in came.items() if alike(row, its, found)]
            if len(fits) == 1 and sum(alike(its, came[fits[0]], found) for its in gone.values()) == 1:
                evident[name] = fits[0]
        found |= {(table, name): other for name, other in (stated | evident).items()}
    return found


def renamed_since(facts: Sequence[Facts], site: Site) -> Sequence[Renames]:
    """For each issue, what its closets and switches are called now.

    Args:
        facts: of the issues, the first issued first.
        site: as it is.
    """
    now: Facts = {table: stated_rows(site, table) for table in ("closets", "switches")}
    found: list[Renames] = []
    later: Renames = {}
    for before in reversed(facts):
        if before:  # an issue in the making has none yet
            step = renamed_between(before, now)
            first = {key: later.get((key[0], name), name) for key, name in step.items()}
            later, now = {**later, **first}, before
        found.append(later)
    return found[::-1]


def renames_of_lines(since: Sequence[Renames], site: Site) -> Renames:
    """What lines of the table of issued labels are to be read under: renames since the first issue, and stated ones.

    A line about something that is on the site by that id is about nothing else.
    """
    known = {"closets": site.closet, "switches": site.switch}
    stated = {
        (table, thing.formerly): thing.id
        for table in known
        for thing in getattr(site, table)
        if thing.formerly
    }  # fmt: skip
    return {
        key: name for key, name in ({**(since[0] if since else {}), **stated}).items() if key[1] not in known[key[0]]
    }


def under_new_names(labels: Iterable[IssuedLabel], renames: Renames) -> tuple[IssuedLabel, ...]:
    """Issued labels, each on its thing as it is called now."""
    return tuple(
        label if (subject := _subject(label, renames)) == label.subject else label.model_copy(update={"subject": subject})
        for label in labels
    )  # fmt: skip


def _subject(label: IssuedLabel, renames: Renames) -> str:
    if label.kind == "closet":
        return renames.get(("closets", label.subject), label.subject)
    if label.kind == "switch":
        return renames.get(("switches", label.subject), label.subject)
    if label.kind == "port" and ":" in label.subject:
        switch, _, port = label.subject.rpartition(":")
        return f"{renames.get(('switches', switch), switch)}:{port}"
    if label.kind == "cable" and ">" in label.subject:
        first, _, rest = label.subject.partition(">")
        second, mark, number = rest.partition(">")
        return f"{renames.get(('closets', first), first)}>{renames.get(('closets', second), second)}{mark}{number}"
    return label.subject


def _same_place(was: Row, now: Row, _: Renames) -> bool:
    return all(was.get(name) == now.get(name) for name in _PLACE)


def _same_switch(was: Row, now: Row, renames: Renames) -> bool:
    closet = was.get("closet", "")
    plain = [{name: text for name, text in row.items() if name not in _NAMES and name != "ups"} for row in (was, now)]
    return plain[0] == plain[1] and now.get("closet") == renames.get(("closets", closet), closet)
