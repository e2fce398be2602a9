"""A building model as facts: storeys, spaces, walls, doors with what the model says of them, and cable carriers."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Final, TypeVar

import numpy as np
from ifcopenshell.util import element as elements

from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts, LevelFact, PathwayFact, RoomFact, WallFact
from riserkit.importing.settings import DocumentSettings
from riserkit_ifc.door_properties import DoorProperties, mark_of, remarks_of, truth
from riserkit_ifc.model_file import BROKEN, open_model
from riserkit_ifc.operations import operation_of
from riserkit_ifc.outlines import footprint, rings_of
from riserkit_ifc.placing import FARTHEST_M, Placings, UnreadableError
from riserkit_ifc.voids import extent_of, void_of

_NUMBER = re.compile(r"^\s*([A-Za-z]{0,3}[-. ]?\d{1,5}(?:[.\-]\d{1,4})*[A-Za-z]?)\s*$")
_MOST_DEPTH: Final = 60
_SAME_M: Final = 1e-6
_BESIDE: Final = 0.5
"""How far from the middle of the opening that it fills a door's own may be, in widths of the opening: further, it is out of it."""
_Read = TypeVar("_Read")
_CONDUIT: Final = re.compile(r"CONDUIT|PIPE|ROHR", re.IGNORECASE)


def read_model(path: Path, _settings: DocumentSettings) -> Facts:
    """Read a building model.

    Raises:
        InputError: it is none, or of a schema that cannot be read.
    """
    opened = open_model(path)
    model = _Model(path.name, opened.file, opened.scale)
    if missing := opened.missing:
        more = f"; so to {len(missing) - 1} more" if len(missing) > 1 else ""
        told = f"the model refers to #{missing[0][0]} (in #{missing[0][1]}), which is not in it" + more
        model.notes.append(DocumentNote("question", At(path.name), told, "ask for the model again, whole"))
    return model.facts()


class _Model:
    def __init__(self, name: str, file: Any, scale: float) -> None:
        self.name, self.file, self.scale = name, file, scale
        self.placings = Placings(scale)
        self.notes: list[DocumentNote] = []
        self.properties = DoorProperties()
        self.storeys: dict[int, str] = {}
        self.elevation_m: dict[str, float] = {}
        self.holders = self._stands_in()

    def facts(self) -> Facts:
        """All that the model says."""
        levels = tuple(self._levels())
        rooms = tuple(self._each("IfcSpace", self._room))
        doors = tuple(self._each("IfcDoor", self._door))
        walls = tuple(self._walls())
        kind = "IfcFlowSegment" if self.file.schema == "IFC2X3" else "IfcCableCarrierSegment"
        ways = tuple(way for way in self._each(kind, self._carrier) if way is not None)
        at = At(self.name)
        self.notes.insert(0, DocumentNote("found", at, f"schema {self.file.schema}, one unit is {self.scale:g} m"))
        if not doors:
            self.notes.append(DocumentNote("question", at, "the model has no doors", "ask for the architect's model"))
        return Facts(self.name, "model", levels, rooms, walls, doors, ways, notes=tuple(self.notes), unit_m=self.scale)

    def _each(self, kind: str, read: Callable[[Any], _Read]) -> Iterator[_Read]:
        """All things of a kind; one that is broken is left out by name, and the others are read."""
        for thing in self.file.by_type(kind):
            try:
                yield read(thing)
            except UnreadableError as error:
                self._left(thing, str(error))
            except BROKEN:
                self._left(thing, "it cannot be read, for it is not made as the standard has it")

    def _at(self, thing: Any) -> At:
        return At(self.name, f"#{thing.id()} {_words(thing.GlobalId)}")

    def _left(self, thing: Any, why: str) -> None:
        self.notes.append(
            DocumentNote("left", self._at(thing), f"{thing.is_a()[3:].lower()} {_words(thing.Name)}: {why}")
        )

    def _levels(self) -> list[LevelFact]:
        levels = self._each("IfcBuildingStorey", self._level)
        return sorted(levels, key=lambda level: (level.elevation_m, level.name))

    def _level(self, storey: Any) -> LevelFact:
        elevation_m, why = _length(storey.Elevation, self.scale), ""
        if elevation_m is None:
            elevation_m, why = float(self.placings.of(storey.ObjectPlacement)[2, 3]), "the storey's placement"
        own_id = _id_of(storey)
        name = _words(storey.Name) or _words(storey.LongName) or f"Storey {storey.id()}"
        self.storeys[storey.id()], self.elevation_m[own_id] = own_id, elevation_m
        return LevelFact(self._at(storey), own_id, name, elevation_m, {"elevation_m": why} if why else {})

    def _stands_in(self) -> dict[int, int]:
        """By thing the one that holds it, in space or as its part."""
        holders: dict[int, int] = {}
        # By place, not by name, as a model has thousands: of the one RelatedElements and RelatingStructure, of the other the reverse.
        for name, held, holder in (("IfcRelAggregates", 5, 4), ("IfcRelContainedInSpatialStructure", 4, 5)):
            for relation in self.file.by_type(name):
                with contextlib.suppress(*BROKEN):  # what it holds is then placed by its height
                    around = relation[holder]
                    holders |= dict.fromkeys((one.id() for one in relation[held] or ()), around.id())
        return holders

    def _storey_of(self, thing: Any) -> str:
        """The storey that a thing stands in, directly, in a space, or as part of something that does."""
        key, seen = thing.id(), 0
        while key is not None and seen < _MOST_DEPTH:
            if key in self.storeys:
                return self.storeys[key]
            key, seen = self.holders.get(key), seen + 1
        return ""

    def _storey(self, thing: Any) -> tuple[str, str]:
        """A thing's storey and, where it is in none, from what that was inferred."""
        found = self._storey_of(thing)
        if found:
            return found, ""
        z_m = float(self.placings.of(thing.ObjectPlacement)[2, 3])
        below = [(height_m, one) for one, height_m in self.elevation_m.items() if height_m <= z_m + 0.5]
        return (max(below)[1], "its height") if below else ("", "")

    def _room(self, space: Any) -> RoomFact:
        number, name = _words(space.Name), _words(space.LongName)
        if not name and not _NUMBER.match(number):
            number, name = "", number
        at, own_id, (level, _) = self._at(space), _id_of(space), self._storey(space)
        try:
            shape = footprint(space, self.placings)
        except BROKEN:
            shape = None
        outline, holes = rings_of(shape) if shape is not None else ((), ())
        if shape is None or not outline:
            self._left(space, "its shape has no outline that can be read")
            return RoomFact(at, own_id, level, number, name)
        inner = shape.representative_point()
        return RoomFact(at, own_id, level, number, name, (float(inner.x), float(inner.y)), outline, holes)

    def _walls(self) -> Iterator[WallFact]:
        unread = 0
        for wall in self.file.by_type("IfcWall"):
            try:
                shape = footprint(wall, self.placings)
                at, level = self._at(wall), self._storey(wall)[0]
            except BROKEN:
                shape = None
            if shape is None:
                unread += 1
                continue
            for part in (p for p in _polygons(shape) if p.area > 1e-6):
                outline, holes = rings_of(part)
                yield WallFact(at, level, outline, holes)
        if unread:
            self.notes.append(DocumentNote("left", At(self.name), f"{unread} walls have no shape that can be read"))

    def _door(self, door: Any) -> DoorFact:
        kind = elements.get_type(door)
        properties = self.properties.of(door, kind)
        if door.ObjectPlacement is None:
            raise UnreadableError("the model does not say where it stands")
        matrix = self.placings.of(door.ObjectPlacement)
        width_m = _length(door.OverallWidth, self.scale) or None
        height_m = _length(door.OverallHeight, self.scale) or None
        inferred: dict[str, str] = {}
        x_axis = matrix[:3, 0]
        void = void_of(door, self.placings, x_axis[:2])
        own = None
        if width_m is None and void is not None:
            width_m, inferred["width_m"] = void.width_m, "the opening in the wall"
        elif width_m is None and (own := extent_of(door, self.placings, x_axis[:2])) is not None:
            width_m, inferred["width_m"] = own.width_m, "its shape"
        level, why = self._storey(door)
        if why:
            inferred["level"] = why
        corner, across = matrix[:2, 3], x_axis[:2] * (width_m or 0.0)
        if own is not None:
            corner, inferred["at_m"] = np.array(own.middle_m) - across / 2, "its shape"
        middle = corner + across / 2
        at_m = float(middle[0]), float(middle[1])
        angle_deg = math.degrees(math.atan2(x_axis[1], x_axis[0]))
        said = operation_of(door, kind)
        hinge_m, swings_deg = None, None
        if said.hinge is not None and width_m is not None:
            hinge = corner + across * said.hinge
            hinge_m = (float(hinge[0]), float(hinge[1]))
        if said.swings:
            # In the standard a leaf swings towards +y of the door's own placement.
            swings_deg = math.degrees(math.atan2(matrix[1, 1], matrix[0, 1])) % 360
            inferred["swings_deg"] = f"operation {said.word}"
        if void is not None and abs((void.middle_m - middle) @ x_axis[:2]) > _BESIDE * void.width_m + _SAME_M:
            # as of a door that is mirrored by its shape and not by its placement
            at_m, hinge_m, swings_deg, inferred["at_m"] = void.middle_m, None, None, "the opening in the wall"
        mark, source = mark_of(_words(door.Name), properties)
        if width_m is None:
            asks = "it states no width and fills no opening, and no shape tells; it is placed at one end of its width"
            remedy = "state width_m in openings.csv, and its place"
            self.notes.append(
                DocumentNote("question", self._at(door), f"at {at_m[0]:.2f}, {at_m[1]:.2f}", remedy, asks, mark)
            )
        if inferred.get("at_m") == "the opening in the wall":
            asks = "placed beside the opening that it fills, as mirrored doors are; it stands in the opening, without hinge and swing"
            wide = f"{void.width_m:g} m wide" if void else ""
            remedy = "state hinges and swings_to in openings.csv"
            self.notes.append(DocumentNote("question", self._at(door), wide, remedy, asks, mark))
        if source:
            inferred["mark"] = source
        rooms = tuple(dict.fromkeys(_id_of(space) for space in _spaces_at(door)))
        remarks = [f"operation: {said.word}"] if said.is_other else []
        remarks += remarks_of(properties)
        remarks += [f"model id: {tag}"] if (tag := _words(door.Tag)) else []
        return DoorFact(
            self._at(door), _id_of(door), mark, level, at_m, angle_deg % 360,
            width_m, height_m, said.leaves, said.operation, hinge_m, swings_deg, rooms,
            truth(properties.get("isexternal")), properties.get("firerating", ""), remarks=tuple(remarks), inferred=inferred,
        )  # fmt: skip

    def _carrier(self, carrier: Any) -> PathwayFact | None:
        kind = elements.get_type(carrier)
        is_way = self.file.schema != "IFC2X3" or (kind is not None and kind.is_a("IfcCableCarrierSegmentType"))
        if not is_way:
            return None
        shape = footprint(carrier, self.placings)
        matrix = self.placings.of(carrier.ObjectPlacement)
        if shape is None or shape.is_empty or shape.geom_type == "Point":
            self._left(carrier, "its shape has no run that can be read")
            return None
        box = np.array(shape.minimum_rotated_rectangle.exterior.coords)
        if len(box) < 4:
            return None
        sides = sorted(((math.dist(box[n], box[n + 1]), n) for n in (0, 1)), reverse=True)
        long = sides[0][1]
        # The middles of the two short sides are its ends.
        a, b = (box[long] + box[(long + 3) % 4]) / 2, (box[long + 1] + box[(long + 2) % 4]) / 2
        level, _ = self._storey(carrier)
        words = f"{getattr(carrier, 'PredefinedType', '') or ''} {getattr(kind, 'PredefinedType', '') or ''} {_words(carrier.Name)}"
        height_m = float(matrix[2, 3]) - self.elevation_m.get(level, 0.0)
        return PathwayFact(
            self._at(carrier), _id_of(carrier), level, ((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))),
            height_m if height_m > 0 else None, "conduit" if _CONDUIT.search(words) else "tray",
        )  # fmt: skip


def _spaces_at(door: Any) -> Iterator[Any]:
    """The spaces that a door bounds."""
    for relation in door.ProvidesBoundaries or ():
        space = relation.RelatingSpace
        if space is not None and space.is_a("IfcSpace"):
            yield space


def _polygons(shape: Any) -> Iterable[Any]:
    return (
        [shape]
        if shape.geom_type == "Polygon"
        else [part for part in getattr(shape, "geoms", ()) if part.geom_type == "Polygon"]
    )


def _words(value: Any) -> str:
    """What a thing is called; nothing where that is no text."""
    return value.strip() if isinstance(value, str) else ""


def _id_of(thing: Any) -> str:
    """A thing's GlobalId.

    Raises:
        UnreadableError: it has none.
    """
    found = _words(thing.GlobalId)
    if not found:
        raise UnreadableError("it has no GlobalId, by which a later version could know it again")
    return found


def _length(value: Any, scale: float) -> float | None:
    """A length in metres; None where nothing is stated.

    Raises:
        UnreadableError: it is no number.
    """
    if value is None:
        return None
    if isinstance(value, (bool, str)) or not abs(float(value) * scale) < FARTHEST_M:
        raise UnreadableError("a length of it is no number")
    return float(value) * scale
