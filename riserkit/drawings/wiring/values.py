"""Values of a wiring diagram: plain geometry in millimetres of paper, y upward, origin at the lower left corner.

Nothing here knows of DXF, of doors or of sheets.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from riserkit.circuits.netlist import ElementKind
from riserkit.drawings.dxf.boxes import Point, Rect

Edge = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Style:
    """How a wiring diagram is set.

    Args:
        height_mm: height of all lettering; also fixes the distance of rows, so it must not fall below the sheet's least.
        with_gauge: conductors are labelled with their gauge too; else it stands in the conductor table only.
        share_lanes: conductors whose vertical parts do not meet may stand on one vertical line.
        columns: columns of devices; 0 lets the layout choose.
    """

    height_mm: float = 2.5
    with_gauge: bool = True
    share_lanes: bool = False
    columns: int = 0

    @property
    def step_mm(self) -> float:
        """The grid that rows and lanes stand on: half the distance between two labelled rows."""
        return round(1.2 * self.height_mm, 3)


class Label(NamedTuple):
    """One line of text. `at` is on the baseline: its left, middle or right end as `align` says.

    `says`: what it stands for, where there is no room to write all of it.
    """

    text: str
    at: Point
    height_mm: float
    align: Literal["left", "center", "right"] = "left"
    says: str = ""


@dataclass(frozen=True, slots=True)
class PlacedTerminal:
    """A terminal on a device's edge.

    `points` are where conductors land, one for each landing, the topmost first; at least one.
    """

    name: str
    edge: Edge
    points: tuple[Point, ...]
    label: Label
    used: bool


@dataclass(frozen=True, slots=True)
class PlacedSymbol:
    """The symbol of an element inside a device or across its terminals.

    Args:
        component: designation of what it belongs to.
        element: name of the element.
        kind: which symbol.
        normally_closed: a contact that is closed at rest.
        center: middle of the symbol, whose axis is vertical.
        plus_up: the element's `a` terminal is at its upper end.
    """

    component: str
    element: str
    kind: ElementKind
    normally_closed: bool
    center: Point
    plus_up: bool


@dataclass(frozen=True, slots=True)
class DrawnDevice:
    """A device: its outline, heading, terminals and what is shown inside."""

    ref: str
    rect: Rect
    heading: tuple[Label, ...]
    terminals: tuple[PlacedTerminal, ...]
    symbols: tuple[PlacedSymbol, ...]
    stubs: tuple[tuple[Point, ...], ...]
    dots: tuple[Point, ...]
    exposed: bool
    title: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True)
class PlacedAcross:
    """A part that stands across two terminals of a device on its own leads."""

    ref: str
    symbol: PlacedSymbol
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor as drawn, from its landing `a` to its landing `b`.

    Args:
        ref: designation of the conductor.
        path: corners, the first and last on the terminals.
        bridges: where it arches over another conductor, always on a horizontal part.
        labels: number, colour and gauge, at both ends where there is room.
    """

    ref: str
    path: tuple[Point, ...]
    bridges: tuple[Point, ...]
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Jacket:
    """The jacket of a cable round its conductors, near one end."""

    cable: str
    component: str
    rect: Rect
    label: Label | None


@dataclass(frozen=True, slots=True)
class SpareEnd:
    """A conductor that lands nowhere: from its jacket at `start` to its cap at `end`."""

    cable: str
    colour: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class WiringDiagram:
    """A whole diagram.

    `crossings` counts pairs of conductors that cross; each is bridged. `things` says by designation what conductors and
    cables are known by, whatever their numbers.
    """

    width_mm: float
    height_mm: float
    boxes: tuple[DrawnDevice, ...]
    across: tuple[PlacedAcross, ...]
    wires: tuple[Wire, ...]
    jackets: tuple[Jacket, ...]
    spares: tuple[SpareEnd, ...]
    spare_labels: tuple[Label, ...]
    crossings: int
    style: Style = field(default=Style())
    things: Mapping[str, str] = field(default_factory=dict)

    def known_by(self, ref: str) -> str:
        """What a conductor or a cable is known by from one build to the next."""
        return self.things.get(ref, ref)
