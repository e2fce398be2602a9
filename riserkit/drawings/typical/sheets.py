"""Sheets of typicals: T-511 and on, each with its continuations T-511-2 and on where the table of instances is long."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.blocks import BlockRoom, DoorBlock, note_block, table_blocks
from riserkit.drawings.door.detail import draw_composed
from riserkit.drawings.door.notes import cautions
from riserkit.drawings.door.pages import compose_pages, surely_fits
from riserkit.drawings.door.sheet import Composed, Contents, block_room, compose, sheet_sizes
from riserkit.drawings.door.tables import conductor_table, device_table, spare_table
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.elevation.values import OpeningShape
from riserkit.drawings.schedules.sheets import TablePages, table_pages
from riserkit.drawings.setting.frames import Sheet, set_frames, set_title, sheet_canvas, stamped
from riserkit.drawings.setting.listings import draw_tables, has_hold
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table
from riserkit.drawings.typical.gather import FIRST, Typical, typicals, unsettled
from riserkit.drawings.typical.tables import (
    MOST_WIDTH_MM,
    Devices,
    block_table,
    cable_rows,
    instance_table,
    shared_devices,
    shared_failure,
    shared_shape,
    typical_notes,
    unsettled_table,
)
from riserkit.holds import HOLD_NOTE, Banner, heading_of
from riserkit.quantities.natural_order import runs
from riserkit.quantities.printed import upper_first
from riserkit.standards.sheets import numbered_sheet_id

MOST_ROWS: Final = 24
"""Openings listed beside the detail; more are listed on continuation sheets, all of them together."""
_WIDTHS_MM: Final = (150.0, 120.0, 106.0, 180.0, 98.0, 88.0)
_INSTANCE_WIDTHS_MM: Final = (MOST_WIDTH_MM, 260.0, 210.0, 180.0)
_NONE_TITLE: Final = "Openings on HOLD, on no typical"


def plan_typicals(checked: Checked, info: DrawingInfo = NO_INFO, own_sheets: Collection[str] = ()) -> tuple[Sheet, ...]:
    """The sheets of all typicals in order; doors without a circuit are listed with the last one.

    Args:
        checked: the whole design with its findings.
        info: see there.
        own_sheets: marks of openings that have sheets of their own; what one of them alone would show is left out.

    Raises:
        SheetError: the site asks for a size of sheet that is not known, or one too small for the table of instances.
    """
    found, left = typicals(checked.design, own_sheets), unsettled(checked.design)
    sheets: list[Sheet] = []
    for typical in found:
        with_it = left if typical is found[-1] else ()
        sheets += _sheets_of(_Detail(checked, typical, with_it, info))
    if not found and any(door.mark not in own_sheets for door in left):
        sheets += _none_settled(checked, left, info)
    return tuple(sheets)


@dataclass(frozen=True)
class _Detail:
    """A typical with all that its sheets are drawn from."""

    checked: Checked
    typical: Typical
    left: tuple[DoorDesign, ...]
    info: DrawingInfo

    @property
    def design(self) -> Design:
        return self.checked.design

    @property
    def tables(self) -> tuple[Table, ...]:
        rest = (unsettled_table(self.checked, self.left),) if self.left else ()
        return (instance_table(self.checked, self.typical), *rest)

    @property
    def is_long(self) -> bool:
        """Its tables go on continuation sheets."""
        return len(self.typical.doors) + len(self.left) > MOST_ROWS

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(door.mark for door in (*self.typical.doors, *self.left))

    @property
    def has_hold(self) -> bool:
        """An opening that it lists is on HOLD."""
        return any(mark in self.checked.holds for mark in self.marks)


def _sheets_of(detail: _Detail) -> Iterator[Sheet]:
    """The detail, the tables of openings that are too long for it, and what else of it one sheet cannot hold."""
    sheet_id, title, number = detail.typical.sheet_id, detail.typical.title, detail.typical.sheet_number
    doors = detail.typical.doors
    which = doors[0].mark if len(doors) == 1 else f"{doors[0].mark} and {len(doors) - 1} more"
    pages = table_pages(detail.tables, _frames(detail.design, sheet_id, "")) if detail.is_long else None
    ids = tuple(f"{sheet_id}-{n}" for n in range(2, len(pages.pages) + 2)) if pages else ()
    first, *rest = _detail_pages(detail, ids)
    yield Sheet(sheet_id, f"{title} ({which})", first, number, detail.marks, detail.typical.on_record)
    if pages is not None:
        for n, page_id in enumerate(ids):
            draw = partial(_draw_page, detail.design, pages, n, page_id, f"{title}, openings", detail.info)
            yield Sheet(page_id, f"{title}, openings ({which})", draw, number, detail.marks)
    for n, draw_rest in enumerate(rest, len(ids) + 2):
        yield Sheet(f"{sheet_id}-{n}", f"{title}, sheet {n} ({which})", draw_rest, number, detail.marks)


def _detail_pages(detail: _Detail, more: Sequence[str]) -> tuple[Callable[[], Canvas], ...]:
    """What draws each sheet of the detail itself; one, unless it is laid out and found too large."""
    typical = detail.typical
    frames = sheet_sizes(detail.design.site.info)
    if len(frames) == 1 or not surely_fits(typical.netlist, 0):
        first = len(more) + 2
        pages = compose_pages(*_composition(detail, more), f"{typical.sheet_id}-{first}")
        if len(pages) > 1:
            ids = (typical.sheet_id, *(f"{typical.sheet_id}-{first + n}" for n in range(len(pages) - 1)))
            return tuple(partial(_draw_composed, detail, page, i) for page, i in zip(pages, ids, strict=True))
    return (partial(_draw_detail, detail, more),)


def _none_settled(checked: Checked, left: tuple[DoorDesign, ...], info: DrawingInfo) -> Iterator[Sheet]:
    design, sheet_id = checked.design, numbered_sheet_id("5", FIRST)
    pages = table_pages((unsettled_table(checked, left),), _frames(design, sheet_id, ""))
    for n in range(len(pages.pages)):
        page_id = f"{sheet_id}-{n + 1}" if n else sheet_id
        draw = partial(_draw_page, design, pages, n, page_id, _NONE_TITLE, info)
        yield Sheet(page_id, _NONE_TITLE, draw, FIRST, tuple(door.mark for door in left))


def _frames(design: Design, sheet_id: str, title: str) -> tuple[SheetFrame, ...]:
    block = set_title(design.site, sheet_id, title, "Detail")
    # the standing cautions stand among the notes, all of them, so the corner need not repeat them
    return set_frames(design.site, sheet_sizes(design.site.info), block, caution="")


def _draw_page(design: Design, pages: TablePages, number: int, sheet_id: str, title: str, info: DrawingInfo) -> Canvas:
    block = stamped(set_title(design.site, sheet_id, title, "Detail"), held=has_hold(pages.pages[number]))
    frame = replace(pages.frame, title=block)
    canvas = sheet_canvas(design.site, frame, info)
    frame.draw(canvas)
    draw_tables(canvas, pages.pages[number])
    return canvas


def _composition(detail: _Detail, more: Sequence[str]) -> tuple[tuple[SheetFrame, ...], Contents]:
    """Frames to choose from, and all that is drawn."""
    typical, design = detail.typical, detail.design
    frames = _frames(design, typical.sheet_id, typical.title)
    shape, devices = _agreed_elevation(detail)
    units = design.site.info.unit_system
    banner = _banner(detail)
    room = block_room(frames[-1], banner)
    blocks = tuple(_blocks(detail, devices, more, room, elevation=shape is not None))
    return frames, Contents(typical.netlist, shape, devices, units, banner, blocks)


def _draw_detail(detail: _Detail, more: Sequence[str]) -> Canvas:
    return _draw_composed(detail, compose(*_composition(detail, more)), detail.typical.sheet_id)


def _draw_composed(detail: _Detail, composed: Composed, sheet_id: str) -> Canvas:
    title = stamped(replace(composed.frame.title, number=sheet_id, sheet=sheet_id), held=detail.has_hold)
    placed = replace(composed, frame=replace(composed.frame, title=title))
    canvas = sheet_canvas(detail.design.site, placed.frame, detail.info)
    draw_composed(canvas, placed, detail.typical.subject)
    return canvas


def _banner(detail: _Detail) -> Banner | None:
    """Which openings listed here may not be built so; None when all may."""
    typical, holds = detail.typical, detail.checked.holds
    drawn = None if typical.feasible else _not_feasible(typical)
    held = [door.mark for door in typical.doors if door.mark in holds]
    if not held:
        return drawn
    every = len(held) == len(typical.doors)
    where = "every opening of this sheet" if every and len(held) > 1 else ", ".join(runs(held))
    rules = ", ".join(dict.fromkeys(f.rule for mark in held for f in holds.held[mark].findings))
    told = f"{upper_first(where)}: {rules}. The table of openings has each with its sheet of the failure."
    more = f" {drawn.heading} {drawn.words}" if drawn else ""
    return Banner(f"{heading_of(detail.design)}: {where}", f"{told}{more}", hold=True)


def _not_feasible(typical: Typical) -> Banner:
    failure = shared_failure(typical)
    told = f"Fails: {failure}." if failure else "The table of openings says what fails."
    return Banner("NOT FEASIBLE", f"Drawn for discussion only: no opening listed here may be built so. {told}")


def _agreed_elevation(detail: _Detail) -> tuple[OpeningShape | None, Devices]:
    """The shape and the devices that all openings agree on; neither where they do not."""
    doors = detail.typical.doors
    shape = shared_shape(detail.design, doors)
    devices = shared_devices(detail.design, doors, shape) if shape else None
    return (None, ()) if devices is None else (shape, devices)


def _blocks(
    detail: _Detail, devices: Devices, more: Sequence[str], room: BlockRoom, *, elevation: bool
) -> Iterator[DoorBlock]:
    design, typical = detail.design, detail.typical
    subject, netlist, units = typical.subject, typical.netlist, design.site.info.unit_system
    if netlist.conductors:
        yield from _table(f"{subject}/table/conductors", conductor_table(None, netlist, units), room)
        yield from _table(f"{subject}/table/cables", cable_rows(design, typical), room)
    if netlist.spares:
        yield from _table(f"{subject}/table/spares", spare_table(netlist), room)
    if more:
        yield note_block("instances", f"{subject}/table/instances", "Openings", (_pointer(detail, more),))
    else:
        for table in detail.tables:
            yield from _table(f"{subject}/table/{table.name}", block_table(table), room, _INSTANCE_WIDTHS_MM)
    yield note_block("cautions", f"{subject}/cautions", "CAUTION", cautions(design), boxed=True)
    notes = typical_notes(design, typical, elevation=elevation)
    if detail.has_hold:
        notes = (HOLD_NOTE, *notes)
    yield note_block("notes", f"{subject}/notes", "Notes", notes)
    if devices:
        yield from _table(f"{subject}/table/devices", device_table(devices, units), room)


def _pointer(detail: _Detail, more: Sequence[str]) -> str:
    doors, where = detail.typical.doors, more[0] if len(more) == 1 else f"{more[0]} to {more[-1]}"
    return f"{len(doors)} openings, {doors[0].mark} the first, are listed on {where}, with all lengths."


def _table(
    subject: str, table: Table, room: BlockRoom, widths_mm: Sequence[float] = _WIDTHS_MM
) -> tuple[DoorBlock, ...]:
    return table_blocks(subject, subject, table, widths_mm, room)
