"""Blocks of a door's sheet: tables and paragraphs, each in one or more forms to choose from when they are packed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import chain, repeat
from typing import Final

from riserkit.drawings.door.tables import TEXT_MM
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import block_height_mm, text_width_mm, wrap
from riserkit.drawings.setting.table import Table, lay_out

HEADING_MM: Final = 3.5
_PAD_MM: Final = 2.0
_SLACK: Final = 0.92
TALL_MM: Final = 240.0
"""Height of the parts of a table that is cut, where the sheet has room for it."""
_NOTE_WIDTHS_MM: Final = (120.0, 90.0, 176.0, 64.0, 240.0)


@dataclass(frozen=True)
class Form:
    """One way to draw a block: its size, and a function that draws it with its upper left corner at a point."""

    width_mm: float
    height_mm: float
    draw: Callable[[Canvas, Point], object]


Recut = Callable[[Sequence[float]], "tuple[Form, ...] | None"]
"""Cuts a table anew into parts no higher than these, in their order; None where its rows do not go into them."""


@dataclass(frozen=True)
class DoorBlock:
    """A block with its forms, the preferred one first. `subject` is the id that its entities carry.

    `recut`: of a part of a table, what cuts the table for other heights; its parts share it.
    """

    name: str
    subject: str
    forms: tuple[Form, ...]
    recut: Recut | None = None


@dataclass(frozen=True, slots=True)
class BlockRoom:
    """What a sheet has free for one block alone: left of its title block down to the frame, and wider above it.

    Args:
        beside_mm: width left of the title block.
        high_mm: height there.
        above_mm: height above the title block.
    """

    beside_mm: float
    high_mm: float
    above_mm: float

    def height_mm(self, width_mm: float, most_mm: float = TALL_MM) -> float:
        """Of a block of this width, no higher than asked."""
        return min(most_mm, self.high_mm if width_mm <= self.beside_mm else self.above_mm)


AMPLE: Final = BlockRoom(math.inf, math.inf, math.inf)
"""The room of a large sheet, which holds every block as high as it may be."""


def table_block(
    name: str, subject: str, table: Table, widths_mm: Sequence[float], most_mm: float, room: BlockRoom = AMPLE
) -> DoorBlock:
    """A table in each of these greatest widths that its columns can take, no higher than asked and than the room."""
    forms: dict[tuple[float, float], Form] = {}
    for width in widths_mm:
        try:
            found = lay_out(table, width_mm=width, text_mm=TEXT_MM)
        except SheetError:
            continue
        size = (round(found.width_mm, 3), round(found.height_mm, 3))
        if size[1] <= room.height_mm(size[0], most_mm):
            forms.setdefault(size, Form(*size, found.draw))
    return DoorBlock(name, subject, tuple(forms.values()))


def table_blocks(
    name: str,
    subject: str,
    table: Table,
    widths_mm: Sequence[float],
    room: BlockRoom = AMPLE,
    most_mm: float = TALL_MM,
) -> tuple[DoorBlock, ...]:
    """A table as one block where it is no higher than asked and than the room, else cut into parts that are."""
    whole = table_block(name, subject, table, widths_mm, most_mm, room)
    if whole.forms:
        return (whole,)
    *narrow, widest = sorted(widths_mm)
    for width in narrow:
        # cut into parts as narrow as its columns can be
        with suppress(SheetError):
            return long_table_block(name, subject, table, width, room.height_mm(width))
    return long_table_block(name, subject, table, widest, room.height_mm(widest))


def long_table_block(
    name: str, subject: str, table: Table, width_mm: float, room_mm: float, first_mm: float | None = None
) -> tuple[DoorBlock, ...]:
    """A table cut into parts no higher than the room, the first no higher than its own where it has one."""
    heights_mm = chain([room_mm if first_mm is None else first_mm], repeat(room_mm))
    forms = tuple(_parts(table, width_mm, heights_mm))

    def recut(heights_mm: Sequence[float]) -> tuple[Form, ...] | None:
        with suppress(SheetError):
            found = tuple(_parts(table, width_mm, heights_mm))
            return found if len(found) == len(heights_mm) else None
        return None

    return tuple(DoorBlock(name, subject, (form,), recut if len(forms) > 1 else None) for form in forms)


def _parts(table: Table, width_mm: float, heights_mm: Iterable[float]) -> Iterator[Form]:
    """A table cut into parts no higher than each of these heights.

    Raises:
        SheetError: a row is higher than its part may be, or there are more rows than heights.
    """
    rest, heights = table, iter(heights_mm)
    while rest.rows:
        most_mm = next(heights, 0.0)
        part = lay_out(rest, width_mm=width_mm, height_mm=most_mm, text_mm=TEXT_MM)
        if not part.rows:
            raise SheetError(f"the table {table.title!r} has a row higher than {most_mm:.0f} mm")
        yield Form(part.width_mm, part.height_mm, part.draw)
        rest = rest.after(len(part.rows), f"{table.title}, continued")


def note_block(name: str, subject: str, title: str, paragraphs: Sequence[str], *, boxed: bool = False) -> DoorBlock:
    """Numbered paragraphs under a heading, in several widths."""
    numbered = [f"{n}. {p}" for n, p in enumerate(paragraphs, 1)] if len(paragraphs) > 1 else list(paragraphs)
    return DoorBlock(name, subject, tuple(_note_form(title, numbered, width, boxed=boxed) for width in _NOTE_WIDTHS_MM))


def note_blocks(
    name: str, subject: str, title: str, paragraphs: Sequence[str], room: BlockRoom = AMPLE
) -> tuple[DoorBlock, ...]:
    """Numbered paragraphs as one block, cut into several where they are too many for one."""
    whole = note_block(name, subject, title, paragraphs)
    if any(form.height_mm <= room.height_mm(form.width_mm) for form in whole.forms):
        return (whole,)
    return tuple(_note_parts(name, subject, title, [f"{n}. {p}" for n, p in enumerate(paragraphs, 1)], room))


def _note_parts(name: str, subject: str, title: str, left: Sequence[str], room: BlockRoom) -> Iterator[DoorBlock]:
    width_mm = max(_NOTE_WIDTHS_MM)
    most_mm = room.height_mm(width_mm)
    while left:
        count = 1
        while count < len(left) and _note_form(title, left[: count + 1], width_mm, boxed=False).height_mm <= most_mm:
            count += 1
        yield DoorBlock(name, subject, tuple(_note_form(title, left[:count], w, boxed=False) for w in _NOTE_WIDTHS_MM))
        title, left = f"{title.removesuffix(', continued')}, continued", left[count:]


def _note_form(title: str, paragraphs: Sequence[str], width_mm: float, *, boxed: bool) -> Form:
    """Paragraphs under a heading, as wide as asked, or as the heading needs where that is more."""
    width_mm = max(width_mm, round(text_width_mm(title, HEADING_MM) + 2 * _PAD_MM, 3))
    inner = (width_mm - 2 * _PAD_MM) * _SLACK
    lines = [line for p in paragraphs for line in wrap(p, inner, TEXT_MM)]
    height = 2 * _PAD_MM + 1.9 * HEADING_MM + block_height_mm(len(lines), TEXT_MM) + 0.3 * TEXT_MM

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        if boxed:
            canvas.rect(Rect(x, y - height, x + width_mm, y), Pen(layers.NOTE, 0.50))
        canvas.text(title, (x + _PAD_MM, y - _PAD_MM - HEADING_MM), HEADING_MM, "left", layers.NOTE)
        top = (x + _PAD_MM, y - _PAD_MM - 1.9 * HEADING_MM)
        canvas.paragraph("\n".join(lines), top, width_mm - 2 * _PAD_MM, TEXT_MM, layers.NOTE)

    return Form(width_mm, height, draw)
