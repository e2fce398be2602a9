"""Lays a riser out: levels below one another in their true order, closets in columns, everything in its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import wrap
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.backbone import backbone_wires, lay_tracks
from riserkit.drawings.riser.cells import Cell, corridor_mm, count_tracks, make_cell
from riserkit.drawings.riser.grid import (
    COLUMN_GAP_MM,
    STACK_GAP_MM,
    ColumnPlan,
    Inputs,
    lane_of_trunk,
    plan_columns,
    row_widths_mm,
    width_for_rows,
)
from riserkit.drawings.riser.order import Trunk, order_trunks
from riserkit.drawings.riser.places import PlacedBand, PlacedCloset, PlacedItem, PlacedRow, RiserLayout
from riserkit.drawings.riser.trunks import trunk_wires


@dataclass(frozen=True, slots=True)
class _SetColumn:
    """A column with its left edge."""

    plan: ColumnPlan
    x0: float
    items_mm: float

    @property
    def box_x(self) -> float:
        return self.x0 + self.plan.lanes_mm + self.plan.text_mm

    @property
    def trunk_x(self) -> float:
        return self.box_x + self.plan.box_mm

    @property
    def items_x(self) -> float:
        return self.trunk_x + self.plan.trunks_mm

    def lane_x(self, lane: int) -> float:
        """Where the upright line of a trunk is; lane 0 is the one nearest to the openings."""
        return self.trunk_x + m.LANE_MM * (self.plan.trunks - lane)

    @property
    def x1(self) -> float:
        return self.items_x + self.items_mm + COLUMN_GAP_MM


def lay_out_riser(inputs: Inputs, width_mm: float, breaks: Sequence[int] = (), stretch_mm: float = 0.0) -> RiserLayout:
    """Place everything.

    Args:
        inputs: what is to be drawn.
        width_mm: room across for the columns of one sheet.
        breaks: first columns of further sheets, in order.
        stretch_mm: so much higher each level that holds anything.
    """
    plans = plan_columns(inputs)
    columns = _columns(inputs, plans, width_mm, breaks)
    tiers = range(inputs.arrangement.tiers)
    cells = [[make_cell(inputs, n, tier, column.items_mm) for n, column in enumerate(columns)] for tier in tiers]
    tracks = count_tracks(inputs)
    tops, y = [], 0.0
    for tier in tiers:
        tops.append(y)
        y -= _tier_height(inputs, tier, cells[tier], tracks[tier])
        y -= stretch_mm if any(cell.height for cell in cells[tier]) else 0.0
    closets, rows = [], []
    lanes = lane_of_trunk(inputs)
    for tier in tiers:
        top = tops[tier] - corridor_mm(tracks[tier])
        for n, (cell, column) in enumerate(zip(cells[tier], columns, strict=True)):
            placed = _place_closet(cell, column, top)
            closets += [placed] if placed else []
            rows += _place_rows(cell, n, column, lanes, top, inputs.level(n, tier))
    columns_x = [column.x0 for column in columns]
    placed_closets = {p.box.id: p for p in closets}
    about_x = {edge.cable.subject: columns[edge.child_column].trunk_x for edge in inputs.guests}
    paths = lay_tracks(inputs, placed_closets, tops, columns_x, about_x)
    ports = {(p.box.id, n): p.port_y for n, own in enumerate(inputs.columns) for p in closets if p.box.id in own}
    ports |= {(edge.parent, edge.child_column): paths[edge.cable.subject][1][1] for edge in inputs.guests}
    rows = [row for n, column in enumerate(columns) for row in _in_order(n, column, rows, ports, lanes)]
    wires, tags = backbone_wires(inputs, placed_closets, columns_x, paths)
    wires += trunk_wires(rows, placed_closets, paths)
    bands = _bands(inputs, columns, [*tops, y])
    edges_x = tuple((column.x0, column.x1) for column in columns)
    return RiserLayout(bands, edges_x, tuple(closets), tuple(rows), tuple(wires), tuple(tags))


def _bands(inputs: Inputs, columns: Sequence[_SetColumn], tops: Sequence[float]) -> tuple[PlacedBand, ...]:
    """The levels, each across the columns of its stack; `tops` of the tiers, and the foot of the last."""
    placed = []
    for band in inputs.content.levels:
        stack, tier = inputs.arrangement.stack[band.id], inputs.arrangement.tier[band.id]
        own = [column for n, column in enumerate(columns) if inputs.stacks[n] == stack]
        placed.append(PlacedBand(band, tops[tier], tops[tier + 1], own[0].x0 - m.GUTTER_MM, own[-1].x1))
    return tuple(placed)


def _columns(inputs: Inputs, plans: Sequence[ColumnPlan], width_mm: float, breaks: Sequence[int]) -> list[_SetColumn]:
    columns, x = [], 0.0
    starts = [0, *breaks]
    for start, end in zip(starts, [*breaks, len(plans)], strict=True):
        for n, items_mm in zip(range(start, end), share_width(inputs, plans, range(start, end), width_mm), strict=True):
            if n and inputs.stacks[n] != inputs.stacks[n - 1]:
                x += STACK_GAP_MM + m.GUTTER_MM
            columns.append(_SetColumn(plans[n], x, items_mm))
            x = columns[-1].x1
    return columns


def _tier_height(inputs: Inputs, tier: int, cells: Sequence[Cell], tracks: int) -> float:
    """High enough for what stands on it and for the names of its levels."""
    labels = [
        _label_mm(band.name, band.building)
        # cables across run above the names of all levels but those at the sheet's edge
        + (corridor_mm(tracks) if inputs.arrangement.stack[band.id] else 0.0)
        for band in inputs.content.levels
        if inputs.arrangement.tier[band.id] == tier
    ]
    return max(m.BAND_LEAST_MM, *labels, corridor_mm(tracks) + max(cell.height for cell in cells) + m.BAND_PAD_MM)


def _label_mm(name: str, building: str) -> float:
    lines = len(wrap(name, m.GUTTER_MM - 6, 3.5))
    return 8.0 + lines * 5.6 + m.PITCH_MM * (1 + len(wrap(building, m.GUTTER_MM - 6, m.TEXT_MM) if building else ()))


def _in_order(
    n: int,
    column: _SetColumn,
    rows: Sequence[PlacedRow],
    ports: Mapping[tuple[str, int], float],
    lanes: Mapping[tuple[str, int], int],
) -> list[PlacedRow]:
    """The rows of a column, each from the lane that its closet's trunk takes so that the fewest lines cross."""
    own = [row for row in rows if row.column == n]
    trunks = [
        Trunk(name, ports.get((name, n)), tuple(row.y for row in own if row.closet == name))
        for name in dict.fromkeys(row.closet for row in own)
    ]
    found = order_trunks(trunks, {trunk.closet: lanes[trunk.closet, n] for trunk in trunks}, column.plan.trunks)
    return [replace(row, x=column.lane_x(found[row.closet])) for row in own]


def _place_closet(cell: Cell, column: _SetColumn, top: float) -> PlacedCloset | None:
    if cell.box is None:
        return None
    head = top - cell.rows_mm(0) - cell.pad
    width = m.box_width_mm(cell.box)
    rect = Rect(column.box_x, head - cell.box_mm, column.box_x + width, head + cell.pad)
    return PlacedCloset(cell.box, rect, head - m.BOX_PAD_MM - m.BOX_HEADER_MM / 2)


def _place_rows(
    cell: Cell, n: int, column: _SetColumn, lanes: Mapping[tuple[str, int], int], top: float, level: str
) -> list[PlacedRow]:
    placed, y, seen_own = [], top, False
    for closet, side, rows in cell.groups:
        if side >= 1 and not seen_own:
            # the first row of the level's own lies level with the closet's header
            y -= cell.pad + cell.lowered_mm
            seen_own = True
        lane = column.lane_x(lanes[closet, n])
        for row in rows:
            spine = y - m.SPINE_ABOVE_MM - m.BOX_PAD_MM
            x, items = column.items_x, []
            for item in row:
                width = m.drop_width_mm(item)
                items.append(PlacedItem(item, x + width / 2, spine))
                x += width
            placed.append(PlacedRow(closet, level, lane, spine, column.items_x - 4.5, n, tuple(items)))
            y -= m.row_height_mm(row)
    return placed


_MOST_ROWS: Final = 40


def share_width(inputs: Inputs, plans: Sequence[ColumnPlan], part: range, width_mm: float) -> tuple[float, ...]:
    """Room for the openings of each column of a part.

    Every group gets as few rows as all can have alike; what is left goes where it saves most height.

    Args:
        inputs: what is to be drawn.
        plans: of all columns.
        part: the columns that stand beside each other on one sheet.
        width_mm: of that sheet.
    """
    natural = {n: plans[n].natural_mm for n in part}
    room = width_mm - inputs.beside_mm - sum(plans[n].fixed_mm for n in part)
    if sum(natural.values()) <= room:
        return tuple(natural.values())
    given = _as_many_rows(inputs, plans, part, room)
    spare = room - sum(given.values())
    bands = range(inputs.arrangement.tiers)

    @cache
    def heights(n: int, items_mm: float) -> tuple[float, ...]:
        return tuple(make_cell(inputs, n, band, items_mm).height for band in bands)

    wishes = {n: row_widths_mm(inputs, n) for n in part}
    while True:
        table = {n: heights(n, given[n]) for n in part}
        before = sum(max(column[band] for column in table.values()) for band in bands)
        best = (0.0, 0.0, 0, 0.0)
        for n in part:
            others = [max((table[k][band] for k in part if k != n), default=0.0) for band in bands]
            for wish in wishes[n]:
                more = wish - given[n]
                if 0 < more <= spare:
                    after = sum(map(max, others, heights(n, wish)))
                    best = max(best, ((before - after) / more, -more, -n, wish))
        if best[0] <= 0:
            return tuple(given.values())
        n = -best[2]
        spare -= best[3] - given[n]
        given[n] = best[3]


def _as_many_rows(inputs: Inputs, plans: Sequence[ColumnPlan], part: range, room_mm: float) -> dict[int, float]:
    """Widths at which no group takes more rows than the fewest that fit for all."""
    given = {n: plans[n].least_mm for n in part}
    for rows in range(2, _MOST_ROWS + 1):
        widths = {n: max(plans[n].least_mm, width_for_rows(inputs, n, rows)) for n in part}
        if sum(widths.values()) <= room_mm:
            return widths
    return given
