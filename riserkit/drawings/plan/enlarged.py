"""Enlarged plans: openings whose devices have no room on their plan, drawn again at a larger scale on sheets of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from typing import Final, NamedTuple

from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.plan.page import PlanPage
from riserkit.drawings.plan.placed import PlanView, to_mm
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.plan.view import lay_out_view
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.kept import NOTHING_KEPT, KeptWork
from riserkit.quantities.grouping import grouped

_EDGE_MM: Final = 32.0
"""Openings to be enlarged keep so far from the window's edge, for their devices and labels."""
_ENOUGH: Final = 0.8
"""A scale at which so many of them have room is large enough."""
_LEAST_STEP: Final = 2
"""An enlargement is twice as large at least."""


def enlarged_pages(
    pages: Sequence[PlanPage], room: Rect, scales: Sequence[DrawingScale], kept: KeptWork = NOTHING_KEPT
) -> Iterator[PlanPage]:
    """Pages that show what others have no room for, level by level.

    Args:
        pages: of the plans, devices placed.
        room: the largest window that a sheet shows.
        scales: those that plans may have, the smallest drawing first.
        kept: what an earlier build worked out.
    """
    of_level = grouped((page.view.level.id, page) for page in pages)
    for few in of_level.values():
        level, ratio = few[0].view.level, few[0].view.ratio
        bare = {mark for page in few for mark in page.view.without_devices}
        larger = [scale for scale in scales if scale.ratio * _LEAST_STEP <= ratio]
        for n, (scale, view) in enumerate(_views(level, bare, room, larger, kept), 1):
            yield replace(few[0], view=view, scale=scale, part=0, area=n)


def _views(
    level: PlanLevel, bare: Set[str], room: Rect, scales: Sequence[DrawingScale], kept: KeptWork
) -> Iterator[tuple[DrawingScale, PlanView]]:
    """Views at the first scale that has room for enough of the openings, else at the one that has room for most.

    Those few that have none even there are enlarged further, where that gives it.
    """
    tried: list[_Trial] = []
    for scale in scales if bare else ():
        at = {o.mark: to_mm(o.at_m, scale.ratio) for o in level.openings if o.mark in bare}
        views = (
            lay_out_view(level, scale.ratio, window, devices_first=True, kept=kept) for window in windows_over(at, room)
        )
        shown = [(view, bare & {device.mark for device in view.devices}) for view in views]
        tried.append(_Trial(scale, shown))
        if len(tried[-1].marks) >= _ENOUGH * len(bare):
            break
    if tried:
        best = max(tried, key=lambda trial: len(trial.marks))
        yield from ((best.scale, view) for view, marks in best.views if marks)
        if best.marks:
            larger = [scale for scale in scales if scale.ratio < best.scale.ratio]
            yield from _views(level, bare - best.marks, room, larger, kept)


class _Trial(NamedTuple):
    """Views at a scale, with the openings to be enlarged that each has room for."""

    scale: DrawingScale
    views: Sequence[tuple[PlanView, Set[str]]]

    @property
    def marks(self) -> Set[str]:
        """All that have room."""
        return frozenset(mark for _, marks in self.views for mark in marks)


def windows_over(at: Mapping[str, Point], room: Rect) -> tuple[Rect, ...]:
    """Windows of the room's size that have all points well inside, each over as many as it can from the leftmost on.

    Args:
        at: points by name, mm of paper.
        room: the size.
    """
    left, found = dict(at), []
    # a sheet whose legend leaves less than both edges has its openings in the middle, one row to a window
    width, height = max(room.width - 2 * _EDGE_MM, 0.0), max(room.height - 2 * _EDGE_MM, 0.0)
    while left:
        x0, y = min(left.values())
        beside = {name: p for name, p in left.items() if p[0] <= x0 + width}
        lows = sorted({p[1] for p in beside.values() if y - height <= p[1] <= y})
        rows = [{name: p for name, p in beside.items() if low <= p[1] <= low + height} for low in lows]
        most = max(rows, key=len)
        cx, cy = around(list(most.values())).center
        found.append(Rect(cx - room.width / 2, cy - room.height / 2, cx + room.width / 2, cy + room.height / 2))
        left = {name: p for name, p in left.items() if name not in most}
    return tuple(found)
