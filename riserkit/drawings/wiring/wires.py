"""Conductors as drawn: corners, labels at their ends, jackets round those of one cable, arches where two cross."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from riserkit.circuits.netlist import Conductor
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.text import CAPITALS_SLACK, text_width_mm
from riserkit.drawings.wiring.rows import TerminalRow
from riserkit.drawings.wiring.values import Edge, Jacket, Label, SpareEnd, Style, Wire

LABEL_START_MM: Final = 1.2
LABEL_LIFT_MM: Final = 0.7
JACKET_MM: Final = 3.0
_AFTER_LABEL_MM: Final = 1.5
_AFTER_JACKET_MM: Final = 0.8
_ZONE_END_MM: Final = 2.0
_LEAST_ZONE_MM: Final = 4.0
_JACKET_OVER_STEPS: Final = 0.5
SPARE_PITCH_STEPS: Final = 1
MOST_SPARE_MM: Final = 20.0
STUB_MM: Final = 4.0


def wire_text(conductor: Conductor, style: Style) -> str:
    """What a conductor is labelled with: number, colour letters and, where asked, gauge; a factory lead has none."""
    gauge = conductor.gauge if style.with_gauge and conductor.cable else ""
    return " ".join(filter(None, [conductor.ref, conductor.colour, gauge]))


def spare_text(colours: Sequence[str], style: Style) -> str:
    """Colours of spare conductors at one place; their count where the colours would take too much room."""
    text = " ".join(colours)
    return text if text_width_mm(text, style.height_mm) <= MOST_SPARE_MM else f"{len(colours)} spare"


@dataclass(frozen=True, slots=True)
class Zone:
    """The strip of a channel beside one column, where conductors are labelled before they turn into lanes.

    Args:
        edge_x: where the devices end.
        outward: +1 when the channel lies to the right, else -1.
        label_mm: room for labels of conductors.
        jacket: some conductor here belongs to a cable.
        cable_mm: room for labels of cables.
        across_mm: room asked for by parts across terminals, from the edge.
    """

    edge_x: float
    outward: int
    label_mm: float
    jacket: bool
    cable_mm: float
    across_mm: float = 0.0

    @property
    def jacket_x(self) -> float:
        """Distance of the jackets' near side from the edge."""
        return LABEL_START_MM + self.label_mm + _AFTER_LABEL_MM

    @property
    def width_mm(self) -> float:
        """Width of the strip."""
        width = LABEL_START_MM + self.label_mm + _AFTER_LABEL_MM if self.label_mm else 0.0
        if self.jacket:
            width += JACKET_MM + (_AFTER_JACKET_MM + self.cable_mm if self.cable_mm else 0.0)
        return max(width + _ZONE_END_MM, _LEAST_ZONE_MM, self.across_mm + _ZONE_END_MM)

    def x(self, distance_mm: float) -> float:
        """A distance from the edge as a coordinate."""
        return round(self.edge_x + self.outward * distance_mm, 3)

    def label(self, text: str, distance_mm: float, y: float, height_mm: float) -> Label:
        """A text that begins (or, to the left of its column, ends) at a distance from the edge."""
        return Label(text, (self.x(distance_mm), round(y, 3)), height_mm, "left" if self.outward > 0 else "right")


def zone_for(
    rows: Iterable[TerminalRow], texts: Mapping[int, str], spares: Iterable[str], style: Style, edge: Edge
) -> Zone:
    """The strip that the rows at one edge of a column need, its edge at 0."""
    mine = [r for r in rows if r.edge == edge and r.kind != "idle"]
    widths = [text_width_mm(texts[r.wire], style.height_mm) for r in mine if r.wire >= 0]
    widths += [text_width_mm(text, style.height_mm) * CAPITALS_SLACK + 1.0 + STUB_MM for text in spares]
    cables = sorted({r.cable for r in mine if r.cable})
    cable_mm = max((text_width_mm(c, style.height_mm) for c in cables), default=0.0)
    return Zone(0.0, 1 if edge == "right" else -1, max(widths, default=0.0), bool(cables), cable_mm)


def jackets_of(component: str, rows: Sequence[tuple[TerminalRow, float]], zone: Zone, style: Style) -> list[Jacket]:
    """Jackets at one device's edge: one round each run of adjoining rows of a cable. Rows come with their heights."""
    found: list[Jacket] = []
    near, far = sorted((zone.x(zone.jacket_x), zone.x(zone.jacket_x + JACKET_MM)))
    over = _JACKET_OVER_STEPS * style.step_mm
    run: list[tuple[TerminalRow, float]] = []
    wired = [(r, y) for r, y in rows if r.kind != "idle"]
    for n, (row, y) in enumerate(wired):
        run.append((row, y))
        if n + 1 < len(wired) and wired[n + 1][0].cable == row.cable:
            continue
        if row.cable:
            # a group of spare rows reaches below its own row
            low = y - max(0, row.spares - 1) * SPARE_PITCH_STEPS * style.step_mm
            top = run[0][1]
            distance = zone.jacket_x + JACKET_MM + _AFTER_JACKET_MM
            label = zone.label(row.cable, distance, top + LABEL_LIFT_MM, style.height_mm)
            found.append(Jacket(row.cable, component, Rect(near, low - over, far, top + over), label))
        run = []
    return found


def spares_of(
    row: TerminalRow, y: float, colours: Sequence[str], zone: Zone, style: Style
) -> tuple[list[SpareEnd], Label]:
    """Spare conductors of one row: stubs from the jacket to their caps, and their colours."""
    text = spare_text(colours, style)
    width = text_width_mm(text, style.height_mm) * CAPITALS_SLACK
    cap = zone.x(LABEL_START_MM + width + 1.0)
    start = zone.x(zone.jacket_x + JACKET_MM / 2)
    step = SPARE_PITCH_STEPS * style.step_mm
    ends = [
        SpareEnd(row.cable, colour, (start, round(y - n * step, 3)), (cap, round(y - n * step, 3)))
        for n, colour in enumerate(colours)
    ]
    middle = y - (len(colours) - 1) * step / 2 - style.height_mm / 2
    return ends, zone.label(text, LABEL_START_MM, middle, style.height_mm)


def bridged(paths: Mapping[str, Sequence[Point]]) -> tuple[dict[str, tuple[Point, ...]], int]:
    """Where each path's horizontals cross another's verticals, and how many such places there are."""
    uprights = [
        (ref, x0, min(y0, y1), max(y0, y1))
        for ref, path in paths.items()
        for (x0, y0), (x1, y1) in pairwise(path)
        if x0 == x1 and y0 != y1
    ]
    found: dict[str, list[Point]] = {ref: [] for ref in paths}
    for ref, path in paths.items():
        for (x0, y0), (x1, y1) in pairwise(path):
            if y0 != y1:
                continue
            low, high = sorted((x0, x1))
            meets = {
                x for other, x, y_low, y_high in uprights if other != ref and low < x < high and y_low < y0 < y_high
            }
            found[ref] += [(x, y0) for x in sorted(meets, reverse=x1 < x0)]
    return {ref: tuple(points) for ref, points in found.items()}, sum(map(len, found.values()))


def wire_of(ref: str, path: Sequence[Point], bridges: Sequence[Point], labels: Sequence[Label]) -> Wire:
    """A conductor with corners that lie on a straight line left out."""
    corners = list(dict.fromkeys(path))
    kept = [
        p
        for n, p in enumerate(corners)
        if n in (0, len(corners) - 1)
        or not (corners[n - 1][0] == p[0] == corners[n + 1][0] or corners[n - 1][1] == p[1] == corners[n + 1][1])
    ]
    return Wire(ref, tuple(kept), tuple(bridges), tuple(labels))
