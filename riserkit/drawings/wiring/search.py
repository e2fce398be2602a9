"""The search for a plan that crosses least: barycentre to begin with, then single moves as long as one gains.

No randomness: the same netlist always gives the same diagram.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riserkit.drawings.wiring.arrange import arranged, price
from riserkit.drawings.wiring.place import PlacedPlan, place, rows_for
from riserkit.drawings.wiring.plan import Item, LayoutProblem, WiringPlan, edges_of, with_passes
from riserkit.drawings.wiring.rows import moved_orders, tidy_order

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
    starts = [_start(problem, columns, split) for split in _splits(problem, columns)]
    found = [_descend(problem, plan) for plan in dict.fromkeys(starts)]
    value, _, best = min((value, n, plan) for n, (plan, value) in enumerate(found))
    return place(problem, best, rows_for(problem, best)), value


def _splits(problem: LayoutProblem, columns: int) -> Iterator[tuple[int, ...]]:
    """Columns by device: the devices' own order cut so that columns are about equally high, and the hub to the left."""
    heights = [len(d.terminals) * 2 + d.head_steps + 3 for d in problem.devices]
    total, run = sum(heights), 0
    even = []
    for height in heights:
        even.append(min(columns - 1, int(columns * (run + height / 2) / total)))
        run += height
    yield tuple(even)
    degree = [len(w) for w in problem.wires_of]
    hub = max(range(len(degree)), key=lambda n: (degree[n], -n))
    near = {w.b if w.a == hub else w.a for w in problem.wires_of[hub]}
    yield tuple(0 if n <= hub else (1 if n in near else columns - 1) for n in range(len(degree)))


def _start(problem: LayoutProblem, columns: int, split: tuple[int, ...]) -> WiringPlan:
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
        for moves in (_reordered, _reterminalled, _recolumned):
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


def _reordered(_: LayoutProblem, plan: WiringPlan) -> Iterator[WiringPlan]:
    for c, column in enumerate(plan.columns):
        for n, item in enumerate(column):
            rest = column[:n] + column[n + 1 :]
            for m in range(len(column)):
                if m not in (n, n - 1):
                    moved = (*rest[:m], item, *rest[m:])
                    yield WiringPlan((*plan.columns[:c], moved, *plan.columns[c + 1 :]), plan.orders)


def _reterminalled(problem: LayoutProblem, plan: WiringPlan) -> Iterator[WiringPlan]:
    for n, order in enumerate(plan.orders):
        if not problem.wires_of[n]:
            continue
        for trial in dict.fromkeys((order[::-1], *_wired_moves(problem, n, order))):
            if trial != order:
                yield WiringPlan(plan.columns, (*plan.orders[:n], trial, *plan.orders[n + 1 :]))


def _wired_moves(problem: LayoutProblem, n: int, order: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Moves of one terminal that something lands on, or of two adjoining ones."""
    device = problem.devices[n]
    for trial in moved_orders(order):
        moved = {a for a, b in zip(order, trial, strict=True) if a != b}
        if len(moved) <= 2 or any(device.landed_at(t) for t in moved):
            yield trial


def _recolumned(problem: LayoutProblem, plan: WiringPlan) -> Iterator[WiringPlan]:
    where = plan.column_of()
    for n in range(1, len(problem.devices)):
        for c in range(len(plan.columns)):
            if c == where[n]:
                continue
            without = [tuple(i for i in column if i.device != n) for column in plan.columns]
            if not any(i.device >= 0 for i in without[where[n]]):
                continue
            for m in range(len(without[c]) + 1):
                moved = list(without)
                moved[c] = (*without[c][:m], Item(n), *without[c][m:])
                yield with_passes(problem, _tidied(problem, replace(plan, columns=tuple(moved))))
