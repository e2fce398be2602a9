"""Heights for a plan, and what the plan then costs. Everything is counted in steps of the grid, downward."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import median_low
from typing import Final, NamedTuple

from riserkit.drawings.wiring.channel import Piece, Pin, crossing_costs, lane_order, least_crossings
from riserkit.drawings.wiring.plan import Ends, Item, Plan, Problem, columns_key, edges_of, pass_key
from riserkit.drawings.wiring.rows import DeviceRows, Rows, rows_of
from riserkit.drawings.wiring.values import Edge

GAP_STEPS: Final = 2
PASS_STEPS: Final = 1


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


class _End(NamedTuple):
    """Where an end of a conductor stands: channel, rank of its device in the column, row, device, edge."""

    channel: int
    rank: int
    offset: int
    device: int
    is_left: bool


def rows_for(problem: Problem, plan: Plan) -> tuple[Rows, ...]:
    """The rows of every device in a plan."""
    key, rows = columns_key(plan), []
    rank = _ranks(plan)
    for n, device in enumerate(problem.devices):
        order = plan.orders[n]
        reading = _reading(problem, n, device, rank)
        known = problem.rows_by_order.get((n, order, key, reading))
        if known is None:
            edge = edges_of(problem, plan)[n]
            known = rows_of(device, order, tuple([edge[t] for t in order]), reading)
            problem.rows_by_order[n, order, key, reading] = known
        rows.append(known)
    return tuple(rows)


def untidiness(rows: Sequence[Rows]) -> float:
    """How untidy the rows of all devices are together."""
    return sum([r.untidiness for r in rows])


def _ranks(plan: Plan) -> dict[int, int]:
    return {item.device: n for column in plan.columns for n, item in enumerate(column)}


def place(problem: Problem, plan: Plan, rows: tuple[Rows, ...]) -> Placed:
    """Heights for a plan with its rows: the tallest column packed, the others moved to meet it."""
    edges, rank = edges_of(problem, plan), _ranks(plan)
    column = plan.column_of()
    ends = [_ends(wire, column, edges, rows, rank) for wire in problem.wires]
    passing = _passing(problem, ends)
    heights = {
        (c, item): rows[item.device].height if item.device >= 0 else PASS_STEPS * (len(passing[c, item.passing]) + 1)
        for c, items in enumerate(plan.columns)
        for item in items
    }
    stops = _stops(problem, ends, column, passing, len(plan.columns) - 1)
    return Placed(plan, rows, _tops(plan, heights, stops), heights, stops)


def _ends(
    wire: Ends,
    column: Mapping[int, int],
    edges: Sequence[Mapping[str, Edge]],
    rows: Sequence[Rows],
    rank: Mapping[int, int],
) -> tuple[_End, _End]:
    """Both ends of a conductor, the one in the channel further left first."""
    found = []
    for d, t in ((wire.a, wire.a_terminal), (wire.b, wire.b_terminal)):
        # an edge on the right of its column is the left edge of the channel beside it
        right = edges[d][t] == "right"
        found.append(_End(column[d] if right else column[d] - 1, rank[d], rows[d].offset[wire.wire, t], d, right))
    return (found[0], found[1]) if found[0][:3] <= found[1][:3] else (found[1], found[0])


def _reading(problem: Problem, n: int, device: DeviceRows, rank: Mapping[int, int]) -> tuple[int, ...]:
    """Only asked where a terminal has several conductors."""
    if not device.is_shared:
        return ()
    far = [(rank[w.b if w.a == n else w.a], w.wire) for w in problem.wires_of[n]]
    return tuple([wire for _, wire in sorted(far)])


def _passing(problem: Problem, ends: Sequence[tuple[_End, _End]]) -> dict[tuple[int, str], list[int]]:
    """The conductors in each gap from the top, ordered as they leave the device to the left."""
    found: dict[tuple[int, str], list[tuple[int, int, int]]] = {}
    for wire, (first, last) in zip(problem.wires, ends, strict=True):
        for passed in range(first.channel + 1, last.channel + 1):
            found.setdefault((passed, pass_key(wire)), []).append((first.rank, first.offset, wire.wire))
    return {key: [wire for _, _, wire in sorted(members)] for key, members in found.items()}


def _stops(
    problem: Problem,
    ends: Sequence[tuple[_End, _End]],
    column: Mapping[int, int],
    passing: Mapping[tuple[int, str], list[int]],
    count: int,
) -> tuple[tuple[tuple[Ends, Stop, Stop], ...], ...]:
    channels: list[list[tuple[Ends, Stop, Stop]]] = [[] for _ in range(count)]
    for wire, (first, last) in zip(problem.wires, ends, strict=True):
        here = Stop((column[first.device], Item(first.device)), first.is_left, first.offset)
        there = Stop((column[last.device], Item(last.device)), last.is_left, last.offset)
        for channel in range(first.channel, last.channel):
            key = pass_key(wire)
            item = (channel + 1, Item(-1, key))
            offset = PASS_STEPS * (passing[channel + 1, key].index(wire.wire) + 1)
            channels[channel].append((wire, here, Stop(item, False, offset)))
            here = Stop(item, True, offset)
        channels[last.channel].append((wire, here, there))
    return tuple([tuple(channel) for channel in channels])


def _tops(
    plan: Plan,
    heights: Mapping[tuple[int, Item], int],
    stops: Sequence[Sequence[tuple[Ends, Stop, Stop]]],
) -> dict[tuple[int, Item], int]:
    keys = [[(c, item) for item in column] for c, column in enumerate(plan.columns)]
    totals = [sum(heights[k] + GAP_STEPS for k in column) - GAP_STEPS for column in keys]
    room = max(totals)
    anchor = totals.index(room)
    tops = _packed(keys[anchor], heights, {}, room)
    meets: dict[tuple[int, Item], list[tuple[int, tuple[int, Item], int]]] = {}
    for channel in stops:
        for _, a, b in channel:
            meets.setdefault(a.item, []).append((a.offset, b.item, b.offset))
            meets.setdefault(b.item, []).append((b.offset, a.item, a.offset))
    outward = [*range(anchor + 1, len(keys)), *range(anchor - 1, -1, -1)]
    for c in outward:
        wanted = {}
        for key in keys[c]:
            pulls = [tops[other] + there - here for here, other, there in meets.get(key, ()) if other in tops]
            if pulls:
                wanted[key] = median_low(pulls)
        tops |= _packed(keys[c], heights, wanted, room)
    return tops


def _packed(
    keys: Sequence[tuple[int, Item]],
    heights: Mapping[tuple[int, Item], int],
    wanted: Mapping[tuple[int, Item], int],
    room: int,
) -> dict[tuple[int, Item], int]:
    """Tops in order, apart by the gap, each as near to what is wanted as the others let it, all within the room."""
    before, shift = [], 0
    for key in keys:
        before.append(shift)
        shift += heights[key] + GAP_STEPS
    spare = room - (shift - GAP_STEPS)
    blocks: list[list[float]] = []
    for key, ahead in zip(keys, before, strict=True):
        weight, value = (
            (1.0, float(wanted[key] - ahead)) if key in wanted else (0.05, float(blocks[-1][0] if blocks else 0))
        )
        blocks.append([value, weight, 1.0])
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            v2, w2, n2 = blocks.pop()
            v1, w1, n1 = blocks.pop()
            blocks.append([(v1 * w1 + v2 * w2) / (w1 + w2), w1 + w2, n1 + n2])
    free = [value for value, _, count in blocks for _ in range(int(count))]
    return {key: ahead + max(0, min(spare, round(v))) for key, ahead, v in zip(keys, before, free, strict=True)}


def cost(problem: Problem, placed: Placed) -> float:
    """How bad a plan is: crossings first, then passes, order, corners, length."""
    total = 3.0 * sum(least_crossings(crossing_costs(channel)) for channel in placed.channels if len(channel) > 1)
    total += sum(rows.untidiness for rows in placed.rows)
    total += 3.0 * max(0, placed.height - problem.target_steps)
    pieces = [piece for channel in placed.channels for piece in channel]
    total += 1.2 * (len(pieces) - len(problem.wires))
    total += sum(0.15 + 0.01 * (p.high - p.low) for p in pieces if not p.is_straight)
    total += sum(0.5 for p in pieces if p.a.left == p.b.left)
    column = placed.plan.column_of()
    devices = len(problem.devices)
    total += 0.5 * sum(column[i] > column[j] for i in range(devices) for j in range(i + 1, devices))
    return total
