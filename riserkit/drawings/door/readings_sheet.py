"""The readings of a door on a sheet of their own, where they would make its detail half an empty sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.blocks import DoorBlock, long_table_block, note_block
from riserkit.drawings.door.notes import cautions
from riserkit.drawings.door.readings import METER_CAUTIONS, DoorTest, readings_table
from riserkit.drawings.door.sheet import EDGE_MM, GAP_MM, Composed, Contents, banner_height_mm, compose
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.holds import Banner
from riserkit.model.site import Site

READINGS_TITLE: Final = "expected readings"
_MOST_READINGS: Final = 24
"""With more of them, and more conductors than the least below, one sheet of the second size holds no detail."""
_CONDUCTORS: Final = range(16, 26)
"""With these the second size holds the detail without its readings; with more it does not, and the third holds both."""
_MOST_MM: Final = 270.0


def has_readings_sheet(door: DoorDesign, test: DoorTest) -> bool:
    """Whether the readings go on a sheet of their own. Told by counts, so that nothing need be laid out to know."""
    netlist = door.wiring.netlist
    return netlist is not None and len(netlist.conductors) in _CONDUCTORS and len(test.readings) > _MOST_READINGS


def compose_readings(
    design: Design, door: DoorDesign, test: DoorTest, banner: Banner | None, frames: Sequence[SheetFrame]
) -> Composed:
    """The readings on the first sheet that holds them, in columns, with what to know of them and all cautions.

    Raises:
        SheetError: not even the largest sheet does.
    """
    subject = f"opening:{door.mark}"
    said = (
        note_block("cautions", f"{subject}/cautions", "CAUTION", cautions(design), boxed=True),
        note_block("notes", f"{subject}/notes", "Notes", (*METER_CAUTIONS, *test.notes)),
    )
    for frame in frames:
        for parts in _cut(frame, subject, test, banner):
            with suppress(SheetError):
                return compose((frame,), _contents(design.site, banner, (*parts, *said)))
    raise SheetError(f"the largest sheet, {frames[-1].size.name}, cannot hold the readings of this door")


def _cut(frame: SheetFrame, subject: str, test: DoorTest, banner: Banner | None) -> Iterator[tuple[DoorBlock, ...]]:
    """The table whole beside nothing but the title block's height, else in two columns, else wide in parts."""
    inner = frame.frame.inset(EDGE_MM)
    height_mm = inner.height - (banner_height_mm(banner, inner.width) + GAP_MM if banner else 0.0)
    above_mm = height_mm - frame.corner.height - GAP_MM
    half_mm = (inner.width - GAP_MM) / 2 - 0.5

    def parts(width_mm: float, first_mm: float) -> tuple[DoorBlock, ...]:
        table = readings_table(test)
        return long_table_block("readings", f"{subject}/table/readings", table, width_mm, above_mm, first_mm)

    with suppress(SheetError):
        wide = parts(_MOST_MM, above_mm)
        if len(wide) == 1:
            yield wide
        yield parts(half_mm, height_mm)
        yield wide


def _contents(site: Site, banner: Banner | None, blocks: tuple[DoorBlock, ...]) -> Contents:
    return Contents(None, None, (), site.info.unit_system, banner, blocks)
