"""A building model as facts: storeys, spaces, walls, doors with what the model says of them, and cable carriers."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import ifcopenshell
import numpy as np
from ifcopenshell.util import element as elements
from ifcopenshell.util import unit as units

from riserkit.importing.facts import (
    At,
    DocumentNote,
    DoorFact,
    Facts,
    LevelFact,
    PathwayFact,
    RoomFact,
    WallFact,
)
from riserkit.importing.settings import DocumentSettings
from riserkit.model.problems import InputError, Problem, Where
from riserkit_ifc.operations import operation_of
from riserkit_ifc.outlines import footprint, rings_of
from riserkit_ifc.placing import Placings

_MOST_BYTES: Final = 600_000_000
_SCHEMAS: Final = ("IFC2X3", "IFC4", "IFC4X3")
_MARKS: Final = (
    "mark",
    "doornumber",
    "number",
    "doormark",
    "doorno",
    "openingnumber",
    "tagnumber",
    "referenceid",
    "doortag",
)
# Values that programs write where nobody stated one: the property's own name, and words for nothing.
_NOTHING: Final = frozenset({"", "n/a", "na", "none", "-", "undefined", "notdefined", "unset", "null"})
_GENERATED = re.compile(r".*:.*:?\d{3,}$|^ifcdoor\b.*", re.IGNORECASE)
_NUMBER = re.compile(r"^\s*([A-Za-z]{0,3}[-. ]?\d{1,5}(?:[.\-]\d{1,4})*[A-Za-z]?)\s*$")
_SAID: Final = frozenset({*_MARKS, "isexternal", "firerating", "fireexit", "securityrating"})
_MOST_DEPTH: Final = 60
_CONDUIT: Final = re.compile(r"CONDUIT|PIPE|ROHR", re.IGNORECASE)


def read_model(path: Path, _settings: DocumentSettings) -> Facts:
    """Read a building model.

    Raises:
        InputError: it is none, or of a schema that cannot be read.
    """
    if path.stat().st_size > _MOST_BYTES:
        raise _refused(path, f"expected a model of at most {_MOST_BYTES // 10**6} MB")
    _check_head(path)
    try:
        file = ifcopenshell.open(str(path))
    except MemoryError:
        raise _refused(path, "it takes more memory to read than there is") from None
    except Exception as error:  # the library raises whatever a broken file leads it to
        raise _refused(path, f"expected a building model; the library cannot read it ({str(error)[:80]})") from None
    if not hasattr(file, "by_type"):
        raise _refused(path, "expected a building model in one file of STEP text")
    return _Model(path.name, file).facts()


def _check_head(path: Path) -> None:
    """Look at the head before the library does: it says which schema this is, and a file cut short lacks its end."""
    with path.open("rb") as stream:
        head = stream.read(200_000).decode("latin-1")
        stream.seek(max(0, path.stat().st_size - 4096))
        tail = stream.read().decode("latin-1")
    if not head.lstrip("\ufeff \r\n\t").startswith("ISO-10303-21"):
        raise _refused(path, "expected a building model (it begins with ISO-10303-21); this is something else")
    found = re.search(r"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", head, re.IGNORECASE)
    schema = found[1].upper() if found else ""
    if not schema.startswith(_SCHEMAS):
        raise _refused(
            path, f"expected schema IFC2X3, IFC4 or IFC4X3; this says {schema[:40] or 'nothing'}: have it exported anew"
        )
    if "END-ISO-10303-21" not in tail:
        raise _refused(path, "expected a whole model; it is cut short (its end is missing), so ask for it again")


def _refused(path: Path, wanted: str) -> InputError:
    return InputError([Problem(Where(path.name), "", "", wanted)])


class _Model:
    def __init__(self, name: str, file: Any) -> None:
        self.name, self.file = name, file
        self.scale = float(units.calculate_unit_scale(file))
        self.placings = Placings(self.scale)
        self.notes: list[DocumentNote] = []
        self.said_of_type: dict[int, dict[str, str]] = {}
        self.storeys: dict[int, str] = {}
        self.holders = self._stands_in()

    def facts(self) -> Facts:
        """All that the model says."""
        levels = tuple(self._levels())
        rooms = tuple(self._rooms())
        doors = tuple(self._doors())
        walls = tuple(self._walls())
        ways = tuple(self._carriers())
        at = At(self.name)
        self.notes.insert(0, DocumentNote("found", at, f"schema {self.file.schema}, one unit is {self.scale:g} m"))
        if not doors:
            self.notes.append(DocumentNote("question", at, "the model has no doors", "ask for the architect's model"))
        return Facts(self.name, "model", levels, rooms, walls, doors, ways, notes=tuple(self.notes), unit_m=self.scale)

    def _at(self, thing: Any) -> At:
        return At(self.name, f"#{thing.id()} {thing.GlobalId}")

    def _left(self, thing: Any, why: str) -> None:
        self.notes.append(
            DocumentNote("left", self._at(thing), f"{thing.is_a()[3:].lower()} {thing.Name or ''}: {why}")
        )

    def _levels(self) -> Iterator[LevelFact]:
        for storey in sorted(self.file.by_type("IfcBuildingStorey"), key=lambda s: (s.Elevation or 0.0, s.Name or "")):
            elevation_m, why = storey.Elevation, ""
            if elevation_m is None:
                elevation_m, why = (
                    self.placings.of(storey.ObjectPlacement)[2, 3] / self.scale,
                    "the storey's placement",
                )
            self.storeys[storey.id()] = storey.GlobalId
            inferred = {"elevation_m": why} if why else {}
            name = (storey.Name or storey.LongName or "").strip() or f"Storey {storey.id()}"
            yield LevelFact(self._at(storey), storey.GlobalId, name, float(elevation_m) * self.scale, inferred)

    def _stands_in(self) -> dict[int, int]:
        """By thing the one that holds it, in space or as its part."""
        holders: dict[int, int] = {}
        # By place, not by name, as a model has thousands: of the one RelatedElements and RelatingStructure, of the other the reverse.
        for name, held, holder in (("IfcRelAggregates", 5, 4), ("IfcRelContainedInSpatialStructure", 4, 5)):
            for relation in self.file.by_type(name):
                around = relation[holder]
                if around is not None:
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
        storeys = [
            (s.Elevation * self.scale, s.GlobalId)
            for s in self.file.by_type("IfcBuildingStorey")
            if s.Elevation is not None
        ]
        below = [one for one in storeys if one[0] <= z_m + 0.5]
        return (max(below)[1], "its height") if below else ("", "")

    def _rooms(self) -> Iterator[RoomFact]:
        for space in self.file.by_type("IfcSpace"):
            shape = footprint(space, self.placings)
            outline, holes = rings_of(shape) if shape is not None else ((), ())
            level, _ = self._storey(space)
            number, name = (space.Name or "").strip(), (space.LongName or "").strip()
            if not name and not _NUMBER.match(number):
                number, name = "", number
            if not outline:
                self._left(space, "its shape has no outline that can be read")
                yield RoomFact(self._at(space), space.GlobalId, level, number, name)
                continue
            inner = shape.representative_point() if shape is not None else None
            at_m = (float(inner.x), float(inner.y)) if inner is not None else None
            yield RoomFact(self._at(space), space.GlobalId, level, number, name, at_m, outline, holes)

    def _walls(self) -> Iterator[WallFact]:
        unread = 0
        for wall in self.file.by_type("IfcWall"):
            shape = footprint(wall, self.placings)
            if shape is None:
                unread += 1
                continue
            at, level = self._at(wall), self._storey(wall)[0]
            for part in (p for p in _polygons(shape) if p.area > 1e-6):
                outline, holes = rings_of(part)
                yield WallFact(at, level, outline, holes)
        if unread:
            self.notes.append(DocumentNote("left", At(self.name), f"{unread} walls have no shape that can be read"))

    def _doors(self) -> Iterator[DoorFact]:
        for door in self.file.by_type("IfcDoor"):
            try:
                yield self._door(door)
            except (ValueError, TypeError, AttributeError, IndexError, KeyError, RuntimeError) as error:
                self._left(door, f"cannot be read ({type(error).__name__})")

    def _door(self, door: Any) -> DoorFact:
        kind = elements.get_type(door)
        properties = self._properties(door, kind)
        matrix = self.placings.of(door.ObjectPlacement)
        width_m = _length(door.OverallWidth, self.scale)
        height_m = _length(door.OverallHeight, self.scale)
        inferred: dict[str, str] = {}
        if width_m is None:
            width_m, inferred["width_m"] = self._width_of_void(door), "the opening in the wall"
        level, why = self._storey(door)
        if why:
            inferred["level"] = why
        x_axis = matrix[:3, 0]
        middle = matrix[:3, 3] + x_axis * (width_m or 0.0) / 2
        angle_deg = math.degrees(math.atan2(x_axis[1], x_axis[0]))
        said = operation_of(door, kind)
        hinge_m, swings_deg = None, None
        if said.hinge is not None and width_m is not None:
            hinge = matrix[:3, 3] + x_axis * width_m * said.hinge
            hinge_m = (float(hinge[0]), float(hinge[1]))
        if said.swings:
            # In the standard a leaf swings towards +y of the door's own placement.
            swings_deg = math.degrees(math.atan2(matrix[1, 1], matrix[0, 1])) % 360
            inferred["swings_deg"] = f"operation {said.word}"
        mark, source = self._mark(door, properties)
        if source:
            inferred["mark"] = source
        rooms = tuple(dict.fromkeys(space.GlobalId for space in _spaces_at(door)))
        remarks = [f"operation: {said.word}"] if said.is_other else []
        remarks += [f"fire exit: {properties['fireexit']}"] if _is_true(properties.get("fireexit")) else []
        remarks += [f"security rating: {properties['securityrating']}"] if properties.get("securityrating") else []
        remarks += [f"model id: {door.Tag}"] if door.Tag else []
        return DoorFact(
            self._at(door), door.GlobalId, mark, level, (float(middle[0]), float(middle[1])), angle_deg % 360,
            width_m, height_m, said.leaves, said.operation, hinge_m, swings_deg, rooms,
            _truth(properties.get("isexternal")), properties.get("firerating", ""), remarks=tuple(remarks), inferred=inferred,
        )  # fmt: skip

    def _properties(self, door: Any, kind: Any) -> dict[str, str]:
        """What is said of a door, before what is said of all of its type."""
        if kind is None:
            return _properties(door)
        if kind.id() not in self.said_of_type:
            self.said_of_type[kind.id()] = _properties(kind)
        return {**self.said_of_type[kind.id()], **_properties(door)}

    def _width_of_void(self, door: Any) -> float | None:
        for relation in door.FillsVoids or ():
            shape = footprint(relation.RelatingOpeningElement, self.placings)
            if shape is not None and not shape.is_empty:
                box = np.array(shape.minimum_rotated_rectangle.exterior.coords)
                return float(max(math.dist(box[0], box[1]), math.dist(box[1], box[2])))
        return None

    def _mark(self, door: Any, properties: Mapping[str, str]) -> tuple[str, str]:
        """A door's mark: a property of that name, else its own name where that is no generated one."""
        for name in _MARKS:
            if properties.get(name):
                return properties[name], f"the property {name}"
        own = (door.Name or "").strip()
        if own and len(own) <= 24 and not _GENERATED.match(own) and re.search(r"\d", own):
            return own, ""
        return "", ""

    def _carriers(self) -> Iterator[PathwayFact]:
        kinds = ["IfcCableCarrierSegment"] if self.file.schema != "IFC2X3" else ["IfcFlowSegment"]
        for name in kinds:
            for carrier in self.file.by_type(name):
                kind = elements.get_type(carrier)
                if name == "IfcFlowSegment" and not (kind is not None and kind.is_a("IfcCableCarrierSegmentType")):
                    continue
                way = self._carrier(carrier, kind)
                if way is not None:
                    yield way

    def _carrier(self, carrier: Any, kind: Any) -> PathwayFact | None:
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
        base_m = next(
            (s.Elevation * self.scale for s in self.file.by_type("IfcBuildingStorey") if s.GlobalId == level), 0.0
        )
        words = f"{getattr(carrier, 'PredefinedType', '') or ''} {getattr(kind, 'PredefinedType', '') or ''} {carrier.Name or ''}"
        height_m = float(matrix[2, 3]) - base_m
        return PathwayFact(
            self._at(carrier), carrier.GlobalId, level, ((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))),
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


def _length(value: Any, scale: float) -> float | None:
    return float(value) * scale if value else None


def _properties(thing: Any) -> dict[str, str]:
    """What sets of properties say of a thing, by name in small letters without spaces; the first that says something holds."""
    found: dict[str, str] = {}
    for group in _property_sets(thing):
        for one in group.HasProperties or ():
            name = "".join(str(one[0] or "").casefold().split())
            if name not in _SAID or name in found:
                continue
            value = getattr(one, "NominalValue", None)
            text = "" if value is None else str(getattr(value, "wrappedValue", value)).strip()
            if text.casefold() not in _NOTHING and "".join(text.casefold().split()) != name:
                found[name] = text
    return found


def _property_sets(thing: Any) -> Iterator[Any]:
    for group in getattr(thing, "HasPropertySets", None) or () if thing.is_a("IfcTypeObject") else ():
        if group.is_a("IfcPropertySet"):
            yield group
    for relation in getattr(thing, "IsDefinedBy", None) or () if thing.is_a("IfcObject") else ():
        if relation.is_a("IfcRelDefinesByProperties"):
            group = relation[5]
            if group is not None and group.is_a("IfcPropertySet"):
                yield group


def _truth(text: str | None) -> bool | None:
    return {"true": True, "t": True, "yes": True, "1": True, "false": False, "f": False, "no": False, "0": False}.get(
        (text or "").casefold()
    )


def _is_true(text: str | None) -> bool:
    return _truth(text) is True
