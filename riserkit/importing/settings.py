r"""`import.toml`: what a user says of the documents, over what was guessed.

All of it is optional:

[doors]
keep = "listed"                       # "all": also doors of plans and models that no list names
merge_within_m = 0.5                  # a door of a plan and one of a model this near are one
holds = ["doors.xlsx"]                # whose sizes hold where documents differ, the first named before the others

[sides]
circulation = ["corridor", "lobby"]   # rooms that one comes from: their side is the unsecured one

[marks]                               # a door's name in its document = its mark
"Door-016" = "S-16"

[levels]                              # a level's name in its document = its id
"Level 1" = "L1"

[words]                               # words of hardware = what they mean for an opening
"ES-1" = { lock = "strike-12-secure", fail_mode = "fail-secure" }

[document."plan-1.dxf"]               # one for each document, by its file's name
level = "L1"                          # of a plan that shows one level
elevation_m = 0.0                     # of that level
units = "inch"                        # mm, cm, m, inch, foot
scale = 1.0                           # a further factor
origin = [0.0, 0.0]                   # the drawing's point, in its units, that is the site's 0, 0
rotation_deg = 0.0                    # by which the drawing is turned about it, counter-clockwise
points = [[0, 0, 12.0, 4.0], [1000, 0, 37.4, 4.0]]   # instead: x, y of the drawing and x, y of the site in metres
regions = { "L1" = [0, 0, 900, 600], "L2" = [1000, 0, 1900, 600] }   # storeys beside each other: level = x0, y0, x1, y1 drawn
layers = { "A-WALL" = "walls", "DOORS" = "doors", "FURN" = "ignore" }    # walls, doors, rooms, texts, ignore
sheets = ["Doors"]                    # of a workbook; else all that are shown
header_row = 4
columns = { "Door No." = "mark", "Clg" = "remarks" }  # heading = column of openings, size, hardware, set, remarks, ignore
hidden = "keep"                       # "skip": hidden rows are left out
struck = "keep"                       # "skip": rows that are struck out are left out
"""

from __future__ import annotations

import tomllib
from typing import Annotated, Any, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from riserkit.model.problems import InputError, Problem, Where, shorten
from riserkit.model.refusals import accepted
from riserkit.model.tables import fields_of

SETTINGS: Final = "import.toml"
CIRCULATION: Final = (
    "corridor", "hall", "hallway", "lobby", "entry", "entrance", "vestibule", "foyer", "reception", "passage", "passageway",
    "circulation", "atrium", "concourse", "waiting", "landing", "stair", "stairs", "elevator lobby", "flur", "gang",
    "couloir", "pasillo", "corridoio",
)  # fmt: skip
"""Rooms that one comes from; common practice, no source."""
UNITS_M: Final = {"mm": 0.001, "cm": 0.01, "dm": 0.1, "m": 1.0, "inch": 0.0254, "foot": 0.3048}
_MOST_BYTES: Final = 1_000_000
_Number = Annotated[float, Field(ge=-1e9, le=1e9)]


class _Setting(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class DocumentSettings(_Setting):
    """What a user says of one document; see the head of this module."""

    level: str = ""
    elevation_m: _Number | None = None
    units: Literal["", "mm", "cm", "dm", "m", "inch", "foot"] = ""
    scale: Annotated[float, Field(gt=0, le=1e6)] | None = None
    origin: tuple[_Number, _Number] | None = None
    rotation_deg: _Number | None = None
    points: tuple[tuple[_Number, _Number, _Number, _Number], ...] = ()
    regions: dict[str, tuple[_Number, _Number, _Number, _Number]] = {}
    layers: dict[str, Literal["walls", "doors", "rooms", "texts", "ignore"]] = {}
    sheets: tuple[str, ...] = ()
    header_row: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    columns: dict[str, str] = {}
    hidden: Literal["", "keep", "skip"] = ""
    struck: Literal["", "keep", "skip"] = ""

    @model_validator(mode="after")
    def _two_points(self) -> Self:
        if self.points and (len(self.points) != 2 or self.points[0][:2] == self.points[1][:2]):
            raise ValueError("expected two pairs of points that differ")
        if self.points and (self.origin is not None or self.rotation_deg is not None or self.scale is not None):
            raise ValueError("expected either points, or origin, rotation_deg and scale")
        return self

    @model_validator(mode="after")
    def _regions_apart(self) -> Self:
        boxes = list(self.regions.values())
        if any(x0 >= x1 or y0 >= y1 for x0, y0, x1, y1 in boxes):
            raise ValueError("expected each region as x0, y0, x1, y1: its lower left corner, then its upper right one")
        for n, (x0, y0, x1, y1) in enumerate(boxes):
            if any(x0 < c and a < x1 and y0 < d and b < y1 for a, b, c, d in boxes[n + 1 :]):
                raise ValueError("expected regions that do not lie over each other")
        if self.regions and self.level:
            raise ValueError("expected either level, or regions")
        return self

    @model_validator(mode="after")
    def _known_columns(self) -> Self:
        for heading, meaning in self.columns.items():
            if meaning not in COLUMN_MEANINGS:
                raise ValueError(f"{heading!r}: expected a column of openings or one of {', '.join(OTHER_MEANINGS)}")
        return self


class DoorSettings(_Setting):
    """Which doors become openings."""

    keep: Literal["", "listed", "all"] = ""
    merge_within_m: Annotated[float, Field(gt=0, le=5)] = 0.5
    holds: tuple[str, ...] = ()


class SideSettings(_Setting):
    """Which side of a door is the secured one."""

    circulation: tuple[str, ...] = CIRCULATION


class ImportSettings(_Setting):
    """A whole `import.toml`."""

    doors: DoorSettings = DoorSettings()
    sides: SideSettings = SideSettings()
    marks: dict[str, str] = {}
    levels: dict[str, str] = {}
    words: dict[str, dict[str, str]] = {}
    document: dict[str, DocumentSettings] = {}

    def of(self, document: str) -> DocumentSettings:
        """What is said of a document; nothing where it is not mentioned."""
        return self.document.get(document, DocumentSettings())


OTHER_MEANINGS: Final = (
    "size", "hand", "hardware", "set", "from", "to", "from_to", "voltage", "controlled", "remarks", "ignore",
)  # fmt: skip
COLUMN_MEANINGS: Final = frozenset({*fields_of("openings"), *OTHER_MEANINGS})


def read_settings(text: str, name: str = SETTINGS) -> ImportSettings:
    """The settings of an `import.toml`.

    Raises:
        InputError: it is no TOML, or says something that there is not.
    """
    if len(text) > _MOST_BYTES:
        raise InputError([Problem(Where(name), "", "", "expected settings of at most a megabyte")])
    try:
        return ImportSettings.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError([Problem(Where(name), "", "", f"expected TOML; {error}")]) from None
    except RecursionError:
        raise InputError([Problem(Where(name), "", "", "expected TOML; this is nested too deep")]) from None
    except ValidationError as error:
        raise InputError(
            Problem(Where(name, pointer=".".join(map(str, item["loc"]))), "", _seen(item["input"]), _wanted(item))
            for item in error.errors(include_url=False)
        ) from None


def _seen(value: object) -> str:
    return shorten(value) if isinstance(value, (str, int, float)) else ""


def _wanted(item: Any) -> str:
    return "nothing of this name is known" if item["type"] == "extra_forbidden" else accepted(item, "", "")
