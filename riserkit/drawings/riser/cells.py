"""One column of a riser on one level: its closet, its rows of openings, and how high that makes it."""

from __future__ import annotations

from dataclasses import dataclass

from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.grid import Inputs, pack_rows
from riserkit.drawings.riser.values import ClosetBox, Drop, OpeningGroup

Rows = tuple[tuple[Drop | OpeningGroup, ...], ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """One column on one level: rows by group, the closet, and the heights that follow."""

    groups: tuple[tuple[str, int, Rows], ...]
    box: ClosetBox | None
    box_mm: float
    ups: int

    @property
    def pad(self) -> float:
        """Above the closet's header: cables that leave upward."""
        return self.ups * m.STUB_MM + (2.0 if self.ups else 0.0) if self.box else 0.0

    @property
    def lowered_mm(self) -> float:
        """Rows begin so much below the closet's port where the first is another closet's: their lines are not one."""
        first = next((closet for closet, side, _ in self.groups if side >= 1), None)
        return m.TRACK_MM if self.box and first not in (None, self.box.id) else 0.0

    def rows_mm(self, side: int) -> float:
        """Height of the rows fed from above (0), of the level's own (1), of those fed from below (2)."""
        return sum(m.row_height_mm(row) for _, at, rows in self.groups if at == side for row in rows)

    @property
    def height(self) -> float:
        """Of rows and closet."""
        above, own, below = (self.rows_mm(side) for side in (0, 1, 2))
        rows = above + self.pad + self.lowered_mm + own + below
        return max(rows, above + self.pad + self.box_mm if self.box else 0.0)


def make_cell(inputs: Inputs, n: int, band: int, items_mm: float) -> Cell:
    """The cell of a column and a level, openings packed into a width."""
    level = inputs.level(n, band)
    groups = tuple(
        (key[0], inputs.side(n, key[0], band), pack_rows(inputs.items[key], items_mm))
        for key in inputs.groups_of(n, band)
    )
    boxes = (inputs.content.closet.get(closet) for closet in inputs.columns[n])
    box = next((b for b in boxes if b is not None and b.level == level), None)
    if box is None:
        return Cell(groups, None, 0.0, 0)
    ins = sum(edge.child == box.id for edge in inputs.edges)
    outs = [edge for edge in inputs.edges if edge.parent == box.id and edge.straight]
    ups = sum(edge.upward for edge in outs)
    return Cell(groups, box, m.box_height_mm(box, ins, len(outs) - ups), ups)


def count_tracks(inputs: Inputs) -> list[int]:
    """Cables that run across to another column, by the tier they start on."""
    counts = [0] * inputs.arrangement.tiers
    for edge in (*inputs.edges, *inputs.guests):
        counts[edge.parent_band] += not edge.straight
    return counts


def corridor_mm(tracks: int) -> float:
    """Room above the closets of a level for cables across."""
    return 4.0 + tracks * m.TRACK_MM if tracks else 3.0
