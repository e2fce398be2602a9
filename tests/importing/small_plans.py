"""A floor of eight rooms along a corridor, drawn by the drawing library in ways that other offices have."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf.enums import TextEntityAlignment

THICK_M = 0.15
Spot = tuple[float, float]


@dataclass(frozen=True)
class SmallDoor:
    """A door as it stands: its middle, the wall's direction, and to which side of the wall it swings from which end."""

    mark: str
    x: float
    y: float
    deg: float = 0.0
    width: float = 0.9
    hinge_first: bool = True
    left: bool = True

    @property
    def axes(self) -> tuple[Spot, Spot]:
        """Along the wall, and square to it to the side that the leaf swings to."""
        turn = math.radians(self.deg)
        along = (math.cos(turn), math.sin(turn))
        return along, (-along[1], along[0]) if self.left else (along[1], -along[0])

    @property
    def hinge(self) -> Spot:
        (ux, uy), _ = self.axes
        sign = -0.5 if self.hinge_first else 0.5
        return self.x + sign * self.width * ux, self.y + sign * self.width * uy

    def opened(self, deg: float) -> Spot:
        """The tip of the leaf, opened so far."""
        (ux, uy), (nx, ny) = self.axes
        sign = 1.0 if self.hinge_first else -1.0
        c, s = math.cos(math.radians(deg)) * sign, math.sin(math.radians(deg))
        x, y = self.hinge
        return x + self.width * (ux * c + nx * s), y + self.width * (uy * c + ny * s)

    @property
    def swings_deg(self) -> float:
        _, (nx, ny) = self.axes
        return math.degrees(math.atan2(ny, nx)) % 360


DOORS = (
    SmallDoor("101", 2.5, 8), SmallDoor("102", 7.5, 8, hinge_first=False), SmallDoor("103", 12.5, 8, width=1.0, left=False),
    SmallDoor("104", 17.5, 8), SmallDoor("105", 2.5, 6, width=0.8, left=False), SmallDoor("106", 7.5, 6, hinge_first=False, left=False),
    SmallDoor("107", 12.5, 6, left=False), SmallDoor("108", 17.5, 6, hinge_first=False),
)  # fmt: skip


class SmallPlan:
    """Draws it. `unit_m`: metres of a unit; layers are those of walls, doors, marks and rooms."""

    def __init__(
        self,
        unit_m: float = 0.001,
        header: int = 4,
        layers: tuple[str, str, str, str] = ("WALL", "DOOR", "DOOR-NO", "ROOM"),
    ) -> None:
        self.doc = ezdxf.new("R2010")
        self.doc.header["$INSUNITS"] = header
        self.unit_m, self.model = unit_m, self.doc.modelspace()
        self.walls, self.doors, self.marks, self.rooms = layers
        for y in (0.0, 6.0, 8.0, 14.0):
            gaps = [(d.x - d.width / 2, d.x + d.width / 2) for d in DOORS if d.y == y]
            self._wall_along(y, gaps)
        for x in (0.0, 5.0, 10.0, 15.0, 20.0):
            for low, high in ((0, 6), (8, 14)):
                for off in (-THICK_M / 2, THICK_M / 2):
                    self.line((x + off, low + THICK_M / 2), (x + off, high - THICK_M / 2), self.walls)

    def _wall_along(self, y: float, gaps: Iterable[tuple[float, float]]) -> None:
        x = 0.0
        for low, high in [*gaps, (20.0, 20.0)]:
            for off in (-THICK_M / 2, THICK_M / 2):
                self.line((x, y + off), (low, y + off), self.walls)
            for end in (low, high):
                self.line((end, y - THICK_M / 2), (end, y + THICK_M / 2), self.walls)
            x = high

    def at(self, spot: Spot) -> Spot:
        return spot[0] / self.unit_m, spot[1] / self.unit_m

    def line(self, a: Spot, b: Spot, layer: str) -> None:
        self.model.add_line(self.at(a), self.at(b), dxfattribs={"layer": layer})

    def text(self, words: str, spot: Spot, layer: str, high_m: float = 0.15) -> None:
        written = self.model.add_text(words, height=high_m / self.unit_m, dxfattribs={"layer": layer})
        written.set_placement(self.at(spot), align=TextEntityAlignment.MIDDLE_CENTER)

    def tags(self) -> None:
        """Marks beside their doors, on the side that the leaf does not swing to."""
        for door in DOORS:
            self.text(door.mark, (door.x, door.y + (-0.45 if door.left else 0.45)), self.marks)

    def save(self, path: Path) -> Path:
        self.doc.saveas(path)
        return path
