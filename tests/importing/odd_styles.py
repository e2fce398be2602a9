"""Ways of drafting doors and walls that are rarer, but that offices send: each as a drafter beside those of architects.py."""

from __future__ import annotations

import math
from itertools import pairwise

from tests.importing.architects import Drafter, Point, Style, TrueDoor

ODD_STYLES = (
    Style("blocks that hang at the jamb, an arc in two halves", "jamb"),
    Style("arcs in two halves, loose", "split"),
    Style("ellipses in place of arcs, no units in the header, inches", "ellipse", 0.0254, 0),
    Style("a block stretched unevenly, so that its arc is no circle's", "stretched"),
    Style("leaves of two lines, arcs on a layer of their own", "lines", 0.001, 4),
    Style("anonymous blocks, as dynamic ones are saved", "anonymous"),
    Style("arcs of short lines, as of a print turned back into a drawing", "chain", door_layer="0", wall_layer="0", tag_layer="0",
          room_layer="0"),
    Style("walls that are only filled", "arc", walls="hatches"),
    Style("French layers, metres, tags in circles", "arc", 1.0, 6, door_layer="PORTES", wall_layer="MURS", tag_layer="NO PORTES",
          room_layer="LOCAUX"),
    Style("Spanish layers, doors that swing by half a turn", "sweep", sweep_deg=178.0, door_layer="PUERTAS", wall_layer="MUROS",
          tag_layer="TEXTO PUERTAS", room_layer="HABITACIONES"),
    Style("tags as blocks, layers by number", "block", tags="block", door_layer="3120", wall_layer="2130", tag_layer="3129",
          room_layer="4100"),
    Style("frames, stops and windows with arcs beside the doors", "framed"),
)  # fmt: skip


class OddDrafter(Drafter):
    """Draws doors in ways that the other one does not."""

    def door(self, door: TrueDoor) -> None:
        own = getattr(self, f"as_{self.style.door}", None)
        if own is None:
            super().door(door)
        else:
            own(door, self.layer(self.style.door_layer))
        if self.style.tags == "block":
            self.tag(door)

    def as_none(self, door: TrueDoor, layer: dict[str, str]) -> None:
        """Only the gap."""

    def tag(self, door: TrueDoor) -> None:
        if "DOOR TAG" not in self.doc.blocks:
            block = self.doc.blocks.new("DOOR TAG")
            block.add_circle((0, 0), 0.2 / self.unit)
            block.add_attdef("T1", (0, 0), dxfattribs={"height": 0.15 / self.unit})
        off = -0.45 if door.swings_left else 0.45
        found = self.target.add_blockref(
            "DOOR TAG", self.at(door.at(0, off)), dxfattribs=self.layer(self.style.tag_layer)
        )
        found.add_auto_attribs({"T1": door.mark})

    def placed_leaves(self, door: TrueDoor) -> list[tuple[Point, Point, Point]]:
        return [tuple(self.at(door.at(*p)) for p in leaf) for leaf in self.leaves(door)]  # type: ignore[misc]

    def halves(self, target, hinge: Point, closed: Point, tip: Point, layer: dict[str, str]) -> None:
        middle_at = ((closed[0] + tip[0]) / 2 - hinge[0], (closed[1] + tip[1]) / 2 - hinge[1])
        stretch = math.dist(hinge, closed) / math.hypot(*middle_at)
        middle = (hinge[0] + middle_at[0] * stretch, hinge[1] + middle_at[1] * stretch)
        self.arc(target, hinge, closed, middle, layer)
        self.arc(target, hinge, middle, tip, layer)

    def as_split(self, door: TrueDoor, layer: dict[str, str]) -> None:
        for hinge, closed, tip in self.placed_leaves(door):
            self.halves(self.target, hinge, closed, tip, layer)
            self.target.add_line(hinge, tip, dxfattribs=layer)

    def as_jamb(self, door: TrueDoor, layer: dict[str, str]) -> None:
        """Blocks whose base stands at the jamb of the hinge, in the middle of the wall's face."""
        name = f"DR_{round(door.width_m * 1000)}_{door.leaves}_{door.hinge_first:d}{door.swings_left:d}"
        base = -door.width_m / 2 if door.hinge_first else door.width_m / 2
        if name not in self.doc.blocks:
            block = self.doc.blocks.new(name, base_point=(7.0, 3.0))
            for leaf in self.leaves(door):
                points = [((p[0] - base) / self.unit + 7.0, p[1] / self.unit + 3.0) for p in leaf]
                self.halves(block, points[0], points[1], points[2], {"layer": "0"})
                block.add_line(points[0], points[2], dxfattribs={"layer": "0"})
        at = self.at(door.at(base, 0.0))
        self.target.add_blockref(name, at, dxfattribs={"rotation": door.angle_deg, **layer})

    def as_ellipse(self, door: TrueDoor, layer: dict[str, str]) -> None:
        for hinge, closed, tip in self.placed_leaves(door):
            one, other = (math.atan2(p[1] - hinge[1], p[0] - hinge[0]) for p in (closed, tip))
            start, end = (one, other) if (other - one) % math.tau <= math.pi else (other, one)
            self.target.add_ellipse(hinge, (math.dist(hinge, closed), 0, 0), 1.0, start, end, dxfattribs=layer)
            self.target.add_line(hinge, tip, dxfattribs=layer)

    def as_stretched(self, door: TrueDoor, layer: dict[str, str]) -> None:
        """A leaf of 900 as deep as it always is, as wide as the opening."""
        if "SWING-DOOR" not in self.doc.blocks:
            block = self.doc.blocks.new("SWING-DOOR")
            block.add_arc((0, 0), 0.9 / self.unit, 0, 90)
            block.add_line((0, 0), (0, 0.9 / self.unit))
        for hinge, closed, _ in self.leaves(door):
            wide = (closed[0] - hinge[0]) / 0.9
            deep = min(1.2, max(0.8, abs(wide))) if abs(wide) > 0.8 else abs(wide)
            attributes = {
                "xscale": wide,
                "yscale": deep if door.swings_left else -deep,
                "rotation": door.angle_deg,
                **layer,
            }
            self.target.add_blockref("SWING-DOOR", self.at(door.at(*hinge)), dxfattribs=attributes)

    def as_lines(self, door: TrueDoor, layer: dict[str, str]) -> None:
        for hinge, closed, tip in self.leaves(door):
            toward = 0.045 if closed[0] > hinge[0] else -0.045
            for one, other in (
                (hinge, tip),
                ((hinge[0] + toward, hinge[1]), (tip[0] + toward, tip[1])),
                (tip, (tip[0] + toward, tip[1])),
            ):
                self.target.add_line(self.at(door.at(*one)), self.at(door.at(*other)), dxfattribs=layer)
            self.arc(self.target, *(self.at(door.at(*p)) for p in (hinge, closed, tip)), self.layer("A-DOOR-SWNG"))

    def as_anonymous(self, door: TrueDoor, layer: dict[str, str]) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="U")
        for leaf in self.leaves(door):
            hinge, closed, tip = ((p[0] / self.unit, p[1] / self.unit) for p in leaf)
            self.arc(block, hinge, closed, tip, {"layer": "0"})
            block.add_line(hinge, tip)
        self.target.add_blockref(block.name, self.at(door.middle), dxfattribs={"rotation": door.angle_deg, **layer})

    def as_chain(self, door: TrueDoor, layer: dict[str, str]) -> None:
        for n, (hinge, closed, tip) in enumerate(self.placed_leaves(door)):
            one, other = (math.atan2(p[1] - hinge[1], p[0] - hinge[0]) for p in (closed, tip))
            sweep = (other - one + math.pi) % math.tau - math.pi
            long = math.dist(hinge, closed)
            points = [
                (hinge[0] + long * math.cos(one + sweep * k / 12), hinge[1] + long * math.sin(one + sweep * k / 12))
                for k in range(13)
            ]
            if n % 2 or door.hinge_first:
                self.target.add_lwpolyline(points, dxfattribs=layer)
            else:
                for a, b in pairwise(points):
                    self.target.add_line(a, b, dxfattribs=layer)
            self.target.add_line(hinge, tip, dxfattribs=layer)

    def as_framed(self, door: TrueDoor, layer: dict[str, str]) -> None:
        """A leaf with frames at both jambs; and a window with two casements 3 m above it, which is no door."""
        for hinge, closed, tip in self.leaves(door):
            toward = 0.045 if closed[0] > hinge[0] else -0.045
            corners = [hinge, tip, (tip[0] + toward, tip[1]), (hinge[0] + toward, hinge[1])]
            self.target.add_lwpolyline([self.at(door.at(*p)) for p in corners], close=True, dxfattribs=layer)
            self.arc(self.target, *(self.at(door.at(*p)) for p in (hinge, closed, tip)), layer)
        for side in (-1, 1):
            x = side * door.width_m / 2
            corners = [(x, -0.1), (x + side * 0.05, -0.1), (x + side * 0.05, 0.1), (x, 0.1)]
            self.target.add_lwpolyline([self.at(door.at(*p)) for p in corners], close=True, dxfattribs=layer)
            hinge, closed, tip = (self.at(door.at(*p)) for p in ((side * 0.7, 30.0), (0.0, 30.0), (side * 0.7, 30.7)))
            self.arc(self.target, hinge, closed, tip, self.layer("A-GLAZ"))
            self.target.add_line(hinge, tip, dxfattribs=self.layer("A-GLAZ"))
