"""Where things are: buildings, levels, closets, rooms and walls."""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from riserkit.model.base import Coordinate, Elevation, FieldError, Height, Id, Record, SmallLength, Text

_FAR_M = 10_000_000
# Nothing else is handed to the parser, which would follow nested collections until the stack ends.
_POLYGON = re.compile(r"\s*(?:MULTI)?POLYGON\b[\w\s().,+\-]*", re.IGNORECASE | re.ASCII)
_EXPECTED = "expected an outline in metres such as POLYGON ((0 0, 5 0, 5 4, 0 4, 0 0))"


def _polygon(text: str) -> str:
    import numpy as np  # noqa: PLC0415  both take longer to load than most sites take to read
    import shapely  # noqa: PLC0415

    if not _POLYGON.fullmatch(text):
        raise ValueError(_EXPECTED)
    try:
        with np.errstate(invalid="ignore"):
            shape = shapely.from_wkt(text)
    except shapely.errors.ShapelyError as error:
        raise ValueError(f"{_EXPECTED}; {str(error).splitlines()[0][:120]}") from None
    corners_m = shapely.get_coordinates(shape)
    if not len(corners_m):
        raise ValueError(_EXPECTED)
    if not (abs(corners_m) <= _FAR_M).all():  # nor is that true of what is not finite
        raise ValueError(f"{_EXPECTED}, within {_FAR_M} m of the origin")
    return text


OutlineWkt = Annotated[str, StringConstraints(min_length=1, max_length=200_000), AfterValidator(_polygon)]


class Building(Record):
    """A building of the site. `code` begins its labels when the site has more than one, such as `B1`."""

    id: Id
    name: Text = ""
    code: Annotated[str, StringConstraints(pattern=r"^([A-Z][A-Z0-9]{0,3})?$")] = ""


class Level(Record):
    """A storey: its floor height in the building's frame and the floor number its labels begin with.

    `floor` may be left out; then levels are numbered upward from the lowest, the one nearest elevation 0 being 1.
    `background` names a drawing (DXF) in the site's folder that plans are drawn on: `background_scale` is metres of one of its
    units, `background_x_m` and `background_y_m` where its origin stands (left out, the site's own), `background_deg` by which it
    is turned, counter-clockwise. Instead, `background_points` gives two pairs of matching points, each x and y of the drawing
    and x and y of the site in metres: `0 0 12 4; 1000 0 37.4 4`. `background_as` copies it, or only names it.
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
    background: Text = ""
    background_scale: Annotated[float, Field(gt=0, le=1000)] | None = None
    background_x_m: Coordinate | None = None
    background_y_m: Coordinate | None = None
    background_deg: Annotated[float, Field(ge=-360, le=360)] | None = None
    background_points: Text = ""
    background_as: Literal["copy", "reference"] = "copy"

    @model_validator(mode="after")
    def _background(self) -> Self:
        if self.background_points:
            _ = self._matched
            if self.background_scale is not None or self.background_deg is not None:
                raise FieldError("background_points", "expected either matching points, or a scale and a rotation")
        elif self.background and self.background_scale is None:
            raise FieldError(
                "background_scale", "expected metres of one unit of the background, such as 0.001 for millimetres, or two pairs of "
                "matching points"
            )  # fmt: skip
        return self

    @property
    def _matched(self) -> tuple[tuple[float, ...], ...]:
        """Two pairs of points.

        Raises:
            FieldError: they are none.
        """
        try:
            pairs = tuple(
                tuple(float(n) for n in re.split(r"[\s,]+", part.strip())) for part in self.background_points.split(";")
            )
        except ValueError:
            pairs = ()
        if (
            len(pairs) != 2
            or any(len(pair) != 4 for pair in pairs)
            or pairs[0][:2] == pairs[1][:2]
            or pairs[0][2:] == pairs[1][2:]
        ):
            raise FieldError(
                "background_points", "expected two pairs of points that differ, such as 0 0 12 4; 1000 0 37.4 4"
            )
        return pairs

    @property
    def background_placing(self) -> tuple[float, tuple[float, float], float]:
        """Metres of a unit of the background, where its origin stands, and by how many degrees it is turned."""
        if not self.background_points:
            origin_m = (self.background_x_m or 0.0, self.background_y_m or 0.0)
            return self.background_scale or 1.0, origin_m, self.background_deg or 0.0
        (ax, ay, sx, sy), (bx, by, tx, ty) = self._matched
        ratio = complex(tx - sx, ty - sy) / complex(bx - ax, by - ay)
        origin = complex(sx, sy) - ratio * complex(ax, ay)
        return abs(ratio), (origin.real, origin.imag), math.degrees(math.atan2(ratio.imag, ratio.real))


class Closet(Record):
    """A telecommunications room or enclosure where switches stand.

    `letter` is its place in the floor's labels (`A` in `1A`); left out, the next free letter. `fed_from` is the
    closet that its backbone cable comes from; the main closet has none. `formerly`: its id at an earlier issue, where it
    has been renamed since; its labels stay.
    """

    id: Id
    level: Id
    name: Text = ""
    x_m: Coordinate
    y_m: Coordinate
    letter: Annotated[str, StringConstraints(pattern=r"^[A-Z]?$")] = ""
    fed_from: Id = ""
    backbone_cable: Id = ""
    formerly: Id = ""


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
    """A point of the pathway network.

    `height_m` is above its level's floor, in the ground below it with a minus, as -0.6; left out, the level's ceiling.
    """

    id: Id
    level: Id
    x_m: Coordinate
    y_m: Coordinate
    height_m: Height | None = None
