"""A netlist laid out as a wiring diagram: devices in columns, conductors in channels, all of it plain geometry.

Read off the netlist and nothing else. The search, which takes longest, is done once for all netlists of one structure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.wiring.across import across_room_mm, place_across
from riserkit.drawings.wiring.boxes import box_of, box_width_mm, row_y
from riserkit.drawings.wiring.channel import tracks
from riserkit.drawings.wiring.place import PlacedPlan
from riserkit.drawings.wiring.plan import Item
from riserkit.drawings.wiring.problem import LayoutQuestion, set_up
from riserkit.drawings.wiring.rows import TerminalRow
from riserkit.drawings.wiring.solve import ranked, solved
from riserkit.drawings.wiring.values import DrawnDevice, Edge, Jacket, Label, SpareEnd, Style, WiringDiagram
from riserkit.drawings.wiring.wires import (
    LABEL_LIFT_MM,
    LABEL_START_MM,
    Zone,
    bridged,
    jackets_of,
    spare_text,
    spares_of,
    wire_of,
    wire_text,
    zone_for,
)

_EDGES: Final[tuple[Edge, Edge]] = ("left", "right")


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where columns and lanes stand across the diagram."""

    boxes_x: tuple[tuple[float, float], ...]
    zones: tuple[Mapping[Edge, Zone], ...]
    lanes_x: tuple[Mapping[int, float], ...]
    width_mm: float


def lay_out(netlist: Netlist, style: Style, room_mm: float) -> WiringDiagram:
    """Lay out a netlist.

    Args:
        netlist: what is drawn.
        style: how it is set.
        room_mm: height to stay within if it can be done; the result may be higher, so look at its size.

    Raises:
        ValueError: a netlist without components.
    """
    if not netlist.components:
        raise ValueError("a wiring diagram needs a netlist with components; this one has none")
    question = set_up(netlist, style, room_mm)
    placed = _chosen(question, style)
    return SizedDiagram(question, placed, _frame(question, placed, style), style).drawn()


class Layouts:
    """A netlist's diagrams by style and count of columns, to be chosen among before any is drawn.

    Args:
        netlist: what is drawn.
        room_mm: height to stay within if it can be done.
    """

    def __init__(self, netlist: Netlist, room_mm: float) -> None:
        self._netlist, self._room_mm = netlist, room_mm
        self._questions: dict[tuple[float, float], LayoutQuestion] = {}

    def _question(self, style: Style) -> LayoutQuestion:
        """The same for all styles of one height: what else a style says changes no rows."""
        key = (style.height_mm, style.step_mm)
        if key not in self._questions:
            self._questions[key] = set_up(self._netlist, style, self._room_mm)
        return self._questions[key]

    def ranked_columns(self, style: Style, most: int) -> tuple[int, ...]:
        """Counts of columns worth a try, no more than the most, the best first; the style's own is not looked at."""
        return tuple(columns for _, columns in ranked(self._question(style).problem, most))

    def sized(self, style: Style, columns: int) -> SizedDiagram:
        """The diagram in so many columns, with its size and nothing more."""
        question, asked = self._question(style), replace(style, columns=columns)
        placed = solved(question.problem, columns)[0]
        return SizedDiagram(question, placed, _frame(question, placed, asked), asked)


_Rows = Mapping[str, Sequence[tuple[TerminalRow, float]]]
"""Rows of each device with their heights."""


@dataclass(frozen=True, slots=True)
class SizedDiagram:
    """A diagram whose size is known. Most prove too large for their sheet, and their lines are never worked out."""

    question: LayoutQuestion
    placed: PlacedPlan
    frame: _Frame
    style: Style

    @property
    def width_mm(self) -> float:
        """Of the whole diagram."""
        return round(self.frame.width_mm, 3)

    @property
    def height_mm(self) -> float:
        """Of the whole diagram."""
        return round(self.placed.height * self.style.step_mm, 3)

    def drawn(self) -> WiringDiagram:
        """All its geometry."""
        question, style = self.question, self.style
        boxes = self._boxes()
        rows = {
            box.ref: [(row, row_y(box.rect, row.at, style)) for row in self.placed.rows[n].rows]
            for n, box in enumerate(boxes)
        }
        jackets, spares, spare_labels = self._jackets_and_spares(rows)
        across, leads = place_across(question, self.placed, self.frame.zones, boxes, style)
        paths = self._paths(boxes) | leads
        bridges, crossings = bridged(paths)
        labels = self._wire_labels(rows)
        wires = tuple(
            wire_of(c.ref, paths[c.ref], bridges[c.ref], labels.get(n, ()))
            for n, c in enumerate(question.netlist.conductors)
        )
        return WiringDiagram(
            self.width_mm, self.height_mm, boxes, across, wires, tuple(jackets), tuple(spares),
            tuple(spare_labels), crossings, style, _things(question.netlist),
        )  # fmt: skip

    @property
    def _height(self) -> float:
        return self.placed.height * self.style.step_mm

    def _boxes(self) -> tuple[DrawnDevice, ...]:
        column, height = self.placed.plan.column_of(), self._height
        found = []
        for n, component in enumerate(self.question.boxes):
            top = height - self.placed.tops[column[n], Item(n)] * self.style.step_mm
            x0, x1 = self.frame.boxes_x[column[n]]
            rect = Rect(x0, round(top - self.placed.rows[n].height * self.style.step_mm, 3), x1, round(top, 3))
            chains = self.question.problem.devices[n].chains
            found.append(box_of(component, self.question.headings[n], self.placed.rows[n], chains, rect, self.style))
        return tuple(found)

    def _jackets_and_spares(self, rows: _Rows) -> tuple[list[Jacket], list[SpareEnd], list[Label]]:
        column = self.placed.plan.column_of()
        jackets: list[Jacket] = []
        spares: list[SpareEnd] = []
        labels: list[Label] = []
        for n, component in enumerate(self.question.boxes):
            for edge in _EDGES:
                zone = self.frame.zones[column[n]][edge]
                mine = [(r, y) for r, y in rows[component.ref] if r.edge == edge]
                jackets += jackets_of(component.ref, mine, zone, self.style)
                for row, y in mine:
                    if row.kind == "spare":
                        ends, label = spares_of(
                            row, y, self.question.spares[row.cable, component.ref], zone, self.style
                        )
                        spares += ends
                        labels.append(label)
        return jackets, spares, labels

    def _paths(self, boxes: Sequence[DrawnDevice]) -> dict[str, tuple[Point, ...]]:
        """Corners of each conductor between devices, from its landing `a` to its landing `b`."""
        height = self._height
        legs: dict[int, list[list[Point]]] = {}
        for channel, (pieces, stops) in enumerate(zip(self.placed.channels, self.placed.stops, strict=True)):
            for n, (piece, (wire, a, b)) in enumerate(zip(pieces, stops, strict=True)):
                ends = [
                    (_stop_x(self.frame, channel, s.left), round(height - p.at * self.style.step_mm, 3))
                    for s, p in ((a, piece.a), (b, piece.b))
                ]
                lane = self.frame.lanes_x[channel].get(n)
                middle = [(lane, ends[0][1]), (lane, ends[1][1])] if lane is not None else []
                legs.setdefault(wire.wire, []).append([ends[0], *middle, ends[1]])
        found: dict[str, tuple[Point, ...]] = {}
        for wire in self.question.problem.wires:
            conductor = self.question.netlist.conductors[wire.wire]
            path = [p for leg in legs[wire.wire] for p in leg]
            start = _landing(boxes[wire.a], self.placed.rows[wire.a].rows, wire.wire, wire.a_terminal)
            found[conductor.ref] = tuple(path if path[0] == start else path[::-1])
        return found

    def _wire_labels(self, rows: _Rows) -> dict[int, tuple[Label, ...]]:
        column = self.placed.plan.column_of()
        found: dict[int, tuple[Label, ...]] = {}
        for n, component in enumerate(self.question.boxes):
            for row, y in rows[component.ref]:
                if row.wire >= 0:
                    zone = self.frame.zones[column[n]][row.edge]
                    conductor = self.question.netlist.conductors[row.wire]
                    label = zone.label(
                        wire_text(conductor, self.style), LABEL_START_MM, y + LABEL_LIFT_MM, self.style.height_mm
                    )
                    label = label._replace(says=wire_text(conductor, replace(self.style, with_gauge=True)))
                    found[row.wire] = (*found.get(row.wire, ()), label)
        return found


def _chosen(question: LayoutQuestion, style: Style) -> PlacedPlan:
    """The count of columns asked for, else the best of up to four."""
    columns = style.columns or ranked(question.problem, 4)[0][1]
    return solved(question.problem, columns)[0]


def _things(netlist: Netlist) -> Mapping[str, str]:
    """A conductor is known by its terminals, a cable by what it serves and the devices that it joins."""
    found = {c.ref: f"{c.a}-{c.b}" for c in netlist.conductors}
    return found | {c.ref: f"{c.role} {' '.join(sorted(netlist.places(c.ref)))}" for c in netlist.cables}


def _column_devices(placed: PlacedPlan, column: int) -> list[int]:
    return [item.device for item in placed.plan.columns[column] if item.device >= 0]


def _frame(question: LayoutQuestion, placed: PlacedPlan, style: Style) -> _Frame:
    texts = {n: wire_text(c, style) for n, c in enumerate(question.netlist.conductors)}
    x = 0.0
    boxes_x: list[tuple[float, float]] = []
    zones: list[Mapping[Edge, Zone]] = []
    lanes_x: list[Mapping[int, float]] = []
    count = len(placed.plan.columns)
    for c in range(count):
        devices = _column_devices(placed, c)
        plain = {e: _zone(question, placed, devices, texts, e, style) for e in _EDGES}
        if c > 0:
            lanes = _lanes(placed, c - 1, style)
            lanes_x.append({n: round(x + (t + 1) * style.step_mm, 3) for n, t in lanes.items()})
            x += (max(lanes.values(), default=-1) + 2) * style.step_mm + plain["left"].width_mm
        width = max(
            (box_width_mm(placed.rows[d], question.problem.devices[d].chains, style) for d in devices),
            default=0.0,
        )
        x = round(x, 3)
        right = round(x + width, 3)
        boxes_x.append((x, right))
        zones.append({"left": replace(plain["left"], edge_x=x), "right": replace(plain["right"], edge_x=right)})
        x = right + (plain["right"].width_mm if c < count - 1 else 0.0)
    return _Frame(tuple(boxes_x), tuple(zones), tuple(lanes_x), x)


def _zone(
    question: LayoutQuestion,
    placed: PlacedPlan,
    devices: Sequence[int],
    texts: Mapping[int, str],
    edge: Edge,
    style: Style,
) -> Zone:
    rows = [row for d in devices for row in placed.rows[d].rows]
    spares = [
        spare_text(question.spares[row.cable, question.boxes[d].ref], style)
        for d in devices
        for row in placed.rows[d].rows
        if row.kind == "spare" and row.edge == edge
    ]
    zone = zone_for(rows, texts, spares, style, edge)
    refs = {question.boxes[d].ref for d in devices}
    return replace(zone, across_mm=across_room_mm(question, placed, refs, edge, texts, style))


def _lanes(placed: PlacedPlan, channel: int, style: Style) -> dict[int, int]:
    return tracks(placed.lanes[channel], placed.channels[channel], share=style.share_lanes)


def _landing(box: DrawnDevice, rows: Sequence[TerminalRow], wire: int, terminal: str) -> Point:
    mine = [r for r in rows if r.terminal == terminal]
    index = next(k for k, r in enumerate(mine) if r.wire == wire)
    return next(t for t in box.terminals if t.name == terminal).points[index]


def _stop_x(frame: _Frame, channel: int, left: bool) -> float:
    return frame.boxes_x[channel][1] if left else frame.boxes_x[channel + 1][0]
