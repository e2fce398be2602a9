"""Values of an elevation: the opening, its devices, and everything that is drawn of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.elevation.balloons import Balloon
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.quantities.printed import UnitSystem

LETTERING_MM: Final = 2.5
MOST_ABOVE_HEAD_M: Final = 0.9

StrokeKind = Literal["frame", "leaf", "swing", "floor", "ceiling", "wall"]


@dataclass(frozen=True, slots=True)
class OpeningShape:
    """What an elevation shows of the opening itself. `width_m` is that of the whole opening, both leaves together."""

    type: Literal["single", "double", "gate"]
    width_m: float
    height_m: float
    hinges: Literal["left", "right"]
    ceiling_m: float | None

    @property
    def latch_x_m(self) -> float:
        """Where the latch is: the edge away from the hinges, or between two leaves."""
        if self.type == "double":
            return self.width_m / 2
        return self.width_m if self.hinges == "left" else 0.0

    @property
    def outward(self) -> int:
        """Direction from the latch to the wall beside it: +1 to the right."""
        return 1 if self.type == "double" or self.hinges == "left" else -1

    @property
    def wall_x_m(self) -> float:
        """Edge of the opening on the latch side, beside which readers and buttons stand."""
        return self.width_m if self.outward > 0 else 0.0

    @property
    def top_m(self) -> float:
        """Ceiling as drawn: high ones are brought down, and say so."""
        if self.ceiling_m is None:
            return self.height_m + 0.3
        return min(max(self.ceiling_m, self.height_m + 0.25), self.height_m + MOST_ABOVE_HEAD_M)


@dataclass(frozen=True, slots=True)
class ElevationDevice:
    """A device in the elevation.

    Args:
        ref: designation, as in the wiring diagram.
        title: in words.
        symbol: block that draws it.
        x_m: from the opening's left edge.
        y_m: height of its centre above the finished floor, as drawn.
        hidden: it cannot be seen from the unsecured side.
        height_m: what its dimension says; None where it is above the ceiling.
        basis: how its height is known: `stated`, `measured` or `typical`.
        dimensioned: its height is drawn as a dimension.
        push: direction in which it gives way, +1 to the right, where its symbol would meet another's.
        offset_mm: of the symbol's middle from its true place, so that lines of the door do not run through it.
        place: where it is, in words; empty where its height and side say so.
        lettered: a hidden one carries its symbol's letters; relay, splitter and supply in a box are no junction boxes.
    """

    ref: str
    title: str
    symbol: str
    x_m: float
    y_m: float
    hidden: bool
    height_m: float | None
    basis: str
    dimensioned: bool = False
    push: int = 1
    offset_mm: Point = (0.0, 0.0)
    lettered: bool = True
    place: str = ""


class ElevationStroke(NamedTuple):
    """A line of the opening or the building."""

    kind: StrokeKind
    points: tuple[Point, ...]


class PlacedDevice(NamedTuple):
    """A device with the rectangle it covers and its balloon."""

    device: ElevationDevice
    center: Point
    rect: Rect
    balloon: Balloon


class Dimension(NamedTuple):
    """A dimension: two points, a point of its line, its text, upright or level."""

    start: Point
    end: Point
    line_at: Point
    text: str
    upright: bool


@dataclass(frozen=True)
class Elevation:
    """The whole of it, with the rectangle that it covers."""

    shape: OpeningShape
    scale: DrawingScale
    strokes: tuple[ElevationStroke, ...]
    devices: tuple[PlacedDevice, ...]
    dimensions: tuple[Dimension, ...]
    notes: tuple[tuple[str, Point], ...]
    extent: Rect
    unit_system: UnitSystem = "metric"
