"""The door detail: one opening's sheet, with elevation, wiring, tables, calculation, findings, notes and cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.drawings.door import tables
from riserkit.drawings.door.blocks import (
    HEADING_MM,
    BlockRoom,
    DoorBlock,
    long_table_block,
    note_block,
    note_blocks,
    table_block,
    table_blocks,
)
from riserkit.drawings.door.built import built_notes, built_tables
from riserkit.drawings.door.devices import elevation_devices, labelled, opening_shape
from riserkit.drawings.door.elevation import draw_elevation
from riserkit.drawings.door.notes import cautions, door_notes
from riserkit.drawings.door.readings import METER_CAUTIONS, NO_TEST, DoorTest, readings_table
from riserkit.drawings.door.sheet import (
    BANNER_LINES,
    BANNER_WORDS_MM,
    GAP_MM,
    Composed,
    Contents,
    banner_room_mm,
    block_room,
    compose,
    elevation_title,
    sheet_sizes,
)
from riserkit.drawings.door.tables import proof_paragraphs, truth_table_text
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import fit_text, wrap
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.elevation.values import ElevationDevice
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table
from riserkit.drawings.wiring.draw import draw_wiring
from riserkit.drawings.wiring.marks import Marks
from riserkit.findings import Finding
from riserkit.holds import DO_NOT_BUILD, HOLD, Banner, heading_of, hold_of
from riserkit.model.site import Site
from riserkit.standards.sheets import door_sheet_id

_BANNER_TEXT_MM: Final = 7.0
_TABLE_WIDTHS_MM: Final = (150.0, 120.0, 106.0, 180.0, 98.0, 88.0)
_FINDING_WIDTHS_MM: Final = (176.0, 120.0, 98.0, 240.0)
_READING_WIDTHS_MM: Final = (330.0, 270.0, 225.0, 190.0)
_FINDINGS_MM: Final = 400.0


def door_title(door: DoorDesign) -> str:
    """What an opening's sheet is called."""
    return f"Door {door.mark} {door.opening.name}".rstrip()


def draw_door_detail(
    design: Design,
    door: DoorDesign,
    findings: Sequence[Finding],
    info: DrawingInfo = NO_INFO,
    test: DoorTest = NO_TEST,
) -> Canvas:
    """Draw one opening's sheet on the smallest sheet of the site's series that holds it.

    Args:
        design: the whole design.
        door: the opening, one of `design.doors`.
        findings: all findings, or those of this opening.
        info: see there.
        test: what is measured at the door.

    Raises:
        SheetError: the largest sheet cannot hold it all (`plan_door_sheets` splits it), or the site asks for a size that
            is not known.
    """
    composed = compose(door_frames(design.site, door), door_contents(design, door, findings, test))
    return draw_page(design, door, composed, info)


def door_frames(site: Site, door: DoorDesign) -> tuple[SheetFrame, ...]:
    """Frames of the sizes that a door's sheet may have, the one asked for first."""
    # the standing cautions stand among the notes, all of them, so the corner need not repeat them
    return set_frames(site, sheet_sizes(site.info), _title(site, door), caution="")


def _title(site: Site, door: DoorDesign) -> TitleBlock:
    drawn = door.wiring.drawn
    arrangement = drawn.title if drawn else "No wiring"
    sheet_id = door_sheet_id(door.mark)
    return set_title(site, sheet_id, door_title(door), "Door detail", sheet="1 of 1", supplement=arrangement)


def door_contents(
    design: Design, door: DoorDesign, findings: Sequence[Finding], test: DoorTest = NO_TEST, readings_on: str = ""
) -> Contents:
    """All that is drawn of a door.

    Args:
        design: the whole design.
        door: the opening, one of `design.doors`.
        findings: all findings, or those of this opening.
        test: what is measured at the door.
        readings_on: the sheet that has the readings, where they are not drawn with the rest.
    """
    site, netlist = design.site, door.wiring.netlist
    shape = opening_shape(door.opening, site)
    devices = elevation_devices(door, site, shape)
    banner = door_banner(design, door, findings)
    parts = _WhatIsTold(design, door, findings, devices, NO_TEST if readings_on else test, readings_on)
    return Contents(
        netlist=None if netlist is None else labelled(design, door, netlist),
        shape=shape,
        devices=devices,
        unit_system=site.info.unit_system,
        banner=banner,
        blocks=tuple(_blocks(parts, block_room(door_frames(site, door)[-1], banner))),
    )


def door_banner(design: Design, door: DoorDesign, findings: Sequence[Finding]) -> Banner | None:
    """That this is not to be built as drawn, or as built not in service; None when it is."""
    hold, drawn = hold_of(door, findings), _not_feasible(door)
    if hold is None:
        return drawn
    banner = hold.banner
    banner = banner._replace(heading=banner.heading.replace(DO_NOT_BUILD, heading_of(design)))
    return banner._replace(words=f"{drawn.heading}. {drawn.words} {banner.words}".rstrip()) if drawn else banner


def _not_feasible(door: DoorDesign) -> Banner | None:
    """Why what is drawn is no wiring that passes its tests; None when it is."""
    wiring = door.wiring
    if wiring.missing:
        return Banner(
            "NOT DESIGNED", f"Data missing: {', '.join(wiring.missing)}. State it in the site and build again."
        )
    drawn = wiring.drawn
    if wiring.netlist is None or drawn is None:
        return Banner("NO WIRING", "No arrangement can be drawn for this opening; see the findings.")
    if wiring.chosen is not None and not drawn.failed:
        return None
    failed = "; ".join(_failure(r.what, r.value, r.limit, r.unit, r.at_most) for r in drawn.failed)
    kind = "Forced arrangement" if wiring.chosen is not None else "Closest arrangement, drawn for discussion only"
    return Banner("NOT FEASIBLE", f"{kind}: {drawn.title}. Fails: {failed}.")


def _failure(what: str, value: float | None, limit: float | None, unit: str, at_most: bool) -> str:
    if value is None or limit is None or not unit:
        return what
    return f"{what} {value:.3g} {unit}, {'at most' if at_most else 'at least'} {limit:.3g} {unit}"


@dataclass(frozen=True)
class _WhatIsTold:
    """What a door's blocks are made of; see `door_contents`."""

    design: Design
    door: DoorDesign
    findings: Sequence[Finding]
    devices: tuple[ElevationDevice, ...]
    test: DoorTest
    readings_on: str


def _blocks(parts: _WhatIsTold, room: BlockRoom) -> Iterator[DoorBlock]:
    design, door, test = parts.design, parts.door, parts.test
    subject = _subject(door)
    for name, text in _wiring_tables(design, door):
        yield from table_blocks(name, f"{subject}/table/{name}", text, _TABLE_WIDTHS_MM, room)
    calculation = tables.calculation_table(design, door)
    yield from table_blocks("calculation", f"{subject}/table/calculation", calculation, _TABLE_WIDTHS_MM, room)
    truth = truth_table_text(door)
    if truth is not None:
        yield from table_blocks("truth", f"{subject}/table/truth", truth, _TABLE_WIDTHS_MM, room)
    yield note_block("proof", f"{subject}/proof", "Fault analysis", proof_paragraphs(door))
    if test.readings:
        text = readings_table(test)
        yield from table_blocks("readings", f"{subject}/table/readings", text, _READING_WIDTHS_MM, room)
    for name, text in built_tables(design, door):
        yield from table_blocks(name, f"{subject}/table/{name}", text, _FINDING_WIDTHS_MM, room)
    mine = tables.finding_table(tables.findings_of(door, parts.findings))
    yield from _findings_blocks(f"{subject}/table/findings", mine, room)
    yield note_block("cautions", f"{subject}/cautions", "CAUTION", cautions(design), boxed=True)
    notes = _notes(design, door, test, parts.readings_on)
    yield from note_blocks("notes", f"{subject}/notes", "Notes", notes, room)
    if parts.devices:
        text = tables.device_table(parts.devices, design.site.info.unit_system)
        yield from table_blocks("devices", f"{subject}/table/devices", text, _TABLE_WIDTHS_MM, room)
    text = tables.opening_table(design, door)
    yield from table_blocks("opening", f"{subject}/table/opening", text, _TABLE_WIDTHS_MM, room)


def _notes(design: Design, door: DoorDesign, test: DoorTest, readings_on: str) -> tuple[str, ...]:
    return (
        *((f"Expected readings: sheet {readings_on}.",) if readings_on else ()),
        *door_notes(design, door),
        *built_notes(design, door),
        *test.notes,
        *(METER_CAUTIONS if test.readings else ()),
    )


def _wiring_tables(design: Design, door: DoorDesign) -> Iterator[tuple[str, Table]]:
    netlist, units = door.wiring.netlist, design.site.info.unit_system
    if netlist is not None and netlist.conductors:
        yield "conductors", tables.conductor_table(door, netlist, units)
        yield "cables", tables.cable_table(door, netlist, units)
        if netlist.spares:
            yield "spares", tables.spare_table(netlist)


def _findings_blocks(subject: str, text: Table, room: BlockRoom) -> tuple[DoorBlock, ...]:
    if text.rows:
        whole = table_block("findings", subject, text, _FINDING_WIDTHS_MM, _FINDINGS_MM, room)
        widest = max(_FINDING_WIDTHS_MM)
        return (whole,) if whole.forms else long_table_block("findings", subject, text, widest, room.height_mm(widest))
    none = ("Nothing open at this opening.",)
    return (note_block("findings", subject, text.title, none),)


def _subject(door: DoorDesign) -> str:
    return f"opening:{door.mark}"


def draw_page(design: Design, door: DoorDesign, composed: Composed, info: DrawingInfo) -> Canvas:
    """Draw a sheet of a door once everything on it has its place; its title block says which sheet it is."""
    canvas = sheet_canvas(design.site, composed.frame, info)
    draw_composed(canvas, composed, _subject(door))
    return canvas


def draw_composed(canvas: Canvas, composed: Composed, subject: str, marks: Marks | None = None) -> None:
    """Draw a composed sheet with its frame.

    Args:
        canvas: an empty one, of the size of the composed frame.
        composed: everything with its place.
        subject: id of what the sheet is about; the ids of its parts follow after a slash.
        marks: conductors that stand out in the wiring.
    """
    elevation, at = composed.elevation, composed.elevation_at
    title = composed.frame.title
    scale = elevation.scale.text if elevation else title.scale
    banner = composed.banner
    approval = title.approved_by if banner is None else HOLD if banner.hold else "not approved"
    replace(composed.frame, title=replace(title, scale=scale, approved_by=approval)).draw(canvas)
    if banner is not None and composed.banner_at is not None:
        with canvas.subject(f"{subject}/banner"), canvas.group(f"{subject}/banner"):
            _draw_banner(canvas, banner, composed.banner_at)
    if elevation is not None and at is not None:
        # a heading with the scale is the sheet's: the same drawn larger has not been revised
        _draw_heading(canvas, elevation_title(elevation), at, f"sheet:{canvas.name}")
        draw_elevation(canvas, elevation, (at.x0, at.y0), subject)
    if composed.diagram is not None and composed.diagram_at is not None:
        at = composed.diagram_at
        _draw_heading(canvas, composed.wiring_title, at, subject)
        draw_wiring(canvas, composed.diagram, (at.x0, at.y0), subject, marks)
    for block, form, place in composed.places:
        with canvas.subject(block.subject):
            form.draw(canvas, place)


def _draw_heading(canvas: Canvas, text: str, at: Rect, subject: str) -> None:
    with canvas.subject(subject):
        canvas.text(text, (at.x0, at.y1 - HEADING_MM), HEADING_MM)


def _draw_banner(canvas: Canvas, banner: Banner, at: Rect) -> None:
    canvas.rect(at, Pen(layers.NOTE, 1.0))
    room = banner_room_mm(at.width)
    first = fit_text(banner.heading, room, _BANNER_TEXT_MM, HEADING_MM)
    canvas.text(first.lines[0], (at.x0 + GAP_MM, at.y1 - 2 - _BANNER_TEXT_MM), first.height_mm, "left", layers.NOTE)
    lines = max(BANNER_LINES, len(wrap(banner.words, room, BANNER_WORDS_MM)))
    fitted = fit_text(banner.words, room, HEADING_MM, BANNER_WORDS_MM, lines)
    top = at.y1 - 6.0 - _BANNER_TEXT_MM  # descenders above, rings and accents below
    canvas.lines(fitted.lines, (at.x0 + GAP_MM, top), fitted.height_mm, "top_left", layers.NOTE)
