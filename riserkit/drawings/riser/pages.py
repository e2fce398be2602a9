"""Which sheets a riser takes: one where it fits, else as many of the largest size as it needs, with match lines."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Final

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.riser import measure as m
from riserkit.drawings.riser.arrange import arrangements
from riserkit.drawings.riser.bundles import bundle_groups, bundle_tables
from riserkit.drawings.riser.grid import Inputs, plan_columns, read_inputs
from riserkit.drawings.riser.layout import lay_out_riser
from riserkit.drawings.riser.notes import riser_legend
from riserkit.drawings.riser.places import RiserLayout
from riserkit.drawings.riser.values import RiserContent
from riserkit.drawings.riser.windows import MATCH_MM, Window, band_breaks, cut_windows, place_windows
from riserkit.drawings.setting.legend import LegendBox, NotesBox, lay_out_legend, lay_out_notes
from riserkit.drawings.setting.listings import GAP_MM, Flow, PlacedTable, flow_tables
from riserkit.drawings.setting.sheet import GAP_MM as FRAME_GAP_MM
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table
from riserkit.standards.sheets import numbered_sheet_id

_MOST_TRIES: Final = 12
"""Of bundling fewer or more openings."""
_SINGLE_ON_SEVERAL: Final = 40
"""Openings of one closet on a level that are drawn one by one where the diagram takes several sheets; our own choice."""
_STRETCH_MM: Final = 14.0
_MARK_MM: Final = 2.0
"""Kept free of the centring marks, which reach into the frame."""
_STRIP_MOST: Final = 0.5
"""Of the frame's height, what notes and legend may take."""


@dataclass(frozen=True, slots=True)
class RiserStrip:
    """Notes and legend below the diagram."""

    notes: NotesBox
    legend: LegendBox
    area: Rect

    @property
    def height_mm(self) -> float:
        """Of the higher of the two."""
        return max(self.notes.height_mm, self.legend.height_mm)

    @property
    def top(self) -> float:
        """Its upper edge on the sheet."""
        return self.area.y0 + self.height_mm


@dataclass(frozen=True, slots=True)
class RiserPage:
    """What one sheet shows: windows of the diagram, each with its area, tables, notes and legend."""

    windows: tuple[tuple[Window, Rect], ...]
    tables: tuple[PlacedTable, ...] = ()
    strip: RiserStrip | None = None


@dataclass(frozen=True)
class Pages:
    """All sheets of a riser, of one size, on one layout."""

    frame: SheetFrame
    layout: RiserLayout
    pages: tuple[RiserPage, ...]


def riser_sheet_id(number: int) -> str:
    """Identification of the riser's sheets: T-601 on. Past 99, where the published scheme ends, three digits.

    Examples:
        >>> riser_sheet_id(1), riser_sheet_id(100)
        ('T-601', 'T-6100')
    """
    return numbered_sheet_id("6", number)


def plan_pages(content: RiserContent, frames: Sequence[SheetFrame], notes: Sequence[str]) -> Pages:
    """The sheets of a riser.

    Args:
        content: what is to be drawn.
        frames: sizes that may be used, the smallest first, with their title block filled in.
        notes: numbered notes of every sheet that shows a part of the diagram.

    Raises:
        SheetError: not even parts of it go on the largest sheet.
    """
    arranged = tuple(arrangements(content))
    counts = _most_single(content)

    def inputs_of(most_single: int) -> Iterator[Inputs]:
        items = bundle_groups(content, most_single)
        return (read_inputs(content, arrangement, items) for arrangement in arranged)

    every = tuple(inputs_of(counts[0]))
    for frame in frames:
        for inputs in every:
            found = _on_one(inputs, frame, notes)
            if found is not None and len(found.pages) == 1:
                return found
    for inputs in chain.from_iterable(map(inputs_of, counts)):
        found = _on_one(inputs, frames[-1], notes)
        if found is not None:
            return found
    for apart in (False, True):
        for most_single in (_SINGLE_ON_SEVERAL, *(count for count in counts if count < _SINGLE_ON_SEVERAL)):
            *_, one_stack = inputs_of(most_single)
            found = _on_several(one_stack, frames[-1], notes, apart=apart)
            if found is not None:
                return found
    raise SheetError(
        f"a level or a closet of the riser is larger than a sheet of {frames[-1].size.name}; ask for a larger one"
    )


def _most_single(content: RiserContent) -> tuple[int, ...]:
    """How many openings of one closet on one level may be drawn one by one, to be tried in this order.

    All of them first; then the largest groups are bundled, one size after the other, until the rest has room.
    """
    sizes = sorted({len(group.drops) for group in content.groups}, reverse=True)
    step = max(1, math.ceil(len(sizes) / _MOST_TRIES))
    return (*sizes[::step], 0)


def _tables(inputs: Inputs) -> tuple[Table, ...]:
    lists = (inputs.content.accepted, inputs.content.open_findings)
    return (*bundle_tables(inputs.content, inputs.items), *(x for x in lists if x is not None))


def _strips(
    layout: RiserLayout, frame: SheetFrame, notes: Sequence[str], small_mm: float
) -> tuple[RiserStrip, RiserStrip]:
    """Notes and legend in the larger letters, and as low as they can be."""
    inner, corner = frame.frame.inset(FRAME_GAP_MM), frame.corner
    area = Rect(inner.x0, inner.y0 + _MARK_MM, corner.x0 - FRAME_GAP_MM, corner.y1)
    entries = riser_legend(layout)
    tried = []
    for share in (0.5, 0.4, 0.6):
        width = area.width * share - FRAME_GAP_MM / 2
        for most_mm in _heights(area.height, _STRIP_MOST * frame.frame.height):
            legend = lay_out_legend(entries, width, height_mm=most_mm, least_mm=small_mm)
            text = lay_out_notes(notes, area.width - width - FRAME_GAP_MM, height_mm=most_mm, least_mm=small_mm)
            tried.append(RiserStrip(text, legend, area))
    large = [s for s in tried if min(s.notes.text_mm, s.legend.text_mm) >= m.TEXT_MM]
    low = min(tried, key=lambda s: max(s.top, area.y1))
    return min(large, key=lambda s: max(s.top, area.y1), default=low), low


def _alone(layout: RiserLayout, frame: SheetFrame, notes: Sequence[str], small_mm: float) -> RiserStrip:
    """Notes and legend on a sheet without a diagram, side by side at its top."""
    # centring marks reach further in than the gap
    area = frame.frame.inset(FRAME_GAP_MM + _MARK_MM)._replace(y0=frame.corner.y1 + FRAME_GAP_MM)
    width = (area.width - FRAME_GAP_MM) / 2
    legend = lay_out_legend(riser_legend(layout), width, height_mm=area.height, least_mm=small_mm)
    text = lay_out_notes(notes, width, height_mm=area.height, least_mm=small_mm)
    return RiserStrip(text, legend, area._replace(y0=area.y1 - max(text.height_mm, legend.height_mm)))


def _heights(least_mm: float, most_mm: float) -> Iterator[float]:
    """Heights to try for notes and legend, lower ones first."""
    while least_mm < most_mm:
        yield least_mm
        least_mm *= 1.15
    yield max(least_mm, most_mm)


def _room(frame: SheetFrame, strip: RiserStrip | None) -> Rect:
    content = frame.content
    low = content.y0 if strip is None else max(content.y0, strip.top + FRAME_GAP_MM)
    return content._replace(y0=low, y1=content.y1 - _MARK_MM)


def _on_one(inputs: Inputs, frame: SheetFrame, notes: Sequence[str]) -> Pages | None:
    """The whole diagram on one sheet; tables beside or below it where they fit, else on sheets that follow."""
    content = frame.content
    if sum(p.fixed_mm + p.least_mm for p in plan_columns(inputs)) > content.width - m.GUTTER_MM - inputs.beside_mm:
        return None
    layout = lay_out_riser(inputs, content.width - m.GUTTER_MM)
    if layout.width > content.width - m.GUTTER_MM + 1e-6:
        return None
    fallback = None
    for strip in _strips(layout, frame, notes, inputs.content.small_mm):
        room = _room(frame, strip)
        if layout.height <= room.height:
            found = _with_tables(inputs, layout, frame, strip)
            if len(found.pages) == 1:
                return found
            fallback = fallback or found
    return fallback


def _with_tables(inputs: Inputs, layout: RiserLayout, frame: SheetFrame, strip: RiserStrip) -> Pages:
    room, tables = _room(frame, strip), _tables(inputs)
    right = room._replace(x0=room.x0 + m.GUTTER_MM + layout.width + GAP_MM)
    below = room._replace(y1=room.y1 - layout.height - 2 * GAP_MM)
    window = Window((0, len(layout.columns)), (0, len(layout.bands)))
    flow = flow_tables(tables, right)
    if not flow.rest:
        layout = _stretched(inputs, layout, room)
        return Pages(frame, layout, (RiserPage(((window, room),), flow.placed, strip),))
    flow = flow_tables(tables, below)
    if not flow.rest:
        return Pages(frame, layout, (RiserPage(((window, room),), flow.placed, strip),))
    begun = max((flow_tables(tables, area) for area in (right, below)), key=_rows_placed)
    if not begun.placed:
        layout = _stretched(inputs, layout, room)
    return Pages(frame, layout, (RiserPage(((window, room),), begun.placed, strip), *_table_pages(begun.rest, frame)))


def _rows_placed(flow: Flow) -> int:
    return sum(len(placed.table.rows) for placed in flow.placed)


def _stretched(inputs: Inputs, layout: RiserLayout, room: Rect) -> RiserLayout:
    """The same with the levels a little higher, where the sheet has room for it."""
    levels = {row.level for row in layout.rows} | {closet.box.level for closet in layout.closets}
    busy = len({inputs.arrangement.tier[level] for level in levels})
    stretch = min(_STRETCH_MM, (room.height - layout.height) / max(busy, 1))
    return lay_out_riser(inputs, room.width - m.GUTTER_MM, stretch_mm=stretch) if stretch > 1 else layout


def _table_pages(tables: Sequence[Table], frame: SheetFrame) -> Iterator[RiserPage]:
    """Sheets of tables alone: left of the title block down to the frame, then above it."""
    # centring marks reach further in than the gap
    inner, corner = frame.frame.inset(FRAME_GAP_MM + _MARK_MM), frame.corner
    areas = (
        inner._replace(x1=corner.x0 - FRAME_GAP_MM),
        inner._replace(x0=corner.x0, y0=corner.y1 + FRAME_GAP_MM),
    )
    rest = tuple(tables)
    while rest:
        placed: list[PlacedTable] = []
        for area in areas:
            flow = flow_tables(rest, area)
            placed += flow.placed
            rest = flow.rest
        if not placed:
            raise SheetError(
                f"the table {rest[0].title!r} is wider than a sheet of {frame.size.name}; ask for a larger one"
            )
        yield RiserPage((), tuple(placed))


def _on_several(inputs: Inputs, frame: SheetFrame, notes: Sequence[str], *, apart: bool = False) -> Pages | None:
    """The diagram cut between columns and between levels.

    Args:
        inputs: what it shows.
        frame: of its sheets.
        notes: of every sheet, or
        apart: of a sheet that follows, so that the diagram has its room.
    """
    width = frame.content.width - m.GUTTER_MM - 2 * MATCH_MM
    breaks = _column_breaks(inputs, width)
    if breaks is None:
        return None
    layout = lay_out_riser(inputs, width, breaks)
    large, low = _strips(layout, frame, notes, inputs.content.small_mm)
    beside = large if _room(frame, large).height > 0.8 * _room(frame, low).height else low
    strip = None if apart else beside
    room = _room(frame, strip)
    starts = band_breaks(layout, room.height)
    if starts is None:
        return None
    parts = cut_windows(layout, (0, *breaks, len(layout.columns)), (*starts, len(layout.bands)))
    sheets = place_windows(layout, parts, room, riser_sheet_id)
    tables, pages = _tables(inputs), []
    for n, windows in enumerate(sheets, 1):
        if n < len(sheets):
            pages.append(RiserPage(windows, (), strip))
            continue
        # what is left of the last sheet takes the first tables
        taken = min(area.y0 for _, area in windows)
        flow = flow_tables(tables, room._replace(y1=taken - 2 * GAP_MM))
        pages.append(RiserPage(windows, flow.placed, strip))
        tables = flow.rest
    read_by = (RiserPage((), (), _alone(layout, frame, notes, inputs.content.small_mm)),) if apart else ()
    return Pages(frame, layout, (*pages, *read_by, *_table_pages(tables, frame)))


def _column_breaks(inputs: Inputs, width_mm: float) -> tuple[int, ...] | None:
    breaks: list[int] = []
    used = 0.0
    for n, plan in enumerate(plan_columns(inputs)):
        need = plan.fixed_mm + max(plan.least_mm, min(plan.natural_mm, 140.0))
        if plan.fixed_mm + plan.least_mm > width_mm:
            return None
        if used and used + need > width_mm:
            breaks.append(n)
            used = 0.0
        used += min(need, width_mm)
    return tuple(breaks)
