"""The price of a plan is worked out in numbers, early ends included; here it is held to a plain reckoning by names."""

from __future__ import annotations

import runpy
from itertools import combinations, islice
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from riserkit.drawings.wiring.arrange import arranged, price
from riserkit.drawings.wiring.channel import crossing_costs
from riserkit.drawings.wiring.columns import splits
from riserkit.drawings.wiring.place import place, rows_for
from riserkit.drawings.wiring.plan import LayoutProblem, WiringPlan
from riserkit.drawings.wiring.problem import set_up
from riserkit.drawings.wiring.search import best_placed, reordered, reterminalled, start_from
from riserkit.drawings.wiring.values import Style

DOORS: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "door_circuits.py"))
ALL = sorted(DOORS["ALL"])


def problem_of(name: str) -> LayoutProblem:
    return set_up(DOORS["ALL"][name](), Style(), 150.0).problem


def plans_of(problem: LayoutProblem, columns: int) -> list[WiringPlan]:
    """A plan to start from, and some of each kind of move away from it."""
    start = start_from(problem, next(splits(problem, columns)))
    return [
        start,
        *(p for moves in (reordered, reterminalled) for p in islice(moves(problem, start), 25)),
    ]


def reckoned(problem: LayoutProblem, plan: WiringPlan) -> float:
    """The price by the names of things, channel by channel."""
    placed = place(problem, plan, rows_for(problem, plan))
    pieces = [piece for channel in placed.channels for piece in channel]
    column = plan.column_of()
    costs = [crossing_costs(channel) for channel in placed.channels]
    total = 3.0 * sum(int(np.minimum(c, c.T).sum()) // 2 for c in costs)
    total += sum(rows.untidiness for rows in placed.rows)
    total += 3.0 * max(0, placed.height - problem.target_steps)
    total += 1.2 * (len(pieces) - len(problem.wires))
    total += sum(0.15 + 0.01 * (p.high - p.low) for p in pieces if not p.is_straight)
    total += sum(0.5 for p in pieces if p.a.left == p.b.left)
    return total + 0.5 * sum(column[i] > column[j] for i, j in combinations(range(len(problem.devices)), 2))


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("columns", [2, 3])
def test_the_price_is_what_a_plain_reckoning_gives(name: str, columns: int) -> None:
    problem = problem_of(name)
    for plan in plans_of(problem, columns):
        priced = price(problem, arranged(problem, plan, rows_for(problem, plan)))
        assert priced == pytest.approx(reckoned(problem, plan), abs=1e-9)


@pytest.mark.parametrize("name", ALL)
def test_giving_up_early_never_hides_a_gain(name: str) -> None:
    problem = problem_of(name)
    plans = plans_of(problem, 3)
    limit = reckoned(problem, plans[0])
    for plan in plans:
        priced, true = price(problem, arranged(problem, plan, rows_for(problem, plan)), limit), reckoned(problem, plan)
        assert (priced >= limit) == (true >= limit)
        assert priced <= true + 1e-9


@pytest.mark.parametrize("name", ALL)
def test_the_search_says_what_its_plan_costs(name: str) -> None:
    problem = problem_of(name)
    placed, value = best_placed(problem, 3)
    assert value == pytest.approx(reckoned(problem, placed.plan), abs=1e-9)
    starts = [start_from(problem, split) for split in splits(problem, 3)]
    assert value <= min(reckoned(problem, plan) for plan in starts) + 1e-9
