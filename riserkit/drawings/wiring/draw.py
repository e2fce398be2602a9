"""A wiring diagram put on a canvas. Each entity says which component, terminal, cable or conductor it stands for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from types import MappingProxyType
from typing import Final, Literal, Protocol

from riserkit.circuits.netlist import ElementKind
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.symbols import WIRING_DEVICE
from riserkit.drawings.wiring.boxes import ACROSS_SCALE, SYMBOL_SCALE, slot_rect
from riserkit.drawings.wiring.marks import CROSS_MM, DOT_MM, FaultMark, Marks, current_arrows, fault_marks
from riserkit.drawings.wiring.values import (
    DrawnDevice,
    Jacket,
    Label,
    PlacedSymbol,
    SpareEnd,
    Style,
    Wire,
    WiringDiagram,
)

_ARC_STEPS: Final = 6
_BRIDGE_SHARE: Final = 0.36
_DOT_MM: Final = 0.5
_CAP_MM: Final = 0.8
_POLED: Final = frozenset({ElementKind.SOURCE, ElementKind.SUPPRESSOR})
"""Turned so that the end that is plus by the circuit is their upper one."""


class WiringSurface(Protocol):
    """What a diagram is drawn on: a sheet's canvas, or a picture that is printed straight."""

    def subject(self, model_id: str, thing: str = "") -> AbstractContextManager[None]:
        """All that is drawn inside stands for one thing."""
        ...

    def group(self, name: str) -> AbstractContextManager[None]:
        """All that is drawn inside is picked as one."""
        ...

    def line(self, start: Point, end: Point, layer: str | Pen = layers.DIAGRAM) -> None:
        """A straight line."""
        ...

    def polyline(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM, *, closed: bool = False) -> None:
        """A line through points."""
        ...

    def rect(self, rect: Rect, layer: str | Pen = layers.DIAGRAM) -> None:
        """The outline of a box."""
        ...

    def circle(self, center: Point, radius: float, layer: str | Pen = layers.DIAGRAM) -> None:
        """A circle."""
        ...

    def fill(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM) -> None:
        """A polygon filled solid."""
        ...

    def text(
        self,
        text: str,
        at: Point,
        height_mm: float = 2.5,
        anchor: Literal["left", "center", "right"] = "left",
        layer: str = layers.TEXT,
        *,
        says: str = "",
    ) -> object:
        """One line of text; `says`: what it stands for, where it is drawn shorter."""
        ...

    def insert(
        self,
        block: str,
        at: Point,
        attribs: Mapping[str, str] | None = None,
        *,
        layer: str = layers.EQUIPMENT,
        rotation_deg: float = 0.0,
        scale: float = 1.0,
    ) -> object:
        """A block with its base point at a point."""
        ...


def draw_wiring(
    canvas: WiringSurface, diagram: WiringDiagram, at: Point, subject: str, marks: Marks | None = None
) -> Rect:
    """Draw a diagram with its lower left corner at a point.

    Args:
        canvas: where; its model must be seen at 1:1.
        diagram: what.
        at: lower left corner, millimetres.
        subject: id of the opening; the ids of its parts follow after a slash.
        marks: conductors that stand out; none when left out.

    Returns:
        the box that the diagram covers.
    """
    pen, marked = _Shifted(canvas, at), marks or Marks()
    known = diagram.known_by
    for wire in diagram.wires:
        thing = f"{subject}/conductor/{known(wire.ref)}"
        with canvas.subject(f"{subject}/conductor/{wire.ref}", thing), canvas.group(thing):
            pen.wire(wire, diagram.style, marked.pen(wire.ref))
    for jacket in diagram.jackets:
        thing = f"{subject}/cable/{known(jacket.cable)}/{jacket.component}"
        with canvas.subject(f"{subject}/cable/{jacket.cable}", thing), canvas.group(thing):
            pen.jacket(jacket)
    for spare in diagram.spares:
        thing = f"{subject}/spare/{known(spare.cable)}.{spare.colour}"
        with canvas.subject(f"{subject}/spare/{spare.cable}.{spare.colour}", thing), canvas.group(thing):
            pen.spare(spare)
    for label in diagram.spare_labels:
        pen.label(label, layers.IDENT)
    for box in diagram.boxes:
        with canvas.group(f"{subject}/wiring/{box.ref}"):
            pen.box(box, subject, diagram.style, marked.outline(box.ref))
    for across in diagram.across:
        with canvas.subject(f"{subject}/component/{across.ref}"), canvas.group(f"{subject}/wiring/{across.ref}"):
            pen.symbol(across.symbol, ACROSS_SCALE)
            pen.labels(across.labels, layers.IDENT)
    for ref, corners in current_arrows(diagram, marked):
        with canvas.subject(f"{subject}/current/{ref}", f"{subject}/current/{known(ref)}"):
            pen.arrow(corners)
    for mark in fault_marks(diagram, marked):
        thing = f"{subject}/fault/{known(mark.ref)}"
        with canvas.subject(f"{subject}/fault/{mark.ref}", thing), canvas.group(thing):
            pen.fault(mark)
    return Rect(0, 0, diagram.width_mm, diagram.height_mm).moved(*at)


class _Shifted:
    """Draws a diagram's values on a canvas, moved by an offset."""

    def __init__(self, canvas: WiringSurface, at: Point) -> None:
        self._canvas = canvas
        self._at = at

    def point(self, point: Point) -> Point:
        return point[0] + self._at[0], point[1] + self._at[1]

    def line(self, points: Sequence[Point], layer: str | Pen) -> None:
        moved = [self.point(p) for p in points]
        if len(moved) == 2:
            self._canvas.line(moved[0], moved[1], layer)
        else:
            self._canvas.polyline(moved, layer)

    def label(self, label: Label, layer: str) -> None:
        self._canvas.text(label.text, self.point(label.at), label.height_mm, label.align, layer, says=label.says)

    def labels(self, labels: Sequence[Label], layer: str) -> None:
        for label in labels:
            self.label(label, layer)

    def wire(self, wire: Wire, style: Style, layer: str | Pen) -> None:
        self.line(list(arched(wire, style)), layer)
        self.labels(wire.labels, layers.IDENT)

    def fault(self, mark: FaultMark) -> None:
        x, y = mark.at
        if mark.broken:
            for up in (CROSS_MM, -CROSS_MM):
                self.line([(x - CROSS_MM, y - up), (x + CROSS_MM, y + up)], Pen(layers.NOTE, 0.70))
        else:
            turns = [math.pi * k / _ARC_STEPS for k in range(2 * _ARC_STEPS)]
            dot = [self.point((x + DOT_MM * math.cos(t), y + DOT_MM * math.sin(t))) for t in turns]
            self._canvas.fill(dot, layers.NOTE)
        if mark.word is not None:
            self.label(mark.word, layers.NOTE)
        if mark.leader is not None:
            self.line(mark.leader, Pen(layers.NOTE, 0.18))

    def arrow(self, corners: Sequence[Point]) -> None:
        self._canvas.fill([self.point(c) for c in corners], layers.CONDUCTOR)

    def jacket(self, jacket: Jacket) -> None:
        x0, y0, x1, y1 = jacket.rect.moved(*self._at)
        self._canvas.polyline(rounded(Rect(x0, y0, x1, y1)), Pen(layers.JACKET, linetype="Continuous"), closed=True)
        if jacket.label is not None:
            self.label(jacket.label, layers.IDENT)

    def spare(self, spare: SpareEnd) -> None:
        self.line([spare.start, spare.end], Pen(layers.SPARE, linetype="Continuous"))
        # the cap: a short thick stroke across the end
        x, y = spare.end
        self.line([(x, y - _CAP_MM), (x, y + _CAP_MM)], Pen(layers.SPARE, 0.5, "Continuous"))

    def box(self, box: DrawnDevice, subject: str, style: Style, outline: str | Pen) -> None:
        with self._canvas.subject(f"{subject}/component/{box.ref}"):
            rect = box.rect.moved(*self._at)
            self._canvas.rect(rect, outline)
            values = {"REF": box.ref, "TITLE": box.title, "PLACE": box.place}
            self._canvas.insert(WIRING_DEVICE, (rect.x0, rect.y1), values)
            self.labels(box.heading, layers.IDENT)
            for stub in box.stubs:
                self.line(stub, layers.DIAGRAM_LIGHT)
            for dot in box.dots:
                self._canvas.circle(self.point(dot), _DOT_MM, Pen(layers.DIAGRAM_LIGHT, 0.5))
            for symbol in box.symbols:
                self.symbol(symbol, SYMBOL_SCALE)
        for terminal in box.terminals:
            with self._canvas.subject(f"{subject}/terminal/{box.ref}.{terminal.name}"):
                self._canvas.rect(slot_rect(terminal, style).moved(*self._at), layers.DIAGRAM_LIGHT)
                self.label(terminal.label, layers.IDENT)

    def symbol(self, symbol: PlacedSymbol, scale: float) -> None:
        at = self.point(symbol.center)
        # the block of a diode has its cathode at the top; the element's `a` is the anode
        turned = symbol.plus_up if symbol.kind is ElementKind.DIODE else symbol.kind in _POLED and not symbol.plus_up
        block = symbol_block(symbol.kind, normally_closed=symbol.normally_closed)
        angle = 180.0 if turned else 0.0
        self._canvas.insert(block, at, {"REF": ""}, layer=layers.DIAGRAM_LIGHT, rotation_deg=angle, scale=scale)


def rounded(rect: Rect) -> list[Point]:
    """A rectangle with half circles at its upper and lower ends, as a closed outline."""
    radius = min(rect.width, rect.height) / 2
    middle = (rect.x0 + rect.x1) / 2
    half_x = rect.width / 2
    turns = [math.pi * k / _ARC_STEPS for k in range(_ARC_STEPS + 1)]
    top = [(middle + half_x * math.cos(t), rect.y1 - radius + radius * math.sin(t)) for t in turns]
    low = [(middle - half_x * math.cos(t), rect.y0 + radius - radius * math.sin(t)) for t in turns]
    return [*top, *low]


def arched(wire: Wire, style: Style) -> Iterator[Point]:
    """The conductor's points with an arch at each bridge."""
    radius = _BRIDGE_SHARE * style.step_mm
    bridges = set(wire.bridges)
    for (x0, y0), (x1, y1) in zip(wire.path, wire.path[1:], strict=False):
        yield x0, y0
        if y0 == y1:
            along = 1 if x1 > x0 else -1
            here = sorted((b for b in bridges if b[1] == y0 and min(x0, x1) < b[0] < max(x0, x1)), reverse=along < 0)
            for x, y in here:
                turns = (math.pi * (1 - k / _ARC_STEPS) for k in range(_ARC_STEPS + 1))
                yield from ((x + along * radius * math.cos(t), y + radius * math.sin(t)) for t in turns)
    yield wire.path[-1]


_BLOCKS: Final = MappingProxyType(
    {ElementKind.SOURCE: "battery", ElementKind.SUPPRESSOR: "suppressor", ElementKind.DIODE: "diode"}
)


def symbol_block(kind: ElementKind, *, normally_closed: bool) -> str:
    """The block that draws an element; its plus end is at the top, but for a diode, whose cathode is."""
    if kind is ElementKind.CONTACT:
        return "contact_nc" if normally_closed else "contact_no"
    return _BLOCKS.get(kind, "coil")
