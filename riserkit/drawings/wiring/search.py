"""The search for a plan that crosses least: barycentre to begin with, then single moves as long as one gains.

Which device stands in which column is known, see `columns`. What is searched is the order in the columns and that of terminals.
Terminals that belong together keep the device's order: plus over minus, those of a contact, of a link, of a bus. Over the 28
circuits of the two samples conductors then cross 247 times; 201 times where every terminal may move, 296 where the inputs
are held to their order too, and about three times as often where whole devices are. No randomness: the same netlist always
gives the same diagram.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riserkit.drawings.wiring.arrange import arranged, price
from riserkit.drawings.wiring.columns import splits
from riserkit.drawings.wiring.place import PlacedPlan, place, rows_for
from riserkit.drawings.wiring.plan import Item, LayoutProblem, WiringPlan, edges_of, with_passes
from riserkit.drawings.wiring.rows import reordered_terminals, tidy_order

MOST_TRIALS = 2500
"""Bounds the time of one search; beyond it the best plan so far stands, legible as any, perhaps with a crossing more."""
_WORTH_TRYING = 9.5
_GAIN = 1e-6


def best_placed(problem: LayoutProblem, columns: int) -> tuple[PlacedPlan, float]:
    """The best plan found with so many columns, with heights, and its cost.

    Raises:
        ValueError: fewer than two columns, or no device.
    """
    if columns < 2 or not problem.devices:
        raise ValueError(f"{columns} columns and {len(problem.devices)} devices; expected two columns, one device")
    starts = [start_from(problem, split) for split in splits(problem, columns)]
    found = [_descend(problem, plan) for plan in dict.fromkeys(starts)]
    value, _, best = min((value, n, plan) for n, (plan, value) in enumerate(found))
    return place(problem, best, rows_for(problem, best)), value


def start_from(problem: LayoutProblem, split: tuple[int, ...]) -> WiringPlan:
    """Devices in their columns, roughly in the order of what they are wired to, each cable's terminals together."""
    columns = max(1, *split) + 1
    orders = tuple(d.terminals for d in problem.devices)
    rows = tuple(tuple(Item(n) for n, c in enumerate(split) if c == column) for column in range(columns))
    plan = WiringPlan(rows, orders)
    for _ in range(2):
        plan = _tidied(problem, plan)
        plan = _barycentre(problem, with_passes(problem, plan))
    return with_passes(problem, plan)


def _tidied(problem: LayoutProblem, plan: WiringPlan) -> WiringPlan:
    edges = edges_of(problem, plan)
    orders = tuple(
        tidy_order(device, tuple((t, edges[n][t]) for t in device.terminals))
        for n, device in enumerate(problem.devices)
    )
    return replace(plan, orders=orders)


def _barycentre(problem: LayoutProblem, plan: WiringPlan) -> WiringPlan:
    """Order each column by the mean height of what its items are wired to, from left to right."""
    columns = list(plan.columns)
    for c in range(1, len(columns)):
        tried = replace(plan, columns=tuple(columns))
        placed = place(problem, tried, rows_for(problem, tried))
        pulls: dict[Item, list[float]] = {}
        for _, a, b in placed.stops[c - 1]:
            for here, there in ((a, b), (b, a)):
                if here.item[0] == c and there.item[0] == c - 1:
                    pulls.setdefault(here.item[1], []).append(placed.tops[there.item] + there.offset - here.offset)
        mean = {item: sum(values) / len(values) for item, values in pulls.items()}
        columns[c] = tuple(sorted(columns[c], key=lambda item: (mean.get(item, 1e9), item)))
    return replace(plan, columns=tuple(columns))


def _descend(problem: LayoutProblem, plan: WiringPlan) -> tuple[WiringPlan, float]:
    """Sweep over all single moves, taking each that gains, until a whole sweep gains nothing."""
    rows = rows_for(problem, plan)
    found = arranged(problem, plan, rows)
    value, tidy = price(problem, found), found.untidiness
    seen, trials, improved = {plan}, 0, True
    while improved and trials < MOST_TRIALS:
        improved = False
        for moves in (reordered, reterminalled):
            skip, again = 0, True
            while again and trials < MOST_TRIALS:
                again = False
                for n, moved in enumerate(moves(problem, plan)):
                    # what was no gain over a worse plan is none over this one
                    known = len(seen)
                    if n >= skip:
                        seen.add(moved)
                    if len(seen) == known:
                        continue
                    trials += 1
                    rows = rows_for(problem, moved)
                    untidy = sum([r.untidiness for r in rows])
                    if untidy > tidy + _WORTH_TRYING:
                        continue
                    candidate = price(problem, arranged(problem, moved, rows), value - _GAIN)
                    if candidate < value - _GAIN:
                        plan, value, tidy = moved, candidate, untidy
                        improved, again, skip = True, True, n
                        break
    return plan, value


def reordered(_: LayoutProblem, plan: WiringPlan) -> Iterator[WiringPlan]:
    """The plan with one item moved to each other place of its column."""
    for c, column in enumerate(plan.columns):
        for n, item in enumerate(column):
            rest = column[:n] + column[n + 1 :]
            for m in range(len(column)):
                if m not in (n, n - 1):
                    moved = (*rest[:m], item, *rest[m:])
                    yield WiringPlan((*plan.columns[:c], moved, *plan.columns[c + 1 :]), plan.orders)


def reterminalled(problem: LayoutProblem, plan: WiringPlan) -> Iterator[WiringPlan]:
    """The plan with the groups of one device's terminals upside down, or one of them moved to each other place."""
    for n, order in enumerate(plan.orders):
        if not problem.wires_of[n]:
            continue
        for trial in dict.fromkeys(reordered_terminals(problem.devices[n], order)):
            if trial != order:
                yield WiringPlan(plan.columns, (*plan.orders[:n], trial, *plan.orders[n + 1 :]))
