"""A plan of a wiring diagram and what it costs: which device in which column, in what order, with which rows.

Conductors that must pass a column do so together, cable by cable, through a gap that stands in the column like a
device without terminals. Everything is counted in steps of the grid, downward.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import median_low
from typing import Final, NamedTuple

from riserkit.drawings.wiring_channel import Piece, Pin, crossing_costs, lane_order, least_crossings
from riserkit.drawings.wiring_rows import DeviceRows, Rows, rows_of
from riserkit.drawings.wiring_values import Edge

GAP_STEPS: Final = 2
PASS_STEPS: Final = 1


class Item(NamedTuple):
    """What stands in a column: a device by number, or (device -1) the gap that one cable passes through."""

    device: int
    passing: str = ""


class Ends(NamedTuple):
    """A conductor between two devices by number, each with the terminal."""

    wire: int
    cable: str
    a: int
    a_terminal: str
    b: int
    b_terminal: str


@dataclass(frozen=True)
class Problem:
    """What is to be laid out. `target_steps` is the height there is room for."""

    devices: tuple[DeviceRows, ...]
    wires: tuple[Ends, ...]
    target_steps: int

    @cached_property
    def edges_by_columns(self) -> dict[tuple[int, ...], tuple[dict[str, Edge], ...]]:
        """Edges of terminals by the columns of the devices, kept because a search asks for few over and over."""
        return {}

    @cached_property
    def rows_by_order(self) -> dict[tuple[int, tuple[str, ...], tuple[int, ...], tuple[int, ...]], Rows]:
        """Rows by device, order of terminals, columns of all devices, and reading; kept for the same reason."""
        return {}

    @cached_property
    def wires_of(self) -> tuple[tuple[Ends, ...], ...]:
        """The conductors of each device."""
        return tuple(tuple(w for w in self.wires if n in (w.a, w.b)) for n in range(len(self.devices)))


@dataclass(frozen=True, slots=True)
class Plan:
    """Columns of items from the top, and the order of each device's terminals."""

    columns: tuple[tuple[Item, ...], ...]
    orders: tuple[tuple[str, ...], ...]

    def column_of(self) -> dict[int, int]:
        """Column of each device."""
        return {item.device: n for n, column in enumerate(self.columns) for item in column if item.device >= 0}


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


def edges_of(problem: Problem, plan: Plan) -> tuple[dict[str, Edge], ...]:
    """The edge of each terminal: outer columns face inward, between them towards where its conductors go."""
    key = columns_key(plan)
    if key not in problem.edges_by_columns:
        problem.edges_by_columns[key] = _edges(problem, plan)
    return problem.edges_by_columns[key]


def columns_key(plan: Plan) -> tuple[int, ...]:
    """The number of columns, and the column of each device."""
    column = plan.column_of()
    return (len(plan.columns), *(column[n] for n in range(len(column))))


def _edges(problem: Problem, plan: Plan) -> tuple[dict[str, Edge], ...]:
    column, last = plan.column_of(), len(plan.columns) - 1
    found: list[dict[str, Edge]] = []
    for n, device in enumerate(problem.devices):
        if column[n] in (0, last):
            side: Edge = "right" if column[n] == 0 else "left"
            found.append(dict.fromkeys(device.terminals, side))
        else:
            found.append(_inner_edges(problem, column, n))
    return tuple(found)


def _inner_edges(problem: Problem, column: Mapping[int, int], n: int) -> dict[str, Edge]:
    pull = dict.fromkeys(problem.devices[n].terminals, 0)
    for wire in problem.wires_of[n]:
        here = [wire.a_terminal] if wire.a == n else []
        here += [wire.b_terminal] if wire.b == n else []
        other = column[wire.b if wire.a == n else wire.a]
        for terminal in here:
            pull[terminal] += (other > column[n]) - (other < column[n])
    # a part across two terminals needs both on one edge
    across = [t for t in pull if any(c.lead for c in problem.devices[n].landed_at(t))]
    for terminal in across:
        pull[terminal] = sum(pull[t] for t in across)
    for chain in problem.devices[n].chains:
        # an idle contact stays beside the one it changes over with
        for idle, mate in ((chain.a, chain.b), (chain.b, chain.a)):
            if pull[idle] == 0 and not problem.devices[n].landed_at(idle):
                pull[idle] = pull[mate]
    # what nothing pulls, or what goes to the same column, stays with the rest of the device
    whole = sum(pull.values())
    return {t: "right" if p > 0 or (p == 0 and whole > 0) else "left" for t, p in pull.items()}


def needed_passes(problem: Problem, plan: Plan) -> tuple[tuple[str, ...], ...]:
    """The cables (or single conductors, by number) that must pass each column."""
    column, edges = plan.column_of(), edges_of(problem, plan)
    found: list[list[str]] = [[] for _ in plan.columns]
    for wire in problem.wires:
        first, last = sorted(
            (
                _channel(column[wire.a], edges[wire.a][wire.a_terminal]),
                _channel(column[wire.b], edges[wire.b][wire.b_terminal]),
            )
        )
        for passed in range(first + 1, last + 1):
            key = pass_key(wire)
            if key not in found[passed]:
                found[passed].append(key)
    return tuple(tuple(keys) for keys in found)


def pass_key(wire: Ends) -> str:
    """What a conductor passes a column with: its cable, or itself when it has none."""
    return wire.cable or f"#{wire.wire}"


def _channel(column: int, edge: Edge) -> int:
    return column if edge == "right" else column - 1


def with_passes(problem: Problem, plan: Plan) -> Plan:
    """The plan with gaps for exactly those cables that pass each column; new ones go to the bottom."""
    needed = needed_passes(problem, plan)
    columns = []
    for column, keys in zip(plan.columns, needed, strict=True):
        kept = [item for item in column if item.device >= 0 or item.passing in keys]
        have = {item.passing for item in kept if item.device < 0}
        columns.append((*kept, *(Item(-1, key) for key in keys if key not in have)))
    return Plan(tuple(columns), plan.orders)


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
