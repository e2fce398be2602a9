"""Levels of all documents as one list: which names are one storey, how high it stands, which plan it is drawn on."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from riserkit.importing.facts import (
    At,
    DocumentNote,
    DoorFact,
    Facts,
    LevelFact,
    PathwayFact,
    Point,
    RoomFact,
    WallFact,
)
from riserkit.importing.names import (
    as_id,
    folded_level,
    folded_name,
    is_ground,
    is_ordinal,
    level_named,
    storey_of,
    unlike,
)
from riserkit.importing.placing import placing_of
from riserkit.importing.regions import region_backgrounds
from riserkit.importing.settings import ImportSettings

_SAME_HEIGHT_M: Final = 0.05


@dataclass(frozen=True, slots=True)
class KnownLevel:
    """A level that the site has already."""

    id: str
    name: str
    elevation_m: float | None


class Levels:
    """One list of levels for all documents; each document's own names lead into it."""

    def __init__(
        self,
        documents: Sequence[Facts],
        settings: ImportSettings,
        known: Sequence[KnownLevel],
        notes: list[DocumentNote],
    ) -> None:
        self._settings, self._notes = settings, notes
        self._known = {level.id: level for level in known}
        self._facts: dict[str, LevelFact] = {}
        self._ids: dict[tuple[str, str], str] = {}
        self._names = {*_names_of(documents, settings), *(text for level in known for text in (level.id, level.name))}

    def take(self, facts: Facts) -> None:
        """Take a document's levels; one that a list names only in its rows is taken as well."""
        for level in facts.levels:
            self._ids[facts.document, level.identity] = self._id(level, facts.kind)
        stated = {level.identity for level in facts.levels}
        things: tuple[DoorFact | RoomFact | WallFact | PathwayFact, ...]
        things = (*facts.doors, *facts.rooms, *facts.walls, *facts.pathways)
        for thing in things:
            if thing.level and thing.level not in stated:
                stated.add(thing.level)
                self._ids[facts.document, thing.level] = self._id(
                    LevelFact(thing.at, thing.level, thing.level), facts.kind
                )
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

    def _id(self, level: LevelFact, kind: str = "list") -> str:
        mapped = self._settings.levels.get(level.name) or self._settings.levels.get(level.identity)
        name = mapped or level.name or level.identity
        # storeys that a plan or a model keeps apart are several, whatever they are called
        apart = {i for (doc, _), i in self._ids.items() if doc == level.at.document} if kind != "list" else set()
        found = self._called(name) or ("" if mapped else self._same(level, name, apart))
        if not found:
            found = unlike(as_id(name, "L"), self._facts)
        old = self._facts.get(found)
        if old is None or (old.elevation_m is None and level.elevation_m is not None):
            self._facts[found] = replace(level, identity=found, name=old.name if old else level.name)
        return found

    def _called(self, name: str) -> str:
        """The level that has this very name."""
        wanted = folded_level(name)
        for level in self._known.values():
            if wanted and wanted in (folded_level(level.id), folded_level(level.name)):
                return level.id
        for one, fact in self._facts.items():
            if wanted and wanted in (folded_level(one), folded_level(fact.name)):
                return one
        return ""

    def _same(self, level: LevelFact, name: str, apart: Collection[str]) -> str:
        """The level that another name can only mean, which is told; where it may be another it is asked, and is none."""
        storey = storey_of(name)
        if storey is not None:
            alike = [i for i in self._of_storey(storey) if i not in apart and self._is_as_high(i, level.elevation_m)]
            if len(alike) == 1 and not self._counts_otherwise(alike[0], name):
                self._tell(level, name, alike[0], f"both are storey {storey}")
                return alike[0]
            if alike:
                text = f"level {name} may be {', '.join(alike)} or a storey beside it; it is taken for another"
                remedy = f'state "{name}" = "{alike[0]}" under levels in import.toml, or its own name'
                self._notes.append(DocumentNote("question", level.at, text, remedy))
        elevation_m, plain = level.elevation_m, folded_name(name)
        short = plain.removeprefix("level") if storey is None else plain
        for known in self._known.values():
            near = elevation_m is not None and known.elevation_m is not None
            if near and abs((elevation_m or 0) - (known.elevation_m or 0)) <= _SAME_HEIGHT_M and known.id not in apart:
                self._tell(level, name, known.id, "they are as high")
                return known.id
            if short and short != plain and folded_name(known.id) == f"l{short}" and known.id not in apart:
                self._tell(level, name, known.id, "L stands for level")
                return known.id
        return ""

    def _tell(self, level: LevelFact, name: str, found: str, why: str) -> None:
        remedy = f'state "{name}" under levels in import.toml if it is another'
        self._notes.append(DocumentNote("inferred", level.at, f"level {name} is {found}: {why}", remedy))

    def _of_storey(self, storey: int) -> Iterable[str]:
        named = [
            *((level.id, level.name) for level in self._known.values()),
            *((i, f.name) for i, f in self._facts.items()),
        ]
        return dict.fromkeys(i for i, called in named if storey in (storey_of(i), storey_of(called)))

    def _is_as_high(self, found: str, elevation_m: float | None) -> bool:
        """Whether nothing says that a level is at another height."""
        heights = [one[found].elevation_m for one in (self._known, self._facts) if found in one]
        return elevation_m is None or all(h is None or abs(h - elevation_m) <= _SAME_HEIGHT_M for h in heights)

    def _counts_otherwise(self, found: str, name: str) -> bool:
        """Whether a counted storey and a numbered one may be two: where a ground floor is named in one way of counting only."""
        called = self._facts[found].name if found in self._facts else self._known[found].name
        one, other = is_ordinal(name), is_ordinal(called) or is_ordinal(found)
        has_nought = any(storey_of(n) == 0 and not is_ground(n) for n in self._names)
        return one != other and has_nought != any(map(is_ground, self._names))


def _names_of(documents: Sequence[Facts], settings: ImportSettings) -> Iterator[str]:
    """Every name of a level that the documents speak of."""
    for facts in documents:
        yield settings.of(facts.document).level or level_named(facts.document)
        for level in facts.levels:
            yield from (level.identity, level.name)
        yield from (thing.level for things in (facts.doors, facts.rooms, facts.walls) for thing in things)
