"""The sheets of a reference set: an index, one for each arrangement with what it serves, one for each sound door."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.blocks import DoorBlock, note_blocks
from riserkit.drawings.door.detail import door_contents, door_frames, draw_page
from riserkit.drawings.door.pages import compose_pages
from riserkit.drawings.door.readings import NO_TEST, DoorTest
from riserkit.drawings.door.sheet import Composed, Contents
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.schedules.sheets import table_pages
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.setting.frames import set_frames, set_title, sheet_canvas, sheet_sizes_of
from riserkit.drawings.setting.listings import PlacedTable, draw_tables
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.setting.table import Table, TableColumn
from riserkit.findings import at_openings
from riserkit.holds import Banner
from riserkit.model.parts import Controller
from riserkit.quantities.grouping import grouped
from riserkit.reference.judged import JudgedVariant, ReferenceSet
from riserkit.reference.variants import LOCKS, DoorVariant, variants
from riserkit.reference.words import (
    CAUTION,
    HEADING,
    deciding_numbers,
    needs,
    part_limits,
    sentence,
    to_confirm,
    when_to_use,
)
from riserkit.standards.sheets import door_sheet_id, numbered_sheet_id
from riserkit.wiring.arrangement import Arrangement

KIND: Final = "Reference, not for construction"
_FIRST: Final = 11
_LEFT_OUT: Final = frozenset({"opening", "findings"})
"""Blocks of a site's door that say nothing where there is none."""
NOT_ITS_KIND: Final = "-"
USUAL: Final = "the usual door"
"""The variant of a lock without another name."""


def plan_reference(
    reference: ReferenceSet,
    tests: Mapping[str, DoorTest],
    faults: Mapping[str, tuple[str, ...]],
    info: DrawingInfo = NO_INFO,
) -> tuple[SheetJob, ...]:
    """All sheets in the order of the set.

    Args:
        reference: what was tried.
        tests: expected readings of each sound door, by mark.
        faults: faults worth knowing, by mark; a door without any of its own leaves them out.
        info: see there.

    Raises:
        SheetError: something does not go on the largest sheet.
    """
    asked = info
    return (
        *_text_sheets(reference, numbered_sheet_id("0", 1), "Arrangements and variants", _index(reference), asked),
        *(
            sheet
            for place, one in enumerate(reference.arrangements)
            for sheet in _text_sheets(
                reference,
                numbered_sheet_id("5", _FIRST + place),
                one.title,
                _of_arrangement(reference, one),
                asked,
                [found.door.mark for found in reference.of(one) if found.is_sound],
            )
        ),
        *(
            sheet
            for door in reference.checked.design.doors
            for sheet in _door_sheets(reference, door, tests.get(door.mark, NO_TEST), faults.get(door.mark, ()), asked)
        ),
    )


def _index(reference: ReferenceSet) -> tuple[Table, ...]:
    letters = {one.name: _letter(reference, one) for one in reference.arrangements}
    named = tuple((letters[a.name], a.name, a.title, when_to_use(a)) for a in reference.arrangements)
    columns = (
        TableColumn(""),
        TableColumn("Name"),
        TableColumn("Arrangement", max_width_mm=70),
        TableColumn("When to use", max_width_mm=170),
    )
    cells = {(one.door.variant.name, one.door.arrangement): _cell(one) for one in reference.judged}
    rows = tuple((v.name, *(cells[v.name, a.name] for a in reference.arrangements)) for v in variants())
    by_letter = (
        TableColumn("Variant", max_width_mm=110),
        *(TableColumn(letters[a.name]) for a in reference.arrangements),
    )
    means = (
        ("mark", "Suitable: detail on sheet T-501 and the mark"),
        ("no", "Cannot be wired so: why is on the arrangement's sheet"),
        (NOT_ITS_KIND, "The arrangement is for another kind of door"),
    )
    cells_mean = TableColumn("Cell"), TableColumn("Meaning", max_width_mm=110)
    return (
        Table("Arrangements", columns, named, name="arrangements"),
        Table("Table of variants", cells_mean, means, name="cells"),
        Table("Variants by arrangement", by_letter, rows, name="variants"),
    )


def _letter(reference: ReferenceSet, arrangement: Arrangement) -> str:
    return reference.of(arrangement)[0].door.mark.rstrip("0123456789")


def _cell(one: JudgedVariant) -> str:
    if one.is_sound:
        return one.door.mark
    return "no" if one.meant else NOT_ITS_KIND


def _of_arrangement(reference: ReferenceSet, arrangement: Arrangement) -> tuple[Table, ...]:
    every = reference.of(arrangement)
    sound = [(one.door.variant.name, door_sheet_id(one.door.mark)) for one in every if one.is_sound]
    cannot = _why_not([one for one in every if one.why and one.meant])
    other = _why_not([JudgedVariant(one.door, one.why[:1]) for one in every if one.why and not one.meant])
    why = TableColumn("Variants", max_width_mm=120), TableColumn("Why", max_width_mm=200)
    found = (
        Table("Use", (TableColumn("When to use it", max_width_mm=320),), ((when_to_use(arrangement),),), name="use"),
        Table("Serves", (TableColumn("Variant", max_width_mm=110), TableColumn("Sheet")), tuple(sound), name="serves"),
        Table("Cannot be wired so, and why", why, cannot, name="cannot"),
        Table("Meant for another kind of door", why, other, name="other"),
    )  # fmt: skip
    return tuple(table for table in found if table.rows)


def _why_not(judged: Sequence[JudgedVariant]) -> tuple[tuple[str, str], ...]:
    """Variants that one reason rules out, in a row; all of a lock together under its name."""
    ruled_out = grouped((" ".join(map(sentence, one.why)), one.door.variant) for one in judged)
    return tuple(("; ".join(_names(some)), why) for why, some in ruled_out.items())


def _names(some: Sequence[DoorVariant]) -> Iterator[str]:
    for lock in LOCKS:
        mine = [one for one in some if one.lock == lock]
        others = [one.beside.name or USUAL for one in variants() if one.lock == lock and one not in mine]
        if len(mine) > 1 and len(others) < len(mine):
            left = f" but {', '.join(others)}" if others else ""
            yield f"{lock.name}: all{left}"
        else:
            yield from (one.name for one in mine)


def _title(reference: ReferenceSet, sheet_id: str, title: str, sheet: str = "") -> TitleBlock:
    block = set_title(reference.checked.design.site, sheet_id, title, KIND, sheet=sheet)
    return replace(block, document_type=KIND, approved_by="nobody")


def _text_sheets(
    reference: ReferenceSet,
    sheet_id: str,
    title: str,
    tables: Sequence[Table],
    info: DrawingInfo,
    marks: Sequence[str] = (),
) -> Iterator[SheetJob]:
    site = reference.checked.design.site
    frames = set_frames(
        site, sheet_sizes_of(site.info), _title(reference, sheet_id, title), caution=f"{HEADING}. {CAUTION}"
    )
    frame, pages = table_pages(tables, frames)
    for number, page in enumerate(pages):
        page_id = f"{sheet_id}-{number + 1}" if number else sheet_id
        block = _title(reference, page_id, title, f"{number + 1} of {len(pages)}")
        draw = partial(_draw_text, reference, replace(frame, title=block), page, info)
        yield SheetJob(page_id, title, draw, marks=tuple(marks), kind="typical")


def _draw_text(reference: ReferenceSet, frame: SheetFrame, page: Sequence[PlacedTable], info: DrawingInfo) -> Canvas:
    canvas = sheet_canvas(reference.checked.design.site, frame, info)
    frame.draw(canvas)
    draw_tables(canvas, page)
    return canvas


def _door_sheets(
    reference: ReferenceSet, door: DoorDesign, test: DoorTest, faults: Sequence[str], info: DrawingInfo
) -> Iterator[SheetJob]:
    design = reference.checked.design
    title = f"{door.wiring.chosen.title if door.wiring.chosen else ''}: {door.opening.name}"
    first = door_sheet_id(door.mark)
    frames = tuple(replace(frame, title=_title(reference, first, title)) for frame in door_frames(design.site, door))
    contents = _contents(reference, design, door, test, faults)
    pages = compose_pages(frames, contents, f"{first}-2")
    for number, page in enumerate(pages):
        page_id = f"{first}-{number + 1}" if number else first
        block = _title(reference, page_id, title, f"{number + 1} of {len(pages)}")
        placed = replace(page, frame=replace(page.frame, title=block))
        draw = _drawn(design, door, placed, info)
        yield SheetJob(page_id, title, draw, marks=(door.mark,), kind="door", subject=door.mark)


def _drawn(design: Design, door: DoorDesign, page: Composed, info: DrawingInfo) -> Callable[[], Canvas]:
    return partial(draw_page, design, door, page, info)


def _contents(
    reference: ReferenceSet, design: Design, door: DoorDesign, test: DoorTest, faults: Sequence[str]
) -> Contents:
    mine = [f for f in at_openings(reference.checked.findings) if f.subject == door.mark]
    contents = door_contents(design, door, mine, test)
    blocks = tuple(block for block in contents.blocks if block.name not in _LEFT_OUT)
    said = tuple(_said(reference, design, door, faults))
    return replace(contents, banner=Banner(HEADING, CAUTION), blocks=(*said, *blocks))


def _said(reference: ReferenceSet, design: Design, door: DoorDesign, faults: Sequence[str]) -> Iterator[DoorBlock]:
    subject, chosen = f"opening:{door.mark}", door.wiring.chosen
    if chosen is None:
        raise SheetError(f"{door.mark} has no wiring")
    arrangement = next(one for one in reference.arrangements if one.name == chosen.arrangement)
    controller = design.site.part[door.opening.controller]
    limits = tuple(part_limits(controller)) if isinstance(controller, Controller) else ()
    told = (
        ("use", "When to use it", (when_to_use(arrangement),)),
        ("needs", "What it needs", tuple(needs(chosen))),
        ("decides", "The numbers that decide", (*deciding_numbers(chosen), *limits)),
        (
            "confirm",
            "To be confirmed at the door",
            tuple(dict.fromkeys(to_confirm(door.mark, reference.checked.findings))),
        ),
        ("faults", "Faults worth knowing", tuple(faults)),
    )
    for name, title, paragraphs in told:
        if paragraphs:
            yield from note_blocks(name, f"{subject}/{name}", title, paragraphs)
