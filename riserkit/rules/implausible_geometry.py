"""The rule `implausible-geometry`."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import LengthBasis
from riserkit.model.opening import Opening
from riserkit.model.parts import RexSensor
from riserkit.model.place import Closet, PathwayNode
from riserkit.model.site import Site
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import format_pair, format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, stated
from riserkit.rules._shared.said import NO_HINGES, said_at
from riserkit.wiring.lengths import rex_place

SAME_SPOT_M: Final = 0.3
FAR_M: Final = 500.0
SHORTEST: Final = 0.9
AT_A_DOOR_M: Final = 100.0
LEAF_LEAST_M: Final = 0.4
LEAF_MOST_M: Final = 2.0
SLIDING_MOST_M: Final = 6.0
"""Of a leaf that does not turn on hinges."""
LONGEST: Final = 3.0
"""How many times the straight line a stretch of pathway takes at most; one written in feet takes 3.28 times."""
LONG_FROM_M: Final = 2.0
ABOVE_CEILING_M: Final = 4.0
"""Where nothing is above a level: its pathways lie no higher than so much above its ceiling."""
HEIGHT_LEAST_M: Final = 1.5
GATE_HEIGHT_LEAST_M: Final = 0.8
"""A gate to walk through may end at the hip, as a turnstile does."""
HEIGHT_MOST_M: Final = 6.0
SENSOR_HEIGHTS_M: Final = (0.8, 6.0)
"""Of a motion sensor or one to wave at: from beside the latch to a high header."""
_COLUMNS: Final = {
    "leaf": "width_m or leaf_width_m", "height": "height_m", "clear width": "the leaf's width, clear_width_m",
    "REX sensor's height": "rex_height_m",
}  # fmt: skip
_Cell = tuple[int, int]
_Spot = tuple[str, float, float, float]
_KNOWN: Final = frozenset({LengthBasis.MEASURED, LengthBasis.STATED})
_MEZZANINE: Final = re.compile(r"mezz|gallery|entresol|zwischen|empore|altillo|galerie", re.IGNORECASE)
"""A floor over part of a hall, whose ceiling is above it."""
_CHECK: Final = "Check x_m and y_m, their unit, and the level."


class ImplausibleGeometry:
    """Doors, closets and levels stand where and as large as things in a building are.

    Why:
        A slipped decimal point or millimetres in a column of metres draw a door in the next county or 1 mm wide, and
        every length that follows from it is wrong.
    Measures:
        The distance between openings of one level; from each opening to the nearest closet or pathway node, from each
        of these to the nearest other thing; the width of leaves, clear and whole, and the height of openings and of their
        REX sensors; whether two levels of one building lie at the same elevation, and their ceilings and pathways below the
        next level's floor; and stated and measured lengths of cables and pathways against the straight line between their
        ends, of cables between the devices of one opening against what a door takes.
    Limit:
        Openings 0.3 m apart or more, nothing farther than 500 m from everything else, leaves of 0.4 to 2 m (a gate's may be
        wider, one that slides up to 6 m), no leaf clearer than it is wide, sensors 0.8 to 6 m above the floor, heights of 1.5
        to 6 m, a gate's of 0.8 m or more, levels at different elevations, ceilings above the doors under them and below the
        next floor that is no mezzanine, pathways at most 4 m above the highest ceiling; no cable or pathway shorter than 90 %
        of the straight line, no pathway longer than three times it, no cable at a door longer than 100 m.
    Remedy:
        What to check. Where the figures are right after all, accept the finding.
    Source:
        Common practice, no source: the limits are those of plausibility, not of any code.
    """

    name: ClassVar[str] = "implausible-geometry"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for everything that is questioned; one pass for the site when nothing is."""
        found = [
            *self._same_spot(design.site), *self._far(design.site), *self._sizes(design.site),
            *self._levels(design.site), *self._ceilings(design.site), *self._next_floor(design.site), *self._lengths(design),
        ]  # fmt: skip
        yield from found
        if not found:
            message = "Positions, sizes and elevations are plausible."
            yield stated(self, ("site", design.site.info.name), True, message, severity=Severity.WARNING)

    def _same_spot(self, site: Site) -> Iterator[Finding]:
        cells: dict[tuple[str, _Cell], list[Opening]] = {}
        for opening in site.openings:
            x, y = _cell((opening.x_m, opening.y_m), SAME_SPOT_M)
            near = (
                o for dx in (-1, 0, 1) for dy in (-1, 0, 1) for o in cells.get((opening.level, (x + dx, y + dy)), ())
            )
            other = next((o for o in near if _apart_m(o, opening) < SAME_SPOT_M - 1e-9), None)
            cells.setdefault((opening.level, (x, y)), []).append(opening)
            if other is not None:
                apart, least = format_pair(_apart_m(other, opening), SAME_SPOT_M, "m", site.info.unit_system)
                yield measured(
                    self, ("opening", opening.mark), Measure(_apart_m(other, opening), SAME_SPOT_M, "m", at_most=False),
                    f"It is {apart} from opening {other.mark}, at least {least}: two doors in one place.",
                    severity=Severity.WARNING, remedy=f"Check whether one of them is a duplicate. {_CHECK}",
                    about="same spot",
                )  # fmt: skip

    def _far(self, site: Site) -> Iterator[Finding]:
        things: tuple[Closet | PathwayNode, ...] = (*site.closets, *site.pathway_nodes)
        if not things:
            return
        anchors = [(t.x_m, t.y_m) for t in things]
        everything = [*anchors, *((o.x_m, o.y_m) for o in site.openings)]
        by_cell, every_cell = _cells(anchors), _cells(everything)
        for opening in site.openings:
            yield from self._alone(
                site, ("opening", opening.mark), (opening.x_m, opening.y_m), by_cell, 0, "closet or pathway"
            )
        for number, thing in enumerate(things):
            kind = "closet" if number < len(site.closets) else "pathway"
            yield from self._alone(
                site, (kind, thing.id), (thing.x_m, thing.y_m), every_cell, 1, "other thing of the site"
            )

    def _alone(
        self, site: Site, subject: tuple[str, str], at: tuple[float, float],
        cells: Mapping[_Cell, list[tuple[float, float]]], itself: int, what: str,
    ) -> Iterator[Finding]:  # fmt: skip
        x, y = _cell(at, FAR_M)
        around = [p for dx in (-1, 0, 1) for dy in (-1, 0, 1) for p in cells.get((x + dx, y + dy), ())]
        if sum(math.dist(at, p) <= FAR_M for p in around) > itself or sum(map(len, cells.values())) <= itself:
            return
        nearest_m = sorted(math.dist(at, p) for points in cells.values() for p in points)[itself]
        far, most = format_pair(nearest_m, FAR_M, "m", site.info.unit_system)
        yield measured(
            self, subject, Measure(nearest_m, FAR_M, "m"), f"It is {far} from the nearest {what}, at most {most}.",
            severity=Severity.WARNING, remedy=_CHECK, about="distance",
        )  # fmt: skip

    def _lengths(self, design: Design) -> Iterator[Finding]:
        site = design.site
        horizontal = [(door.subject, door.cable) for door in design.doors]
        for subject, cable in (*horizontal, *((("cable", cable.subject), cable) for cable in design.backbone)):
            route = cable.route if cable is not None else None
            if route is not None and route.basis in _KNOWN:
                ends = [_spot(site, name) for name in (route.from_id, route.to_id)]
                column = f"length_m of the run between {route.from_id} and {route.to_id}"
                yield from self._short(site, subject, route.length_m, ends, column)
        for segment in site.pathway_segments:
            if segment.length_m is not None:
                nodes = [site.pathway_node[name] for name in (segment.from_node, segment.to_node)]
                ends = [_at(site, node.level, node.x_m, node.y_m) for node in nodes]
                yield from self._short(site, ("pathway", segment.id), segment.length_m, ends, "length_m")
                yield from self._long(site, ("pathway", segment.id), segment.length_m, ends)
        for device in design.door_cables:
            if device.basis in _KNOWN and device.length_m is not None and device.length_m > AT_A_DOOR_M:
                length, most = format_pair(device.length_m, AT_A_DOOR_M, "m", site.info.unit_system)
                yield measured(
                    self, ("opening", device.mark), Measure(device.length_m, AT_A_DOOR_M, "m"),
                    f"Cable {device.label} ({device.serves}), between devices of this opening, is {length}, at most {most}.",
                    severity=Severity.WARNING, remedy="Check length_m of its run, and its unit.",
                    about=f"length of {device.serves}",
                )  # fmt: skip

    def _short(
        self, site: Site, subject: tuple[str, str], length_m: float, ends: Sequence[_Spot], column: str
    ) -> Iterator[Finding]:
        (here, *a), (there, *b) = ends
        least_m = SHORTEST * math.dist(a, b)
        measure = Measure(length_m, least_m, "m", at_most=False)
        if here != there or measure.kept:
            return
        length, straight = format_pair(length_m, math.dist(a, b), "m", site.info.unit_system)
        yield measured(
            self, subject, measure, f"It is {length} long; its ends are {straight} apart in a straight line.",
            severity=Severity.WARNING, remedy=f"Check {column}, and x_m and y_m of both ends.", about="length",
        )  # fmt: skip

    def _long(self, site: Site, subject: tuple[str, str], length_m: float, ends: Sequence[_Spot]) -> Iterator[Finding]:
        (here, *a), (there, *b) = ends
        straight_m = math.dist(a, b)
        measure = Measure(length_m, LONGEST * straight_m, "m")
        if here != there or straight_m < LONG_FROM_M or measure.kept:
            return
        length, straight = format_pair(length_m, straight_m, "m", site.info.unit_system)
        yield measured(
            self, subject, measure, f"It is {length} long; its ends are {straight} apart in a straight line.",
            severity=Severity.WARNING, about="length",
            remedy="Check length_m and its unit, and x_m and y_m of both ends; or put nodes where it turns.",
        )  # fmt: skip

    def _sizes(self, site: Site) -> Iterator[Finding]:
        for opening in site.openings:
            most_m = math.inf if opening.type == "gate" else LEAF_MOST_M
            if said_at(opening, NO_HINGES)[1]:
                most_m = max(most_m, SLIDING_MOST_M)
            stated_m = opening.width_m is not None or opening.leaf_width_m is not None
            if stated_m:
                yield from self._size(site, opening, "leaf", opening.one_leaf_m, (LEAF_LEAST_M, most_m))
            least_m = GATE_HEIGHT_LEAST_M if opening.type == "gate" else HEIGHT_LEAST_M
            yield from self._size(site, opening, "height", opening.height_m, (least_m, HEIGHT_MOST_M))
            if stated_m and opening.clear_width_m is not None:
                # leaves of a pair may be of two widths
                whole = opening.leaves > 1 and opening.leaf_width_m is None
                most_clear_m = opening.whole_width_m if whole else opening.one_leaf_m
                yield from self._size(site, opening, "clear width", opening.clear_width_m, (0.0, most_clear_m))
            rex = site.part.get(opening.rex)
            if opening.rex_height_m is not None and isinstance(rex, RexSensor) and rex_place(rex) == "rex-sensor":
                yield from self._size(site, opening, "REX sensor's height", opening.rex_height_m, SENSOR_HEIGHTS_M)

    def _size(
        self, site: Site, opening: Opening, what: str, value_m: float, limits_m: tuple[float, float]
    ) -> Iterator[Finding]:
        low = value_m < limits_m[0]
        limit_m = limits_m[0] if low else limits_m[1]
        measure = Measure(value_m, limit_m, "m", at_most=not low)
        if measure.kept:
            return
        value, limit = format_pair(value_m, limit_m, "m", site.info.unit_system)
        word = "at least" if low else "at most"
        columns, wrong = _COLUMNS[what], low and what in ("leaf", "height")
        yield measured(
            self, ("opening", opening.mark), measure, f"Its {what} is {value}, {word} {limit}.",
            severity=Severity.ERROR if wrong else Severity.WARNING, remedy=f"Check {columns} and its unit.", about=what,
        )  # fmt: skip

    def _ceilings(self, site: Site) -> Iterator[Finding]:
        tallest = {o.level: o for o in sorted(site.openings, key=lambda o: o.height_m) if o.type != "gate"}
        for level in site.levels:
            opening = tallest.get(level.id)
            if opening is None or level.ceiling_m >= opening.height_m:
                continue
            ceiling, height = format_pair(level.ceiling_m, opening.height_m, "m", site.info.unit_system)
            yield measured(
                self, ("site", site.info.name), Measure(level.ceiling_m, opening.height_m, "m", at_most=False),
                f"The ceiling of level {level.id} is {ceiling} high; opening {opening.mark} under it {height}.",
                severity=Severity.WARNING, about=f"ceiling of {level.id}",
                remedy=f"Check ceiling_m of {level.id} and height_m of {opening.mark}, and their units.",
            )  # fmt: skip

    def _next_floor(self, site: Site) -> Iterator[Finding]:
        """Of ceilings and pathways that lie above the floor of the level above them."""
        nodes: dict[str, tuple[float, str]] = {}
        for node in site.pathway_nodes:
            if node.height_m is not None:
                nodes[node.level] = max(nodes.get(node.level, (node.height_m, node.id)), (node.height_m, node.id))
        for level in site.levels:
            above = [
                (other.elevation_m - level.elevation_m, other.id)
                for other in site.levels
                if other.building == level.building
                and other.elevation_m > level.elevation_m
                and not _MEZZANINE.search(f"{other.id} {other.name}")
            ]
            floor_m, next_up = min(above, default=(math.inf, ""))
            where = f"the floor of level {next_up}"
            remedy = f"Check ceiling_m of {level.id}, elevation_m, and their units."
            yield from self._over(
                site, ("site", site.info.name), f"ceiling of {level.id}", (level.ceiling_m, floor_m),
                (f"The ceiling of level {level.id}", where, remedy),
            )  # fmt: skip
            if level.id in nodes:
                height_m, node_id = nodes[level.id]
                most_m = level.ceiling_m + ABOVE_CEILING_M
                if most_m < floor_m:
                    where = f"{ABOVE_CEILING_M:g} m above the ceiling of level {level.id}"
                remedy = f"Check height_m of {node_id}, ceiling_m of {level.id}, and their units."
                yield from self._over(
                    site, ("pathway", node_id), "height", (height_m, min(floor_m, most_m)), ("It", where, remedy)
                )

    def _over(
        self, site: Site, subject: tuple[str, str], about: str, heights_m: tuple[float, float],
        words: tuple[str, str, str],
    ) -> Iterator[Finding]:  # fmt: skip
        measure, (what, where, remedy) = Measure(*heights_m, "m"), words
        if measure.kept:
            return
        value, most = format_pair(*heights_m, "m", site.info.unit_system)
        message = f"{what} is {value} above its level's floor, at most {most}: {where}."
        yield measured(self, subject, measure, message, severity=Severity.WARNING, remedy=remedy, about=about)

    def _levels(self, site: Site) -> Iterator[Finding]:
        at: dict[tuple[str, float], str] = {}
        for level in site.levels:
            other = at.setdefault((level.building, level.elevation_m), level.id)
            if other != level.id:
                where = format_value(level.elevation_m, "m", site.info.unit_system)
                yield stated(
                    self, ("site", site.info.name), False, f"Levels {other} and {level.id} both lie at {where}.",
                    severity=Severity.WARNING, remedy="Check elevation_m of both, or put one of them in another building.",
                    about=f"levels {other} and {level.id}",
                )  # fmt: skip


def _spot(site: Site, name: str) -> _Spot:
    thing = site.closet[name] if name in site.closet else site.opening[name]
    return _at(site, thing.level, thing.x_m, thing.y_m)


def _at(site: Site, level: str, x_m: float, y_m: float) -> _Spot:
    # Buildings have frames of their own: between two of them there is no straight line.
    return site.level[level].building, x_m, y_m, site.level[level].elevation_m


def _cell(at: tuple[float, float], size_m: float) -> _Cell:
    return math.floor(at[0] / size_m), math.floor(at[1] / size_m)


def _cells(points: list[tuple[float, float]]) -> Mapping[_Cell, list[tuple[float, float]]]:
    return grouped((_cell(point, FAR_M), point) for point in points)


def _apart_m(a: Opening, b: Opening) -> float:
    return math.dist((a.x_m, a.y_m), (b.x_m, b.y_m))
