"""Cover and general notes: project, codes, key data, sheet index, notes, legend, conventions. Sheets T-001 and on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.cover.details import detail_symbols
from riserkit.drawings.cover.flow import Block, Legend, Notes, PlacedBlock, flow
from riserkit.drawings.cover.tables import (
    accepted,
    as_built_count,
    facts,
    findings_count,
    key_data,
    left_out,
    levels,
    on_hold,
)
from riserkit.drawings.cover.values import IndexEntry, index_rows
from riserkit.drawings.cover.words import abbreviations, general_notes, layer_rows, terminal_letters
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.symbols import RISER_SYMBOLS
from riserkit.drawings.dxf.text import fit_text
from riserkit.drawings.plan.notes import plan_legend
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas, sheet_sizes_of, stamped, status_words
from riserkit.drawings.setting.legend import LegendEntry, SymbolSample
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.drawings.setting.sheet import GAP_MM, SheetFrame
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.model.site import Site
from riserkit.standards.sheets import numbered_sheet_id

TITLE: Final = "Cover and general notes"
HEADING_MM: Final = 30.0
_MOST_TRIES: Final = 20


@dataclass(frozen=True)
class CoverContents:
    """What the cover tells of the set.

    Args:
        sheets: all sheets of the set besides the cover's own, in order.
        levels: those that have a plan, for the legend.
        scale: of the plans; None without any.
        riser: the set has a riser diagram.
        doors: the set has door details.
    """

    sheets: tuple[IndexEntry, ...]
    levels: tuple[PlanLevel, ...] = ()
    scale: DrawingScale | None = None
    riser: bool = True
    doors: bool = True


@dataclass(frozen=True)
class Cover:
    """The cover planned."""

    site: Site
    frame: SheetFrame
    pages: tuple[tuple[PlacedBlock, ...], ...]
    info: DrawingInfo
    held: bool = False

    @property
    def sheet_ids(self) -> tuple[str, ...]:
        """Identifications of its sheets, in order."""
        return tuple(numbered_sheet_id("0", n) for n in range(1, len(self.pages) + 1))

    def title(self, number: int) -> str:
        """Title of a sheet, from 0."""
        return _title(number)

    def shown(self, number: int) -> tuple[SheetFrame, tuple[PlacedBlock, ...]]:
        """All that a sheet is drawn from, from 0, besides the facts that the sheets of a set share."""
        title = set_title(self.site, self.sheet_ids[number], self.title(number), "Cover")
        return replace(self.frame, title=stamped(title, held=self.held)), self.pages[number]


def plan_cover(checked: Checked, contents: CoverContents, info: DrawingInfo = NO_INFO) -> Cover:
    """Set the cover on the smallest sheet that holds it, else on several of the largest.

    Args:
        checked: the whole design with its findings.
        contents: see there.
        info: see there.

    Raises:
        SheetError: the site asks for a size that is not known, or one too small for its notes.
    """
    site = checked.design.site
    blocks = _CoverBlocks(
        tuple(_before_index(checked, contents)), contents.sheets, tuple(_after_index(checked.design, contents))
    )
    frames = set_frames(site, sheet_sizes_of(site.info), set_title(site, numbered_sheet_id("0", 1), TITLE, "Cover"))
    for frame in frames:
        pages = _pages(blocks, frame, may_fail=frame is not frames[-1])
        if pages is not None:
            return Cover(site, frame, pages, info, bool(checked.holds.held))
    raise SheetError("the cover has no sheet size to be drawn on")


def draw_cover_sheet(cover: Cover, number: int) -> Canvas:
    """Draw one sheet.

    Args:
        cover: planned.
        number: which, from 0.
    """
    frame, blocks = cover.shown(number)
    canvas = sheet_canvas(cover.site, frame, cover.info)
    frame.draw(canvas)
    if number == 0:
        _draw_heading(canvas, frame, cover.site)
    for placed in blocks:
        placed.draw(canvas)
    return canvas


def _title(number: int) -> str:
    return TITLE if number == 0 else f"{TITLE}, continued"


@dataclass(frozen=True)
class _CoverBlocks:
    """What the cover says before its index of sheets, the other sheets of the set, and what it says after the index."""

    before: tuple[Block, ...]
    sheets: tuple[IndexEntry, ...]
    after: tuple[Block, ...]

    def all(self, own: Sequence[IndexEntry]) -> list[Block]:
        """All blocks, the cover's own sheets in the index."""
        rows = index_rows([*own, *self.sheets])
        index = Table(
            "Sheet index", columns_of(("Sheet", "Title"), (52, 118)), rows, tuple(f"index:{row[0]}" for row in rows)
        )
        return [*self.before, index, *self.after]


def _pages(blocks: _CoverBlocks, frame: SheetFrame, *, may_fail: bool) -> tuple[tuple[PlacedBlock, ...], ...] | None:
    """The cover lists its own sheets too: it is set for as many as it took, until that is so many as it takes."""
    count = 1
    for _ in range(_MOST_TRIES):
        own = [IndexEntry(numbered_sheet_id("0", n + 1), _title(n)) for n in range(count)]
        try:
            pages = flow(blocks.all(own), frame, HEADING_MM)
        except SheetError:
            if may_fail:
                return None
            raise
        if len(pages) <= count:
            return pages
        if may_fail:
            return None
        count = len(pages)
    raise SheetError(f"the sheet index does not come to rest: it takes more than {count} sheets of {frame.size.name}")


def _before_index(checked: Checked, contents: CoverContents) -> Iterator[Block]:
    design, findings, holds = checked.design, checked.findings, checked.holds
    yield facts(design.site, held=bool(holds.held))
    yield key_data(design)
    yield levels(design.site)
    yield from filter(None, [as_built_count(design, findings), on_hold(design, holds)])
    yield Notes("General notes and cautions", general_notes(design.site, contents.scale))
    yield from filter(None, [findings_count(findings), accepted(findings)])
    if missing := left_out(findings):
        yield Notes("Left out of this check", missing)


def _after_index(design: Design, contents: CoverContents) -> Iterator[Block]:
    entries = tuple(_symbols(design, contents))
    if entries:
        yield Legend("Symbols", entries)
    if contents.doors and (entries := detail_symbols(design)):
        yield Legend("Symbols of door details", entries)
    letters = abbreviations(design, riser=contents.riser, doors=contents.doors)
    yield _listed("Abbreviations", ("Letters", "Meaning"), letters, (34, 136))
    letters = terminal_letters(design) if contents.doors else ()
    if letters:
        yield _listed("Terminals in door details", ("Terminal", "For"), letters, (34, 136))
    yield _listed("Layers", ("Layer", "mm", "Line", "Colour", "For"), layer_rows(), (44, 14, 32, 18, 72))


def _listed(
    title: str, headers: tuple[str, ...], rows: tuple[tuple[str, ...], ...], shares: tuple[float, ...]
) -> Table:
    subjects = tuple(f"{title.split(maxsplit=1)[0].lower()}:{row[0]}" for row in rows)
    return Table(title, columns_of(headers, shares), rows, subjects)


def _symbols(design: Design, contents: CoverContents) -> Iterator[LegendEntry]:
    site = design.site
    kinds = {f"opening_{opening.type}" for opening in site.openings}
    kinds |= {"closet"} if site.closets else set()
    kinds |= {"switch"} if site.switches else set()
    kinds |= {"supply"} if site.supplies else set()
    if contents.riser:
        for symbol in RISER_SYMBOLS:
            if symbol.name in kinds:
                yield LegendEntry(SymbolSample(symbol.name), f"Riser: {symbol.meaning[:1].lower()}{symbol.meaning[1:]}")
    for entry in plan_legend(contents.levels):
        yield LegendEntry(entry.sample, f"Plans: {entry.meaning[:1].lower()}{entry.meaning[1:]}")


def _draw_heading(canvas: Canvas, frame: SheetFrame, site: Site) -> None:
    """The project's name, and below it address, number and status."""
    inner, info = frame.frame.inset(GAP_MM + 2), site.info
    name = fit_text(info.name, inner.width * 0.9, 10.0, 2.5)
    line = ", ".join(
        filter(
            None,
            [
                info.address,
                info.project_number,
                f"Door control, {status_words(site) if site.changed_since else f'issued {info.status}'}",
            ],
        )
    )
    below = fit_text(line, inner.width * 0.9, 5.0, 2.5)
    with canvas.subject("sheet:heading"):
        canvas.text(name.lines[0], (inner.x0, inner.y1 - 1), name.height_mm, "top_left", layers.NOTE)
        canvas.text(below.lines[0], (inner.x0, inner.y1 - 16), below.height_mm, "top_left", layers.NOTE)
