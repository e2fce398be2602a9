"""The riser diagram: levels, closets, switches, backbone and horizontal cables, openings, on sheets T-601 and on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from riserkit.design import Design
from riserkit.drawings.drafting.canvas import Canvas, DrawingInfo
from riserkit.drawings.drafting.sheet import Revision, SheetFrame
from riserkit.drawings.drafting.sheet_size import SheetSize, sheet_size
from riserkit.drawings.drafting.title_block import TitleBlock
from riserkit.drawings.riser.content import read_content
from riserkit.drawings.riser.draw import draw_window
from riserkit.drawings.riser.notes import riser_notes
from riserkit.drawings.riser.pages import Page, Pages, plan_pages, riser_sheet_id
from riserkit.drawings.riser.tables import draw_tables
from riserkit.findings import Finding
from riserkit.model.site import Site, SiteInfo

RISER_SIZES: Final = {
    "ISO": ("ISO A3", "ISO A2", "ISO A1"),
    "ANSI": ("ANSI B", "ANSI C", "ANSI D"),
    "ARCH": ("ARCH B", "ARCH C", "ARCH D"),
}
"""Sizes a riser may have where the site asks for none, the smallest first."""


@dataclass(frozen=True, slots=True)
class RiserOptions:
    """What the riser's sheets need besides design and findings.

    Args:
        digest: of the input, kept in the file.
        dxf_version: R2010, R2013 or R2018.
        block_folders: a site's own blocks.
    """

    digest: str = ""
    dxf_version: str = "R2018"
    block_folders: tuple[Path, ...] = ()


@dataclass(frozen=True)
class Riser:
    """A riser planned: every sheet's content has its place, nothing is drawn yet."""

    site: Site
    pages: Pages
    options: RiserOptions

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order."""
        return tuple(riser_sheet_id(n) for n in range(1, len(self.pages.pages) + 1))

    def title(self, number: int) -> str:
        """Title of a sheet, from 0."""
        return "Riser diagram" if self.pages.pages[number].windows else "Riser diagram, tables"


def plan_riser(design: Design, findings: Sequence[Finding], options: RiserOptions | None = None) -> Riser:
    """Place the whole riser on the smallest size of sheet that holds it in one, else on several of the largest.

    Args:
        design: the whole design.
        findings: of its rules, with acceptances; they become markers and tables.
        options: see there.

    Raises:
        SheetError: the site asks for a size that is not known, or for one that cannot hold even parts of the riser.
    """
    site = design.site
    revisions = tuple(Revision(r.index, r.date.isoformat(), r.description, r.name) for r in site.revisions)
    title = _title_block(site, riser_sheet_id(1), "Riser diagram", "")
    frames = [SheetFrame(size, title, revisions) for size in riser_sizes(site.info)]
    pages = plan_pages(read_content(design, findings), frames, riser_notes(site.info))
    return Riser(site, pages, options or RiserOptions())


def riser_sizes(info: SiteInfo) -> tuple[SheetSize, ...]:
    """Sizes that the riser may have: the one the site asks for, or those usual in its series.

    Raises:
        SheetError: the size asked for is not known.
    """
    asked = info.riser_sheet.strip()
    if not asked:
        return tuple(map(sheet_size, RISER_SIZES[info.sheet_series]))
    return (sheet_size(asked if " " in asked else f"{info.sheet_series} {asked}"),)


def draw_riser_sheet(riser: Riser, number: int, sheet: str = "") -> Canvas:
    """Draw one sheet of a riser.

    Args:
        riser: planned.
        number: which, from 0.
        sheet: what the title block says under Sheet, such as `1 of 31`; the sheet's identification when empty.
    """
    page, sheet_id = riser.pages.pages[number], riser.sheet_ids[number]
    frame = replace(
        riser.pages.frame,
        title=_title_block(riser.site, sheet_id, riser.title(number), sheet),
    )
    options = riser.options
    info = DrawingInfo(riser.site.info.name, options.digest, options.dxf_version, options.block_folders)
    canvas = Canvas(sheet_id, frame.size, info)
    frame.draw(canvas)
    _draw_page(canvas, riser.pages, page)
    return canvas


def _draw_page(canvas: Canvas, pages: Pages, page: Page) -> None:
    for window, area in page.windows:
        draw_window(canvas, pages.layout, window, area)
    if page.strip is not None:
        area, strip = page.strip.area, page.strip
        with canvas.subject("sheet:notes"):
            strip.notes.draw(canvas, (area.x0, strip.top), strip.height_mm)
        with canvas.subject("sheet:legend"):
            strip.legend.draw(canvas, (area.x1 - strip.legend.width_mm, strip.top), strip.height_mm)
    draw_tables(canvas, page.tables)


def _title_block(site: Site, sheet_id: str, title: str, sheet: str) -> TitleBlock:
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
        document_type=f"Diagram, {info.status}",
        supplementary_title=f"Checked by {info.checked_by}" if info.checked_by else "",
        revision=site.revisions[-1].index if site.revisions else "",
    )
