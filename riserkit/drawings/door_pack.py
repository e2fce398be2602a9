"""Blocks packed on a sheet round what is already there: from the top, then from the left, each where it fits first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from riserkit.drawings.boxes import Rect

_LEAST_MM: Final = 8.0

Rule = Literal["rows", "columns", "snug"]
RULES: Final[tuple[Rule, ...]] = ("rows", "columns", "snug")


@dataclass(frozen=True)
class Packer:
    """Free rectangles, overlapping one another, that together cover all free ground."""

    free: tuple[Rect, ...]
    gap_mm: float = 4.0

    def without(self, taken: Rect) -> Packer:
        """What is left once a rectangle is taken, with a gap round it."""
        wide = taken.inset(-self.gap_mm)
        pieces: list[Rect] = []
        for rect in self.free:
            pieces += _cut(rect, wide) if rect.overlaps(wide) else [rect]
        kept = [p for p in pieces if p.width >= _LEAST_MM and p.height >= _LEAST_MM]
        return Packer(tuple(_maximal(kept)), self.gap_mm)

    def place(self, width_mm: float, height_mm: float, rule: Rule = "rows") -> Rect | None:
        """Where a block goes, its upper left corner in that of a free rectangle; None when there is no place.

        Args:
            width_mm: of the block.
            height_mm: of the block.
            rule: `rows` takes the highest place, `columns` the leftmost, `snug` the one that leaves the narrowest strip.
        """
        fits = [r for r in self.free if r.width >= width_mm - 1e-6 and r.height >= height_mm - 1e-6]
        if not fits:
            return None

        def preference(r: Rect) -> tuple[float, float, float]:
            top, left = round(-r.y1, 3), round(r.x0, 3)
            if rule == "snug":
                return round(min(r.width - width_mm, r.height - height_mm), 3), top, left
            return (top, left, 0.0) if rule == "rows" else (left, top, 0.0)

        best = min(fits, key=preference)
        return Rect(best.x0, best.y1 - height_mm, best.x0 + width_mm, best.y1)


def _cut(rect: Rect, hole: Rect) -> list[Rect]:
    pieces: list[Rect] = []
    if hole.x0 > rect.x0:
        pieces.append(rect._replace(x1=hole.x0))
    if hole.x1 < rect.x1:
        pieces.append(rect._replace(x0=hole.x1))
    if hole.y0 > rect.y0:
        pieces.append(rect._replace(y1=hole.y0))
    if hole.y1 < rect.y1:
        pieces.append(rect._replace(y0=hole.y1))
    return pieces


def _maximal(rects: Sequence[Rect]) -> list[Rect]:
    unique = list(dict.fromkeys(rects))
    return [r for r in unique if not any(o is not r and o.holds(r) for o in unique)]
