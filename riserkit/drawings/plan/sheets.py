"""Floor plans: closets, openings, pathways and runs of each level on sheets T-101 and on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.view import View
from riserkit.drawings.plan.background import draw_drawing_behind, with_heavy_lines
from riserkit.drawings.plan.cell import draw_areas, draw_cell
from riserkit.drawings.plan.content import read_levels
from riserkit.drawings.plan.draw import draw_edges, draw_view
from riserkit.drawings.plan.notes import Remarks
from riserkit.drawings.plan.page import PlanPage
from riserkit.drawings.plan.pages import (
    CELL_MM,
    PlanPages,
    PlanStrip,
    content_of,
    numbered,
    plan_pages,
    plan_sheet_id,
    set_strip,
    strip_area,
    strip_of,
)
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas, sheet_sizes_of, stamped
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.drawings.setting.sheet import GAP_MM, SheetFrame
from riserkit.holds import HOLD_MEANS
from riserkit.model.site import Site


@dataclass(frozen=True)
class PlanSheet:
    """All that one sheet is drawn from, besides the facts that the sheets of a set share and the drawing behind it.

    Args:
        page: what it shows.
        frame: with its own title.
        paper: where its window lies on the sheet.
        scale: of the plans that are not enlarged.
        enlarged: other sheets, which show areas of its level enlarged.
        remarks: what its notes tell besides.
        held: it shows an opening on HOLD.
        has_legend: its legend has room beside its notes.
    """

    page: PlanPage
    frame: SheetFrame
    paper: Rect
    scale: DrawingScale
    enlarged: tuple[PlanPage, ...]
    remarks: Remarks
    held: bool
    has_legend: bool


@dataclass(frozen=True)
class FloorPlans:
    """All plans of a set planned: every label has its place, nothing is drawn yet."""

    site: Site
    pages: PlanPages | None
    info: DrawingInfo

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order; none when no level has anything to show."""
        return tuple(page.sheet_id for page in self.pages.pages) if self.pages else ()

    def on_record(self, number: int) -> str:
        """What the record of issued labels calls a sheet, from 0."""
        return self._pages.pages[number].on_record

    def title(self, number: int) -> str:
        """Title of a sheet, from 0."""
        return self._pages.pages[number].title

    @property
    def levels(self) -> tuple[PlanLevel, ...]:
        """The levels drawn, in order."""
        pages = self.pages.pages if self.pages else ()
        return tuple({page.view.level.id: page.view.level for page in pages}.values())

    def shown(self, number: int) -> PlanSheet:
        """What a sheet is drawn from, from 0."""
        pages, site = self._pages, self.site
        page = pages.pages[number]
        title = set_title(site, page.sheet_id, page.title, "Plan", scale=page.scale.text)
        held = any(o.opening.held and page.view.inside(o.opening.at_m) for o in page.view.openings)
        without = page.view.without_devices
        elsewhere = {mark: pages.drawn_at[mark].sheet_id for mark in without if mark in pages.drawn_at}
        return PlanSheet(
            page,
            replace(pages.frame, title=stamped(title, held=held)),
            _paper(pages, self.levels, page.view.window, site),
            pages.scale,
            tuple(other for other in pages.pages if other.area and other.view.level.id == page.view.level.id),
            Remarks((*page.view.rest, *page.view.unnumbered), without, elsewhere, page.has_key),
            held,
            set_strip(pages.frame, self.levels, site.info).legend is not None,
        )

    @property
    def _pages(self) -> PlanPages:
        if self.pages is None:
            raise IndexError("this set has no plans")
        return self.pages


def plan_levels(checked: Checked, info: DrawingInfo = NO_INFO) -> tuple[PlanLevel, ...]:
    """All that the plans show, level by level: those that have openings, closets or pathways."""
    return tuple(with_heavy_lines(one, info.background_folder) for one in read_levels(checked))


def plan_floor_plans(design: Design, levels: Sequence[PlanLevel], info: DrawingInfo = NO_INFO) -> FloorPlans:
    """Place everything on the plans of all levels.

    Args:
        design: of which nothing counts but its site's facts, its record of issued labels and what an earlier build worked out.
        levels: `plan_levels` of it.
        info: see there.

    Raises:
        SheetError: the site asks for a size that is not known, or for one that has no room for a plan.
    """
    site = design.site
    frames = set_frames(site, sheet_sizes_of(site.info), set_title(site, plan_sheet_id(1), "Plan", "Plan"))
    pages = plan_pages(levels, frames, site.info, design.kept)
    return FloorPlans(site, numbered(pages, site) if pages else None, info)


def draw_plan_sheet(plans: FloorPlans, number: int) -> Canvas:
    """Draw one sheet.

    Args:
        plans: planned.
        number: which, from 0.
    """
    sheet, info = plans.shown(number), plans.site.info
    page, frame, paper = sheet.page, sheet.frame, sheet.paper
    ratio = page.view.ratio
    x, y = page.view.window.center
    canvas = sheet_canvas(plans.site, frame, plans.info, View(paper, (x * ratio, y * ratio), ratio))
    canvas.measure(1, info.unit_system)
    draw_drawing_behind(canvas, page.view.level, plans.info.background_folder)
    frame.draw(canvas)
    draw_view(canvas, page.view, info.unit_system)
    draw_edges(canvas, page, paper, info.unit_system)
    draw_areas(canvas, page, sheet.enlarged)
    strip = strip_of(frame, [page.view.level], info, sheet.remarks, legend=sheet.has_legend)
    # the legend is that of the whole level: a sheet of a part that says HOLD nowhere else does not say it there
    legend = strip.legend if sheet.held or strip.legend is None else strip.legend.without(HOLD_MEANS)
    _draw_strip(canvas, frame, replace(strip, legend=legend))
    area = strip_area(frame)
    cell = Rect(area.x0, area.y0, area.x0 + CELL_MM, area.y0 + max(strip.height_mm, frame.corner.height))
    with canvas.subject("sheet:scale"):
        draw_cell(canvas, page, cell, sheet.scale, info)
    return canvas


def _paper(pages: PlanPages, levels: Sequence[PlanLevel], window: Rect, site: Site) -> Rect:
    """Where the window lies on the sheet: in the middle of its room."""
    content = content_of(pages.frame, set_strip(pages.frame, levels, site.info))
    x, y = content.center
    return Rect(x - window.width / 2, y - window.height / 2, x + window.width / 2, y + window.height / 2)


def _draw_strip(canvas: Canvas, frame: SheetFrame, strip: PlanStrip) -> None:
    area = strip_area(frame)
    least = max(strip.height_mm, frame.corner.height)
    top, left = area.y0 + least, area.x0 + CELL_MM + GAP_MM
    with canvas.paper():
        if strip.legend is not None:
            with canvas.subject("sheet:legend"):
                strip.legend.draw(canvas, (left, top), least)
            left += strip.legend.width_mm + GAP_MM
        with canvas.subject("sheet:notes"):
            strip.notes.draw(canvas, (left, top), least)
