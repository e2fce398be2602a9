"""Architects' plans made from the office's tables, in a dozen ways of drafting, and how well they are read.

The doors' places and widths are the building's own; hands and swings, of which the tables say nothing, are drawn from a fixed seed.
"""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import ezdxf
import shapely
from ezdxf.document import Drawing
from ezdxf.math import Matrix44

Point = tuple[float, float]


@dataclass(frozen=True)
class TrueDoor:
    """A door as it stands: what a reader has to find."""

    mark: str
    middle: Point
    angle_deg: float
    width_m: float
    leaves: int
    hinge_first: bool
    swings_left: bool

    def at(self, along: float, off: float) -> Point:
        """A point in the door's own frame: along the wall from the middle, and to its left."""
        turn = math.radians(self.angle_deg)
        x, y = self.middle
        return x + along * math.cos(turn) - off * math.sin(turn), y + along * math.sin(turn) + off * math.cos(turn)

    @property
    def hinge(self) -> Point:
        return self.at(-self.width_m / 2 if self.hinge_first else self.width_m / 2, 0)

    @property
    def swings_deg(self) -> float:
        return (self.angle_deg + (90 if self.swings_left else -90)) % 360


@dataclass(frozen=True)
class Style:
    """A way of drafting.

    Args:
        door: how a door is drawn: `block`, `attributes`, `arc`, `bulge`, `rectangle`, `scaled`, `nested`, `sweep`.
        header: $INSUNITS, right or wrong; `unit_m` is the truth.
    """

    name: str
    door: str = "block"
    unit_m: float = 0.001
    header: int = 4
    turn_deg: float = 0.0
    shift_m: Point = (0.0, 0.0)
    tags: str = "text"
    prefix: str = ""
    door_layer: str = "A-DOOR"
    wall_layer: str = "A-WALL"
    tag_layer: str = "A-DOOR-IDEN"
    room_layer: str = "A-AREA-IDEN"
    sweep_deg: float = 90.0
    is_flipped: bool = False
    walls: str = "lines"


STYLES = (
    Style("blocks with attributes, millimetres", "attributes", tags="attribute"),
    Style("blocks without attributes, inches", "block", 0.0254, 1),
    Style("loose arcs and leaves, millimetres", "arc"),
    Style("loose arcs, inches, the header says millimetres", "arc", 0.0254, 4, prefix="BLDG$0$"),
    Style("polylines with bulges, centimetres", "bulge", 0.01, 5),
    Style("leaves with thickness, metres", "rectangle", 1.0, 6),
    Style("blocks turned by 17 degrees", "block", turn_deg=17.0),
    Style("one block scaled and mirrored, no units in the header", "scaled", header=0),
    Style("blocks within a block, far from the origin", "nested", shift_m=(512_000.0, 5_400_000.0)),
    Style("no layers, loose arcs", "arc", door_layer="0", wall_layer="0", tag_layer="0", room_layer="0"),
    Style("doors half open, feet", "sweep", 0.3048, 2, sweep_deg=45.0),
    Style("arcs of a flipped plane, inches, the header says metres", "arc", 0.0254, 6, is_flipped=True),
    Style("names of another language, turned, bulges", "bulge", turn_deg=233.0, door_layer="TÜREN", wall_layer="WÄNDE",
          tag_layer="TÜRNUMMERN", room_layer="RÄUME"),
    Style("walls as outlines, blocks with the size in their names", "named", walls="outlines"),
)  # fmt: skip


def true_doors(office: Path, level: str) -> list[TrueDoor]:
    """The doors of a level, hands drawn from a fixed seed."""
    chance = random.Random(7)
    found = []
    with (office / "doors.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            hinge_first, left = chance.random() < 0.5, chance.random() < 0.5
            width = float(row["width_m"])
            if row["level"] == level:
                found.append(
                    TrueDoor(row["mark"], (float(row["x_m"]), float(row["y_m"])), float(row["angle_deg"]) % 360, width,
                             2 if width > 1.4 else 1, hinge_first, left)
                )  # fmt: skip
    return found


def draw(
    office: Path, level: str, style: Style, path: Path, doc: Drawing | None = None, drafter: type[Drafter] | None = None
) -> list[TrueDoor]:
    """Draw a plan in a style; the doors where they then stand, in metres of the drawing."""
    doc = doc or ezdxf.new("R2010", setup=True)
    doc.header["$INSUNITS"] = style.header
    doors = true_doors(office, level)
    turn = Matrix44.z_rotate(math.radians(style.turn_deg)) @ Matrix44.translate(*style.shift_m, 0)
    moved = [_moved(door, style, turn) for door in doors]
    (drafter or Drafter)(doc, style).plan(moved, _walls(office, level, doors, turn), _rooms(office, level, turn))
    doc.saveas(path)
    return moved


def _moved(door: TrueDoor, style: Style, turn: Matrix44) -> TrueDoor:
    at = turn.transform((*door.middle, 0))
    return replace(door, middle=(at.x, at.y), angle_deg=(door.angle_deg + style.turn_deg) % 360)


def _walls(office: Path, level: str, doors: Sequence[TrueDoor], turn: Matrix44) -> list[list[Point]]:
    gaps = shapely.unary_union(
        [shapely.Polygon([d.at(-d.width_m / 2, -0.4), d.at(d.width_m / 2, -0.4), d.at(d.width_m / 2, 0.4), d.at(-d.width_m / 2, 0.4)])
         for d in doors]
    )  # fmt: skip
    found = []
    with (office / "walls.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["level"] == level:
                for part in shapely.get_parts(shapely.from_wkt(row["outline_wkt"]).buffer(0).difference(gaps)):
                    if part.geom_type == "Polygon" and part.area > 1e-4:
                        found.append([_at(turn, p) for p in part.exterior.coords])
    return found


def wall_rings(office: Path, level: str) -> list[list[Point]]:
    """The outlines of a level's walls, cut at its doors."""
    return _walls(office, level, true_doors(office, level), Matrix44())


def _at(turn: Matrix44, point: Sequence[float]) -> Point:
    at = turn.transform((point[0], point[1], 0))
    return at.x, at.y


def _rooms(office: Path, level: str, turn: Matrix44) -> list[tuple[str, str, Point]]:
    with (office / "rooms.csv").open(encoding="utf-8") as file:
        return [
            (row["room"], row["name"], _at(turn, (float(row["x_m"]), float(row["y_m"]))))
            for row in csv.DictReader(file)
            if row["level"] == level
        ]


class Drafter:
    def __init__(self, doc: Drawing, style: Style) -> None:
        self.doc, self.style = doc, style
        for name in (style.door_layer, style.wall_layer, style.tag_layer, style.room_layer):
            layer = style.prefix + name
            if layer not in doc.layers:
                doc.layers.add(layer)
        self.unit = style.unit_m
        self.target = doc.modelspace()
        if style.door == "nested":
            self.target = doc.blocks.new("FLOOR")
            doc.modelspace().add_blockref("FLOOR", (0, 0))

    def at(self, point: Point) -> Point:
        return point[0] / self.unit, point[1] / self.unit

    def layer(self, name: str) -> dict[str, str]:
        return {"layer": self.style.prefix + name}

    def plan(self, doors: list[TrueDoor], walls: list[list[Point]], rooms: list[tuple[str, str, Point]]) -> None:
        for outline in walls:
            points = [self.at(p) for p in outline]
            if self.style.walls == "hatches":
                hatch = self.target.add_hatch(dxfattribs=self.layer(self.style.wall_layer))
                hatch.paths.add_polyline_path(points, is_closed=True)
                continue
            if self.style.walls == "outlines":
                self.target.add_lwpolyline(points[:-1], close=True, dxfattribs=self.layer(self.style.wall_layer))
                continue
            for one, other in pairwise(points):
                self.target.add_line(one, other, dxfattribs=self.layer(self.style.wall_layer))
        for number, name, at in rooms:
            for text, down in ((name, 0.0), (number, 0.35)):
                x, y = at
                self.words(text, (x, y - down), self.style.room_layer)
        for door in doors:
            self.door(door)
            if self.style.tags == "text":
                off = -0.45 if door.swings_left else 0.45
                self.words(door.mark, door.at(0, off), self.style.tag_layer)

    def door(self, door: TrueDoor) -> None:
        drawers: dict[str, Callable[[TrueDoor], None]] = {
            "block": self.block, "named": self.block, "attributes": self.block, "nested": self.block, "scaled": self.scaled,
            "arc": self.loose, "sweep": self.loose, "bulge": self.bulge, "rectangle": self.rectangle,
        }  # fmt: skip
        drawers[self.style.door](door)

    def words(self, text: str, at: Point, layer: str) -> None:
        shown = self.target.add_text(text, height=0.15 / self.unit, dxfattribs=self.layer(layer))
        shown.set_placement(self.at(at), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)

    def leaves(self, door: TrueDoor) -> list[tuple[Point, Point, Point]]:
        """Of each leaf hinge, closed end and tip in metres, in the door's own frame: along, off."""
        half, up = door.width_m / 2, 1.0 if door.swings_left else -1.0
        sweep = math.radians(self.style.sweep_deg)

        def leaf(hinge: float, closed: float) -> tuple[Point, Point, Point]:
            long = closed - hinge
            return (hinge, 0.0), (closed, 0.0), (hinge + long * math.cos(sweep), abs(long) * math.sin(sweep) * up)

        if door.leaves == 2:
            return [leaf(-half, 0.0), leaf(half, 0.0)]
        return [leaf(-half, half) if door.hinge_first else leaf(half, -half)]

    def arc(self, target, hinge: Point, closed: Point, tip: Point, layer: dict[str, str]) -> None:
        """An arc from the closed end to the tip, the short way round."""
        one, other = (math.degrees(math.atan2(p[1] - hinge[1], p[0] - hinge[0])) for p in (closed, tip))
        start, end = (one, other) if (other - one) % 360 <= 180 else (other, one)
        radius = math.dist(hinge, closed)
        if self.style.is_flipped:
            # In a plane that is looked at from below, x runs the other way.
            target.add_arc(
                (-hinge[0], hinge[1]), radius, 180 - end, 180 - start, dxfattribs={**layer, "extrusion": (0, 0, -1)}
            )
        else:
            target.add_arc(hinge, radius, start, end, dxfattribs=layer)

    def loose(self, door: TrueDoor) -> None:
        layer = self.layer(self.style.door_layer)
        for leaf in self.leaves(door):
            hinge, closed, tip = (self.at(door.at(*p)) for p in leaf)
            self.arc(self.target, hinge, closed, tip, layer)
            self.target.add_line(hinge, tip, dxfattribs=layer)

    def bulge(self, door: TrueDoor) -> None:
        layer = self.layer(self.style.door_layer)
        for leaf in self.leaves(door):
            hinge, closed, tip = (self.at(door.at(*p)) for p in leaf)
            turn = (tip[0] - hinge[0]) * (closed[1] - hinge[1]) - (tip[1] - hinge[1]) * (closed[0] - hinge[0])
            bulge = math.tan(math.pi / 8) * (1 if turn > 0 else -1)
            self.target.add_lwpolyline([(*hinge, 0), (*tip, bulge), (*closed, 0)], format="xyb", dxfattribs=layer)

    def rectangle(self, door: TrueDoor) -> None:
        layer = self.layer(self.style.door_layer)
        for hinge, closed, tip in self.leaves(door):
            toward = 0.045 if closed[0] > hinge[0] else -0.045
            corners = [hinge, tip, (tip[0] + toward, tip[1]), (hinge[0] + toward, hinge[1])]
            self.target.add_lwpolyline([self.at(door.at(*p)) for p in corners], close=True, dxfattribs=layer)
            self.arc(self.target, *(self.at(door.at(*p)) for p in (hinge, closed, tip)), layer)

    def block(self, door: TrueDoor) -> None:
        size = f"{round(door.width_m * 1000)} x 2134mm" if self.style.door == "named" else ""
        name = f"DOOR-{size}-{door.leaves}-{door.hinge_first:d}-{door.swings_left:d}-{round(door.width_m * 1000)}"
        if name not in self.doc.blocks:
            block = self.doc.blocks.new(name)
            for hinge, closed, tip in self.leaves(door):
                points = [(p[0] / self.unit, p[1] / self.unit) for p in (hinge, closed, tip)]
                self.arc(block, *points, {"layer": "0"})
                block.add_line(points[0], points[2], dxfattribs={"layer": "0"})
            if self.style.door == "attributes":
                block.add_attdef("NUMBER", (0, 0.3 / self.unit), dxfattribs={"height": 0.15 / self.unit})
        found = self.target.add_blockref(
            name, self.at(door.middle), dxfattribs={"rotation": door.angle_deg, **self.layer(self.style.door_layer)}
        )
        if self.style.door == "attributes":
            found.add_auto_attribs({"NUMBER": door.mark})

    def scaled(self, door: TrueDoor) -> None:
        """One block of a leaf a unit wide, stretched and mirrored for each leaf."""
        if "LEAF" not in self.doc.blocks:
            block = self.doc.blocks.new("LEAF")
            block.add_arc((0, 0), 1, 0, 90, dxfattribs={"layer": "0"})
            block.add_line((0, 0), (0, 1), dxfattribs={"layer": "0"})
        for hinge, closed, _ in self.leaves(door):
            long = (closed[0] - hinge[0]) / self.unit
            self.target.add_blockref(
                "LEAF", self.at(door.at(*hinge)),
                dxfattribs={"xscale": long, "yscale": abs(long) * (1 if door.swings_left else -1), "rotation": door.angle_deg,
                            **self.layer(self.style.door_layer)},
            )  # fmt: skip


@dataclass
class Score:
    """How a plan was read."""

    style: str
    doors: int = 0
    found: int = 0
    false: int = 0
    wide: int = 0
    hinged: int = 0
    single: int = 0
    sided: int = 0
    marked: int = 0


def score(style: str, doors: Sequence[TrueDoor], found: Sequence[object]) -> Score:
    """Compare what was read with what was drawn; places within 50 mm, widths within 15 mm."""
    result = Score(style, len(doors))
    left = list(found)
    for door in doors:
        near = sorted(left, key=lambda one: math.dist(one.at_m, door.middle))  # type: ignore[attr-defined]
        if not near or math.dist(near[0].at_m, door.middle) > 0.05 or near[0].leaves != door.leaves:  # type: ignore[attr-defined]
            continue
        one = near[0]
        left.remove(one)
        result.found += 1
        turn = abs((one.angle_deg - door.angle_deg + 90) % 180 - 90)  # type: ignore[attr-defined]
        result.wide += abs(one.width_m - door.width_m) <= 0.015 and turn < 1  # type: ignore[attr-defined]
        result.marked += one.mark == door.mark  # type: ignore[attr-defined]
        off = abs((one.swings_deg - door.swings_deg + 180) % 360 - 180) if one.swings_deg is not None else 180  # type: ignore[attr-defined]
        result.sided += off < 1
        if door.leaves == 1:
            result.single += 1
            result.hinged += one.hinge_m is not None and math.dist(one.hinge_m, door.hinge) < 0.05  # type: ignore[attr-defined]
    result.false = len(left)
    return result
