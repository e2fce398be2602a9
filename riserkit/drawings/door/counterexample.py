"""A door's counterexample: its wiring again, with the conductors at fault and the way of the lock's current marked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.blocks import DoorBlock, note_block, table_block
from riserkit.drawings.door.detail import door_frames, draw_composed
from riserkit.drawings.door.devices import labelled
from riserkit.drawings.door.faulted import from_outside, marked_table, marks_of
from riserkit.drawings.door.notes import READING, cautions
from riserkit.drawings.door.pages import MOST_TRACED
from riserkit.drawings.door.sheet import Composed, Contents, compose
from riserkit.drawings.door.wiring_parts import part
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import DrawingError, SheetError
from riserkit.drawings.setting.frames import sheet_canvas, status_words
from riserkit.drawings.setting.sheet import SheetFrame
from riserkit.drawings.wiring.marks import Marks
from riserkit.findings import Finding
from riserkit.holds import Banner, Hold, drawn_failing, heading_of, hold_of
from riserkit.proofs.sentences import lock_words
from riserkit.proofs.values import Counterexample, Property
from riserkit.quantities.printed import upper_first
from riserkit.standards.sheets import door_sheet_id, failure_sheet_id

_WIDTHS_MM: Final = (150.0, 120.0, 106.0, 98.0, 88.0)
_TALL_MM: Final = 240.0


def counterexample_title(mark: str) -> str:
    """What the sheet is called."""
    return f"Door {mark}: failure diagram"


def draw_counterexample(
    design: Design, door: DoorDesign, info: DrawingInfo = NO_INFO, findings: Sequence[Finding] = ()
) -> Canvas:
    """Draw the gravest failing of one door on the smallest sheet that holds it.

    Wiring that no sheet can hold is drawn no further than the case goes.

    Args:
        design: the whole design.
        door: the opening, one of `design.doors`.
        info: see there.
        findings: all, or those of this opening: they say whether it is on HOLD.

    Raises:
        DrawingError: the door has no failing that can be drawn.
        SheetError: the largest sheet cannot hold even the conductors of the case.
    """
    one, netlist = drawn_failing(door), door.wiring.netlist
    if one is None or one.counterexample is None or netlist is None:
        raise DrawingError(f"door {door.mark} has no counterexample; draw its door detail alone")
    sheet_id, example, units = failure_sheet_id(door.mark), one.counterexample, design.site.info.unit_system
    frames = tuple(
        replace(f, title=replace(f.title, number=sheet_id, title=counterexample_title(door.mark),
                                 sheet="1 of 1", document_type=f"Failure diagram, {status_words(design.site)}"))
        for f in door_frames(design.site, door)
    )  # fmt: skip
    banner = _banner(heading_of(design), one, example, hold_of(door, findings))
    subject = f"opening:{door.mark}"
    blocks = _blocks(design, netlist, one, example, door.mark)
    marks = marks_of(netlist, one, example)
    contents = Contents(labelled(design, door, netlist), None, (), units, banner, blocks)
    composed = _composed(frames, contents, marks, door.mark)
    canvas = sheet_canvas(design.site, composed.frame, info)
    draw_composed(canvas, composed, subject, marks)
    return canvas


def _composed(frames: Sequence[SheetFrame], contents: Contents, marks: Marks, mark: str) -> Composed:
    """The whole wiring where a sheet holds it, else what the case is about."""
    netlist = contents.netlist
    if netlist is None or len(netlist.conductors) <= MOST_TRACED:
        with suppress(SheetError):
            return compose(frames, contents)
    if netlist is None:
        raise SheetError(f"no sheet can hold the counterexample of door {mark}, which has no wiring")
    concerned = [c for c in netlist.conductors if c.ref in marks.faulted or c.ref in marks.path]
    concerned = concerned or [c for c in netlist.conductors if {c.a.component, c.b.component} & marks.devices]
    text = f"Only the conductors of the fault case are drawn here; sheet {door_sheet_id(mark)} and those after it show them all."
    note = note_block("part", f"opening:{mark}/part", "Part of the wiring", (text,))
    return compose(frames, replace(contents, netlist=part(netlist, concerned), blocks=(note, *contents.blocks)))


def _banner(heading: str, one: Property, example: Counterexample, hold: Hold | None) -> Banner:
    """What fails, and the case against it, so that it is read first. An act from outside is told once."""
    case = "" if from_outside(one) else f" Fault case: {example.words}."
    first = f"FAILS: {one.name}"
    return Banner(f"{heading}. {first}" if hold else first, f"{one.words}{case}", hold is not None)


def _blocks(
    design: Design, netlist: Netlist, one: Property, example: Counterexample, mark: str
) -> tuple[DoorBlock, ...]:
    subject = f"opening:{mark}"
    text = marked_table(netlist, one, example)
    marked = table_block("marked", f"{subject}/table/marked", text, _WIDTHS_MM, _TALL_MM)
    return (
        note_block("case", f"{subject}/case", "The case", _case(one, example, mark)),
        note_block("key", f"{subject}/key", "How to read it", tuple(_key(netlist, one, example))),
        *((marked,) if text.rows else ()),
        note_block("cautions", f"{subject}/cautions", "CAUTION", cautions(design), boxed=True),
    )


def _case(one: Property, example: Counterexample, mark: str) -> tuple[str, ...]:
    said = f"{upper_first(example.words)}."
    volts = lock_words(example)
    way = f"The lock's current runs {example.current}." if example.current else ""
    size = f"{one.failing} of {one.cases} cases fail; the simplest is drawn." if one.cases else ""
    if from_outside(one):
        size = f"{one.cases} attacks from the unsecured side were tried; none with fewer acts releases the lock."
    cure = f"Remedy: {one.cure}" if one.cure else f"For remedies see the findings on sheet {door_sheet_id(mark)}."
    return tuple(filter(None, (said, volts, way, size, cure)))


def _key(netlist: Netlist, one: Property, example: Counterexample) -> Iterator[str]:
    marks, outside = marks_of(netlist, one, example), from_outside(one)
    signs = marks.faulted.values()
    if any(sign.broken for sign in signs):
        yield f"Heaviest line with a cross: {'opened' if outside else 'broken'} there, as the word says (or the letter F)."
    if any(not sign.broken for sign in signs):
        yield "Heaviest line with a dot: joined there to what the word says (or the letter F, see the table)."
    if marks.devices:
        yield f"Heaviest outline: the device at fault, {', '.join(sorted(marks.devices))}."
    if not (signs or marks.devices):
        yield (
            "No fault is needed: the healthy circuit fails."
            if not example.faults
            else "The fault case names the fault."
        )
    if example.path:
        yield "Heavy line with arrows: the conductors that carry the lock's current, from plus to minus."
    else:
        yield f"No current flows through {example.lock}."
    yield from READING
