"""Symbols inside devices: which block draws an element, and plain strokes where the block's lettering would be too small.

A device shows its symbols at half size; the blocks of battery and suppressor carry letters that would then fall under
the least height. After IEC 60617 (from memory): a battery's long stroke is plus; a voltage-dependent resistor is a
rectangle with a bent stroke across.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final, NamedTuple, Protocol

from riserkit.circuits.netlist import ElementKind
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.pens import Pen


class SymbolStroke(NamedTuple):
    """One stroke in the units of a symbol 10 mm high, its plus end at the top."""

    points: tuple[Point, ...]
    thick: bool = False


_BATTERY: Final = (
    SymbolStroke(((0, 5), (0, 1.1))),
    SymbolStroke(((-4, 1.1), (4, 1.1))),
    SymbolStroke(((-2, -1.1), (2, -1.1)), thick=True),
    SymbolStroke(((0, -1.1), (0, -5))),
)
_SUPPRESSOR: Final = (
    SymbolStroke(((0, 5), (0, 3.5))),
    SymbolStroke(((-1.4, 3.5), (1.4, 3.5), (1.4, -3.5), (-1.4, -3.5), (-1.4, 3.5))),
    SymbolStroke(((-3, -3.4), (-3, -2), (3, 2))),
    SymbolStroke(((0, -3.5), (0, -5))),
)
STROKES: Final[Mapping[ElementKind, tuple[SymbolStroke, ...]]] = MappingProxyType(
    {ElementKind.SOURCE: _BATTERY, ElementKind.SUPPRESSOR: _SUPPRESSOR}
)


class StrokeSurface(Protocol):
    """What strokes are drawn on."""

    def polyline(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM) -> None:
        """A line through points."""
        ...


def draw_strokes(canvas: StrokeSurface, kind: ElementKind, at: Point, scale: float, *, upside_down: bool) -> None:
    """Draw an element of `STROKES` with its middle at a point."""
    turn = -1 if upside_down else 1
    for stroke in STROKES[kind]:
        points = [(at[0] + x * scale * turn, at[1] + y * scale * turn) for x, y in stroke.points]
        canvas.polyline(points, Pen(layers.DIAGRAM_LIGHT, 0.5) if stroke.thick else layers.DIAGRAM_LIGHT)


def symbol_block(kind: ElementKind, *, normally_closed: bool) -> str:
    """The block that draws an element that is not of `STROKES`."""
    if kind is ElementKind.CONTACT:
        return "contact_nc" if normally_closed else "contact_no"
    return "diode" if kind is ElementKind.DIODE else "coil"
