"""Which revision a paper of a door is of, and whether the door has changed since: read off the issues on record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.drawings.setting.frames import NOT_DATED, issued_on
from riserkit.record.facts import Facts, Row, as_recorded
from riserkit.record.issue import Issue
from riserkit.record.renames import facts_renamed, renamed_between
from riserkit.standards.sheets import door_sheet_id

_WHOLE: Final = ("site",)
"""What is said of the site as a whole holds for each of its doors: temperatures, cords, codes."""
_ITSELF: Final = ("openings", "wiring")
_OF_FEED: Final = {
    "supplies": ("part", "closet", "opening", "on_battery", "minus_joined"),
    "switches": ("poe_class", "port_classes"),
}
"""What is stated of the supply and the switch that feed a door and is measured there."""
_WORDS: Final = {"supplies": "supply", "switches": "switch"}


@dataclass(frozen=True, slots=True)
class PaperRevision:
    """The revision of a paper.

    Args:
        letter: of the issue that changed its subject last; empty where nothing has been issued.
        date: of that issue, or of the set as stated.
        changed: what has changed of it since that issue, in words; empty where nothing has.
    """

    letter: str
    date: str
    changed: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """For the head of a page: a paper of a changed design never passes for the issued one."""
        if not self.letter:
            return f"Not issued, {'not dated' if self.date == NOT_DATED else f'dated {self.date}'}"
        if self.changed:
            return f"CHANGED SINCE revision {self.letter} of {self.date}, not issued"
        return f"Revision {self.letter}, {self.date}"

    @property
    def code(self) -> str:
        """For a QR code."""
        if not self.letter:
            return "not issued"
        return f"changed since revision {self.letter}" if self.changed else f"revision {self.letter}"


def site_revision(design: Design, issues: Sequence[Issue], facts: Facts) -> PaperRevision:
    """The revision of a paper about the whole site: the last issue's."""
    if not issues:
        return _stated(design, "")
    last = issues[-1]
    return PaperRevision(
        last.revision, last.date.isoformat(), ("the design",) if as_recorded(last.facts, facts) != facts else ()
    )


def last_issued(issues: Sequence[Issue], facts: Facts) -> Facts:
    """What the last issue says, with openings called as they are now; nothing where nothing is on record."""
    if not issues:
        return {}
    was = as_recorded(issues[-1].facts, facts)
    return facts_renamed(was, renamed_between(was, facts))


def door_revision(design: Design, door: DoorDesign, issues: Sequence[Issue], facts: Facts, was: Facts) -> PaperRevision:
    """The revision of a paper about one door.

    Args:
        design: the whole design.
        door: the opening.
        issues: on record, the first issued first.
        facts: of the design as it is.
        was: as `last_issued` has it.
    """
    if not issues:
        return _stated(design, door_sheet_id(door.mark))
    changed = tuple(dict.fromkeys(_differing(_about(door, was), _about(door, facts))))
    issue = _changed_last(door, issues)
    return PaperRevision(issue.revision, issue.date.isoformat(), changed)


def _stated(design: Design, sheet_id: str) -> PaperRevision:
    """By the site's own table of revisions, where nothing is on record."""
    last = next((r for r in reversed(design.site.revisions) if not sheet_id or r.changes(sheet_id)), None)
    if last is None:
        return PaperRevision("", issued_on(design.site.info))
    return PaperRevision(last.index, last.date.isoformat())


def _changed_last(door: DoorDesign, issues: Sequence[Issue]) -> Issue:
    """The issue that revised the door's own sheet; without one, the last in which what is said of it was new."""
    number = door_sheet_id(door.mark)
    sheet = next((s for s in issues[-1].sheets if s.number == number), None)
    if sheet is not None:
        return next((issue for issue in issues if issue.revision == sheet.revision), issues[-1])
    for before, issue in zip(reversed(issues[:-1]), reversed(issues[1:]), strict=True):
        if _about(door, before.facts) != _about(door, issue.facts):
            return issue
    return issues[0]


Said = Mapping[tuple[str, str], Row]


def _about(door: DoorDesign, facts: Facts) -> Said:
    """What facts say of a door, by kind and subject: itself, its cables, conductors and port, the parts and cables it has.

    The supply and the switch that feed it count: another supply is measured otherwise.
    """
    own = re.compile(rf"{re.escape(door.mark)}(?:-W\d+)?")
    rows = {(kind, name): row for kind in _WHOLE for name, row in facts.get(kind, {}).items()}
    rows |= {(kind, door.mark): facts[kind][door.mark] for kind in _ITSELF if door.mark in facts.get(kind, {})}
    cables = {name: row for name, row in facts.get("cables", {}).items() if own.fullmatch(name)}
    rows |= {("cables", name): row for name, row in cables.items()}
    rows |= {
        ("conductors", name): row
        for name, row in facts.get("conductors", {}).items()
        if name.startswith(f"{door.mark} ")
    }
    rows |= {("ports", name): row for name, row in facts.get("ports", {}).items() if row.get("opening") == door.mark}
    used = {"cable_types": {row.get("cable_type", "") for row in cables.values()}, "parts": _parts(door)}
    for kind, names in used.items():
        rows |= {(kind, name): row for name, row in facts.get(kind, {}).items() if name in names}
    feeds = {
        "supplies": door.wiring.drawn.supply_id if door.wiring.drawn else "",
        "switches": door.placement.switch if door.placement else "",
    }
    for kind, name in feeds.items():
        row = facts.get(kind, {}).get(name, {})
        rows[kind, name] = {column: row[column] for column in _OF_FEED[kind] if column in row}
    return rows


def _parts(door: DoorDesign) -> set[str]:
    netlist = door.wiring.netlist
    return {component.part for component in netlist.components} if netlist is not None else set()


def _differing(was: Said, now: Said) -> Iterator[str]:
    """What differs, in words: a kind and its subject."""
    for kind, subject in sorted({*was, *now}):
        if was.get((kind, subject)) != now.get((kind, subject)):
            word = _WORDS.get(kind, kind.removesuffix("s").replace("_", " "))
            yield "facts of the site" if kind in _WHOLE else word if kind in _ITSELF else f"{word} {subject}"
