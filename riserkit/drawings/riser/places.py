"""What has its place on a riser: millimetres from the diagram's upper left corner, y upward."""

from __future__ import annotations

from dataclasses import dataclass

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.riser.values import Backbone, ClosetBox, Drop, LevelBand, OpeningGroup


@dataclass(frozen=True, slots=True)
class PlacedItem:
    """An opening or a bundle: middle of its symbol, height of its spine."""

    item: Drop | OpeningGroup
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """A spine with what hangs on it; `x` is the lane that it starts from, `count_x` where its count is.

    `column`: that it stands in, which is not that of its closet where that is in another stack.
    """

    closet: str
    level: str
    x: float
    y: float
    count_x: float
    column: int
    items: tuple[PlacedItem, ...]

    @property
    def cables(self) -> int:
        """How many cables its spine carries."""
        return sum(len(i.item.members) if isinstance(i.item, OpeningGroup) else 1 for i in self.items)


@dataclass(frozen=True, slots=True)
class PlacedCloset:
    """A closet; `port_y` is where cables arrive, `head_y` the top of its header."""

    box: ClosetBox
    rect: Rect
    port_y: float


@dataclass(frozen=True, slots=True)
class NetLine:
    """A line of one net along the axes. Lines of different nets that cross are bridged."""

    net: str
    subject: str
    pen: Pen
    points: tuple[Point, ...]
    words: str = ""
    """What it is called where it goes on on another sheet."""


@dataclass(frozen=True, slots=True)
class BackboneTag:
    """The two lines of text of a backbone cable where it arrives."""

    cable: Backbone
    at: Point


@dataclass(frozen=True, slots=True)
class PlacedBand:
    """A level: from its top to its floor line. `x0` is left of its names, below 0 for what stands at the sheet's edge."""

    band: LevelBand
    y1: float
    y0: float
    x0: float
    x1: float


@dataclass(frozen=True)
class RiserLayout:
    """The whole diagram on one plane, however many sheets it takes. `columns` are their left and right edges."""

    bands: tuple[PlacedBand, ...]
    columns: tuple[tuple[float, float], ...]
    closets: tuple[PlacedCloset, ...]
    rows: tuple[PlacedRow, ...]
    wires: tuple[NetLine, ...]
    tags: tuple[BackboneTag, ...]

    @property
    def width(self) -> float:
        """Of all columns."""
        return self.columns[-1][1]

    @property
    def height(self) -> float:
        """Of all levels."""
        return -min((placed.y0 for placed in self.bands), default=0.0)
