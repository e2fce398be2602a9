"""The documents put together: one frame, one list of levels, and each door once, whichever documents speak of it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from riserkit.importing.facts import (
    At,
    DocumentNote,
    DoorFact,
    Facts,
    HardwareSet,
    LevelFact,
    PathwayFact,
    Point,
    RoomFact,
    Severity,
    WallFact,
)
from riserkit.importing.names import as_id, folded_mark, folded_name, level_named, storey_of, unlike
from riserkit.importing.placing import placed, placing_of
from riserkit.importing.regions import in_regions, region_backgrounds
from riserkit.importing.settings import DoorSettings, ImportSettings

WIDTH_APART_M: Final = 0.015
"""Widths of one door in two documents that differ by more are a question."""
_SAME_HEIGHT_M: Final = 0.05
_PREFIXES: Final = ("door", "dr", "d", "tur", "t")


@dataclass(frozen=True, slots=True)
class KnownLevel:
    """A level that the site has already."""

    id: str
    name: str
    elevation_m: float | None


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
    levels = _Levels(settings, known, notes)
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


class _Levels:
    """One list of levels for all documents; each document's own names lead into it."""

    def __init__(self, settings: ImportSettings, known: Sequence[KnownLevel], notes: list[DocumentNote]) -> None:
        self._settings, self._notes = settings, notes
        self._known = {level.id: level for level in known}
        self._facts: dict[str, LevelFact] = {}
        self._ids: dict[tuple[str, str], str] = {}

    def take(self, facts: Facts) -> None:
        """Take a document's levels; one that a list names only in its rows is taken as well."""
        for level in facts.levels:
            self._ids[facts.document, level.identity] = self._id(level)
        stated = {level.identity for level in facts.levels}
        things: tuple[DoorFact | RoomFact | WallFact | PathwayFact, ...]
        things = (*facts.doors, *facts.rooms, *facts.walls, *facts.pathways)
        for thing in things:
            if thing.level and thing.level not in stated:
                stated.add(thing.level)
                self._ids[facts.document, thing.level] = self._id(LevelFact(thing.at, thing.level, thing.level))
        if facts.kind == "plan" and not self._settings.of(facts.document).regions:
            self._ids[facts.document, ""] = self._of_plan(facts)

    def draw_on(self, plans: Sequence[Facts]) -> None:
        """Levels that one plan alone shows are drawn on it."""
        behind: list[tuple[str, tuple[str, float, Point, float]]] = []
        for facts in plans:
            stated = self._settings.of(facts.document)
            placing = placing_of(stated, facts.unit_m)
            whole = (facts.document, facts.unit_m * placing.factor, placing.shift_m, placing.turn_deg)
            regions = region_backgrounds(facts, stated, placing) if stated.regions else {"": whole}
            behind += [(self._ids[facts.document, name], drawing) for name, drawing in regions.items()]
        shown = [level for level, _ in behind]
        for level, background in behind:
            if shown.count(level) == 1 and level in self._facts:
                self._facts[level] = replace(self._facts[level], background=background)

    def map_of(self, facts: Facts) -> Mapping[str, str]:
        """By a document's own name of a level, its id; nothing named is nothing, but for a plan of one level."""
        return MappingProxyType({"": "", **{name: i for (doc, name), i in self._ids.items() if doc == facts.document}})

    def found(self) -> Iterable[LevelFact]:
        """The levels, `identity` their id. The lowest of those whose height nobody states is asked for."""
        unstated = [n for n, f in self._facts.items() if f.elevation_m is None and not self._has_height(n)]
        alone = len(self._facts) == 1 and not self._known
        for name, fact in self._facts.items():
            if name in unstated and alone:
                why = "the only level, so its floor is taken for the datum"
                self._notes.append(
                    DocumentNote("inferred", fact.at, f"level {name}: elevation_m 0: {why}", "state elevation_m")
                )
                yield replace(fact, elevation_m=0.0, inferred={**fact.inferred, "elevation_m": why})
                continue
            if name in unstated:
                self._notes.append(
                    DocumentNote("question", fact.at, f"level {name}: no document states its elevation",
                         f'state elevation_m in levels.csv, or under document."{fact.at.document}" in import.toml')
                )  # fmt: skip
            yield fact

    def _has_height(self, name: str) -> bool:
        return name in self._known and self._known[name].elevation_m is not None

    def _of_plan(self, facts: Facts) -> str:
        """The level that a plan shows: as stated, as its name or titles say, or the document's own."""
        stated = self._settings.of(facts.document)
        at, why = At(facts.document), ""
        name = stated.level
        if not name:
            titles = [level for level in facts.levels if level.name]
            name, why = (
                (titles[0].name, "a title of the drawing")
                if titles
                else (level_named(facts.document), "the file's name")
            )
        if not name:
            name, why = facts.document.rpartition(".")[0], "nothing names it, so it is called after the file"
        fact = LevelFact(at, name, name, stated.elevation_m, {"name": why} if why else {})
        found = self._id(fact)
        if why:
            self._notes.append(
                DocumentNote("inferred", at, f"shows level {found}: from {why}" if "nothing" not in why else f"shows level {found}: {why}",
                     f'state level under document."{facts.document}"')
            )  # fmt: skip
        return found

    def _id(self, level: LevelFact) -> str:
        mapped = self._settings.levels.get(level.name) or self._settings.levels.get(level.identity)
        name = mapped or level.name or level.identity
        found = self._same(name, level.elevation_m)
        if not found:
            found = unlike(as_id(name, "L"), self._facts)
        old = self._facts.get(found)
        if old is None or (old.elevation_m is None and level.elevation_m is not None):
            self._facts[found] = replace(level, identity=found, name=old.name if old else level.name)
        return found

    def _same(self, name: str, elevation_m: float | None) -> str:
        wanted = folded_name(name)
        for level in self._known.values():
            if wanted and wanted in (folded_name(level.id), folded_name(level.name)):
                return level.id
        for one, fact in self._facts.items():
            if wanted and wanted in (folded_name(one), folded_name(fact.name)):
                return one
        storey = storey_of(name)
        if storey is not None:
            named = [
                *((level.id, level.name) for level in self._known.values()),
                *((i, f.name) for i, f in self._facts.items()),
            ]
            alike = dict.fromkeys(i for i, called in named if storey in (storey_of(i), storey_of(called)))
            if len(alike) == 1:
                return next(iter(alike))
        short = wanted.removeprefix("level")
        for level in self._known.values():
            near = elevation_m is not None and level.elevation_m is not None
            if near and abs((elevation_m or 0) - (level.elevation_m or 0)) <= _SAME_HEIGHT_M:
                return level.id
            if short != wanted and short and folded_name(level.id) == f"l{short}":
                return level.id
        return ""


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
    by_name: dict[str, list[int]] = {}
    for n, door in enumerate(drawn):
        if door.mark:
            by_name.setdefault(folded_name(door.mark), []).append(n)
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
