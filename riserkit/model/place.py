"""Where things are: buildings, levels, closets, rooms and walls."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from riserkit.model.base import Coordinate, Elevation, Height, Id, Record, SmallLength, Text
from riserkit.model.outline import OutlineWkt


class Building(Record):
    """A building of the site. `code` begins its labels when the site has more than one, such as `B1`."""

    id: Id
    name: Text = ""
    code: Annotated[str, StringConstraints(pattern=r"^([A-Z][A-Z0-9]{0,3})?$")] = ""


class Level(Record):
    """A storey: its floor height in the building's frame and the floor number its labels begin with.

    `floor` may be left out; then levels are numbered upward from the lowest, the one nearest elevation 0 being 1.
    `ceiling_m` is where pathways run when they state no height of their own. `ceiling_space` is what the space above its
    ceilings is for air: `plenum` where it moves building air, else `general`.
    """

    id: Id
    building: Id = ""
    name: Text = ""
    elevation_m: Elevation
    floor: Annotated[int, Field(ge=0, le=99)] | None = None
    ceiling_m: SmallLength = 3.0
    ceiling_space: Literal["general", "plenum"] | None = None


class Closet(Record):
    """A telecommunications room or enclosure where switches stand.

    `letter` is its place in the floor's labels (`A` in `1A`); left out, the next free letter. `fed_from` is the
    closet that
    its backbone cable comes from; the main closet has none.
    """

    id: Id
    level: Id
    name: Text = ""
    x_m: Coordinate
    y_m: Coordinate
    letter: Annotated[str, StringConstraints(pattern=r"^[A-Z]?$")] = ""
    fed_from: Id = ""
    backbone_cable: Id = ""


class Room(Record):
    """A room's outline as Well-Known Text (OGC Simple Features), metres; drawn behind plans."""

    id: Id
    level: Id
    name: Text = ""
    outline_wkt: OutlineWkt


class Wall(Record):
    """A wall's footprint as Well-Known Text, metres; drawn behind plans."""

    level: Id
    outline_wkt: OutlineWkt


class PathwayNode(Record):
    """A point of the pathway network. `height_m` is above its level's floor; left out, the level's ceiling."""

    id: Id
    level: Id
    x_m: Coordinate
    y_m: Coordinate
    height_m: Height | None = None
