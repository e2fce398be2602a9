"""Facts made into rows of a site's tables: each cell with where it was found and from what it was inferred."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol

from riserkit.importing.asked_once import asked_once
from riserkit.importing.carriers import pathways_of
from riserkit.importing.closets import Proposal, proposed_closets
from riserkit.importing.facts import DocumentNote, DoorFact, HardwareSet, LevelFact, Point, RoomFact
from riserkit.importing.gather import Gathered
from riserkit.importing.hardware import fail_mode_of, understand
from riserkit.importing.hardware_sets import HardwareSets
from riserkit.importing.marks import Marked, marks_of
from riserkit.importing.names import as_id, number_text, unlike
from riserkit.importing.ratings import minutes_of
from riserkit.importing.row import ImportedCell, Row
from riserkit.importing.settings import ImportSettings
from riserkit.importing.sides import RoomFinder, Secured, Side, hand, may_be, other_side, secured_side
from riserkit.model.parts import Part
from riserkit.model.tables import fields_of
from riserkit.quantities.stated import parse_quantity

REMARKS: Final = "remarks"
_LEAST_M: Final = 0.3
"""Below it no door is as wide or as high: a slip of the unit, or of a sign between thousands."""
_LIKELY_PAIR_M: Final = 1.4
"""Single leaves are narrower (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Imported:
    """The documents as rows by table.

    Args of note:
        without_place: marks of openings whose place no document gives.
        left_out: doors that no list names, for the user to take in by hand.
    """

    tables: Mapping[str, tuple[Row, ...]]
    proposals: tuple[Proposal, ...] = ()
    notes: tuple[DocumentNote, ...] = ()
    left_out: tuple[Row, ...] = ()
    without_place: tuple[str, ...] = ()


@dataclass(slots=True)
class _Maker:
    """Gathers rows and what is to be said of them."""

    gathered: Gathered
    settings: ImportSettings
    parts: Sequence[Part]
    notes: list[DocumentNote] = field(default_factory=list)
    sets: HardwareSets = field(init=False)

    def __post_init__(self) -> None:
        self.sets = HardwareSets(self.gathered.sets)


def rows_of(
    gathered: Gathered, settings: ImportSettings, parts: Sequence[Part], earlier: Mapping[str, str] | None = None
) -> Imported:
    """The rows of all documents.

    Args:
        gathered: the documents put together.
        settings: what the user says of them.
        parts: those that words of hardware may name.
        earlier: marks given at an earlier import, by the door's identity.
    """
    maker = _Maker(gathered, settings, parts, list(gathered.notes))
    rooms = _rooms(gathered.rooms)
    doors = (*gathered.doors, *gathered.unlisted)
    finder = RoomFinder(gathered.rooms, [wall for wall in gathered.walls if wall.is_line], doors)
    openings = _openings(maker, gathered.doors, finder, earlier or {})
    left_out = _openings(_Maker(gathered, settings, parts), gathered.unlisted, finder, earlier or {})
    nodes, segments = pathways_of(gathered.pathways)
    tables = {
        "levels": tuple(_level(level) for level in gathered.levels),
        "rooms": tuple(rooms),
        "walls": tuple(_walls(gathered, maker.notes)),
        "openings": openings,
        "pathway_nodes": nodes,
        "pathway_segments": segments,
    }
    for room in (room for room in gathered.rooms if not room.outline_m):
        told = f"room {room.label}: it has no outline, so it is no row of rooms.csv"
        maker.notes.append(DocumentNote("left", room.at, told))
    lost = tuple(row.key for row in openings if "x_m" not in row.cells)
    proposals = tuple(proposed_closets(gathered.rooms, {row.key for row in (*openings, *left_out)}))
    notes = asked_once(maker.notes)
    return Imported({n: rows for n, rows in tables.items() if rows}, proposals, notes, left_out, lost)


def _level(level: LevelFact) -> Row:
    cells = {"id": ImportedCell(level.identity, level.at, level.inferred.get("name", ""))}
    if level.name and level.name != level.identity:
        cells["name"] = ImportedCell(level.name, level.at)
    if level.elevation_m is not None:
        why = level.inferred.get("elevation_m", "")
        cells["elevation_m"] = ImportedCell(number_text(level.elevation_m), level.at, why)
    if level.background is not None:
        file, unit_m, (x_m, y_m), turn_deg = level.background
        cells["background"] = ImportedCell(f"backgrounds/{file}", level.at, "the plan that shows the level")
        for column, value in (("scale", unit_m), ("x_m", x_m), ("y_m", y_m), ("deg", turn_deg)):
            cells[f"background_{column}"] = ImportedCell(number_text(value, 6), level.at)
    return Row(level.identity, cells, level.identity)


def _rooms(rooms: Sequence[RoomFact]) -> Iterator[Row]:
    taken: set[str] = set()
    for room in rooms:
        if not room.outline_m:
            continue
        wanted = as_id(room.number or room.name, "room")
        name = unlike(wanted, taken)
        taken.add(name)
        why = "" if name == room.number else "made of its number" if room.number else "made of its name"
        cells = {"id": ImportedCell(name, room.at, why), "level": ImportedCell(room.level, room.at)}
        if room.name:
            cells["name"] = ImportedCell(room.name[:400], room.at, room.inferred.get("name", ""))
        wkt = _polygon(room.outline_m, room.holes_m)
        cells["outline_wkt"] = ImportedCell(wkt, room.at, room.inferred.get("outline_m", ""))
        yield Row(name, cells, room.identity)


def _polygon(outline_m: Sequence[Point], holes_m: Sequence[Sequence[Point]]) -> str:
    rings = []
    for ring in (outline_m, *holes_m):
        closed = ring if ring[0] == ring[-1] else (*ring, ring[0])
        rings.append("(" + ", ".join(f"{number_text(x)} {number_text(y)}" for x, y in closed) + ")")
    return f"POLYGON ({', '.join(rings)})"


def _walls(gathered: Gathered, notes: list[DocumentNote]) -> Iterator[Row]:
    seen: set[tuple[str, str]] = set()
    for wall in gathered.walls:
        # A wall that is drawn as a line has no footprint; it serves to see rooms apart, not as a row.
        if wall.is_line or len(wall.outline_m) < 3:
            continue
        wkt = _polygon(wall.outline_m, wall.holes_m)
        if (wall.level, wkt) in seen:
            continue
        if len(wkt) > 200_000:
            told = f"a wall of {len(wall.outline_m)} corners is left out"
            notes.append(DocumentNote("left", wall.at, told, "draw it in pieces"))
            continue
        seen.add((wall.level, wkt))
        cells = {"level": ImportedCell(wall.level, wall.at), "outline_wkt": ImportedCell(wkt, wall.at)}
        yield Row(f"{wall.level} {wkt}", cells)


def _openings(
    maker: _Maker, doors: Sequence[DoorFact], finder: RoomFinder, earlier: Mapping[str, str]
) -> tuple[Row, ...]:
    sides = [finder.sides(door) for door in doors]
    words = maker.settings.sides.circulation
    secured = [secured_side(d, s, words) if s is not None else None for d, s in zip(doors, sides, strict=True)]
    rooms = [_number(s, c) for s, c in zip(sides, secured, strict=True)]
    before = {n: earlier[door.identity] for n, door in enumerate(doors) if door.identity in earlier}
    marks = marks_of(doors, rooms, maker.settings.marks, before)
    return tuple(
        _opening(maker, door, mark, side, inside)
        for door, mark, side, inside in zip(doors, marks, sides, secured, strict=True)
    )


def _number(sides: tuple[Side, Side] | None, secured: Secured | None) -> str:
    """The number of the room that a mark is made of: the secured one, else either."""
    if sides is None:
        return ""
    ordered = other_side(sides, secured.deg) if secured else sides
    return next((side.room.number or side.room.name for side in ordered if side.room is not None), "")


def _opening(
    maker: _Maker, door: DoorFact, mark: Marked, sides: tuple[Side, Side] | None, secured: Secured | None
) -> Row:
    cells: dict[str, ImportedCell] = {}
    remarks = list(door.remarks)

    def put(column: str, text: str, field_name: str = "", why: str = "") -> None:
        cells[column] = ImportedCell(text, door.at, why or door.inferred.get(field_name or column, ""))

    put("mark", mark.mark, why=mark.why)
    if mark.was and mark.was != mark.mark:
        remarks.append(f"in the document: {mark.was}")
    if door.level:
        put("level", door.level)
    if door.at_m is not None:
        put("x_m", number_text(door.at_m[0]), "at_m")
        put("y_m", number_text(door.at_m[1]), "at_m")
    if door.leaves is not None:
        put("type", "double" if door.leaves == 2 else "single", "leaves")
    for column in ("width_m", "height_m"):
        value = getattr(door, column)
        if value is not None and _LEAST_M <= value <= 20:
            put(column, number_text(value))
        elif value is not None:
            remarks.append(f"{column}: {value:g}")
            text = f"door {mark.mark}: {value:g} m is no {column[:-2]} of a door; it stands in the remarks"
            maker.notes.append(DocumentNote("question", door.at, text, f"state its {column} in openings.csv"))
    if door.angle_deg is not None:
        put("angle_deg", number_text(round(door.angle_deg, 2) % 180, 2))
    if door.operation not in ("", "swing"):
        remarks.append(f"operation: {door.operation}")
    if door.external is not None:
        put("outdoor", "yes" if door.external else "no", "external")
    _fire(maker, door, put, remarks)
    _stated(door, put, remarks)
    _hardware(maker, door, mark.mark, put, remarks)
    _ask_of_fail_mode(maker, door, mark.mark, cells)
    if sides is not None:
        _sides(maker, door, sides, secured, put, remarks)
    if remarks:
        put(REMARKS, "; ".join(" ".join(x.split()).replace(";", ",") for x in dict.fromkeys(remarks)))
    return Row(mark.mark, cells, door.identity or mark.mark, door)


def _fire(maker: _Maker, door: DoorFact, put: _Put, remarks: list[str]) -> None:
    if not door.fire_rating:
        return
    minutes, why = minutes_of(door.fire_rating)
    if minutes is not None:
        put("fire_rating_min", f"{minutes:g}", "fire_rating", why)
        return
    remarks.append(f"fire rating: {door.fire_rating}")
    asks = "fire ratings that are not understood stand in the remarks"
    remedy = "state fire_rating_min in openings.csv"
    maker.notes.append(DocumentNote("left", door.at, f"{door.fire_rating[:60]!r}", remedy, asks, door.mark))


def _stated(door: DoorFact, put: _Put, remarks: list[str]) -> None:
    for column, text in door.stated.items():
        facts = fields_of("openings").get(column)
        if facts is not None and facts.kind == "quantity":
            try:
                put(column, number_text(parse_quantity(text, facts.suffix)))
            except ValueError:
                remarks.append(f"{column}: {text}")
        elif facts is not None:
            put(column, text)
        else:
            remarks.append(f"{column}: {text}")


def _spelt_out(maker: _Maker, door: DoorFact) -> Sequence[tuple[str, str]]:
    """The door's hardware, with the items of a set where a cell holds no more than its name, such as `AC-2`."""
    return [item for heading, text in door.hardware for item in maker.sets.items(text) or ((heading, text),)]


def _set_of(maker: _Maker, door: DoorFact, remarks: list[str]) -> Sequence[HardwareSet]:
    """The door's hardware set, in as many parts as documents describe it; one that none describes, or several, is asked."""
    name = door.hardware_set
    found = maker.sets.named(name) if name else ()
    if found and found[0].name.casefold() != name.casefold():
        asks = f"the hardware set is read as the one that {found[0].at.document} describes under another name"
        said = f"{name} as {found[0].name}"
        maker.notes.append(DocumentNote("inferred", door.at, said, "name sets alike", asks, door.mark))
    elif name and not found:
        asks, remedy = "no table describes the hardware set", "send the table of hardware sets as a source too"
        if alike := maker.sets.alike(name):
            asks = f"the hardware set may be {' or '.join(alike)}; none is taken"
            remedy = "name the set in the list as its table does"
        maker.notes.append(DocumentNote("question", door.at, name, remedy, asks, door.mark))
        remarks.append(f"hardware set: {name}")
    return found


def _hardware(maker: _Maker, door: DoorFact, mark: str, put: _Put, remarks: list[str]) -> None:
    own = understand(_spelt_out(maker, door), maker.parts, maker.settings.words)
    found = _set_of(maker, door, remarks)
    of_set = understand([item for one in found for item in one.items], maker.parts, maker.settings.words)
    for understood, origin in ((of_set, f"hardware set {door.hardware_set}"), (own, "")):
        for column, (value, words) in understood.values.items():
            # a set that is used for pairs and single doors alike lists the locks of a pair
            if column not in door.stated and (column != "lock_count" or door.leaves == 2):
                put(column, value, why=f"{origin}: {words}" if origin else words)
            elif column == "lock_count" and door.leaves is None and (door.width_m or 0.0) >= _LIKELY_PAIR_M:
                text = f"door {mark}: two locks ({words}), and nothing says that it is a pair; one is taken"
                maker.notes.append(DocumentNote("question", door.at, text, "state type and lock_count in openings.csv"))
            elif column == "lock_count" and column not in door.stated:
                asks = "two locks are listed, as of a pair; of a single door one is taken"
                maker.notes.append(
                    DocumentNote("inferred", door.at, words, "state lock_count in openings.csv", asks, mark)
                )
        remarks += [f"{origin}: {text}" if origin else text for text in understood.left]
        if understood.left:
            told = DocumentNote(
                "left", found[0].at if origin and found else door.at, ", ".join(understood.left),
                "state under words what they mean", f"words of {origin or 'hardware'} that name nothing known stand in the remarks", mark
            )  # fmt: skip
            maker.notes.append(told)
        for asked in understood.asked:
            if understood is of_set and asked.column in own.values:
                continue  # what the door's own row says of it is plain
            said = f"{origin}: {asked}" if origin else f"door {door.mark}: {asked}"
            note = DocumentNote("question", found[0].at if origin and found else door.at, said)
            if note not in maker.notes:
                maker.notes.append(note)


def _ask_of_fail_mode(maker: _Maker, door: DoorFact, mark: str, cells: Mapping[str, ImportedCell]) -> None:
    """A remark that speaks of another fail mode than the opening's, or of one where it has none."""
    taken = cells["fail_mode"].text if "fail_mode" in cells else ""
    for remark in door.remarks:
        said = fail_mode_of(remark)
        # what heads a section is asked of the whole list
        if said and said != taken and not remark.startswith("section: "):
            text = f"door {mark}: {taken or 'no fail mode'} is taken, and its remarks say {remark[:80]!r}"
            maker.notes.append(DocumentNote("question", door.at, text, "state fail_mode in openings.csv"))


def _sides(
    maker: _Maker, door: DoorFact, sides: tuple[Side, Side], secured: Secured | None, put: _Put, remarks: list[str]
) -> None:
    if secured is None:
        rooms = [side.room.label or side.room.identity for side in sides if side.room is not None]
        if rooms:
            remarks.append(f"between {' and '.join(rooms)}")
        if door.swings_deg is not None:
            remarks.append(f"swings to {number_text(door.swings_deg, 0)} deg in plan")
        if door.hinge_m is not None:
            remarks.append(f"hinged at {number_text(door.hinge_m[0])}, {number_text(door.hinge_m[1])}")
        return
    inside, outside = other_side(sides, secured.deg)
    for column, side in (("secured_side", inside), ("unsecured_side", outside)):
        said = door.stated.get(column, "")
        if said and side.room is not None and not may_be(side.room, said):
            maker.notes.append(
                DocumentNote("question", door.at, f"{said}, not {side.room.label or side.room.identity}",
                     "correct the list, or the room or the place of the door in the drawing",
                     f"{column} as stated is taken, not the room that is drawn there", door.mark)
            )  # fmt: skip
        elif side.room is not None:
            put(
                column,
                side.room.label or side.room.identity,
                why="; ".join(x for x in (side.inferred, secured.why) if x),
            )
        elif column == "unsecured_side" and door.external:
            put(column, "Outside", why="an outside door")
    put("secured_side_deg", number_text(round(secured.deg, 2) % 360, 2), why=secured.why)
    for column, text in hand(door, secured.deg).items():
        if column not in door.stated:
            put(column, text, why=f"the leaf as drawn, seen from the unsecured side ({secured.why})")
        elif door.stated[column] != text:
            maker.notes.append(
                DocumentNote("question", door.at, f"{door.stated[column]}, not {text}", "correct the secured side, or the list",
                     f"{column} as stated is taken, not as drawn and seen from the unsecured side", door.mark)
            )  # fmt: skip
    if secured.weak:
        remarks.append(f"confirm the secured side: {secured.why}")


class _Put(Protocol):
    """Puts a text into a column."""

    def __call__(self, column: str, text: str, field_name: str = "", why: str = "") -> None: ...
