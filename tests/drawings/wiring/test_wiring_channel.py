"""Lanes of a channel: the order found must be the best there is, and clashes must be got rid of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, permutations
from random import Random

import pytest

from riserkit.drawings.wiring.channel import (
    CLASH_COST,
    ChannelPiece,
    ChannelPin,
    Costs,
    crossing_costs,
    fewest_crossings,
    lane_order,
    tracks,
)
from riserkit.drawings.wiring.place import place, rows_for
from riserkit.drawings.wiring.plan import Ends, Item, LayoutProblem, WiringPlan
from riserkit.drawings.wiring.rows import DeviceRows, Landed
from riserkit.drawings.wiring.solve import without_clashes

_pin, _piece = ChannelPin, ChannelPiece


def order_cost(order: Sequence[int], costs: Costs) -> int:
    """Crossings among the lanes in this order, and of those with the straight pieces."""
    inside = sum(int(costs[i, j]) for i, j in combinations(order, 2))
    straight = [n for n in range(len(costs)) if n not in set(order)]
    return inside + sum(min(int(costs[i, j]), int(costs[j, i])) for i in order for j in straight)


def random_pieces(seed: int, count: int) -> list[ChannelPiece]:
    random = Random(seed)
    left = random.sample(range(3 * count), 2 * count)
    right = random.sample(range(3 * count), 2 * count)
    pieces = []
    for n in range(count):
        pins = [
            ChannelPin(True, left[2 * n]),
            ChannelPin(True, left[2 * n + 1]),
            ChannelPin(False, right[2 * n]),
            ChannelPin(False, right[2 * n + 1]),
        ]
        a, b = random.sample(pins, 2)
        pieces.append(ChannelPiece(n, f"W{n // 2}", a, b))
    return pieces


def _bound(pieces: Sequence[ChannelPiece]) -> int:
    return fewest_crossings([(p.a.at, p.a.left, p.b.at, p.b.left) for p in pieces], math.inf)


@pytest.mark.parametrize("seed", range(25))
def test_the_order_crosses_least_of_all_orders(seed: int) -> None:
    pieces = random_pieces(seed, 6)
    costs = crossing_costs(pieces)
    order = lane_order(pieces, costs)
    best = min(order_cost(p, costs) for p in permutations(order))
    assert order_cost(order, costs) == best
    assert _bound(pieces) <= best


@pytest.mark.parametrize("seed", range(5))
def test_many_lanes_come_near_the_bound(seed: int) -> None:
    pieces = random_pieces(seed, 30)
    costs = crossing_costs(pieces)
    order = lane_order(pieces, costs)
    assert sorted(order) == [n for n, p in enumerate(pieces) if not p.is_straight]
    start = sorted(order)
    assert _bound(pieces) <= order_cost(order, costs) <= order_cost(start, costs)


def test_two_that_change_places_cross_once() -> None:
    """By hand: falling and rising between rows 0 and 6 with a row apart, they must cross exactly once."""
    pieces = [_piece(0, "", _pin(True, 0), _pin(False, 7)), _piece(1, "", _pin(True, 6), _pin(False, 1))]
    costs = crossing_costs(pieces)
    assert order_cost(lane_order(pieces, costs), costs) == 1


def test_a_straight_one_crosses_what_passes_its_row() -> None:
    pieces = [_piece(0, "", _pin(True, 4), _pin(False, 4)), _piece(1, "", _pin(True, 0), _pin(False, 8))]
    costs = crossing_costs(pieces)
    assert lane_order(pieces, costs) == (1,)
    assert order_cost((1,), costs) == 1


def test_lanes_share_a_line_only_where_they_do_not_meet() -> None:
    apart = [_piece(0, "", _pin(True, 0), _pin(False, 3)), _piece(1, "", _pin(True, 9), _pin(False, 12))]
    near = [_piece(0, "", _pin(True, 0), _pin(False, 3)), _piece(1, "", _pin(True, 4), _pin(False, 7))]
    assert set(tracks((0, 1), apart, share=True).values()) == {0}
    assert set(tracks((0, 1), near, share=True).values()) == {0, 1}
    assert set(tracks((0, 1), apart, share=False).values()) == {0, 1}


def test_conductors_that_would_lie_on_one_line_are_moved_apart() -> None:
    """Two that change places between the same two rows clash in either order: one device has to move."""
    first = DeviceRows(("A", "B"), ((Landed(0, "", False),), (Landed(1, "", False),)), (), (), 2)
    second = DeviceRows(("A", "B"), ((Landed(1, "", False),), (Landed(0, "", False),)), (), (), 2)
    problem = LayoutProblem((first, second), (Ends(0, "", 0, "A", 1, "B"), Ends(1, "", 0, "B", 1, "A")), 40)
    plan = WiringPlan(((Item(0),), (Item(1),)), (("A", "B"), ("A", "B")))
    placed = place(problem, plan, rows_for(problem, plan))
    costs = crossing_costs(placed.channels[0])
    assert order_cost(placed.lanes[0], costs) >= CLASH_COST
    cleared = without_clashes(placed)
    assert order_cost(cleared.lanes[0], crossing_costs(cleared.channels[0])) < CLASH_COST
