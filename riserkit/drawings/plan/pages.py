"""Which sheets the floor plans take, of what size, and at which scale: one of each for the whole set.

The smallest sheet on which every level is whole and its labels stand near what they belong to; else the largest
sheet at a scale that gives them room, a level cut over several sheets with match lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.lettering import smallest_mm
from riserkit.drawings.plan.devices import place_devices
from riserkit.drawings.plan.enlarged import enlarged_pages
from riserkit.drawings.plan.notes import NOTHING_BESIDES, Remarks, plan_legend, plan_notes
from riserkit.drawings.plan.page import PlanPage
from riserkit.drawings.plan.placed import PlanView
from riserkit.drawings.plan.scale import asked_scale, detail_scales, plan_scales
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.plan.view import lay_out_view
from riserkit.drawings.plan.windows import cut, extent_mm
from riserkit.drawings.setting.legend import LegendBox, NotesBox, lay_out_legend, lay_out_notes
from riserkit.drawings.setting.numbers import sheet_numbers
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.drawings.setting.sheet import GAP_MM, SheetFrame
from riserkit.kept import NOTHING_KEPT, KeptWork
from riserkit.model.info import SiteInfo
from riserkit.model.site import Site
from riserkit.standards.sheets import numbered_sheet_id

BAND_MM: Final = 11.0
"""Round the window: coordinates, and what the match lines say."""
CELL_MM: Final = 52.0
"""Room for plan north, scale bar and key plan, left of the legend."""
_MOST_FAR: Final = 0.3
_STRIP_MOST: Final = 0.5
"""Of the frame's height, what legend and notes may take; a higher legend is left to the cover, which has all symbols."""
_LEAST_ROOM_MM: Final = 40.0
_SMALL: Final = 250
"""Plans of rooms and doors are at 1:250 at least where a sheet has room for that (common practice, no source)."""


@dataclass(frozen=True)
class PlanStrip:
    """What stands below the plan, left of the title block; without a legend where the cover's has to do."""

    legend: LegendBox | None
    notes: NotesBox

    @property
    def height_mm(self) -> float:
        """Of the higher of the two."""
        return max(self.legend.height_mm if self.legend else 0.0, self.notes.height_mm)


@dataclass(frozen=True)
class PlanPages:
    """All plans of a set, of one size, and of one scale but for the enlarged ones."""

    frame: SheetFrame
    scale: DrawingScale
    pages: tuple[PlanPage, ...]

    @cached_property
    def drawn_at(self) -> Mapping[str, PlanPage]:
        """The sheet that has the devices of an opening, by its mark."""
        return {device.mark: page for page in reversed(self.pages) for device in page.view.devices}


def plan_sheet_id(number: int) -> str:
    """Identification of the plans' sheets: T-101 on."""
    return numbered_sheet_id("1", number)


def plan_pages(
    levels: Sequence[PlanLevel], frames: Sequence[SheetFrame], info: SiteInfo, kept: KeptWork = NOTHING_KEPT
) -> PlanPages | None:
    """The sheets of all plans, devices placed, and enlarged ones of what has no room; None when there is nothing to show.

    Args:
        levels: in the order of their sheets.
        frames: sizes that may be used, the smallest first.
        info: the site's; its `plan_scale` is kept where one is asked for.
        kept: what an earlier build worked out.

    Raises:
        SheetError: not even the largest of them has room for a plan.
    """
    if not levels:
        return None
    most = view_room(frames[-1], levels, info)
    if min(most.width, most.height) < _LEAST_ROOM_MM:
        raise SheetError(
            f"a sheet of {frames[-1].size.name} has no room for a plan beside its notes; ask for a larger one"
        )
    found = _plans(levels, frames, info, kept)
    placed = tuple(replace(page, view=_with_devices_placed(page.view, kept)) for page in found.pages)
    room = view_room(found.frame, levels, info)
    larger = enlarged_pages(placed, room, tuple(reversed(plan_scales(info.unit_system))), kept)
    return replace(found, pages=(*placed, *larger))


def _with_devices_placed(view: PlanView, kept: KeptWork) -> PlanView:
    """The view with devices placed in the room that labels leave; before them where that leaves out fewer, and no label.

    Where most openings have no room for devices the scale is too small for them in any order.
    """
    usual = place_devices(view)
    bare = len(usual.without_devices)
    if not 0 < 2 * bare < len(view.openings):
        return usual
    first = lay_out_view(view.level, view.ratio, view.window, devices_first=True, kept=kept)
    fewer = len(first.without_devices) < bare
    none_lost = len(first.rest) <= len(usual.rest) and len(first.unnumbered) <= len(usual.unnumbered)
    return first if fewer and none_lost else usual


def _plans(levels: Sequence[PlanLevel], frames: Sequence[SheetFrame], info: SiteInfo, kept: KeptWork) -> PlanPages:
    """The sheets of all plans at one scale, devices not placed."""
    ratio = info.plan_scale
    scales = plan_scales(info.unit_system) if ratio is None else (asked_scale(ratio, info.unit_system),)
    for frame in frames:
        wanted = scales if ratio or frame is frames[-1] else [s for s in scales if s.ratio <= _SMALL]
        scale = _whole(levels, frame, wanted, info)
        found = _good(levels, frame, scale, info, kept) if scale else None
        if scale is not None and found is not None:
            return PlanPages(frame, scale, found)
    frame = frames[-1]
    fit = _whole(levels, frame, scales, info)
    larger = scales[: scales.index(fit)] if fit else scales
    for scale in reversed(larger):
        found = _good(levels, frame, scale, info, kept)
        if found is not None:
            return PlanPages(frame, scale, found)
    return _crowded(levels, frame, (scales[0], *(() if ratio else detail_scales(info.unit_system))), info, kept)


def _crowded(
    levels: Sequence[PlanLevel], frame: SheetFrame, scales: Sequence[DrawingScale], info: SiteInfo, kept: KeptWork
) -> PlanPages:
    """Labels far off on leaders; at a scale of details where some have no room even so."""
    tried = []
    for scale in scales:
        tried.append(PlanPages(frame, scale, _flat(_views(levels, frame, scale, info, kept))))
        if not any(page.view.rest for page in tried[-1].pages):
            return tried[-1]
    return tried[0]


def set_strip(frame: SheetFrame, levels: Sequence[PlanLevel], info: SiteInfo) -> PlanStrip:
    """What all plans of a set have room for: legend and notes of all levels, notes alone where that takes too much.

    Args:
        frame: of the sheets.
        levels: of the set.
        info: the site's.
    """
    strip = strip_of(frame, levels, info)
    if strip.height_mm <= _STRIP_MOST * frame.frame.height:
        return strip
    return strip_of(frame, levels, info, legend=False)


def strip_of(
    frame: SheetFrame,
    levels: Sequence[PlanLevel],
    info: SiteInfo,
    remarks: Remarks = NOTHING_BESIDES,
    *,
    legend: bool = True,
) -> PlanStrip:
    """Legend and notes set into the room left of the title block.

    Args:
        frame: of the sheet.
        levels: whose things the legend names.
        info: the site's.
        remarks: what the notes tell besides.
        legend: whether there is one.
    """
    area = strip_area(frame)
    width, least = area.width - CELL_MM - GAP_MM, smallest_mm(info.unit_system)
    notes = plan_notes(info, levels, remarks, legend=legend)
    if not legend:
        return PlanStrip(None, lay_out_notes(notes, width, height_mm=frame.corner.height, least_mm=least))
    width = (width - GAP_MM) / 2
    return PlanStrip(
        lay_out_legend(plan_legend(levels), width, height_mm=frame.corner.height, least_mm=least),
        lay_out_notes(notes, width, height_mm=frame.corner.height, least_mm=least),
    )


def strip_area(frame: SheetFrame) -> Rect:
    """Room left of the title block."""
    inner, corner = frame.frame.inset(GAP_MM), frame.corner
    return Rect(inner.x0, inner.y0, corner.x0 - GAP_MM, corner.y1)


def content_of(frame: SheetFrame, strip: PlanStrip) -> Rect:
    """Room for a plan with its band."""
    content = frame.content
    return content._replace(y0=max(content.y0, strip_area(frame).y0 + strip.height_mm + GAP_MM))


def view_room(frame: SheetFrame, levels: Sequence[PlanLevel], info: SiteInfo) -> Rect:
    """The largest window that a sheet of this set can show."""
    return content_of(frame, set_strip(frame, levels, info)).inset(BAND_MM)


def _whole(
    levels: Sequence[PlanLevel], frame: SheetFrame, scales: Sequence[DrawingScale], info: SiteInfo
) -> DrawingScale | None:
    """The largest scale at which every level goes on one sheet."""
    room = view_room(frame, levels, info)
    for scale in scales:
        sizes = [extent_mm(level, scale.ratio) for level in levels]
        if all(size.width <= room.width and size.height <= room.height for size in sizes):
            return scale
    return None


def _good(
    levels: Sequence[PlanLevel], frame: SheetFrame, scale: DrawingScale, info: SiteInfo, kept: KeptWork
) -> tuple[PlanPage, ...] | None:
    """The sheets at a scale, None when labels crowd: the busiest level is tried first, so that it is soon known."""
    busiest = max(levels, key=lambda level: len(level.openings))
    order = [busiest, *(level for level in levels if level is not busiest)]
    found: dict[str, tuple[PlanPage, ...]] = {}
    for views in _views(order, frame, scale, info, kept, _MOST_FAR):
        if any(page.view.rest for page in views):
            return None
        found[views[0].view.level.id] = views
    return _flat(found[level.id] for level in levels)


def _views(
    levels: Sequence[PlanLevel],
    frame: SheetFrame,
    scale: DrawingScale,
    info: SiteInfo,
    kept: KeptWork,
    patience: float = math.inf,
) -> Iterator[tuple[PlanPage, ...]]:
    room = view_room(frame, levels, info)
    for level in levels:
        extent = extent_mm(level, scale.ratio)
        if extent.width <= room.width and extent.height <= room.height:
            windows: tuple[Rect, ...] = (_centered(extent, room),)
        else:
            windows = cut(level, scale.ratio, room)
        yield tuple(
            PlanPage(lay_out_view(level, scale.ratio, window, patience, kept=kept), n, windows, scale)
            for n, window in enumerate(windows)
        )


def _centered(extent: Rect, room: Rect) -> Rect:
    x, y = extent.center
    return Rect(x - room.width / 2, y - room.height / 2, x + room.width / 2, y + room.height / 2)


def _flat(levels: Iterable[tuple[PlanPage, ...]]) -> tuple[PlanPage, ...]:
    return tuple(page for pages in levels for page in pages)


def numbered(pages: PlanPages, site: Site) -> PlanPages:
    """The sheets with their identifications, each level's as on record or the next free, in the order of their numbers."""
    found = sheet_numbers(site, "1", [page.on_record for page in pages.pages], 1)
    named = [replace(p, sheet_id=plan_sheet_id(n)) for p, n in zip(pages.pages, found, strict=True)]
    of_level: dict[str, tuple[str, ...]] = {}
    for page in named:
        if not page.area:
            of_level[page.view.level.id] = (*of_level.get(page.view.level.id, ()), page.sheet_id)
    named = [replace(page, sheet_ids=of_level[page.view.level.id]) for page in named]
    order = sorted(range(len(named)), key=lambda n: found[n])
    return replace(pages, pages=tuple(named[n] for n in order))
