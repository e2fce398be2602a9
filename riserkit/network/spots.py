"""Where things stand in three dimensions: closets at their rack, openings at their controller, pathway nodes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.model.opening import Opening
from riserkit.model.place import Closet, Level, PathwayNode
from riserkit.model.site import Site
from riserkit.standards.cabling import PERMANENT_LINK_M
from riserkit.standards.source import COMMON_PRACTICE, Limit

# Common practice, no source: a controller with its reader is at about hand height, a patch panel at about the
# middle of a rack that starts at the floor.
DEVICE_HEIGHT: Final = Limit(1.2, "m", COMMON_PRACTICE)
RACK_HEIGHT: Final = Limit(1.2, "m", COMMON_PRACTICE)

DEVICE_HEIGHT_M: Final = DEVICE_HEIGHT.value
RACK_HEIGHT_M: Final = RACK_HEIGHT.value

# A door is sent to a farther closet only within this reach; the nearest one is taken when none has a free port.
REACH_M: Final = PERMANENT_LINK_M


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of the site. `z_m` is in the frame of the levels' elevations, `ceiling_z_m` that of its level."""

    x_m: float
    y_m: float
    z_m: float
    level: str
    ceiling_z_m: float
    building: str

    @property
    def plan(self) -> tuple[float, float, str]:
        """The point as plans take it: x, y, level."""
        return (self.x_m, self.y_m, self.level)


def building_of(site: Site, level_id: str) -> str:
    """The building of a level; on a site of one building, also of levels that name none."""
    stated = site.level[level_id].building
    return stated or (site.buildings[0].id if len(site.buildings) == 1 else "")


def closet_spot(site: Site, closet: Closet) -> Spot:
    """A closet's rack."""
    return _spot(site, closet.x_m, closet.y_m, closet.level, RACK_HEIGHT_M)


def opening_spot(site: Site, opening: Opening) -> Spot:
    """An opening's controller."""
    return _spot(site, opening.x_m, opening.y_m, opening.level, DEVICE_HEIGHT_M)


def node_spot(site: Site, node: PathwayNode) -> Spot:
    """A pathway node, at its level's ceiling when it states no height."""
    level = site.level[node.level]
    return _spot(site, node.x_m, node.y_m, node.level, level.ceiling_m if node.height_m is None else node.height_m)


def _spot(site: Site, x_m: float, y_m: float, level_id: str, height_m: float) -> Spot:
    level: Level = site.level[level_id]
    elevation_m = level.elevation_m
    return Spot(x_m, y_m, elevation_m + height_m, level_id, elevation_m + level.ceiling_m, building_of(site, level_id))
