"""A mark for every door: its own where it is the only one of that name, else one made of the room's number and a letter.

A door that was imported before keeps the mark it was given then.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.importing.facts import DoorFact
from riserkit.importing.names import as_mark, folded_mark, letters, unlike
from riserkit.model.base import MARK_MAX_CHARS

RULE: Final = "the number of the room that the door secures and a letter, in reading order"


@dataclass(frozen=True, slots=True)
class Marked:
    """A door's mark, and from what it was made when it is not the document's own."""

    mark: str
    why: str = ""
    was: str = ""


def marks_of(
    doors: Sequence[DoorFact], rooms: Sequence[str], stated: Mapping[str, str], earlier: Mapping[int, str]
) -> tuple[Marked, ...]:
    """The marks of doors, in their order.

    Args:
        doors: those that become openings.
        rooms: of each the number of the room it secures; empty where that is not known.
        stated: what the user says under `[marks]`, by the document's own name.
        earlier: marks given at an earlier import, by the door's place in `doors`.
    """
    own = [stated.get(door.mark) or stated.get(door.identity) or as_mark(door.mark) for door in doors]
    said = {n for n, door in enumerate(doors) if stated.get(door.mark) or stated.get(door.identity)}
    count = Counter(folded_mark(mark) for mark in own if mark)
    found: dict[int, Marked] = {}
    for n, mark in enumerate(own):
        if mark and count[folded_mark(mark)] == 1:
            changed = mark != doors[n].mark
            why = (
                "stated under marks" if n in said else "signs that a mark may not have are replaced" if changed else ""
            )
            found[n] = Marked(mark, why, doors[n].mark if changed else "")
    taken = {one.mark for one in found.values()}
    for n, mark in earlier.items():
        if n not in found and mark not in taken:
            found[n] = Marked(mark, "as imported before", doors[n].mark)
            taken.add(mark)
    made = sorted((n for n in range(len(doors)) if n not in found), key=lambda n: _reading_order(doors[n]))
    several = Counter(rooms[n] for n in made)
    # a mark that is made is not to be mixed up with one that is given: no D01 beside a D-01
    alike = {folded_mark(mark) for mark in taken}
    given: Counter[str] = Counter()
    for n in made:
        room = as_mark(rooms[n])
        base = room or "D"
        alone = bool(room) and several[rooms[n]] == 1 and folded_mark(base) not in alike
        mark = base if alone else ""
        while not mark or folded_mark(mark) in alike:
            mark = f"{base}{letters(given[base])}" if room else f"D{given[base] + 1:02d}"
            given[base] += 1
        mark = unlike(mark[:MARK_MAX_CHARS], taken, MARK_MAX_CHARS)
        taken.add(mark)
        alike.add(folded_mark(mark))
        why = RULE if room else "numbered in reading order, as no room is known"
        found[n] = Marked(mark, f"{_lack(doors[n], count, own[n])}; {why}", doors[n].mark)
    return tuple(found[n] for n in range(len(doors)))


def _lack(door: DoorFact, count: Counter[str], own: str) -> str:
    if not door.mark:
        return "the document gives it no mark"
    return f"{count[folded_mark(own)]} doors are named {door.mark}" if own else f"{door.mark!r} cannot be a mark"


def _reading_order(door: DoorFact) -> tuple[str, float, float, str]:
    x, y = door.at_m or (0.0, 0.0)
    return door.level, -round(y, 2), round(x, 2), door.identity
