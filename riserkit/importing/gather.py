"""The documents put together: one frame, one list of levels, and each door once, whichever documents speak of it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.importing.facts import (
    DocumentNote,
    DoorFact,
    Facts,
    HardwareSet,
    LevelFact,
    PathwayFact,
    RoomFact,
    Severity,
    WallFact,
)
from riserkit.importing.levels import KnownLevel, Levels
from riserkit.importing.names import folded_mark, folded_name
from riserkit.importing.placing import placed, placing_of
from riserkit.importing.regions import in_regions
from riserkit.importing.settings import DoorSettings, ImportSettings
from riserkit.quantities.grouping import grouped

WIDTH_APART_M: Final = 0.015
"""Widths of one door in two documents that differ by more are a question."""
_PREFIXES: Final = ("door", "dr", "d", "tur", "t")


@dataclass(frozen=True, slots=True)
class Gathered:
    """All documents as one; levels of all facts are ids."""

    levels: tuple[LevelFact, ...]
    rooms: tuple[RoomFact, ...]
    walls: tuple[WallFact, ...]
    doors: tuple[DoorFact, ...]
    unlisted: tuple[DoorFact, ...]
    pathways: tuple[PathwayFact, ...]
    sets: tuple[HardwareSet, ...]
    notes: tuple[DocumentNote, ...]


def gather(documents: Sequence[Facts], settings: ImportSettings, known: Sequence[KnownLevel]) -> Gathered:
    """Put documents together.

    Args:
        documents: what readers found, each in its own frame.
        settings: what the user says of them.
        known: levels that the site has, so that a document's level is found there by id, name or elevation.
    """
    documents = [in_regions(facts, settings.of(facts.document)) for facts in documents]
    notes = [note for facts in documents for note in facts.notes]
    in_place = [placed(facts, placing_of(settings.of(facts.document), facts.unit_m)) for facts in documents]
    levels = Levels(documents, settings, known, notes)
    for facts in in_place:
        levels.take(facts)
    level_of = [levels.map_of(facts) for facts in in_place]
    rooms = [replace(r, level=m[r.level]) for f, m in zip(in_place, level_of, strict=True) for r in f.rooms]
    walls = [replace(w, level=m[w.level]) for f, m in zip(in_place, level_of, strict=True) for w in f.walls]
    ways = [replace(p, level=m[p.level]) for f, m in zip(in_place, level_of, strict=True) for p in f.pathways]
    drawn: list[DoorFact] = []
    listed: list[DoorFact] = []
    for facts, names in zip(in_place, level_of, strict=True):
        doors = [replace(door, level=names[door.level]) for door in facts.doors]
        if facts.kind == "list":
            listed += doors
        else:
            drawn = _joined(drawn, doors, settings.doors, notes)
    is_list = any(facts.kind == "list" for facts in documents)
    doors, rest = _with_lists(drawn, listed, settings.doors.holds, notes) if is_list else (drawn, [])
    off = [door for door in doors if door.controlled is False] if settings.doors.keep != "all" else []
    doors = [door for door in doors if door not in off]
    if rest and settings.doors.keep == "all":
        doors, rest = [*doors, *rest], []
    elif rest:
        notes.append(
            DocumentNote("question", rest[0].at, f"{len(rest)} doors are drawn and on no list: left out, see left-out.csv",
                 'state doors.keep = "all" to take them too, "listed" when they have no access control')
            if not settings.doors.keep
            else DocumentNote("left", rest[0].at, f"{len(rest)} doors are drawn and on no list: left out, see left-out.csv")
        )  # fmt: skip
    rest += off
    # of a door that is left out nobody needs an answer
    gone = {door.mark for door in rest} - {door.mark for door in doors}
    notes = [note for note in notes if not (note.asks and note.door in gone)]
    levels.draw_on([facts for facts in documents if facts.kind == "plan"])
    sets = [one for facts in documents for one in facts.sets]
    return Gathered(
        tuple(levels.found()),
        tuple(rooms),
        tuple(walls),
        tuple(doors),
        tuple(rest),
        tuple(ways),
        tuple(sets),
        tuple(notes),
    )


def _joined(
    drawn: list[DoorFact], more: Sequence[DoorFact], settings: DoorSettings, notes: list[DocumentNote]
) -> list[DoorFact]:
    """Doors of one more plan or model: those that stand where one stands already are that one."""
    places = [(n, door) for n, door in enumerate(drawn) if door.at_m is not None]
    found, taken = list(drawn), set[int]()
    for door in more:
        near = list(_near(door, places, taken))
        if near and min(near)[0] <= settings.merge_within_m:
            index = min(near)[1]
            taken.add(index)
            found[index] = _one_door(drawn[index], door, settings.holds, notes)
        else:
            found.append(door)
    return found


def _near(
    door: DoorFact, places: Sequence[tuple[int, DoorFact]], taken: Collection[int]
) -> Iterator[tuple[float, int]]:
    for n, other in places:
        if door.at_m is not None and other.at_m is not None and n not in taken and other.level == door.level:
            yield math.dist(door.at_m, other.at_m), n


def _one_door(first: DoorFact, second: DoorFact, holds: Sequence[str], notes: list[DocumentNote]) -> DoorFact:
    """One door of two documents: what the first states stays, what it lacks the second gives.

    Of sizes that differ the one of the document that holds is taken; where the user says of neither, the first, and it is asked.
    """
    one, other = first.at.document, second.at.document
    ranked = [name for name in holds if name in (one, other)]
    taken: dict[str, float] = {}
    for field, apart in (("width_m", WIDTH_APART_M), ("height_m", WIDTH_APART_M)):
        was, is_now = getattr(first, field), getattr(second, field)
        if was is None or is_now is None or abs(was - is_now) <= apart:
            continue
        mark = first.mark or second.mark
        if ranked and ranked[0] == other and one != other:
            taken[field] = is_now
            was, is_now = is_now, was
        kept, left = (other, one) if field in taken else (one, other)
        asks = f"{field} of {kept} is taken, not of {left}"
        kind: Severity = "inferred" if ranked else "question"
        remedy = f'correct the wrong document, or state which one holds: doors.holds = ["{kept}"] in import.toml'
        notes.append(DocumentNote(kind, second.at, f"{was:g}, not {is_now:g}", "" if ranked else remedy, asks, mark))
    if first.level and second.level and first.level != second.level:
        asks = f"level of {one} is taken, not of {other}"
        remedy = "correct the wrong document, or state under levels in import.toml which names are one level"
        notes.append(
            DocumentNote(
                "question", second.at, f"{first.level}, not {second.level}", remedy, asks, first.mark or second.mark
            )
        )
    first = replace(
        first, width_m=taken.get("width_m", first.width_m), height_m=taken.get("height_m", first.height_m),
        inferred={**first.inferred, **dict.fromkeys(taken, f"{other} holds, as import.toml says")},
    )  # fmt: skip
    values = {
        name: getattr(second, name)
        for name in ("identity", "mark", "level", "at_m", "angle_deg", "width_m", "height_m", "leaves", "operation", "hinge_m",
                     "swings_deg", "rooms", "external", "fire_rating", "hardware_set")
        if getattr(first, name) in (None, "", ())
    }  # fmt: skip
    inferred = {**{k: v for k, v in second.inferred.items() if k in values}, **first.inferred}
    return replace(
        first, **values, inferred=inferred, stated={**second.stated, **first.stated},
        hardware=(*first.hardware, *second.hardware),
        remarks=(*first.remarks, *(x for x in second.remarks if x not in first.remarks)),
    )  # fmt: skip


def _with_lists(
    drawn: Sequence[DoorFact], listed: Sequence[DoorFact], holds: Sequence[str], notes: list[DocumentNote]
) -> tuple[list[DoorFact], list[DoorFact]]:
    """The doors of lists, with what plans and models say of them; and the drawn doors that no list names."""
    by_name = grouped((folded_name(door.mark), n) for n, door in enumerate(drawn) if door.mark)
    bare = _without_prefix(by_name)
    doors, used = [], set[int]()
    of_rows = {folded_mark(row.mark) for row in listed}
    for row in listed:
        name = folded_name(row.mark)
        alike = [n for n in by_name.get(name, ()) if n not in used]
        found = [n for n in alike if folded_mark(drawn[n].mark) == folded_mark(row.mark)]
        if not found:
            # `101` for `1.01`, unless another row of the list is 101
            found = [n for n in alike if folded_mark(drawn[n].mark) not in of_rows]
            notes += [
                DocumentNote("inferred", row.at, f"door {row.mark} is {drawn[n].mark} of {drawn[n].at}: the names differ by signs only",
                             "name it alike in both, or under marks")
                for n in found if len(found) == 1
            ]  # fmt: skip
        if not found and name:
            prefixed = [n for n in bare.get(_bare(name), ()) if n not in used]
            found = [n for n in prefixed if folded_mark(drawn[n].mark) not in of_rows]
            if len(found) == 1:
                notes.append(
                    DocumentNote("inferred", row.at, f"door {row.mark} is {drawn[found[0]].mark} of {drawn[found[0]].at}: the names "
                         "differ by a prefix only", "name it alike in both, or under marks")
                )  # fmt: skip
        on_level = [n for n in found if row.level and drawn[n].level == row.level]
        found = on_level or found
        if len(found) == 1:
            used.add(found[0])
            doors.append(_one_door(row, drawn[found[0]], holds, notes))
            continue
        if len(found) > 1:
            notes.append(
                DocumentNote("question", row.at, f"door {row.mark}: {len(found)} drawn doors have this mark; none is taken for it",
                     "name them apart, or under marks")
            )  # fmt: skip
        doors.append(row)
    return doors, [door for n, door in enumerate(drawn) if n not in used]


def _bare(name: str) -> str:
    for prefix in _PREFIXES:
        rest = name.removeprefix(prefix)
        if rest != name and rest[:1].isdigit():
            return rest
    return name


def _without_prefix(by_name: Mapping[str, Sequence[int]]) -> Mapping[str, list[int]]:
    found: dict[str, list[int]] = {}
    for name, places in by_name.items():
        found.setdefault(_bare(name), []).extend(places)
    return found
