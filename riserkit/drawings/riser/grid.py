"""The grid of a riser: how wide its columns and how high its levels are, and where each row of openings lies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.arrange import BuildingStacks
from riserkit.drawings.riser.bundles import GroupKey, Items
from riserkit.drawings.riser.columns import Columns, assign_columns
from riserkit.drawings.riser.lanes import Edge, pack_lanes, read_edges, trunk_span
from riserkit.drawings.riser.values import Backbone, Drop, OpeningGroup, RiserContent

COLUMN_GAP_MM: Final = 8.0
STACK_GAP_MM: Final = 12.0
"""Between a building and the names of the levels of the next."""
_LEAST_ITEMS_MM: Final = 60.0


@dataclass(frozen=True, slots=True)
class ColumnPlan:
    """One column's widths, left to right: lanes of the backbone, its texts, closets, lanes of the trunks, openings."""

    closets: tuple[str, ...]
    lanes: int
    text_mm: float
    box_mm: float
    trunks: int
    least_mm: float
    natural_mm: float

    @property
    def lanes_mm(self) -> float:
        """Lanes of the backbone."""
        return self.lanes * m.LANE_MM + 2.0

    @property
    def trunks_mm(self) -> float:
        """Lanes of the closets' own cables, with room for the count at the start of each spine."""
        return self.trunks * m.LANE_MM + 9.0 if self.trunks else 2.0

    @property
    def fixed_mm(self) -> float:
        """All but the openings."""
        return self.lanes_mm + self.text_mm + self.box_mm + self.trunks_mm + COLUMN_GAP_MM


@dataclass(frozen=True)
class Inputs:
    """What a layout is made from.

    Args:
        content: of the diagram.
        arrangement: of its buildings.
        columns: closets by column.
        stacks: the stack of each column.
        items: what is drawn for each closet and level.
        column: in which column that is.
        edges: the backbone.
        guests: as edges without a cable, for each column where a closet of another stack serves openings.
    """

    content: RiserContent
    arrangement: BuildingStacks
    columns: Columns
    stacks: tuple[int, ...]
    items: Mapping[GroupKey, Items]
    column: Mapping[GroupKey, int]
    edges: tuple[Edge, ...]
    guests: tuple[Edge, ...]

    @property
    def beside_mm(self) -> float:
        """Across, what is taken by the names of levels of all stacks but the first."""
        return (self.arrangement.stacks - 1) * (m.GUTTER_MM + STACK_GAP_MM)

    def level(self, column: int, band: int) -> str:
        """The level of a column on a tier; empty where its stack has none."""
        levels = self.arrangement.levels_of(band)
        return next((level for level in levels if self.arrangement.stack[level] == self.stacks[column]), "")

    @cached_property
    def _widths_mm(self) -> Mapping[GroupKey, tuple[float, ...]]:
        return {key: tuple(map(m.drop_width_mm, items)) for key, items in self.items.items()}

    def widths_mm_of(self, column: int) -> tuple[tuple[float, ...], ...]:
        """What is drawn in a column by closet and level, each by the room that it takes along its spine."""
        return tuple(widths for key, widths in self._widths_mm.items() if self.column[key] == column)

    def groups_of(self, column: int, band: int) -> tuple[GroupKey, ...]:
        """The groups of one column on one tier: those fed from above, the level's own, those fed from below."""
        level = self.level(column, band)
        here = [key for key in self.items if key[1] == level and self.column[key] == column]
        own = {closet: n for n, closet in enumerate(self.columns[column])}
        here.sort(key=lambda key: own.get(key[0], len(own)))
        return tuple(sorted(here, key=lambda key: self.side(column, key[0], band)))

    def side(self, column: int, closet: str, band: int) -> int:
        """0 fed from above, 1 the level's own, 2 fed from below."""
        box = self.content.closet.get(closet)
        if box is None:
            return 1
        own = self.arrangement.tier[box.level]
        if closet not in self.columns[column]:
            return 0 if own <= band else 2
        return (own > band) - (own < band) + 1


def read_inputs(content: RiserContent, arrangement: BuildingStacks, items: Mapping[GroupKey, Items]) -> Inputs:
    """The inputs of a layout: which column each closet stands in, and everything that it serves."""
    columns, stacks = assign_columns(content, arrangement)
    home = {(closet, stack): n for n, stack in enumerate(stacks) for closet in columns[n]}
    column = {}
    for closet, level in items:
        stack = arrangement.stack[level]
        column[closet, level] = home.get((closet, stack), _for_guests(content, columns, stacks, stack, level))
    guests = []
    for closet, n in dict.fromkeys((closet, n) for (closet, _), n in column.items() if closet not in columns[n]):
        served = [arrangement.tier[level] for (owner, level), at in column.items() if (owner, at) == (closet, n)]
        box = content.closet[closet]
        cable = Backbone(f"{closet}/{n}", closet, "", "", "", "")
        own = home[closet, arrangement.stack[box.level]]
        guests.append(Edge(cable, closet, "", own, n, arrangement.tier[box.level], min(served)))
    edges = read_edges(content, columns, arrangement.tier)
    return Inputs(content, arrangement, columns, stacks, items, column, edges, tuple(guests))


def _for_guests(content: RiserContent, columns: Columns, stacks: Sequence[int], stack: int, level: str) -> int:
    """The column for openings of a level that a closet of another stack serves: where the level has a closet itself."""
    own = [n for n, at in enumerate(stacks) if at == stack]
    has_closet = (n for n in own if any(c in content.closet and content.closet[c].level == level for c in columns[n]))
    return next(has_closet, own[0])


def lane_of_edge(inputs: Inputs) -> dict[str, int]:
    """The lane of each backbone cable in the column of the closet fed, by the cable's subject."""
    found: dict[str, int] = {}
    for column in range(len(inputs.columns)):
        edges = [edge for edge in inputs.edges if edge.child_column == column]
        for edge, lane in zip(edges, pack_lanes([edge.span for edge in edges]), strict=True):
            found[edge.cable.subject] = lane
    return found


def lane_of_trunk(inputs: Inputs) -> dict[tuple[str, int], int]:
    """The lane of each closet's cables in each column that has any, 0 the one nearest to the openings."""
    found: dict[tuple[str, int], int] = {}
    tier = inputs.arrangement.tier
    for n, own in enumerate(inputs.columns):
        served: dict[str, list[int]] = {closet: [] for closet in own}
        for (closet, level), column in inputs.column.items():
            if column == n:
                served.setdefault(closet, []).append(tier[level])
        spans = {}
        for closet, bands in served.items():
            if bands:
                box = inputs.content.closet.get(closet)
                at = tier[box.level] if box else bands[0]
                spans[closet, n] = trunk_span(at, bands, elsewhere=closet not in own)
        found |= dict(zip(spans, pack_lanes(list(spans.values())), strict=True))
    return found


def plan_columns(inputs: Inputs) -> tuple[ColumnPlan, ...]:
    """Widths of every column, openings at least and at most."""
    lanes, trunks = lane_of_edge(inputs), lane_of_trunk(inputs)
    plans = []
    for n, closets in enumerate(inputs.columns):
        edges = [edge for edge in inputs.edges if edge.child_column == n]
        outs = any(edge.straight and edge.parent_column == n for edge in inputs.edges)
        boxes = [inputs.content.closet[c] for c in closets if c in inputs.content.closet]
        widths = inputs.widths_mm_of(n)
        own = [lane for (_, column), lane in trunks.items() if column == n]
        plans.append(
            ColumnPlan(
                closets=closets,
                lanes=1 + max((lanes[e.cable.subject] for e in edges), default=-1),
                text_mm=max((m.backbone_text_mm(e.cable) for e in edges), default=6.0 if outs else 0.0),
                box_mm=max(map(m.box_width_mm, boxes), default=0.0),
                trunks=1 + max(own, default=-1),
                least_mm=max([_LEAST_ITEMS_MM, *(max(w, default=0.0) for w in widths)]) if widths else 0.0,
                natural_mm=max([_LEAST_ITEMS_MM, *map(sum, widths)]) if widths else 0.0,
            )
        )
    return tuple(plans)


def pack_rows(items: Sequence[Drop | OpeningGroup], width_mm: float) -> tuple[tuple[Drop | OpeningGroup, ...], ...]:
    """Items in rows no wider than the room, rows of a group about equally long."""
    widths = [m.drop_width_mm(item) for item in items]
    count = len(_rows(widths, width_mm))
    # as narrow as the same number of rows allows, so that no row is left with a single opening
    even = _width_for_rows(widths, count) if count else width_mm
    rows, start = [], 0
    for length in _rows(widths, min(even, width_mm)):
        rows.append(tuple(items[start : start + length]))
        start += length
    return tuple(rows)


def row_widths_mm(inputs: Inputs, column: int) -> tuple[float, ...]:
    """Widths at which a group of a column takes one row less, the least first."""
    found: set[float] = set()
    for widths in inputs.widths_mm_of(column):
        for rows in range(1, min(len(widths), 12) + 1):
            found.add(_width_for_rows(widths, rows))
    return tuple(sorted(found))


def width_for_rows(inputs: Inputs, column: int, rows: int) -> float:
    """Least width at which no group of a column takes more rows."""
    groups = inputs.widths_mm_of(column)
    return max((_width_for_rows(widths, rows) for widths in groups if widths), default=0.0)


def _width_for_rows(widths: Sequence[float], rows: int) -> float:
    width = max([sum(widths) / rows, *widths])
    while len(_rows(widths, width)) > rows:
        width += 2.0
    return width


def _rows(widths: Sequence[float], width_mm: float) -> list[int]:
    lengths, used = [0], 0.0
    for width in widths:
        if lengths[-1] and used + width > width_mm + 1e-6:
            lengths.append(0)
            used = 0.0
        lengths[-1] += 1
        used += width
    return lengths if lengths[0] else []
