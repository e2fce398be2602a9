"""What a document says: levels, walls, rooms, doors, pathways, each with where it was found and what was inferred.

Coordinates are metres in the document's own frame, elevations metres, directions degrees counter-clockwise from +x. What a
document does not say is None or empty, never a default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

Point = tuple[float, float]
Operation = Literal["", "swing", "sliding", "folding", "revolving", "overhead", "opening", "other"]
Severity = Literal["found", "inferred", "left", "question"]
NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True, order=True)
class At:
    """Where something was found: the document, and the place within it in the words of the format."""

    document: str
    place: str = ""

    def __str__(self) -> str:
        """`plan.dxf, layer A-DOOR, handle 2F3`."""
        return f"{self.document}, {self.place}" if self.place else self.document


@dataclass(frozen=True, slots=True)
class LevelFact:
    """A storey.

    Args of note:
        identity: what names it within its document.
        background: of a level that one plan shows: its file, metres of a unit, where its origin stands, and its turn in degrees.
    """

    at: At
    identity: str
    name: str = ""
    elevation_m: float | None = None
    inferred: Mapping[str, str] = field(default_factory=lambda: NOTHING)
    background: tuple[str, float, Point, float] | None = None


@dataclass(frozen=True, slots=True)
class RoomFact:
    """A room: its number and name, a point inside it, and its outline where the document draws one."""

    at: At
    identity: str
    level: str = ""
    number: str = ""
    name: str = ""
    at_m: Point | None = None
    outline_m: tuple[Point, ...] = ()
    holes_m: tuple[tuple[Point, ...], ...] = ()
    inferred: Mapping[str, str] = field(default_factory=lambda: NOTHING)

    @property
    def label(self) -> str:
        """Number and name in one text."""
        return " ".join(part for part in (self.number, self.name) if part)


@dataclass(frozen=True, slots=True)
class WallFact:
    """A wall in plan: a footprint, or a line of walls drawn as lines (two points and more, not closed)."""

    at: At
    level: str
    outline_m: tuple[Point, ...]
    holes_m: tuple[tuple[Point, ...], ...] = ()
    is_line: bool = False


@dataclass(frozen=True, slots=True)
class DoorFact:
    """A door.

    Args of note:
        identity: what stays the same in the document's next version: a handle, a unique id; empty where nothing does.
        at_m: the middle of the opening.
        angle_deg: direction of the wall in plan.
        width_m: of the whole opening, both leaves of a pair together.
        hinge_m: of a single leaf.
        swings_deg: into which side the leaves swing, square across the wall.
        rooms: identities of the rooms on its sides, where the document itself says so; any order.
        stated: columns of openings that the document states outright, with the text to stand there.
        hardware: words of hardware by where they stand, such as a column's heading; not yet understood.
        hardware_set: name of a set of hardware.
        remarks: what else is said of it, each as `Heading: value`.
        controlled: whether a list says that it has access control; None where nothing is said.
        inferred: by field, from what it was inferred; a field not named was read as it stands.
    """

    at: At
    identity: str = ""
    mark: str = ""
    level: str = ""
    at_m: Point | None = None
    angle_deg: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    leaves: int | None = None
    operation: Operation = ""
    hinge_m: Point | None = None
    swings_deg: float | None = None
    rooms: tuple[str, ...] = ()
    external: bool | None = None
    fire_rating: str = ""
    stated: Mapping[str, str] = field(default_factory=lambda: NOTHING)
    hardware: tuple[tuple[str, str], ...] = ()
    hardware_set: str = ""
    remarks: tuple[str, ...] = ()
    controlled: bool | None = None
    inferred: Mapping[str, str] = field(default_factory=lambda: NOTHING)


@dataclass(frozen=True, slots=True)
class HardwareSet:
    """A set of hardware that several doors share: its items as they are written."""

    at: At
    name: str
    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PathwayFact:
    """A stretch of cable carrier: its ends in plan, each with its height above the datum where known."""

    at: At
    identity: str
    level: str
    points_m: tuple[Point, ...]
    elevation_m: float | None = None
    kind: str = "tray"


@dataclass(frozen=True, slots=True)
class DocumentNote:
    """One line of the report: something found, inferred, left because it was not understood, or asked of the user.

    Args of note:
        remedy: what to write where, so that it is read otherwise.
        asks: of a question that many doors may raise, what all of them ask; `text` is then what is so of this one.
        door: the door of such a question.
    """

    severity: Severity
    at: At
    text: str
    remedy: str = ""
    asks: str = ""
    door: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """All that one document says.

    Args of note:
        document: the file's name.
        kind: `plan`, `model` or `list`. Only a list says which doors are controlled.
        unit_m: metres of one drawing unit, of a plan.
        layers: by layer how much stands on it and what it was read as, for the first draft of the settings.
        headings: likewise of a list: by heading, what it was read as.
    """

    document: str
    kind: Literal["plan", "model", "list"]
    levels: tuple[LevelFact, ...] = ()
    rooms: tuple[RoomFact, ...] = ()
    walls: tuple[WallFact, ...] = ()
    doors: tuple[DoorFact, ...] = ()
    pathways: tuple[PathwayFact, ...] = ()
    sets: tuple[HardwareSet, ...] = ()
    notes: tuple[DocumentNote, ...] = ()
    unit_m: float = 1.0
    layers: Mapping[str, str] = field(default_factory=lambda: NOTHING)
    headings: Mapping[str, str] = field(default_factory=lambda: NOTHING)
