"""Heights for a plan: what is where, and what runs in every channel. Counted in steps of the grid, downward."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from riserkit.drawings.wiring.arrange import arranged, stand
from riserkit.drawings.wiring.channel import ChannelPiece, ChannelPin, crossing_costs, lane_order
from riserkit.drawings.wiring.plan import Ends, Item, LayoutProblem, Standing, WiringPlan
from riserkit.drawings.wiring.rows import TerminalRows, rows_of
from riserkit.drawings.wiring.standing import standing_of


class Stop(NamedTuple):
    """A pin of a piece before it has a height: item, row offset within it."""

    item: tuple[int, Item]
    left: bool
    offset: int


@dataclass(frozen=True)
class PlacedPlan:
    """A plan with heights: rows of devices, tops of items, and the pieces of every channel."""

    plan: WiringPlan
    rows: tuple[TerminalRows, ...]
    tops: Mapping[tuple[int, Item], int]
    heights: Mapping[tuple[int, Item], int]
    stops: tuple[tuple[tuple[Ends, Stop, Stop], ...], ...]

    @cached_property
    def channels(self) -> tuple[tuple[ChannelPiece, ...], ...]:
        """The pieces of each channel."""
        tops = self.tops
        return tuple(
            tuple(
                ChannelPiece(
                    w.wire,
                    w.cable,
                    ChannelPin(a.left, tops[a.item] + a.offset),
                    ChannelPin(b.left, tops[b.item] + b.offset),
                )
                for w, a, b in channel
            )
            for channel in self.stops
        )

    @cached_property
    def lanes(self) -> tuple[tuple[int, ...], ...]:
        """The lanes of each channel from left to right, as numbers of its pieces."""
        return tuple(lane_order(pieces, crossing_costs(pieces)) if pieces else () for pieces in self.channels)

    @property
    def height(self) -> int:
        """Steps from the top to the lowest edge."""
        return max((self.tops[k] + self.heights[k] for k in self.tops), default=0)


def rows_for(problem: LayoutProblem, plan: WiringPlan) -> tuple[TerminalRows, ...]:
    """The rows of every device in a plan."""
    stands, rows = standing_of(problem, plan), list[TerminalRows]()
    for n, (order, reading) in enumerate(zip(plan.orders, stands.readings, strict=True)):
        key = (n, order, stands.key, reading)
        known = problem.rows_by_columns.get(key)
        if known is None:
            known = problem.rows_by_columns[key] = _rows(problem, n, order, stands)
        rows.append(known)
    return tuple(rows)


def _rows(problem: LayoutProblem, n: int, order: tuple[str, ...], stands: Standing) -> TerminalRows:
    edge = stands.edges[n]
    key = (n, order, tuple([edge[t] for t in order]), stands.readings[n])
    known = problem.rows_by_order.get(key)
    if known is None:
        known = problem.rows_by_order[key] = rows_of(problem.devices[n], *key[1:])
    return known


def place(problem: LayoutProblem, plan: WiringPlan, rows: tuple[TerminalRows, ...]) -> PlacedPlan:
    """Heights for a plan with its rows: the tallest column packed, the others moved to meet it."""
    found = arranged(problem, plan, rows)
    stand(found)
    items = found.stands.items
    stops = tuple(
        tuple(
            (problem.wires[n], Stop(items[a], i_left, i), Stop(items[b], j_left, j))
            for n, a, i_left, i, b, j_left, j in channel
        )
        for channel in found.channels
    )
    return PlacedPlan(
        plan, rows, dict(zip(items, found.tops, strict=True)), dict(zip(items, found.heights, strict=True)), stops
    )
