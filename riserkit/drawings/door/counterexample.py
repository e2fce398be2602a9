"""A door's counterexample: its wiring again, with the conductors at fault and the way of the lock's current marked."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.blocks import Block, note_block, table_block
from riserkit.drawings.door.detail import door_frames, door_sheet_id, draw_composed
from riserkit.drawings.door.notes import READING, cautions
from riserkit.drawings.door.proof import drawn_failing
from riserkit.drawings.door.sheet import Contents, compose
from riserkit.drawings.door.tables import TableText
from riserkit.drawings.drafting.canvas import Canvas
from riserkit.drawings.drafting.errors import DrawingError
from riserkit.drawings.drafting.frames import SheetOptions
from riserkit.drawings.drafting.table import Column
from riserkit.drawings.wiring.marks import Marks
from riserkit.proofs.telling import CAUTION
from riserkit.proofs.values import Counterexample, Property
from riserkit.units import format_value

_WIDTHS_MM: Final = (150.0, 120.0, 106.0, 98.0, 88.0)
_TALL_MM: Final = 240.0


def counterexample_sheet_id(mark: str) -> str:
    """The sheet's identification, as that of the door's sheet.

    Examples:
        >>> counterexample_sheet_id("101A")
        'T-521-101A'
    """
    return f"T-521-{door_sheet_id(mark).removeprefix('T-501-')}"


def counterexample_title(mark: str) -> str:
    """What the sheet is called."""
    return f"Door {mark}: counterexample"


def marks_of(example: Counterexample) -> Marks:
    """What of a case stands out in the wiring."""
    return Marks(frozenset(example.affected), frozenset(example.path))


def draw_counterexample(design: Design, door: DoorDesign, options: SheetOptions | None = None) -> Canvas:
    """Draw the gravest failing of one door on the smallest sheet that holds it.

    Raises:
        DrawingError: the door has no failing that can be drawn.
        SheetError: the largest sheet cannot hold it.
    """
    asked, one, netlist = options or SheetOptions(), drawn_failing(door), door.wiring.netlist
    if one is None or one.counterexample is None or netlist is None:
        raise DrawingError(f"door {door.mark} has no counterexample; draw its door detail alone")
    sheet_id, example, units = counterexample_sheet_id(door.mark), one.counterexample, design.site.info.unit_system
    frames = tuple(
        replace(f, title=replace(f.title, number=sheet_id, title=counterexample_title(door.mark),
                                 sheet="T-521", document_type=f"Counterexample, {design.site.info.status}"))
        for f in door_frames(design.site, door)
    )  # fmt: skip
    banner = (f"FAILS: {one.name}", one.words)
    subject = f"opening:{door.mark}"
    blocks = _blocks(design, netlist, one, example, subject)
    composed = compose(frames, Contents(netlist, None, (), units, banner, blocks))
    info = asked.drawing_info(design.site)
    canvas = Canvas(sheet_id, composed.frame.size, info)
    draw_composed(canvas, composed, banner, subject, marks_of(example))
    return canvas


def _blocks(
    design: Design, netlist: Netlist, one: Property, example: Counterexample, subject: str
) -> tuple[Block, ...]:
    marked = table_block("marked", f"{subject}/table/marked", _marked(netlist, example), _WIDTHS_MM, _TALL_MM)
    return (
        note_block("case", f"{subject}/case", "The case", _case(one, example)),
        note_block("key", f"{subject}/key", "How to read it", _key(example)),
        *((marked,) if example.affected or example.path else ()),
        note_block("cautions", f"{subject}/cautions", "CAUTION", (CAUTION, *cautions(design)), boxed=True),
    )


def _case(one: Property, example: Counterexample) -> tuple[str, ...]:
    said = f"{example.words[:1].upper()}{example.words[1:]}."
    volts = f"The coil of {example.lock} then has {format_value(abs(example.coil_v), 'V')}."
    size = f"{one.failing} of {one.cases} cases fail; this is the plainest." if one.cases else ""
    cure = f"A way out: {one.cure}" if one.cure else ""
    return tuple(filter(None, (said, volts, size, cure)))


def _key(example: Counterexample) -> tuple[str, ...]:
    acts = any(fault.kind in {"cut", "joined", "fed"} for fault in example.faults)
    faulted = f"Heaviest line, cross and letter F: {'handled from the unsecured side' if acts else 'at fault'}."
    none = (
        "No conductor is at fault."
        if not example.faults
        else "No conductor itself is at fault; the case names what is."
    )
    path = "Heavy line: the conductors that carry the lock's current, there and back."
    dead = f"No current flows through {example.lock}."
    return (faulted if example.affected else none, path if example.path else dead, *READING)


def _marked(netlist: Netlist, example: Counterexample) -> TableText:
    rows = []
    for c in netlist.conductors:
        words = [w for w, refs in (("F", example.affected), ("current", example.path)) if c.ref in refs]
        if words:
            ends = f"{c.a.component} {c.a.terminal}", f"{c.b.component} {c.b.terminal}"
            rows.append((c.ref, *ends, c.cable or "lead", c.colour, ", ".join(words)))
    columns = tuple(Column(name) for name in ("No.", "From", "To", "Cable", "Colour", "Marked"))
    return TableText("Marked conductors", columns, tuple(rows))
