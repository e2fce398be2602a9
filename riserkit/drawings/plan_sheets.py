"""Floor plans: closets, openings, pathways and runs of each level on sheets T-101 and on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from riserkit.design import Design
from riserkit.drawings.boxes import Rect
from riserkit.drawings.canvas import Canvas, DrawingInfo
from riserkit.drawings.plan_content import read_levels
from riserkit.drawings.plan_draw import draw_cell, draw_edges, draw_view
from riserkit.drawings.plan_pages import (
    CELL_MM,
    PlanPages,
    Strip,
    content_of,
    plan_pages,
    plan_sheet_id,
    strip_area,
    strip_of,
)
from riserkit.drawings.riser import riser_sizes
from riserkit.drawings.sheet import GAP_MM, Revision, SheetFrame
from riserkit.drawings.title_block import TitleBlock
from riserkit.drawings.view import View
from riserkit.model.site import Site


@dataclass(frozen=True, slots=True)
class PlanOptions:
    """What the plans' sheets need besides the design.

    Args:
        digest: of the input, kept in the file.
        dxf_version: R2010, R2013 or R2018.
        block_folders: a site's own blocks.
    """

    digest: str = ""
    dxf_version: str = "R2018"
    block_folders: tuple[Path, ...] = ()


@dataclass(frozen=True)
class FloorPlans:
    """All plans of a set planned: every label has its place, nothing is drawn yet."""

    site: Site
    pages: PlanPages | None
    options: PlanOptions

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order; none when no level has anything to show."""
        return tuple(plan_sheet_id(n) for n in range(1, len(self.pages.pages) + 1)) if self.pages else ()

    def title(self, number: int) -> str:
        """Title of a sheet, from 0."""
        page = self._pages.pages[number]
        part = f", part {page.part + 1} of {page.parts}" if page.parts > 1 else ""
        return f"Plan, {page.view.level.title}{part}"

    @property
    def _pages(self) -> PlanPages:
        if self.pages is None:
            raise IndexError("this set has no plans")
        return self.pages


def plan_floor_plans(design: Design, options: PlanOptions | None = None) -> FloorPlans:
    """Place everything on the plans of all levels that have openings, closets or pathways.

    Raises:
        SheetError: the site asks for a size that is not known.
    """
    site = design.site
    revisions = tuple(Revision(r.index, r.date.isoformat(), r.description, r.name) for r in site.revisions)
    title = _title_block(site, plan_sheet_id(1), "Plan", "", "")
    frames = [SheetFrame(size, title, revisions) for size in riser_sizes(site.info)]
    return FloorPlans(site, plan_pages(read_levels(design), frames, site.info), options or PlanOptions())


def draw_plan_sheet(plans: FloorPlans, number: int, sheet: str = "") -> Canvas:
    """Draw one sheet.

    Args:
        plans: planned.
        number: which, from 0.
        sheet: what the title block says under Sheet, such as `2 of 31`; the sheet's identification when empty.
    """
    pages, options, site = plans._pages, plans.options, plans.site
    page, sheet_id = pages.pages[number], plans.sheet_ids[number]
    frame = replace(pages.frame, title=_title_block(site, sheet_id, plans.title(number), sheet, pages.scale.text))
    paper = _paper(pages, page.view.window, site)
    info = DrawingInfo(site.info.name, options.digest, options.dxf_version, options.block_folders)
    ratio = page.view.ratio
    x, y = page.view.window.center
    canvas = Canvas(sheet_id, frame.size, info, View(paper, (x * ratio, y * ratio), ratio))
    frame.draw(canvas)
    draw_view(canvas, page.view, site.info.unit_system)
    draw_edges(canvas, page, paper, site.info.unit_system)
    strip = strip_of(frame, [page.view.level], site.info)
    _draw_strip(canvas, frame, strip)
    area = strip_area(frame)
    cell = Rect(area.x0, area.y0, area.x0 + CELL_MM, area.y0 + max(strip.height_mm, frame.corner.height))
    with canvas.subject("sheet:scale"):
        draw_cell(canvas, page, cell, pages.scale.text, site.info.unit_system)
    return canvas


def _paper(pages: PlanPages, window: Rect, site: Site) -> Rect:
    """Where the window lies on the sheet: in the middle of its room."""
    levels = list({page.view.level.id: page.view.level for page in pages.pages}.values())
    content = content_of(pages.frame, strip_of(pages.frame, levels, site.info))
    x, y = content.center
    return Rect(x - window.width / 2, y - window.height / 2, x + window.width / 2, y + window.height / 2)


def _draw_strip(canvas: Canvas, frame: SheetFrame, strip: Strip) -> None:
    area = strip_area(frame)
    least = max(strip.height_mm, frame.corner.height)
    top, left = area.y0 + least, area.x0 + CELL_MM + GAP_MM
    with canvas.paper():
        with canvas.subject("sheet:legend"):
            strip.legend.draw(canvas, (left, top), least)
        with canvas.subject("sheet:notes"):
            strip.notes.draw(canvas, (left + strip.legend.width_mm + GAP_MM, top), least)


def _title_block(site: Site, sheet_id: str, title: str, sheet: str, scale: str) -> TitleBlock:
    info = site.info
    return TitleBlock(
        legal_owner=info.owner,
        number=sheet_id,
        title=title,
        project=" ".join(filter(None, [info.project_number, info.name])),
        sheet=sheet or sheet_id,
        date_of_issue=info.issue_date.isoformat(),
        created_by=info.drawn_by or info.designer,
        approved_by=info.approved_by,
        document_type=f"Plan, {info.status}",
        supplementary_title=f"Checked by {info.checked_by}" if info.checked_by else "",
        revision=site.revisions[-1].index if site.revisions else "",
        scale=scale or "none",
    )
