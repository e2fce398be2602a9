"""A plan in numbers: where every item is and what every conductor does in every channel, made thousands of times.

The search prices each plan it tries, so nothing here makes an object it can do without: items go by number, a piece is
a bare tuple, and pricing gives up as soon as a plan cannot beat what is known. `place` names what the numbers mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median_low
from typing import Final

from riserkit.drawings.wiring.channel import fewest_crossings
from riserkit.drawings.wiring.plan import LayoutProblem, Standing, WiringPlan
from riserkit.drawings.wiring.rows import TerminalRows
from riserkit.drawings.wiring.standing import standing_of

GAP_STEPS: Final = 2
PASS_STEPS: Final = 1

Stretch = tuple[int, int, bool, int, int, bool, int]
"""A conductor in one channel: its place among the problem's wires, then for both ends item, on the left edge, offset."""


@dataclass(slots=True)
class Arranged:
    """A plan in numbers: heights and tops by number of item; `tops` are filled in last."""

    stands: Standing
    heights: list[int]
    channels: list[list[Stretch]]
    untidiness: float
    tops: list[int]

    @property
    def room(self) -> int:
        """Steps from the top to the lowest edge: the tallest column's, for all others stay within it."""
        return max(sum(self.heights[k] + GAP_STEPS for k in column) for column in self.stands.numbers) - GAP_STEPS


def arranged(problem: LayoutProblem, plan: WiringPlan, rows: Sequence[TerminalRows]) -> Arranged:
    """The plan in numbers, without heights above the ground yet."""
    stands = standing_of(problem, plan)
    heights = [rows[item.device].height if item.device >= 0 else 0 for _, item in stands.items]
    channels = _stretches(problem, stands, rows, heights)
    return Arranged(stands, heights, channels, sum([r.untidiness for r in rows]), [])


def _stretches(
    problem: LayoutProblem, stands: Standing, rows: Sequence[TerminalRows], heights: list[int]
) -> list[list[Stretch]]:
    """What each conductor does in each channel; sets the heights of gaps by the conductors that pass."""
    edges, items, at, rank, gaps = stands.edges, stands.items, stands.at, stands.rank, stands.gaps
    channels: list[list[Stretch]] = [[] for _ in range(len(stands.columns) - 1)]
    passing: dict[int, list[tuple[int, int, int]]] = {}
    far: list[tuple[int, int, int, int, int, bool, int, int, bool, int]] = []
    for n, (wire, _, a, a_terminal, b, b_terminal) in enumerate(problem.wires):
        ka, kb = at[a], at[b]
        # an edge on the right of its column is the left edge of the channel beside it
        a_left, b_left = edges[a][a_terminal] == "right", edges[b][b_terminal] == "right"
        ca, cb = items[ka][0], items[kb][0]
        ha, hb = (ca if a_left else ca - 1), (cb if b_left else cb - 1)
        oa, ob = rows[a].offset[wire, a_terminal], rows[b].offset[wire, b_terminal]
        ra, rb = rank[a], rank[b]
        if (ha, ra, oa) > (hb, rb, ob):
            ka, a_left, ha, oa, ra, kb, b_left, hb, ob = kb, b_left, hb, ob, rb, ka, a_left, ha, oa
        if ha == hb:
            channels[ha].append((n, ka, a_left, oa, kb, b_left, ob))
            continue
        for passed in range(ha + 1, hb + 1):
            passing.setdefault(gaps[passed, problem.pass_keys[n]], []).append((ra, oa, wire))
        far.append((n, wire, ha, hb, ka, a_left, oa, kb, b_left, ob))
    for k, members in passing.items():
        members.sort()
        heights[k] = PASS_STEPS * (len(members) + 1)
    order = {k: {wire: PASS_STEPS * (m + 1) for m, (_, _, wire) in enumerate(found)} for k, found in passing.items()}
    for n, wire, first, last, k, left, offset, kb, b_left, ob in far:
        here = (k, left, offset)
        for channel in range(first, last):
            gap = gaps[channel + 1, problem.pass_keys[n]]
            middle = order[gap][wire]
            channels[channel].append((n, *here, gap, False, middle))
            here = (gap, True, middle)
        channels[last].append((n, *here, kb, b_left, ob))
    if far:
        for pieces in channels:
            pieces.sort()
    return channels


def stand(found: Arranged) -> None:
    """Fill in the tops: the tallest column packed, the others moved to meet it."""
    heights, columns = found.heights, found.stands.numbers
    totals = [sum([heights[k] + GAP_STEPS for k in column]) - GAP_STEPS for column in columns]
    room = max(totals)
    anchor = totals.index(room)
    meets: list[list[tuple[int, int, int]]] = [[] for _ in heights]
    for channel in found.channels:
        for _, a, _, a_offset, b, _, b_offset in channel:
            meets[a].append((a_offset, b, b_offset))
            meets[b].append((b_offset, a, a_offset))
    tops: list[int | None] = [None] * len(heights)
    _pack(columns[anchor], heights, [None] * len(columns[anchor]), room, tops)
    for c in (*range(anchor + 1, len(columns)), *range(anchor - 1, -1, -1)):
        wanted: list[int | None] = []
        for k in columns[c]:
            pulls = [top + there - here for here, other, there in meets[k] if (top := tops[other]) is not None]
            wanted.append(median_low(pulls) if pulls else None)
        _pack(columns[c], heights, wanted, room, tops)
    found.tops = [top for top in tops if top is not None]


def _pack(
    column: Sequence[int], heights: Sequence[int], wanted: Sequence[int | None], room: int, tops: list[int | None]
) -> None:
    """Set tops in order, apart by the gap, each as near to what is wanted as the others let it, all within the room."""
    before, shift = [], 0
    for k in column:
        before.append(shift)
        shift += heights[k] + GAP_STEPS
    spare = room - (shift - GAP_STEPS)
    blocks: list[tuple[float, float, int]] = []
    for want, ahead in zip(wanted, before, strict=True):
        value, weight, count = (
            (float(want - ahead), 1.0, 1) if want is not None else (blocks[-1][0] if blocks else 0.0, 0.05, 1)
        )
        while blocks and blocks[-1][0] > value:
            v, w, n = blocks.pop()
            value, weight, count = (v * w + value * weight) / (w + weight), w + weight, n + count
        blocks.append((value, weight, count))
    n = 0
    for value, _, count in blocks:
        level = max(0, min(spare, round(value)))
        for _ in range(count):
            tops[column[n]] = before[n] + level
            n += 1


def price(problem: LayoutProblem, found: Arranged, limit: float = float("inf")) -> float:
    """How bad a plan is: crossings first, then order, passes, corners, length. Fills in the tops.

    Args:
        problem: what is laid out.
        found: the plan in numbers.
        limit: a price not worth finishing for; what is returned then is no less.
    """
    pieces = [piece for channel in found.channels for piece in channel]
    total = found.untidiness + 0.5 * found.stands.strays + 1.2 * (len(pieces) - len(problem.wires))
    total += 0.5 * sum([piece[2] == piece[5] for piece in pieces])
    if total >= limit:
        return total
    total += 3.0 * max(0, found.room - problem.target_steps)
    if total >= limit:
        return total
    stand(found)
    tops = found.tops
    ends = [(tops[a] + i, tops[b] + j) for _, a, _, i, b, _, j in pieces]
    total += sum([0.15 + 0.01 * abs(i - j) for i, j in ends if i != j])
    if total >= limit:
        return total
    crossings = 0
    for channel in found.channels:
        ends_here = [(tops[a] + i, i_left, tops[b] + j, j_left) for _, a, i_left, i, b, j_left, j in channel]
        crossings += fewest_crossings(ends_here, (limit - total) / 3.0 - crossings)
        if total + 3.0 * crossings >= limit:
            break
    return total + 3.0 * crossings
