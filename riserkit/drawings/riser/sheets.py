"""The riser diagram: levels, closets, switches, backbone and horizontal cables, openings, on sheets T-601 and on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from riserkit.checked import Checked
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.riser.content import read_content
from riserkit.drawings.riser.draw import draw_window
from riserkit.drawings.riser.notes import riser_notes
from riserkit.drawings.riser.pages import Pages, RiserPage, plan_pages, riser_sheet_id
from riserkit.drawings.riser.places import RiserLayout
from riserkit.drawings.riser.values import OpeningGroup
from riserkit.drawings.riser.windows import window_rect
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas, sheet_sizes_of, stamped
from riserkit.drawings.setting.listings import draw_tables, has_hold
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.holds import HOLD_MEANS
from riserkit.model.site import Site


@dataclass(frozen=True)
class Riser:
    """A riser planned: every sheet's content has its place, nothing is drawn yet."""

    site: Site
    pages: Pages
    info: DrawingInfo

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order."""
        return tuple(riser_sheet_id(n) for n in range(1, len(self.pages.pages) + 1))

    def title(self, number: int) -> str:
        """Title of a sheet, from 0."""
        page = self.pages.pages[number]
        if page.windows:
            return "Riser diagram"
        return "Riser diagram, notes and legend" if page.strip else "Riser diagram, tables"

    def shown(self, number: int) -> tuple[SheetFrame, RiserLayout, RiserPage, bool]:
        """All that a sheet is drawn from, from 0, besides the facts that the sheets of a set share; last, whether it shows a HOLD."""
        pages, page = self.pages, self.pages.pages[number]
        held = _shows_hold(pages, page)
        title = set_title(self.site, self.sheet_ids[number], self.title(number), "Diagram")
        return replace(pages.frame, title=stamped(title, held=held)), pages.layout, page, held


def plan_riser(checked: Checked, info: DrawingInfo = NO_INFO) -> Riser:
    """Place the whole riser on the smallest size of sheet that holds it in one, else on several of the largest.

    Args:
        checked: the whole design with its findings, which become markers and tables.
        info: see there.

    Raises:
        SheetError: the site asks for a size that is not known, or for one that cannot hold even parts of the riser.
    """
    site = checked.design.site
    frames = set_frames(site, sheet_sizes_of(site.info), set_title(site, riser_sheet_id(1), "Riser diagram", "Diagram"))
    pages = plan_pages(read_content(checked), frames, riser_notes(site.info))
    return Riser(site, pages, info)


def draw_riser_sheet(riser: Riser, number: int) -> Canvas:
    """Draw one sheet of a riser.

    Args:
        riser: planned.
        number: which, from 0.
    """
    frame, layout, page, held = riser.shown(number)
    canvas = sheet_canvas(riser.site, frame, riser.info)
    frame.draw(canvas)
    _draw_page(canvas, layout, page, held=held)
    return canvas


def _shows_hold(pages: Pages, page: RiserPage) -> bool:
    """Whether an opening on HOLD is on the page, in the diagram or in a table."""
    rects = [window_rect(pages.layout, window) for window, _ in page.windows]
    drawn = [
        placed.item for row in pages.layout.rows for placed in row.items
        if any(r.x0 <= row.items[0].x <= r.x1 and r.y0 <= row.y <= r.y1 for r in rects)
    ]  # fmt: skip
    return has_hold(page.tables) or any(
        d.held for item in drawn for d in (item.members if isinstance(item, OpeningGroup) else (item,))
    )


def _draw_page(canvas: Canvas, layout: RiserLayout, page: RiserPage, *, held: bool) -> None:
    for window, area in page.windows:
        draw_window(canvas, layout, window, area)
    if page.strip is not None:
        area, strip = page.strip.area, page.strip
        with canvas.subject("sheet:notes"):
            strip.notes.draw(canvas, (area.x0, strip.top), strip.height_mm)
        with canvas.subject("sheet:legend"):
            # the legend is that of the whole diagram: a sheet that says HOLD nowhere else does not say it there
            legend = strip.legend if held or not page.windows else strip.legend.without(HOLD_MEANS)
            legend.draw(canvas, (area.x1 - legend.width_mm, strip.top), strip.height_mm)
    draw_tables(canvas, page.tables)
