"""A sheet that the set has no more stays in the folder, with VOID across it, so that no crew takes it for valid."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from riserkit.drawings.dxf import document, layers, marks
from riserkit.drawings.dxf.aspects import aspects_of, fingerprint_of
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import UNWORKABLE, DrawingError, why_unworkable
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.record import content_of, write_record
from riserkit.drawings.dxf.title_block import TITLE_BLOCK_NAME
from riserkit.drawings.edits.into import own_notes, settled
from riserkit.drawings.edits.questions import renew_signs
from riserkit.drawings.edits.survey import Survey, open_sheet, our_paper, survey
from riserkit.drawings.edits.values import Note, SheetMerge
from riserkit.standards.sheets import PaperSize

VOID_WORDS: Final = "VOID: no longer part of the set, do not build from it"
VOID: Final = "VOID"
_APPROVED_BY: Final = "APPROVED_BY"
_ACROSS: Final = 0.2
"""Height of the word over the shorter side of the sheet."""
_NOTE_MM: Final = 7.0


def draw_void(before: Path, sheet_id: str, after: Path) -> SheetMerge:
    """Write VOID across a sheet; all else stays as it is, a drafter's work too.

    Args:
        before: the drawing; it is only read.
        sheet_id: name of its layout.
        after: takes the result, whole or not at all.

    Raises:
        DrawingError: it cannot be read, or the result not written.
    """
    try:
        found = _surveyed(before, sheet_id)
        edited = [
            Note("edited", e.drawn.model_id, "an edit on it is kept") for e in found.earlier if e.state == "edited"
        ]
        notes = [*edited, *own_notes(found)]
        _draw(found, sheet_id)
        content = settled(found.doc)
    except UNWORKABLE as error:
        raise DrawingError(why_unworkable(before, "marked VOID", error)) from error
    document.write_whole(after, content)
    merge = SheetMerge(before.name, kept=len(found.copies) + len(found.own) + len(edited), notes=tuple(notes))
    text = "no longer part of the set: kept, with VOID across it"
    if merge.has_hand_work:
        text += "; carry the hand edits over where they still matter, then delete the file"
    note = Note("void", sheet_id, text, merge.has_hand_work)
    return SheetMerge(merge.sheet, kept=merge.kept, notes=(note, *merge.notes))


def _surveyed(path: Path, sheet_id: str) -> Survey:
    try:
        return survey(path, sheet_id)
    except DrawingError:
        # stripped of its marks: nothing of it is known, and VOID it is all the same
        doc, repairs = open_sheet(path)
        return Survey(doc, our_paper(doc, sheet_id), None, (), {}, {}, (), (), repairs=repairs)


def _draw(found: Survey, sheet_id: str) -> None:
    layers.set_up_layers(found.doc)
    document.set_up_styles(found.doc)
    width, height = float(found.paper.dxf.paper_width), float(found.paper.dxf.paper_height)
    canvas = Canvas(sheet_id, PaperSize(VOID, "", width, height))
    angle = math.degrees(math.atan2(height, width))
    high = _ACROSS * min(width, height)
    middle, along = (width / 2, height / 2), (math.cos(math.radians(angle)), math.sin(math.radians(angle)))

    def off(right: float, up: float) -> Point:
        return middle[0] + right * along[0] - up * along[1], middle[1] + right * along[1] + up * along[0]

    with canvas.paper(), canvas.subject(f"void:{sheet_id}"):
        word = canvas.text(VOID, middle, high, "middle", layers.VOID, angle)
        canvas.text(VOID_WORDS, off(0, -high), _NOTE_MM, "middle", layers.VOID, angle)
        half = math.hypot(word.width, word.height) / 2 + high / 4
        for side in (1, -1):
            canvas.line(off(side * half, 0), off(side * math.hypot(width, height) * 0.46, 0), Pen(layers.VOID, 2.0))
    renew_signs(found, canvas)
    spaces = (found.doc.modelspace(), found.paper)
    blocks = [block for space in spaces for block in space.query(f'INSERT[name=="{TITLE_BLOCK_NAME}"]')]
    for block in blocks:
        _take_approval(block)
    if found.record is not None:
        now = {mark.key: (mark.fingerprint, content_of(b)) for b in blocks if (mark := marks.read_mark(b)) is not None}
        drawn = ((d, *now.get(d.key, (d.fingerprint, d.content))) for d in found.record.drawn)
        entries = tuple(d._replace(fingerprint=fingerprint, content=content) for d, fingerprint, content in drawn)
        write_record(found.doc, replace(found.record, drawn=entries))


def _take_approval(block: Any) -> None:
    """Nobody has approved it. Mark and record say that this is as drawn: no later build takes it for a hand edit."""
    attrib = block.get_attrib(_APPROVED_BY)
    if attrib is None:
        return
    attrib.dxf.text = VOID
    mark = marks.read_mark(block)
    if mark is not None:
        now = dict(aspects_of(block).words)
        words = tuple((tag, now[tag] if tag == _APPROVED_BY else digest) for tag, digest in mark.drawn.words)
        drawn = mark.drawn._replace(words=words)
        marks.set_mark(block, mark._replace(fingerprint=fingerprint_of(drawn), drawn=drawn))
