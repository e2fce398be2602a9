"""Blocks packed on a sheet round what is already there: first one after the other, then by a search that takes back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from riserkit.drawings.dxf.boxes import Rect

_LEAST_MM: Final = 8.0
_MOST_STEPS: Final = 1500
_SLACK: Final = 1e-6
_CORNERS_TRIED: Final = 3

Rule = Literal["rows", "columns", "snug"]
RULES: Final[tuple[Rule, ...]] = ("rows", "columns", "snug")
Sizes = tuple[tuple[float, float], ...]
"""Widths and heights that one block may have, the preferred one first."""


class BlockSpot(NamedTuple):
    """Where a block goes: which of its sizes, and the upper left corner."""

    form: int
    x: float
    y: float


@dataclass(frozen=True)
class Packer:
    """Free rectangles, overlapping one another, that together cover all free ground.

    `is_maximal`: no free rectangle is within another.
    """

    free: tuple[Rect, ...]
    gap_mm: float = 4.0
    is_maximal: bool = False

    def without(self, taken: Rect) -> Packer:
        """What is left once a rectangle is taken, with a gap round it."""
        wide = taken.inset(-self.gap_mm)
        # a piece of a rectangle holds none that the whole did not hold
        pieces: dict[Rect, bool] = {}
        left, low, right, high = wide
        for rect in self.free:
            x0, y0, x1, y1 = rect
            # as `Rect.overlaps` has it
            if x0 < right - _SLACK and left < x1 - _SLACK and y0 < high - _SLACK and low < y1 - _SLACK:
                for piece in _cut(rect, wide):
                    pieces.setdefault(piece, False)
            else:
                pieces[rect] = self.is_maximal
        return Packer(tuple(_maximal(pieces)), self.gap_mm, is_maximal=True)

    def places(self, width_mm: float, height_mm: float, rule: Rule = "rows") -> list[Rect]:
        """Where a block may go, its upper left corner in that of a free rectangle, the best first.

        Args:
            width_mm: of the block.
            height_mm: of the block.
            rule: `rows` takes the highest place, `columns` the leftmost, `snug` the one that leaves the narrowest strip.
        """
        fits = [r for r in self.free if r.width >= width_mm - 1e-6 and r.height >= height_mm - 1e-6]

        def preference(r: Rect) -> tuple[float, float, float]:
            top, left = round(-r.y1, 3), round(r.x0, 3)
            if rule == "snug":
                return round(min(r.width - width_mm, r.height - height_mm), 3), top, left
            return (top, left, 0.0) if rule == "rows" else (left, top, 0.0)

        return [Rect(r.x0, r.y1 - height_mm, r.x0 + width_mm, r.y1) for r in sorted(fits, key=preference)]

    def place(self, width_mm: float, height_mm: float) -> Rect | None:
        """The highest place for a block; None when there is none."""
        return next(iter(self.places(width_mm, height_mm)), None)


def fit(packer: Packer, blocks: Sequence[Sizes]) -> tuple[BlockSpot, ...] | None:
    """A spot for every block, in their order; None when none was found.

    Sizes are taken up to the next whole millimetre, so that sheets which differ by the length of a word share a search.
    """
    return _fit(packer, tuple(tuple((float(math.ceil(w)), float(math.ceil(h))) for w, h in sizes) for sizes in blocks))


@lru_cache(maxsize=4096)
def _fit(packer: Packer, blocks: tuple[Sizes, ...]) -> tuple[BlockSpot, ...] | None:
    for order in _orders(blocks):
        for rule in RULES:
            found = _one_by_one(packer, blocks, order, rule)
            if found is not None:
                return found
    return _searched(packer, blocks)


def _orders(blocks: Sequence[Sizes]) -> Iterator[tuple[int, ...]]:
    """The order of meaning first; where that does not fit, the large before the small."""
    every = range(len(blocks))
    yield tuple(every)
    yield tuple(sorted(every, key=lambda n: -blocks[n][0][0] * blocks[n][0][1]))
    yield tuple(sorted(every, key=lambda n: -blocks[n][0][1]))
    yield tuple(sorted(every, key=lambda n: -blocks[n][0][0]))


def _one_by_one(
    packer: Packer, blocks: Sequence[Sizes], order: Sequence[int], rule: Rule
) -> tuple[BlockSpot, ...] | None:
    found: dict[int, BlockSpot] = {}
    for n in order:
        for form, (width, height) in enumerate(blocks[n]):
            place = next(iter(packer.places(width, height, rule)), None)
            if place is not None:
                found[n] = BlockSpot(form, place.x0, place.y1)
                packer = packer.without(place)
                break
        else:
            return None
    return tuple(found[n] for n in range(len(blocks)))


def _searched(packer: Packer, blocks: Sequence[Sizes]) -> tuple[BlockSpot, ...] | None:
    """Depth first, the largest block first, each in every size and in the snuggest corners, up to a count of steps."""
    order = sorted(range(len(blocks)), key=lambda n: -min(w * h for w, h in blocks[n]))
    found: dict[int, BlockSpot] = {}
    steps = 0

    def descend(level: int, packer: Packer) -> bool:
        nonlocal steps
        if level == len(order):
            return True
        n = order[level]
        for form, (width, height) in enumerate(blocks[n]):
            for place in packer.places(width, height, "snug")[:_CORNERS_TRIED]:
                steps += 1
                if steps > _MOST_STEPS:
                    return False
                left = packer.without(place)
                if _hopeless(left, [blocks[m] for m in order[level + 1 :]]):
                    continue
                found[n] = BlockSpot(form, place.x0, place.y1)
                if descend(level + 1, left):
                    return True
        return False

    return tuple(found[n] for n in range(len(blocks))) if descend(0, packer) else None


def _hopeless(packer: Packer, blocks: Sequence[Sizes]) -> bool:
    """Some block has no place left in any of its sizes; written out, as `_maximal` is."""
    room = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in packer.free]
    for sizes in blocks:
        for w, h in sizes:
            least_w, least_h = w - _SLACK, h - _SLACK
            if any([width >= least_w and height >= least_h for width, height in room]):  # noqa: C419 - quicker for a dozen
                break
        else:
            return True
    return False


def _cut(rect: Rect, hole: Rect) -> list[Rect]:
    """What a hole leaves of a rectangle, where that is large enough for anything."""
    pieces: list[Rect] = []
    (x0, y0, x1, y1), (left, low, right, high) = rect, hole
    if y1 - y0 >= _LEAST_MM:
        if left - x0 >= _LEAST_MM:
            pieces.append(Rect(x0, y0, left, y1))
        if x1 - right >= _LEAST_MM:
            pieces.append(Rect(right, y0, x1, y1))
    if x1 - x0 >= _LEAST_MM:
        if low - y0 >= _LEAST_MM:
            pieces.append(Rect(x0, y0, x1, low))
        if y1 - high >= _LEAST_MM:
            pieces.append(Rect(x0, high, x1, y1))
    return pieces


def _maximal(rects: Mapping[Rect, bool]) -> Iterator[Rect]:
    """Those that no other holds, as `Rect.holds` has it; written out, for most of the search is spent here.

    Args:
        rects: each with whether it is known that no other holds it.
    """
    for rect, is_known in rects.items():
        if is_known:
            yield rect
            continue
        left, low, right, high = rect.x0 + _SLACK, rect.y0 + _SLACK, rect.x1, rect.y1
        for other in rects:
            x0, y0, x1, y1 = other
            if x0 <= left and y0 <= low and right <= x1 + _SLACK and high <= y1 + _SLACK and other is not rect:
                break
        else:
            yield rect
