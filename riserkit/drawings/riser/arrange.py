"""Where the buildings of a site stand on its riser: side by side in stacks, or all of them one below the other.

Levels stand on tiers, 0 the top one; a tier has one level of each stack at most, and is as high as its highest.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Final

from riserkit.drawings.riser.values import LevelBand, RiserContent
from riserkit.quantities.grouping import grouped

_MOST_STACKS: Final = 6

_Building = tuple[LevelBand, ...]
"""Its levels, the top one first."""


@dataclass(frozen=True)
class BuildingStacks:
    """Stacks of buildings beside each other, the first at the left: the stack and the tier of each level by its id."""

    stacks: int
    tiers: int
    stack: Mapping[str, int]
    tier: Mapping[str, int]

    def levels_of(self, tier: int) -> tuple[str, ...]:
        """The levels that stand on a tier."""
        return tuple(level for level, at in self.tier.items() if at == tier)


def arrangements(content: RiserContent) -> Iterator[BuildingStacks]:
    """All buildings beside each other, then in fewer and fewer stacks; one below the other at last."""
    found = grouped((band.building_id, band) for band in content.levels)
    buildings = [tuple(levels) for levels in found.values()]
    for stacks in range(min(len(buildings), _MOST_STACKS), 1, -1):
        yield _arranged(_stacked(buildings, stacks))
    yield _arranged([content.levels])


def _stacked(buildings: Sequence[_Building], stacks: int) -> list[_Building]:
    """Buildings in their order, in so many stacks that the highest has as few levels as it can."""
    sizes = [len(levels) for levels in buildings]

    def highest(cuts: tuple[int, ...]) -> int:
        return max(sum(sizes[a:b]) for a, b in pairwise((0, *cuts, len(sizes))))

    cuts = min(combinations(range(1, len(buildings)), stacks - 1), key=highest)
    return [
        tuple(band for levels in buildings[a:b] for band in levels) for a, b in pairwise((0, *cuts, len(buildings)))
    ]


def _arranged(stacks: Sequence[_Building]) -> BuildingStacks:
    """Stacks beside the first, each so much higher or lower that its floors stand beside floors of like elevation."""
    lifts = [_lift(stacks[0], stack) for stack in stacks]
    tops = [lift + len(stack) for lift, stack in zip(lifts, stacks, strict=True)]
    stack_of, tier = {}, {}
    for n, (stack, top) in enumerate(zip(stacks, tops, strict=True)):
        for k, band in enumerate(stack):
            stack_of[band.id] = n
            tier[band.id] = max(tops) - top + k
    return BuildingStacks(len(stacks), max(tops, default=0) - min(lifts, default=0), stack_of, tier)


def _lift(first: _Building, other: _Building) -> int:
    """By how many tiers the lowest floor of a stack stands above the lowest of the first."""
    up, others = first[::-1], other[::-1]

    def apart(lift: int) -> tuple[float, int]:
        beside = [(up[n + lift], band) for n, band in enumerate(others) if 0 <= n + lift < len(up)]
        return sum(abs(a.elevation_m - b.elevation_m) for a, b in beside) / len(beside), abs(lift)

    return min(range(1 - len(others), len(up)), key=apart) if first and other else 0
