"""Problems solved and kept: doors of one structure share a solution, whatever their wording and lengths."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

from riserkit.drawings.wiring.channel import CLASH_COST, crossing_costs
from riserkit.drawings.wiring.place import PlacedPlan
from riserkit.drawings.wiring.plan import Item, LayoutProblem
from riserkit.drawings.wiring.search import best_placed

_MOST_SHIFTS: Final = 24
_GOOD_ENOUGH: Final = 30.0
_HOPELESS: Final = 0.95
_WIDE_ENOUGH: Final = 3


def ranked(problem: LayoutProblem, most: int) -> list[tuple[float, int]]:
    """Counts of columns worth a try, at most so many, each after its cost, the best first."""
    steps = sum(d.least_steps for d in problem.devices)
    found: list[tuple[float, int]] = []
    for columns in range(2, max(2, min(most, len(problem.devices))) + 1):
        # far too high for so few columns: not even looked at
        if columns < most and steps / columns > _HOPELESS * problem.target_steps:
            continue
        placed, value = solved(problem, columns)
        found.append((value, columns))
        # a third column may save crossings; a fourth is for what would otherwise be too high
        if placed.height <= problem.target_steps and (value < _GOOD_ENOUGH or columns >= _WIDE_ENOUGH):
            break
    return sorted(found)


@lru_cache(maxsize=1024)
def solved(problem: LayoutProblem, columns: int) -> tuple[PlacedPlan, float]:
    """The best plan for a problem. Doors that differ in wording and lengths only share it."""
    placed, value = best_placed(problem, columns)
    return without_clashes(placed), value


def without_clashes(placed: PlacedPlan) -> PlacedPlan:
    """Move items down by a step where two conductors would otherwise run on one line."""
    for _ in range(_MOST_SHIFTS):
        clashing = _first_clash(placed)
        if clashing is None:
            return placed
        placed = _shifted(placed, clashing)
    return placed


def _first_clash(placed: PlacedPlan) -> tuple[int, Item] | None:
    for channel, stops, order in zip(placed.channels, placed.stops, placed.lanes, strict=True):
        costs = crossing_costs(channel)
        for n, i in enumerate(order):
            for j in order[n + 1 :]:
                if costs[i, j] >= CLASH_COST:
                    return next(s.item for s in stops[i][1:] if not s.left)
    return None


def _shifted(placed: PlacedPlan, moved: tuple[int, Item]) -> PlacedPlan:
    column, item = moved
    tops = dict(placed.tops)
    items = placed.plan.columns[column]
    below = items[items.index(item) :]
    for other in below:
        tops[column, other] += 1
    return replace(placed, tops=tops)
