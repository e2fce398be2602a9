"""The grid of a riser: how wide its columns and how high its levels are, and where each row of openings lies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.bundles import GroupKey, Items
from riserkit.drawings.riser.columns import Columns
from riserkit.drawings.riser.lanes import Edge, pack_lanes, trunk_spans
from riserkit.drawings.riser.values import Drop, OpeningGroup, RiserContent

COLUMN_GAP_MM: Final = 8.0
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
    """What a layout is made from."""

    content: RiserContent
    columns: Columns
    items: Mapping[GroupKey, Items]
    edges: tuple[Edge, ...]

    def groups_of(self, column: int, band: int) -> tuple[GroupKey, ...]:
        """The groups of one column on one level: those fed from above, the level's own, those fed from below."""
        level = self.content.levels[band].id
        keys = [(closet, level) for closet in self.columns[column] if (closet, level) in self.items]
        return tuple(sorted(keys, key=lambda key: self._from(key[0], band)))

    def _from(self, closet: str, band: int) -> int:
        box = self.content.closet.get(closet)
        if box is None:
            return 1
        own = self.content.band[box.level]
        return (own > band) - (own < band) + 1

    def side(self, closet: str, band: int) -> int:
        """0 fed from above, 1 the level's own, 2 fed from below."""
        return self._from(closet, band)


def lane_of_edge(inputs: Inputs) -> dict[str, int]:
    """The lane of each backbone cable in the column of the closet fed, by the cable's subject."""
    found: dict[str, int] = {}
    for column in range(len(inputs.columns)):
        edges = [edge for edge in inputs.edges if edge.child_column == column]
        for edge, lane in zip(edges, pack_lanes([edge.span for edge in edges]), strict=True):
            found[edge.cable.subject] = lane
    return found


def lane_of_trunk(inputs: Inputs) -> dict[str, int]:
    """The lane of each closet's own cables, 0 the one nearest to the openings."""
    found: dict[str, int] = {}
    for column in inputs.columns:
        spans = trunk_spans(inputs.content, column, inputs.items)
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
        widths = [[m.drop_width_mm(i) for i in items] for (c, _), items in inputs.items.items() if c in closets]
        own = [trunks[c] for c in closets if c in trunks]
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
    for (closet, _), items in inputs.items.items():
        if closet in inputs.columns[column]:
            widths = [m.drop_width_mm(item) for item in items]
            for rows in range(1, min(len(widths), 12) + 1):
                found.add(_width_for_rows(widths, rows))
    return tuple(sorted(found))


def width_for_rows(inputs: Inputs, column: int, rows: int) -> float:
    """Least width at which no group of a column takes more rows."""
    groups = (items for (closet, _), items in inputs.items.items() if closet in inputs.columns[column])
    return max((_width_for_rows([m.drop_width_mm(i) for i in items], rows) for items in groups if items), default=0.0)


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
