"""The rule `opening-on-plan`."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import Opening
from riserkit.model.place import Room, Wall
from riserkit.model.site import Site
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, stated
from riserkit.rules._shared.lookups import listed

_PROBES_M: Final = (0.25, 0.4, 0.6, 0.9)
"""How far beside the opening a room is looked for: half a thin wall, then further."""
OFF_JAMB_M: Final = 0.3
"""How far the middle of an opening may be off, beyond half its width: its wall may be drawn with a gap."""
_REMEDY: Final = (
    "Check secured_side_deg, the names of both sides, and x_m and y_m: the reader is drawn on the unsecured side."
)


class OpeningOnPlan:
    """An opening stands in a wall of the plan, between the rooms that it names.

    Why:
        Which way is in decides where reader, sensor and lock are drawn and cabled. With the sides exchanged the crew mounts
        the reader inside and the REX sensor in the street.
    Measures:
        Where a side of an opening is called exactly as a room of its level (id, name, or both): whether that room's outline
        lies on that side, within 0.9 m. Where the level has outlines of walls or rooms: the distance to the nearest of
        them, gates apart.
    Limit:
        The room lies on that side; half the opening's width and 0.3 m to a wall.
    Remedy:
        What to check.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "opening-on-plan"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that does not fit its plan; one pass for the site when all do."""
        site = design.site
        found = [*self._sides(site), *self._off_walls(site)] if site.rooms or site.walls else []
        yield from found
        if not found:
            message = "Openings stand where the plan's rooms and walls have them, as far as outlines are stated."
            yield stated(self, ("site", site.info.name), True, message, severity=Severity.WARNING)

    def _sides(self, site: Site) -> Iterator[Finding]:
        rooms = _by_level(site.rooms)
        for opening in site.openings:
            deg = opening.secured_normal_deg
            if deg is None or opening.level not in rooms:
                continue
            beside = {
                "secured_side": _beside(rooms[opening.level], opening, deg),
                "unsecured_side": _beside(rooms[opening.level], opening, deg + 180),
            }
            for column, there in beside.items():
                said = getattr(opening, column)
                wanted = [room for room, _ in rooms[opening.level] if said and _is_called(room, said)]
                # A corridor is a corridor: a room there whose longer name holds the word is what was meant.
                fits = any(room in wanted or _folded(said) in _folded(room.name) for room in there)
                if wanted and there and not fits:
                    names = listed(sorted({room.name or room.id for room in there}))
                    message = f"Its {column.replace('_', ' ')} is {said}; on the plan that side is {names}."
                    yield stated(
                        self, ("opening", opening.mark), False, message, severity=Severity.WARNING, remedy=_REMEDY,
                        about=column,
                    )  # fmt: skip

    def _off_walls(self, site: Site) -> Iterator[Finding]:
        import shapely  # noqa: PLC0415  takes longer to load than most sites take to check

        outlines: dict[str, list[str]] = {}
        things: tuple[Room | Wall, ...] = (*site.walls, *site.rooms)
        for thing in things:
            outlines.setdefault(thing.level, []).append(thing.outline_wkt)
        trees = {level: shapely.STRtree(shapely.boundary(shapely.from_wkt(found))) for level, found in outlines.items()}
        system = site.info.unit_system
        for opening in site.openings:
            tree = trees.get(opening.level)
            if tree is None or opening.type == "gate":
                continue
            (_, away_m) = tree.query_nearest(shapely.Point(opening.x_m, opening.y_m), return_distance=True)
            off_m, most_m = float(away_m[0]), opening.whole_width_m / 2 + OFF_JAMB_M
            measure = Measure(off_m, most_m, "m")
            if not measure.kept:
                off, most = format_pair(off_m, most_m, "m", system)
                yield measured(
                    self, ("opening", opening.mark), measure, f"It stands {off} from the nearest wall or room edge, at most {most}.",
                    severity=Severity.WARNING, remedy="Check x_m and y_m, their unit, and the level.", about="wall",
                )  # fmt: skip


def _by_level(rooms: Sequence[Room]) -> Mapping[str, list[tuple[Room, Any]]]:
    import shapely  # noqa: PLC0415  takes longer to load than most sites take to check

    return grouped((room.level, (room, shapely.make_valid(shapely.from_wkt(room.outline_wkt)))) for room in rooms)


def _beside(rooms: Sequence[tuple[Room, Any]], opening: Opening, deg: float) -> list[Room]:
    """Rooms that lie beside an opening in one direction."""
    import shapely  # noqa: PLC0415  takes longer to load than most sites take to check

    cos, sin = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    points = shapely.MultiPoint([(opening.x_m + cos * far_m, opening.y_m + sin * far_m) for far_m in _PROBES_M])
    return [room for room, shape in rooms if shape.intersects(points)]


def _is_called(room: Room, said: str) -> bool:
    return _folded(said) in {_folded(name) for name in (room.id, room.name, f"{room.id} {room.name}")} - {""}


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())
