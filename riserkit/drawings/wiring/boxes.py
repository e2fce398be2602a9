"""Devices as boxes: outline, heading, terminals on the edges, symbols of what is inside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from riserkit.circuits.netlist import Component
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.text import CAPITALS_SLACK, text_width_mm
from riserkit.drawings.wiring.chains import Chain
from riserkit.drawings.wiring.problem import HEAD_PITCH, HEAD_WIDTH_MM, Heading
from riserkit.drawings.wiring.rows import TerminalRows
from riserkit.drawings.wiring.values import DrawnDevice, Edge, Label, PlacedSymbol, PlacedTerminal, Style

SYMBOL_SCALE: Final = 0.5
ACROSS_SCALE: Final = 0.7
TRACK_MM: Final = 6.5
SLOT_MM: Final = 2.0
_NAME_GAP_MM: Final = 1.0
_PAD_MM: Final = 2.0
_SLOT_HALF_STEPS: Final = 0.42


def tracks_of(chains: Sequence[Chain], order: Mapping[str, int]) -> dict[int, int]:
    """The vertical line that each chain is on: short ones nearest the terminals, none over another."""
    span = {n: sorted((order[c.a], order[c.b])) for n, c in enumerate(chains)}
    placed: dict[int, int] = {}
    for n in sorted(span, key=lambda k: (span[k][1] - span[k][0], k)):
        low, high = span[n]
        used = {t for m, t in placed.items() if span[m][0] < high and low < span[m][1]}
        placed[n] = next(t for t in range(len(span)) if t not in used)
    return placed


def _grouped(chains: Sequence[Chain], edges: Mapping[str, Edge]) -> dict[str, list[Chain]]:
    """Chains by the edge that both their terminals are on; those from edge to edge stand between the others."""
    groups: dict[str, list[Chain]] = {"left": [], "across": [], "right": []}
    for chain in chains:
        groups[edges[chain.a] if edges[chain.a] == edges[chain.b] else "across"].append(chain)
    return groups


def _lines(chains: Sequence[Chain], order: Mapping[str, int]) -> int:
    return max(tracks_of(chains, order).values(), default=-1) + 1


def name_width_mm(names: Sequence[str], style: Style) -> float:
    """Room that terminal names take at one edge, slot included; 0 where there are none."""
    if not names:
        return 0.0
    widest = max(text_width_mm(n, style.height_mm) for n in names) * CAPITALS_SLACK
    return SLOT_MM + _NAME_GAP_MM + widest + _NAME_GAP_MM


def box_width_mm(rows: TerminalRows, chains: Sequence[Chain], style: Style) -> float:
    """Least width of a device: its heading, or its terminals with the symbols between them."""
    left, right = (sorted({r.terminal for r in rows.rows if r.edge == e and r.terminal}) for e in ("left", "right"))
    order = {name: n for n, name in enumerate(dict.fromkeys(r.terminal for r in rows.rows if r.terminal))}
    edges = {r.terminal: r.edge for r in rows.rows if r.terminal}
    lines = sum(_lines(group, order) for group in _grouped(chains, edges).values())
    inside = name_width_mm(left, style) + name_width_mm(right, style) + lines * TRACK_MM + _PAD_MM
    return max(HEAD_WIDTH_MM + 2 * _PAD_MM, inside)


def box_of(
    component: Component, heading: Heading, rows: TerminalRows, chains: Sequence[Chain], rect: Rect, style: Style
) -> DrawnDevice:
    """A device in its place, `rect` in millimetres with y upward."""
    terminals = tuple(_terminals(rows, rect, style))
    symbols, stubs, dots = _inside(component, terminals, chains, rect, style)
    return DrawnDevice(
        component.ref,
        rect,
        _heading_labels(heading, rect, style),
        terminals,
        symbols,
        stubs,
        dots,
        component.exposed,
        component.title,
        component.place,
    )


def _heading_labels(heading: Heading, rect: Rect, style: Style) -> tuple[Label, ...]:
    h, pitch = style.height_mm, HEAD_PITCH * style.height_mm
    x, y = rect.x0 + _PAD_MM, rect.y1 - 0.7 * h - h
    found = [Label(heading.ref, (x, y), 1.4 * h)]
    title_x = x + text_width_mm(heading.ref, 1.4 * h) + 0.8 * h
    found += [Label(line, (x if n else title_x, y - n * pitch), h) for n, line in enumerate(heading.title)]
    below = y - max(1, len(heading.title)) * pitch
    found += [Label(line, (x, below - n * pitch), h) for n, line in enumerate(heading.place)]
    return tuple(label for label in found if label.text.strip())


def row_y(rect: Rect, at: int, style: Style) -> float:
    """Height of a row of a device."""
    return round(rect.y1 - at * style.step_mm, 3)


def _terminals(rows: TerminalRows, rect: Rect, style: Style) -> list[PlacedTerminal]:
    found: list[PlacedTerminal] = []
    for name in dict.fromkeys(r.terminal for r in rows.rows if r.terminal):
        mine = [r for r in rows.rows if r.terminal == name]
        edge: Edge = mine[0].edge
        x = rect.x0 if edge == "left" else rect.x1
        points = tuple((x, row_y(rect, r.at, style)) for r in mine)
        middle = (points[0][1] + points[-1][1]) / 2
        inward = (SLOT_MM + _NAME_GAP_MM) * (1 if edge == "left" else -1)
        at = (x + inward, middle - style.height_mm / 2)
        label = Label(name, at, style.height_mm, "left" if edge == "left" else "right")
        found.append(PlacedTerminal(name, edge, points, label, any(r.wire >= 0 for r in mine)))
    return found


def slot_rect(terminal: PlacedTerminal, style: Style) -> Rect:
    """The small rectangle of a terminal, on the inner side of the device's edge."""
    half = _SLOT_HALF_STEPS * style.step_mm
    x = terminal.points[0][0]
    other = x + (SLOT_MM if terminal.edge == "left" else -SLOT_MM)
    return Rect(min(x, other), terminal.points[-1][1] - half, max(x, other), terminal.points[0][1] + half)


def _inside(
    component: Component, terminals: Sequence[PlacedTerminal], chains: Sequence[Chain], rect: Rect, style: Style
) -> tuple[tuple[PlacedSymbol, ...], tuple[tuple[Point, ...], ...], tuple[Point, ...]]:
    by_name = {t.name: t for t in terminals}
    symbols: list[PlacedSymbol] = []
    stubs: list[tuple[Point, ...]] = []
    ends: dict[str, set[float]] = {}
    for chain, x in _track_xs(terminals, chains, rect, style):
        upper, lower = sorted((by_name[chain.a], by_name[chain.b]), key=lambda t: -_middle(t))
        links = chain.links if upper.name == chain.a else chain.links[::-1]
        pitch = (_middle(upper) - _middle(lower)) / len(links)
        centers = [(x, round(_middle(upper) - (k + 0.5) * pitch, 3)) for k in range(len(links))]
        symbols += [
            PlacedSymbol(component.ref, k.name, k.kind, k.normally_closed, at, k.forward == (upper.name == chain.a))
            for k, at in zip(links, centers, strict=True)
        ]
        stubs += _stubs(upper, lower, x, centers, style)
        for terminal in (upper, lower):
            ends.setdefault(terminal.name, set()).add(x)
    return tuple(symbols), tuple(stubs), tuple(_dots(by_name, ends))


def _dots(by_name: Mapping[str, PlacedTerminal], ends: Mapping[str, set[float]]) -> list[Point]:
    """Where the lines of several chains leave one terminal's line: all but the furthest."""
    found: list[Point] = []
    for name, xs in ends.items():
        outward = sorted(xs, reverse=by_name[name].edge == "right")
        found += [(x, round(_middle(by_name[name]), 3)) for x in outward[:-1]]
    return found


def _track_xs(
    terminals: Sequence[PlacedTerminal], chains: Sequence[Chain], rect: Rect, style: Style
) -> list[tuple[Chain, float]]:
    """Each chain with the x of its vertical line."""
    order = {t.name: n for n, t in enumerate(terminals)}
    groups = _grouped(chains, {t.name: t.edge for t in terminals})
    left = rect.x0 + name_width_mm([t.name for t in terminals if t.edge == "left"], style)
    right = rect.x1 - name_width_mm([t.name for t in terminals if t.edge == "right"], style)
    between = left + _lines(groups["left"], order) * TRACK_MM
    found: list[tuple[Chain, float]] = []
    for group, start, step in (("left", left, TRACK_MM), ("across", between, TRACK_MM), ("right", right, -TRACK_MM)):
        lines = tracks_of(groups[group], order)
        found += [(c, round(start + (lines[n] + 0.5) * step, 3)) for n, c in enumerate(groups[group])]
    return found


def _middle(terminal: PlacedTerminal) -> float:
    return (terminal.points[0][1] + terminal.points[-1][1]) / 2


def _stubs(
    upper: PlacedTerminal, lower: PlacedTerminal, x: float, centers: Sequence[Point], style: Style
) -> list[tuple[Point, ...]]:
    """Lines from a terminal's name over each symbol in turn to the other name."""
    half = 5.0 * SYMBOL_SCALE
    top, bottom = round(_middle(upper), 3), round(_middle(lower), 3)
    corners: list[list[Point]] = [[(_name_end(upper, style), top), (x, top)]]
    for _, y in centers:
        corners[-1].append((x, round(y + half, 3)))
        corners.append([(x, round(y - half, 3))])
    corners[-1] += [(x, bottom), (_name_end(lower, style), bottom)]
    return [tuple(dict.fromkeys(line)) for line in corners if len(set(line)) > 1]


def _name_end(terminal: PlacedTerminal, style: Style) -> float:
    width = text_width_mm(terminal.name, style.height_mm) * CAPITALS_SLACK + 0.6
    return round(terminal.label.at[0] + (width if terminal.edge == "left" else -width), 3)
