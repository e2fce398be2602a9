"""What a floor plan shows, as plain values in metres of the site: read off a design once, placed and drawn later."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

from riserkit.drawings.dxf.background import BackgroundPlace
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM

Carrier = Literal["tray", "conduit", "sleeve", "riser"]


@dataclass(frozen=True, slots=True)
class PlanDevice:
    """A device at an opening in plan.

    Args:
        ref: designation, as in the wiring diagram.
        symbol: block that draws it.
        along_m: from the opening's left edge, seen from the unsecured side.
        side: where it is mounted; in the frame it has neither.
    """

    ref: str
    symbol: str
    along_m: float
    side: Literal["secured", "unsecured", "frame"]


@dataclass(frozen=True, slots=True)
class PlanOpening:
    """An opening in plan.

    Args:
        mark: its identity.
        name: what is printed, its label.
        cable: label of its cable.
        more: further lines of its label: where the cable goes on another level, a supply that stands here.
        at_m: where it is.
        angle_deg: direction of the leaf's plane.
        width_m: of all leaves together.
        kind: single, double or gate.
        cable_subject: what the strands of its own cable stand for.
        held: it is on HOLD: not to be built.
        secured_deg: square across the wall to the secured side, degrees from +x; None where it is not stated.
        hinges: of a single leaf, seen from the unsecured side; None where it is not stated.
        swings_to: the side that it swings to; None where it is not stated.
        devices: what stands at it.
        home_m: its closet on this level, where no pathway is known and the cable's way is not drawn; None otherwise.
    """

    mark: str
    name: str
    cable: str
    more: tuple[str, ...]
    at_m: Point
    angle_deg: float
    width_m: float
    kind: str
    home_m: Point | None = None
    cable_subject: str = ""
    held: bool = False
    secured_deg: float | None = None
    hinges: Literal["left", "right"] | None = None
    swings_to: Literal["secured", "unsecured"] | None = None
    devices: tuple[PlanDevice, ...] = ()

    @property
    def swing_is_stated(self) -> bool:
        """All that its leaves' swing is drawn from is known; a pair has its hinges at both ends."""
        return None not in (self.secured_deg, self.swings_to) and (self.kind == "double" or self.hinges is not None)


@dataclass(frozen=True, slots=True)
class PlanCloset:
    """A closet: its label first, then what stands in it."""

    id: str
    at_m: Point
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanPathway:
    """A pathway segment within the level; `count` says how many cables run in it, empty when none.

    `size` stands behind its id; `height` is as the notes' unless it differs from what the level's pathways usually have.
    """

    id: str
    ends_m: tuple[Point, Point]
    carrier: Carrier
    count: str
    size: str = ""
    height: str = ""


@dataclass(frozen=True, slots=True)
class PlanRiser:
    """A place where pathways leave the level: a line for each, whether any goes up, down, or across to a building."""

    id: str
    at_m: Point
    lines: tuple[str, ...]
    up: bool
    down: bool
    across: bool = False


@dataclass(frozen=True, slots=True)
class Strand:
    """A straight piece of one cable's way within the level."""

    subject: str
    start_m: Point
    end_m: Point
    backbone: bool = False


@dataclass(frozen=True, slots=True)
class PlanRoom:
    """A room's name and outline (a shapely polygon, metres)."""

    id: str
    name: str
    outline: Any


@dataclass(frozen=True)
class PlanLevel:
    """One level with all that stands on it.

    Args of note:
        walls: one shapely geometry in metres, None when there are none.
        small_mm: height of the smaller lettering of its labels.
        offset_m: what all its coordinates were lessened by, for a site that lies far from its origin.
        background: the architect's own drawing, drawn behind everything in place of walls and outlines.
        heavy: lines of that, in metres, which labels rather stand clear of; None when there are none.
        usual_type: type of most horizontal cables; openings whose cable is another say so.
        usual_height: of most pathways, in words; those of another say so.
    """

    id: str
    title: str
    openings: tuple[PlanOpening, ...]
    closets: tuple[PlanCloset, ...]
    pathways: tuple[PlanPathway, ...]
    risers: tuple[PlanRiser, ...]
    strands: tuple[Strand, ...]
    rooms: tuple[PlanRoom, ...] = ()
    walls: Any = None
    offset_m: Point = (0.0, 0.0)
    small_mm: float = LEAST_HEIGHT_MM
    background: BackgroundPlace | None = None
    heavy: Any = field(default=None, repr=False)
    usual_type: str = ""
    usual_height: str = ""

    @property
    def has_work(self) -> bool:
        """Something of ours is on it, so that it takes a sheet."""
        return bool(self.openings or self.closets or self.pathways or self.risers)
