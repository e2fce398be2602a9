"""Lanes: which vertical line of a column each cable takes, so that the fewest cross.

Heights are counted in steps, three a level from the top: cables that leave upward, those that arrive, those that
leave downward. What spans less is closer to the closets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.riser.columns import Columns
from riserkit.drawings.riser.values import Backbone, RiserContent

STEPS: Final = 3
_UP, _IN, _DOWN = range(3)


@dataclass(frozen=True, slots=True)
class Edge:
    """A backbone cable with its columns and levels (0 is the top one)."""

    cable: Backbone
    parent: str
    child: str
    parent_column: int
    child_column: int
    parent_band: int
    child_band: int

    @property
    def straight(self) -> bool:
        """Both closets in one column."""
        return self.parent_column == self.child_column

    @property
    def upward(self) -> bool:
        """The closet fed is above."""
        return self.child_band < self.parent_band

    @property
    def span(self) -> tuple[int, int]:
        """Steps that its lane covers in the column of the closet fed."""
        end = STEPS * self.child_band + _IN
        leaving = _UP if self.upward else _DOWN
        start = STEPS * self.parent_band + (leaving if self.straight else -1)
        return min(start, end), max(start, end)


def read_edges(content: RiserContent, columns: Columns, tier: Mapping[str, int]) -> tuple[Edge, ...]:
    """The backbone as edges from the closet that feeds to the closet fed, levels by their tiers."""
    column = {closet: n for n, members in enumerate(columns) for closet in members}
    found = []
    for cable in content.backbones:
        parent, child = cable.from_id, cable.to_id
        if content.closet[parent].fed_from == child and content.closet[child].fed_from != parent:
            parent, child = child, parent
        bands = tier[content.closet[parent].level], tier[content.closet[child].level]
        found.append(Edge(cable, parent, child, column[parent], column[child], *bands))
    return tuple(found)


def pack_lanes(spans: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    """A lane for each span, 0 the innermost: shorter ones first, none overlaps another of its lane."""
    lanes = [0] * len(spans)
    placed: list[int] = []
    for n in sorted(range(len(spans)), key=lambda i: (spans[i][1] - spans[i][0], spans[i], i)):
        low, high = spans[n]
        over = [lanes[m] for m in placed if spans[m][0] <= high and low <= spans[m][1]]
        lanes[n] = max(over, default=-1) + 1
        placed.append(n)
    return tuple(lanes)


def trunk_span(closet_band: int, bands: Sequence[int], *, elsewhere: bool = False) -> tuple[int, int]:
    """Steps that a closet's own cables cover, from the closet to each level that it serves.

    Args:
        closet_band: the closet's level.
        bands: those that it serves.
        elsewhere: the closet stands in another stack; its cables come along the top of its level.
    """
    steps = [STEPS * closet_band + (-1 if elsewhere else _IN)]
    for band in bands:
        own = _UP if elsewhere else _IN
        at = own if band == closet_band else _UP if band > closet_band else _DOWN
        steps.append(STEPS * band + at)
    return min(steps), max(steps)
