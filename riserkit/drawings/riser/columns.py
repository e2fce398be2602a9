"""Columns of a riser: closets that stand above one another, or may, share one, so that their backbone runs straight."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator, Sequence
from typing import Final

from riserkit.drawings.riser.arrange import BuildingStacks
from riserkit.drawings.riser.values import ClosetBox, RiserContent

STACKED_WITHIN_M: Final = 15.0
"""Closets no farther apart in plan than this count as one above the other; our own choice."""

Columns = tuple[tuple[str, ...], ...]
"""Closet ids by column, left to right; a column has one closet of a level at most."""


def assign_columns(content: RiserContent, arrangement: BuildingStacks) -> tuple[Columns, tuple[int, ...]]:
    """Columns in which every closet is right of, or in line with, the closet of its own stack that feeds it.

    Returns:
        the columns, those of the first stack first, and for each the stack that it is of. What no closet serves has
        a column of its own.
    """
    found: list[tuple[str, ...]] = []
    stacks: list[int] = []
    boxes = tuple(_from_the_roots(content))
    for stack in range(arrangement.stacks):
        named = _columns_of([box for box in boxes if arrangement.stack[box.level] == stack])
        loose = any(group.closet == "" and arrangement.stack[group.level] == stack for group in content.groups)
        found += (*named, ("",)) if loose or not named else named
        stacks += [stack] * (len(found) - len(stacks))
    return tuple(found), tuple(stacks)


def _columns_of(boxes: Sequence[ClosetBox]) -> Columns:
    columns: list[list[ClosetBox]] = []
    where: dict[str, int] = {}
    for box in boxes:
        first = where.get(box.fed_from, 0)
        free = [n for n in range(first, len(columns)) if all(other.level != box.level for other in columns[n])]
        chosen = min(free, key=lambda n: _preference(box, columns[n], n, first), default=None)
        if chosen is None:
            chosen = len(columns)
            columns.append([])
        columns[chosen].append(box)
        where[box.id] = chosen
    return tuple(tuple(box.id for box in column) for column in columns)


def _preference(box: ClosetBox, column: Sequence[ClosetBox], n: int, first: int) -> tuple[bool, bool, float, int]:
    """Stacked columns first, then the feeding closet's own, then the nearest."""
    away_m = min(math.dist(box.at_m, other.at_m) for other in column)
    return away_m > STACKED_WITHIN_M, n != first, away_m, n


def _from_the_roots(content: RiserContent) -> Iterator[ClosetBox]:
    """Closets, each after the one that feeds it, those nearest below or above it first."""
    children: dict[str, list[ClosetBox]] = {}
    for box in content.closets:
        parent = box.fed_from if box.fed_from in content.closet else ""
        children.setdefault(parent, []).append(box)
    waiting, seen = deque(children.get("", [])), set[str]()
    while waiting:
        box = waiting.popleft()
        if box.id in seen:
            continue
        seen.add(box.id)
        yield box
        waiting.extend(sorted(children.get(box.id, []), key=lambda child: math.dist(child.at_m, box.at_m)))
    # closets that feed each other in a ring have no root; the site's checks report it, the drawing shows them all the same
    yield from (box for box in content.closets if box.id not in seen)
