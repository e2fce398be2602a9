"""A detail on as many sheets as it needs: wiring, elevation and cautions first, then tables, in the room that is left.

Nothing is made smaller to fit; what a sheet cannot hold goes on to the next.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.door.blocks import DoorBlock, note_block
from riserkit.drawings.door.sheet import Composed, Contents, compose, topped_up
from riserkit.drawings.door.wiring_parts import wiring_parts
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.setting.sheet import SheetFrame

MOST_CONDUCTORS: Final = 40
MOST_DEVICES: Final = 14
MOST_LETTERS: Final = 9000
MOST_TRACED: Final = 60
"""Conductors in one diagram: nobody traces more, and the search for their lanes would take minutes."""
_WITH_WIRING: Final = ("cautions", "notes", "proof")


def surely_fits(netlist: Netlist | None, letters: int) -> bool:
    """Whether a detail is so small that the largest sheet holds it beyond doubt: nothing need be laid out to know.

    Args:
        netlist: what is drawn; None when there is no wiring.
        letters: of all that is said of it in sentences.
    """
    conductors, devices = (len(netlist.conductors), len(netlist.components)) if netlist else (0, 0)
    return conductors <= MOST_CONDUCTORS and devices <= MOST_DEVICES and letters <= MOST_LETTERS


def compose_pages(frames: Sequence[SheetFrame], contents: Contents, continued: str) -> tuple[Composed, ...]:
    """Everything on one sheet where one holds it, else on as many as it takes.

    Args:
        frames: of the sizes that its sheets may have, the one asked for first.
        contents: all that is to be drawn.
        continued: the identification of the second sheet, for the pointer to it.

    Raises:
        SheetError: a single table, or the wiring of a single conductor, is larger than the largest sheet.
    """
    if contents.netlist is None or len(contents.netlist.conductors) <= MOST_TRACED:
        with suppress(SheetError):
            return (compose(frames, contents),)
    return tuple(_pages(frames, contents, _pointer(contents, continued)))


def _pages(frames: Sequence[SheetFrame], contents: Contents, pointer: DoorBlock) -> Iterator[Composed]:
    beside = [b for b in contents.blocks if b.name in _WITH_WIRING]
    cautions = [b for b in beside if b.name == "cautions"]
    least = replace(contents, shape=None, devices=(), blocks=(pointer, *cautions))
    parts = _parts(frames, contents, least)
    titles = [f"Wiring, part {n} of {len(parts)}" if len(parts) > 1 else "Wiring" for n in range(1, len(parts) + 1)]
    rest, after = [b for b in contents.blocks if b not in beside], replace(least, netlist=None)
    head = replace(contents, netlist=parts[0], wiring_title=titles[0], blocks=(pointer, *beside))
    try:
        first = compose(frames, head)
    except SheetError:
        first = compose(frames, replace(least, netlist=parts[0], wiring_title=titles[0]))
        after = replace(after, shape=contents.shape, devices=contents.devices)
        rest = [*(b for b in beside if b not in cautions), *rest]
    wired = [
        replace(least, netlist=n, wiring_title=t, blocks=tuple(cautions)) for n, t in zip(parts, titles, strict=True)
    ]
    for page in (first, *(compose(frames, part) for part in wired[1:])):
        full, taken = topped_up(page, rest)
        rest = [b for b in rest if b not in taken]
        yield full
    yield from _filled((first.frame, frames[-1]), after, rest)


def _parts(frames: Sequence[SheetFrame], contents: Contents, least: Contents) -> tuple[Netlist | None, ...]:
    """The wiring in parts that the largest sheet holds, each with the banner, the cautions and the pointer."""

    def fits(netlist: Netlist) -> bool:
        if len(netlist.conductors) <= MOST_TRACED:
            with suppress(SheetError):
                return bool(compose(frames, replace(least, netlist=netlist)))
        return False

    return (None,) if contents.netlist is None else wiring_parts(contents.netlist, fits)


def _filled(frames: Sequence[SheetFrame], base: Contents, blocks: Sequence[DoorBlock]) -> Iterator[Composed]:
    """Sheets of blocks, as many on each as it holds; the elevation, if it is still to be drawn, on the first."""
    waiting = list(blocks)
    while waiting or base.shape is not None:
        composed, taken = _fullest(frames, base, waiting)
        if composed is None:
            raise SheetError(f"the largest sheet, {frames[-1].size.name}, cannot hold {_names(waiting)} of this detail")
        yield composed
        waiting = [b for b in waiting if b not in taken]
        base = replace(base, shape=None, devices=())


def _fullest(
    frames: Sequence[SheetFrame], base: Contents, waiting: Sequence[DoorBlock]
) -> tuple[Composed | None, tuple[DoorBlock, ...]]:
    """The first of the frames that takes anything, with all that it takes."""
    for frame in frames:
        found, taken = None, ()  # type: tuple[Composed | None, tuple[DoorBlock, ...]]
        if base.shape is not None:
            with suppress(SheetError):
                found = compose((frame,), replace(base, blocks=()))
        for block in waiting:
            with suppress(SheetError):
                found = compose((frame,), replace(base, blocks=(*taken, block)))
                taken = (*taken, block)
        if found is not None:
            return found, taken
    return None, ()


def _names(blocks: Sequence[DoorBlock]) -> str:
    return blocks[0].name if blocks else "the elevation"


def _pointer(contents: Contents, continued: str) -> DoorBlock:
    subject = contents.blocks[0].subject.partition("/")[0] if contents.blocks else ""
    text = f"What one sheet cannot hold goes on: sheets {continued} and on have the rest of this detail."
    return note_block("continued", f"{subject}/continued", "Continued", (text,))
