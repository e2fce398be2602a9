"""Closets, switches and openings under another id than at an issue: what was issued for them stays theirs.

A rename is stated, as `formerly`, or evident: one closet or opening went and one came at the same place; one switch went and one
came in the same closet, alike in everything but its names. Names may be exchanged or moved up by one where each of them is stated.
Where two could be meant nothing is carried over, and a rule says what is left without its thing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from riserkit.model.former import former_names
from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.quantities.grouping import grouped
from riserkit.record.facts import Facts, Row, stated_rows

Renames = Mapping[tuple[str, str], str]
"""By table and former id, the id now."""

_PLACE: Final = ("level", "x_m", "y_m")
# Where the key of a row names an opening: before a space, or before the number of one of its cables.
_LEADS: Final[Mapping[str, re.Pattern[str]]] = {
    "openings": re.compile("()(.+)"), "wiring": re.compile("()(.+)"), "cables": re.compile(r"()(.+?)(?=(?:-W\d+)?$)"),
    "conductors": re.compile(r"()(.+?)(?= (?:W\d+|lead) )"), "confirmations": re.compile(r"()(.+)(?= [a-z-]+$)"),
    "findings": re.compile(r"(opening )(.+?)(?= [a-z-]+(?: |$))"),
}  # fmt: skip
_NAMING: Final[Mapping[str, tuple[str, ...]]] = {
    "cables": ("from_id", "to_id"), "confirmations": ("opening",), "ports": ("opening",), "supplies": ("opening",),
}  # fmt: skip
_NAMES: Final = frozenset({"id", "name", "formerly", "closet"})


def renamed_between(before: Facts, now: Facts) -> Renames:
    """What was renamed from one set of facts to the next.

    Args:
        before: facts of an issue.
        now: of the next issue, or of the site as it is.
    """
    found: dict[tuple[str, str], str] = {}
    for table, alike in (("closets", _same_place), ("switches", _same_switch), ("openings", _same_place)):
        was, rows = before.get(table, {}), now.get(table, {})
        new = {name: row for name, row in rows.items() if name not in was}
        stated = dict(_stated(was, rows))
        gone = {name: row for name, row in was.items() if name not in rows and name not in stated}
        came = {name: row for name, row in new.items() if name not in stated.values()}
        evident = {}
        near, from_there = _by_place(table, came), _by_place(table, gone)
        for name, row in gone.items():
            fits = [other for other in near.get(_place(table, row), ()) if alike(row, came[other], found)]
            there = from_there[_place(table, row)]
            if len(fits) == 1 and sum(alike(gone[other], came[fits[0]], found) for other in there) == 1:
                evident[name] = fits[0]
        found |= {(table, name): other for name, other in (stated | evident).items()}
    return found


def _stated(was: Mapping[str, Row], rows: Mapping[str, Row]) -> Mapping[str, str]:
    """By former name the one now, of what has been stated since.

    A name that something else had before is taken only where that one states its own former name in turn.
    """
    since = {
        name: row["formerly"]
        for name, row in rows.items()
        if row.get("formerly", "") in was and was.get(name, {}).get("formerly", "") != row["formerly"]
    }
    while True:
        now = former_names({name: since.get(name, "") for name in rows})
        held = {name: former for former, name in now.items() if name not in was or name in now}
        if held == since:
            return now
        since = held


def renamed_since(facts: Sequence[Facts], site: Site) -> Sequence[Renames]:
    """For each issue, what its closets, switches and openings are called now.

    Args:
        facts: of the issues, the first issued first.
        site: as it is.
    """
    now: Facts = {table: stated_rows(site, table) for table in ("closets", "switches", "openings")}
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
    known: Mapping[str, Mapping[str, Any]] = {"closets": site.closet, "switches": site.switch, "openings": site.opening}
    stated = {
        (table, thing.formerly): name
        for table, things in known.items()
        for name, thing in things.items()
        if thing.formerly
    }  # fmt: skip
    return {
        key: name for key, name in ({**(since[0] if since else {}), **stated}).items() if key[1] not in known[key[0]]
    }


def under_new_names(labels: Iterable[IssuedLabel], renames: Renames) -> tuple[IssuedLabel, ...]:
    """Issued labels, each on its thing as it is called now. The label of an opening is its mark: with another mark, another."""
    return tuple(
        label if (subject := _subject(label, renames)) == label.subject else label.model_copy(update={"subject": subject})
        for label in labels
        if label.kind != "opening" or ("openings", label.subject) not in renames
    )  # fmt: skip


def facts_renamed(facts: Facts, renames: Renames) -> Facts:
    """Facts with openings called as they are now, so that a comparison says what changed of each.

    Its own mark, and labels made of it, stay in the row as they were: those did change.
    """
    marks = {name: other for (table, name), other in renames.items() if table == "openings"}
    if not marks:
        return facts
    found: dict[str, dict[str, Row]] = {}
    for kind, rows in facts.items():
        lead = _LEADS.get(kind)
        columns = _NAMING.get(kind, ())
        found[kind] = {
            name if lead is None else lead.sub(lambda m: m[1] + marks.get(m[2], m[2]), name, count=1): {
                column: marks.get(text, text) if column in columns else text for column, text in row.items()
            }
            for name, row in rows.items()
        }
    return found


def _subject(label: IssuedLabel, renames: Renames) -> str:
    if label.kind == "closet":
        return renames.get(("closets", label.subject), label.subject)
    if label.kind == "switch":
        return renames.get(("switches", label.subject), label.subject)
    if label.kind in ("port", "cable") and ("openings", label.subject) in renames:
        return renames["openings", label.subject]
    if label.kind == "port" and ":" in label.subject:
        switch, _, port = label.subject.rpartition(":")
        return f"{renames.get(('switches', switch), switch)}:{port}"
    if label.kind == "cable" and ">" in label.subject:
        first, _, rest = label.subject.partition(">")
        second, mark, number = rest.partition(">")
        return f"{renames.get(('closets', first), first)}>{renames.get(('closets', second), second)}{mark}{number}"
    return label.subject


def _place(table: str, row: Row) -> tuple[str, ...]:
    """Where a row is looked for among others: at its place, where it has one."""
    return () if table == "switches" else tuple(row.get(name, "") for name in _PLACE)


def _by_place(table: str, rows: Mapping[str, Row]) -> Mapping[tuple[str, ...], list[str]]:
    return grouped((_place(table, row), name) for name, row in rows.items())


def _same_place(was: Row, now: Row, _: Renames) -> bool:
    return all(was.get(name) == now.get(name) for name in _PLACE)


def _same_switch(was: Row, now: Row, renames: Renames) -> bool:
    closet = was.get("closet", "")
    plain = [{name: text for name, text in row.items() if name not in _NAMES and name != "ups"} for row in (was, now)]
    return plain[0] == plain[1] and now.get("closet") == renames.get(("closets", closet), closet)
