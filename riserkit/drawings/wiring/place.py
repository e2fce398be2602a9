"""Heights for a plan: what stands where, and what runs in every channel. Counted in steps of the grid, downward."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from riserkit.drawings.wiring.arrange import Arranged, arranged, stand
from riserkit.drawings.wiring.channel import Piece, Pin, crossing_costs, lane_order
from riserkit.drawings.wiring.plan import Ends, Item, Plan, Problem, edges_of
from riserkit.drawings.wiring.rows import DeviceRows, Rows, rows_of


class Stop(NamedTuple):
    """A pin of a piece before it has a height: item, row offset within it."""

    item: tuple[int, Item]
    left: bool
    offset: int


@dataclass(frozen=True)
class Placed:
    """A plan with heights: rows of devices, tops of items, and the pieces of every channel."""

    plan: Plan
    rows: tuple[Rows, ...]
    tops: Mapping[tuple[int, Item], int]
    heights: Mapping[tuple[int, Item], int]
    stops: tuple[tuple[tuple[Ends, Stop, Stop], ...], ...]

    @cached_property
    def channels(self) -> tuple[tuple[Piece, ...], ...]:
        """The pieces of each channel."""
        tops = self.tops
        return tuple(
            tuple(
                Piece(
                    w.wire,
                    w.cable,
                    Pin(a.left, tops[a.item] + a.offset),
                    Pin(b.left, tops[b.item] + b.offset),
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


def rows_for(problem: Problem, plan: Plan) -> tuple[Rows, ...]:
    """The rows of every device in a plan."""
    rows: list[Rows] = []
    rank, edges = _ranks(plan), edges_of(problem, plan)
    for n, (device, order, edge) in enumerate(zip(problem.devices, plan.orders, edges, strict=True)):
        key = (n, order, tuple([edge[t] for t in order]), _reading(problem, n, device, rank))
        known = problem.rows_by_order.get(key)
        if known is None:
            known = problem.rows_by_order[key] = rows_of(device, *key[1:])
        rows.append(known)
    return tuple(rows)


def _ranks(plan: Plan) -> dict[int, int]:
    return {item.device: n for column in plan.columns for n, item in enumerate(column)}


def place(problem: Problem, plan: Plan, rows: tuple[Rows, ...]) -> Placed:
    """Heights for a plan with its rows: the tallest column packed, the others moved to meet it."""
    found = arranged(problem, plan, rows)
    stand(found)
    return placed_of(problem, plan, rows, found)


def placed_of(problem: Problem, plan: Plan, rows: tuple[Rows, ...], found: Arranged) -> Placed:
    """A plan in numbers whose tops are filled in, with names for what they mean."""
    items = found.items
    stops = tuple(
        tuple(
            (problem.wires[n], Stop(items[a], i_left, i), Stop(items[b], j_left, j))
            for n, a, i_left, i, b, j_left, j in channel
        )
        for channel in found.channels
    )
    return Placed(
        plan, rows, dict(zip(items, found.tops, strict=True)), dict(zip(items, found.heights, strict=True)), stops
    )


def _reading(problem: Problem, n: int, device: DeviceRows, rank: Mapping[int, int]) -> tuple[int, ...]:
    """Only asked where a terminal has several conductors."""
    if not device.is_shared:
        return ()
    far = [(rank[w.b if w.a == n else w.a], w.wire) for w in problem.wires_of[n]]
    return tuple([wire for _, wire in sorted(far)])
