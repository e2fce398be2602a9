"""Parts that stand across two terminals of a device: drawn beside it, between their two leads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from riserkit.circuits.netlist import Conductor
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.text import text_width_mm, wrap
from riserkit.drawings.wiring.boxes import ACROSS_SCALE
from riserkit.drawings.wiring.chains import Chain, chains
from riserkit.drawings.wiring.place import PlacedPlan
from riserkit.drawings.wiring.problem import Across, LayoutQuestion
from riserkit.drawings.wiring.values import DrawnDevice, Edge, PlacedAcross, PlacedSymbol, Style
from riserkit.drawings.wiring.wires import LABEL_START_MM, Zone, wire_text

_HALF_SYMBOL_MM: Final = 2.5
_TEXT_MM: Final = 20.0
_LINE_PITCH: Final = 1.6


def _lead_room_mm(texts: Sequence[str], style: Style) -> float:
    """Distance of the symbol's axis from the edge: past the labels of its leads."""
    labels = max(text_width_mm(text, style.height_mm) for text in texts)
    return LABEL_START_MM + labels + 1.0 + _HALF_SYMBOL_MM


def _lines(across: Across, style: Style) -> tuple[str, ...]:
    return (across.component.ref, *wrap(across.component.title, _TEXT_MM, style.height_mm)[:2])


def _span_mm(across: Across, texts: Sequence[str], style: Style) -> float:
    """From the device's edge to the end of the part's lettering."""
    lettering = max(text_width_mm(line, style.height_mm) for line in _lines(across, style))
    return _lead_room_mm(texts, style) + _HALF_SYMBOL_MM + 1.0 + lettering


def across_room_mm(
    question: LayoutQuestion, placed: PlacedPlan, refs: set[str], edge: Edge, texts: Mapping[int, str], style: Style
) -> float:
    """Room from the edge that parts across terminals of these devices take."""
    number = {c.ref: n for n, c in enumerate(question.netlist.conductors)}
    boxes = {c.ref: n for n, c in enumerate(question.boxes)}
    rooms: dict[str, float] = {}
    for across in question.across:
        if across.device in refs:
            rows = placed.rows[boxes[across.device]].rows
            if any(r.wire == number[across.leads[0].ref] and r.edge == edge for r in rows):
                span = _span_mm(across, [texts[number[c.ref]] for c in across.leads], style)
                # several across one device stand beside one another
                rooms[across.device] = rooms.get(across.device, 0.0) + span
    return max(rooms.values(), default=0.0)


def place_across(
    question: LayoutQuestion,
    placed: PlacedPlan,
    zones: Sequence[Mapping[Edge, Zone]],
    boxes: Sequence[DrawnDevice],
    style: Style,
) -> tuple[tuple[PlacedAcross, ...], dict[str, tuple[Point, ...]]]:
    """Each part with its symbol and lettering, and the path of each of its leads from landing `a` to `b`."""
    column = placed.plan.column_of()
    numbers = {c.ref: n for n, c in enumerate(question.boxes)}
    found: list[PlacedAcross] = []
    paths: dict[str, tuple[Point, ...]] = {}
    taken: dict[str, float] = {}
    # the innermost pair of leads first, so that none passes another's symbol
    ordered = sorted(question.across, key=lambda a: (_gap(question, placed, a), a.component.ref))
    for across in ordered:
        n = numbers[across.device]
        ends = [_end(question, placed, boxes[n], across, lead) for lead in across.leads]
        edge: Edge = "left" if ends[0][0] == boxes[n].rect.x0 else "right"
        zone = zones[column[n]][edge]
        offset = taken.get(across.device, 0.0)
        texts = [wire_text(c, style) for c in across.leads]
        x = zone.x(offset + _lead_room_mm(texts, style))
        found.append(_placed(across, ends, x, zone, style))
        paths |= _leads(across, ends, x)
        taken[across.device] = offset + _span_mm(across, texts, style)
    return tuple(found), paths


def _rows(question: LayoutQuestion, placed: PlacedPlan, across: Across) -> list[int]:
    number = {c.ref: n for n, c in enumerate(question.netlist.conductors)}
    device = next(n for n, c in enumerate(question.boxes) if c.ref == across.device)
    wires = [number[c.ref] for c in across.leads]
    return [r.at for r in placed.rows[device].rows if r.wire in wires]


def _gap(question: LayoutQuestion, placed: PlacedPlan, across: Across) -> int:
    rows = _rows(question, placed, across)
    return max(rows) - min(rows)


def _end(question: LayoutQuestion, placed: PlacedPlan, box: DrawnDevice, across: Across, lead: Conductor) -> Point:
    number = next(n for n, c in enumerate(question.netlist.conductors) if c.ref == lead.ref)
    device = next(n for n, c in enumerate(question.boxes) if c.ref == across.device)
    terminal = (lead.a if lead.a.component == across.device else lead.b).terminal
    rows = [r for r in placed.rows[device].rows if r.terminal == terminal]
    index = next(k for k, r in enumerate(rows) if r.wire == number)
    return next(t for t in box.terminals if t.name == terminal).points[index]


def _terminal_of(across: Across, lead: Conductor) -> str:
    """The part's own terminal that a lead comes from."""
    return (lead.a if lead.a.component == across.component.ref else lead.b).terminal


def _placed(across: Across, ends: Sequence[Point], x: float, zone: Zone, style: Style) -> PlacedAcross:
    chain: Chain = chains(across.component)[0]
    upper = max(range(2), key=lambda k: ends[k][1])
    middle = round((ends[0][1] + ends[1][1]) / 2, 3)
    link = chain.links[0]
    a_terminal = chain.a if link.forward else chain.b
    plus_up = _terminal_of(across, across.leads[upper]) == a_terminal
    symbol = PlacedSymbol(across.component.ref, link.name, link.kind, link.normally_closed, (x, middle), plus_up)
    lines = _lines(across, style)
    pitch = _LINE_PITCH * style.height_mm
    top = middle + (len(lines) - 1) * pitch / 2 - style.height_mm / 2
    distance = abs(x - zone.edge_x) + _HALF_SYMBOL_MM + 1.0
    labels = tuple(zone.label(line, distance, top - k * pitch, style.height_mm) for k, line in enumerate(lines))
    return PlacedAcross(across.component.ref, symbol, labels)


def _leads(across: Across, ends: Sequence[Point], x: float) -> dict[str, tuple[Point, ...]]:
    middle = (ends[0][1] + ends[1][1]) / 2
    half = 5.0 * ACROSS_SCALE
    found: dict[str, tuple[Point, ...]] = {}
    for lead, end in zip(across.leads, ends, strict=True):
        port = (x, round(middle + (half if end[1] > middle else -half), 3))
        path = (end, (x, end[1]), port)
        found[lead.ref] = path if lead.a.component == across.device else path[::-1]
    return found
