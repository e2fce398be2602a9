"""Reads a design into the values of its floor plans: every label on them is made here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Final, Literal

import shapely

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.lettering import smallest_mm
from riserkit.drawings.elevation.values import ElevationDevice
from riserkit.drawings.plan.background import background_of
from riserkit.drawings.plan.offset import lessened, offset_of
from riserkit.drawings.plan.usual import height_words, size_words, usual
from riserkit.drawings.plan.values import (
    PlanCloset,
    PlanDevice,
    PlanLevel,
    PlanOpening,
    PlanPathway,
    PlanRiser,
    PlanRoom,
    Strand,
)
from riserkit.holds import Holds
from riserkit.model.cabling import LengthBasis, PathwaySegment
from riserkit.model.place import Closet, Level, PathwayNode
from riserkit.model.site import Site
from riserkit.network.routes import PlanPoint
from riserkit.network.spots import building_of
from riserkit.network.values import CableRun
from riserkit.quantities.grouping import grouped
from riserkit.wiring.cables import CableKind, DesignCable
from riserkit.wiring.roles import DeviceRole

_STRAIGHT: Final = 1e-6
"""Twice the area that a bend takes up, in square metres: beyond what a survey's coordinates lose in the last digit."""


def read_levels(checked: Checked) -> tuple[PlanLevel, ...]:
    """The levels that take a plan, building by building from the lowest up, openings on HOLD marked."""
    site = checked.design.site
    order = {building.id: n for n, building in enumerate(site.buildings)}
    names = {building.id: building.name or building.id for building in site.buildings}

    def key(level: Level) -> tuple[int, str, float, str]:
        building = building_of(site, level.id)
        return order.get(building, len(order)), building, level.elevation_m, level.id

    several = len({building_of(site, level.id) for level in site.levels}) > 1
    reader = _ByLevel(checked.design, checked.holds)
    found = []
    for level in sorted(site.levels, key=key):
        building = building_of(site, level.id)
        prefix = f"{names.get(building, building)}, " if several else ""
        found.append(reader.level(level, f"{prefix}{level.name or level.id}"))
    offset_m = offset_of(found, site.info.unit_system)
    return tuple(lessened(level, offset_m) for level in found if level.has_work)


class _ByLevel:
    """Looks each thing of the design up once, by level."""

    def __init__(self, design: Design, holds: Holds) -> None:
        self.design, self.site, self.holds = design, design.site, holds
        self.doors = grouped((door.opening.level, door) for door in design.doors)
        self.strands, self.routed = _strands(design)
        self.loads = _loads(design)
        self.supply_at = {s.opening: s.id for s in self.site.supplies if s.opening}

    def level(self, level: Level, title: str) -> PlanLevel:
        nodes = self.site.pathway_node
        flat: list[PlanPathway] = []
        leaving = []
        doors = self.doors.get(level.id, ())
        usual_type = usual(door.cable.cable_type for door in doors if door.cable)
        for segment in self.site.pathway_segments:
            ends = nodes[segment.from_node], nodes[segment.to_node]
            on = [node.level == level.id for node in ends]
            if all(on) and (ends[0].x_m, ends[0].y_m) != (ends[1].x_m, ends[1].y_m):
                points = (ends[0].x_m, ends[0].y_m), (ends[1].x_m, ends[1].y_m)
                words = size_words(segment), height_words(ends, self.site.info.unit_system)
                flat.append(PlanPathway(segment.id, points, segment.kind.value, self.loads.get(segment.id, ""), *words))
            elif any(on) and not all(on):
                here, there = ends if on[0] else ends[::-1]
                leaving.append((segment, here, there))
        return PlanLevel(
            id=level.id,
            title=title,
            openings=tuple(self._opening(door, usual_type) for door in doors),
            closets=tuple(self._closet(c) for c in self.site.closets if c.level == level.id),
            pathways=tuple(flat),
            risers=tuple(self._risers(leaving)),
            strands=tuple(self.strands.get(level.id, ())),
            rooms=tuple(
                PlanRoom(r.id, r.name or r.id, shapely.make_valid(shapely.from_wkt(r.outline_wkt)))
                for r in self.site.rooms
                if r.level == level.id
            ),
            walls=_walls(self.site, level.id),
            small_mm=smallest_mm(self.site.info.unit_system),
            background=background_of(level),
            usual_type=usual_type,
            usual_height=usual(pathway.height for pathway in flat),
        )

    def _opening(self, door: DoorDesign, usual_type: str) -> PlanOpening:
        opening, labels = door.opening, self.design.labels
        closet = self.site.closet.get(door.placement.closet) if door.placement else None
        more, home = [], None
        if door.cable is not None and door.cable.cable_type != usual_type:
            more.append(door.cable.cable_type)
        if closet is not None and door.mark not in self.routed:
            if closet.level == opening.level:
                home = (closet.x_m, closet.y_m)
            else:
                more.append(f"to {labels.closet_of(closet.id)}")
        if door.mark in self.supply_at:
            more.append(f"supply {self.supply_at[door.mark]}")
        return PlanOpening(
            mark=door.mark,
            name=labels.opening_of(door.mark),
            cable=door.cable.label if door.cable else "no cable",
            more=tuple(more),
            at_m=(opening.x_m, opening.y_m),
            angle_deg=opening.angle_deg,
            width_m=opening_shape(opening, self.site).width_m,
            kind=opening.type,
            home_m=home,
            cable_subject=f"cable:{door.cable.subject}" if door.cable else "",
            held=door.mark in self.holds,
            secured_deg=opening.secured_normal_deg,
            hinges=opening.hinges,
            swings_to=opening.swings_to,
            devices=tuple(self._devices(door)),
        )

    def _devices(self, door: DoorDesign) -> Iterator[PlanDevice]:
        """As in the door's elevation; without the sides of its wall there is no telling where they stand."""
        if door.opening.secured_side_deg is None:
            return
        netlist = door.wiring.netlist
        roles = {component.ref: component.role for component in netlist.components} if netlist else {}
        for device in elevation_devices(door, self.site, opening_shape(door.opening, self.site)):
            in_frame = device.symbol in _IN_FRAME and not device.hidden
            side: Literal["secured", "unsecured", "frame"] = (
                "frame" if in_frame else "secured" if device.hidden else "unsecured"
            )
            yield PlanDevice(device.ref, _symbol(device, roles.get(device.ref)), device.x_m, side)

    def _closet(self, closet: Closet) -> PlanCloset:
        label = self.design.labels.closet_of(closet.id)
        switches = sum(s.closet == closet.id for s in self.site.switches)
        cables = len(self.design.doors_of_closet[closet.id])
        lines = [f"{label} {closet.name}".strip(), f"{_counted(switches, 'switch', 'switches')}, "
                 f"{_counted(cables, 'door', 'doors')}"]  # fmt: skip
        supplies = [s.id for s in self.site.supplies if s.closet == closet.id]
        lines += [f"supply {' '.join(supplies[n : n + 4])}" for n in range(0, len(supplies), 4)]
        return PlanCloset(closet.id, (closet.x_m, closet.y_m), tuple(lines))

    def _risers(self, leaving: list[tuple[PathwaySegment, PathwayNode, PathwayNode]]) -> Iterator[PlanRiser]:
        by_node = grouped((one[1].id, one) for one in leaving)
        for node, found in by_node.items():
            lines, ways = [], []
            for segment, here, there in found:
                way, where = self._way(here, there)
                load, size = self.loads.get(segment.id), size_words(segment)
                named = f"{segment.id}{size}{',' if size else ''}"
                lines.append(f"{named} {way} to {where}" + (f": {load}" if load else ""))
                ways.append(way)
            at = found[0][1]
            across = any(way not in ("up", "down") for way in ways)
            yield PlanRiser(node, (at.x_m, at.y_m), tuple(lines), "up" in ways, "down" in ways, across)

    def _way(self, here: PathwayNode, there: PathwayNode) -> tuple[str, str]:
        """Which way a pathway leaves, and to where: to another building it runs across, whatever the floors' heights."""
        levels = self.site.level
        where = levels[there.level].name or there.level
        building = building_of(self.site, there.level)
        if building != building_of(self.site, here.level):
            names = {b.id: b.name or b.id for b in self.site.buildings}
            return "across", f"{names.get(building, building)}, {where}"
        rise_m = levels[there.level].elevation_m - levels[here.level].elevation_m
        return ("up" if rise_m > 0 else "down" if rise_m < 0 else "across"), where


_IN_FRAME: Final = frozenset({"elev_strike", "elev_contact"})
_SYMBOLS: Final = {
    "elev_controller": "plan_controller", "elev_reader": "plan_reader", "elev_strike": "plan_lock",
    "elev_maglock": "plan_lock", "elev_exit_device": "plan_lock", "elev_contact": "plan_contact",
    "elev_rex": "plan_rex", "elev_release": "plan_button",
}  # fmt: skip


def _symbol(device: ElevationDevice, role: str | None) -> str:
    """The elevation has one box for all that stands in boxes and for what is let into the hinges, one bar for all in a bar."""
    if role in (DeviceRole.REX_SENSOR, DeviceRole.MANUAL_RELEASE) and device.symbol == "elev_exit_device":
        return "plan_button"
    boxed = {DeviceRole.POWER_TRANSFER: "plan_transfer", DeviceRole.JUNCTION_BOX: "plan_junction_box"}
    found = {str(name): symbol for name, symbol in boxed.items()}
    return _SYMBOLS.get(device.symbol) or found.get(str(role), "plan_box")


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _walls(site: Site, level: str) -> shapely.Geometry | None:
    shapes = [shapely.make_valid(shapely.from_wkt(wall.outline_wkt)) for wall in site.walls if wall.level == level]
    return shapely.unary_union(shapes) if shapes else None


def _loads(design: Design) -> Mapping[str, str]:
    """How many cables run in each pathway segment, in words."""
    horizontal: Counter[str] = Counter()
    backbone: Counter[str] = Counter()
    lock_power: Counter[str] = Counter()
    for door in design.doors:
        if door.cable is not None and door.cable.route is not None:
            horizontal.update(set(door.cable.route.segments))
    for run in design.backbone:
        if run.route is not None:
            backbone.update(set(run.route.segments))
    for cable in _lock_power(design):
        lock_power.update(set(cable.segments))
    return {
        segment: " + ".join(
            [
                *([str(horizontal[segment])] if horizontal[segment] else []),
                *([f"{lock_power[segment]} lock power"] if lock_power[segment] else []),
                *([f"{backbone[segment]} backbone"] if backbone[segment] else []),
            ]
        )
        for segment in {*horizontal, *lock_power, *backbone}
    }


def _lock_power(design: Design) -> Iterator[DesignCable]:
    return (cable for cable in design.pathway_cables if cable.kind is CableKind.LOCK_POWER)


def _strands(design: Design) -> tuple[dict[str, list[Strand]], frozenset[str]]:
    """Straight pieces of all ways over pathways, by level, and the marks of the openings that have one."""
    found: dict[str, list[Strand]] = {}
    routed = set()
    for door in design.doors:
        if door.placement is None or door.cable is None:
            continue
        way = design.router.routed(door.placement.closet, door.mark)
        if way is None or way.basis is not LengthBasis.ROUTED:
            continue
        routed.add(door.mark)
        points = design.router.points(door.placement.closet, door.mark)
        _add(found, points, f"cable:{door.cable.subject}", backbone=False)
    for cable in _lock_power(design):
        supply = design.site.supply[cable.from_id]
        if supply.closet and cable.route is not None and cable.segments:
            points = design.router.points(supply.closet, cable.mark)
            _add(found, points, f"cable:{cable.subject}", backbone=False)
    for run in design.backbone:
        _add(found, _backbone_points(design, run), f"cable:{run.subject}", backbone=True)
    return found, frozenset(routed)


def _add(found: dict[str, list[Strand]], points: tuple[PlanPoint, ...], subject: str, *, backbone: bool) -> None:
    for (x0, y0, level), (x1, y1, other) in pairwise(_straightened(points)):
        if level == other and (x0, y0) != (x1, y1):
            found.setdefault(level, []).append(Strand(subject, (x0, y0), (x1, y1), backbone))


def _straightened(points: tuple[PlanPoint, ...]) -> list[PlanPoint]:
    """Without the points at which a way goes straight on, so that a joint of the pathway is no end of a piece."""
    kept: list[PlanPoint] = []
    for point in points:
        if len(kept) > 1 and kept[-2][2] == kept[-1][2] == point[2]:
            (ax, ay, _), (bx, by, _), (cx, cy, _) = kept[-2], kept[-1], point
            turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
            if abs(turn) < _STRAIGHT and (bx - ax) * (cx - bx) + (by - ay) * (cy - by) > 0:
                kept.pop()
        kept.append(point)
    return kept


def _backbone_points(design: Design, run: CableRun) -> tuple[PlanPoint, ...]:
    """From closet to tap, along whole segments between, to the other tap and closet; empty without pathways."""
    site, taps = design.site, design.router.pathways.closet_taps
    ends = [site.closet[closet] for closet in (run.from_id, run.to_id)]
    if run.route is None or not run.route.segments or any(closet.id not in taps for closet in ends):
        return ()
    segments = [site.pathway_segment[name] for name in run.route.segments if name in site.pathway_segment]
    joints = []
    for one, next_one in pairwise(segments):
        shared = {one.from_node, one.to_node} & {next_one.from_node, next_one.to_node}
        joints += [site.pathway_node[name] for name in sorted(shared)[:1]]
    first, last = (taps[closet.id].spot for closet in ends)
    return (
        (ends[0].x_m, ends[0].y_m, ends[0].level),
        (first.x_m, ends[0].y_m, ends[0].level),
        first.plan,
        *((node.x_m, node.y_m, node.level) for node in joints),
        last.plan,
        (last.x_m, ends[1].y_m, ends[1].level),
        (ends[1].x_m, ends[1].y_m, ends[1].level),
    )


def points_of(level: PlanLevel) -> list[Point]:
    """Every point of ours that its plan must show, metres."""
    ends = [p for pathway in level.pathways for p in pathway.ends_m]
    strands = [p for strand in level.strands for p in (strand.start_m, strand.end_m)]
    return [*(o.at_m for o in level.openings), *(c.at_m for c in level.closets), *ends, *strands,
            *(r.at_m for r in level.risers)]  # fmt: skip
