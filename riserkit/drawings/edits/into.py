"""Draws a sheet into a drawing that is there and may have been edited by hand: nothing of the drafter's is lost.

What is ours and untouched follows the model. What was edited stays as it was left, what was deleted stays away, and
what a drafter drew or copied is not touched; each is told, and where the model has changed too, as a conflict.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing
from ezdxf.filemanagement import read

from riserkit.drawings.dxf import document
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.record import MODEL, Drawn, DrawnRecord, paper_print, read_record, told, write_record
from riserkit.drawings.edits.match import Earlier, Pair, match
from riserkit.drawings.edits.survey import Survey, own_definitions, survey
from riserkit.drawings.edits.transfer import (
    bring,
    bring_blocks,
    bring_groups,
    bring_paper,
    set_next_handle,
    set_order,
    set_view,
    take_out,
)
from riserkit.drawings.edits.values import Note, SheetMerge


def regenerate(before: Path, canvas: Canvas, after: Path) -> SheetMerge:
    """Draw a sheet into an edited drawing.

    Args:
        before: the drawing as the drafter left it; it is only read.
        canvas: the sheet as the model has it now.
        after: takes the result, whole or not at all.

    Returns:
        what was kept, replaced, added, removed, and a line for each thing of the drafter's.

    Raises:
        DrawingError: the drawing cannot be read, or the result not written.
    """
    found = survey(before, canvas.name)
    now = canvas.take_stock()
    pairs = match(found.earlier, now.drawn)
    size_as_drawn = found.record is not None and found.record.paper == paper_print(found.paper)
    notes = [*bring_blocks(found, canvas.doc, now.blocks), *_hand_notes(found, canvas, pairs)]
    standing = _follow(found, canvas, pairs)
    notes += bring_paper(found, canvas.doc.layouts.get(canvas.name), size_as_drawn)
    _enter(found, canvas, DrawnRecord(_drawn(pairs, standing), now.blocks, now.paper))
    document.write_whole(after, _settled(found.doc))
    return _merge(before.name, found, pairs, notes)


@dataclass(frozen=True, slots=True)
class Examined:
    """A sheet that the set has no more: whether it ever was ours, and what of it is a drafter's."""

    is_ours: bool
    merge: SheetMerge


def examine(before: Path, sheet_id: str) -> Examined:
    """Look for a drafter's work in a drawing that is not going to be drawn into.

    Raises:
        DrawingError: it cannot be read.
    """
    found = survey(before, sheet_id)
    edited = [Pair(old, None) for old in found.earlier if old.state == "edited"]
    notes = [_edited_note(found.entity[pair.earlier.drawn.handle], pair, None) for pair in edited if pair.earlier]
    notes += _own_notes(found)
    merge = SheetMerge(before.name, kept=len(found.copies) + len(found.own) + len(edited), notes=tuple(notes))
    return Examined(bool(found.earlier), merge)


def _follow(found: Survey, canvas: Canvas, pairs: Sequence[Pair]) -> dict[str, Any]:
    """Make what is ours as the model has it now; returns what stands for each thing drawn now, by its handle there."""
    source = {e.dxf.handle: e for layout in _layouts(canvas) for e in layout}
    standing: dict[str, Any] = {}
    wanted: list[tuple[Any, Any]] = []
    leaving: list[Any] = []
    for pair in pairs:
        old, new = pair.earlier, pair.now
        entity = found.entity.get(old.drawn.handle) if old else None
        if new is None:
            if old is not None and old.state == "intact":
                leaving.append(entity)
        elif old is None or (old.state == "intact" and not pair.is_same and new.kind != "VIEWPORT"):
            wanted.append((source[new.handle], found.doc.modelspace() if new.space == MODEL else found.paper))
            leaving += [entity] if old else []
        elif entity is not None:
            standing[new.handle] = entity
            if old.state == "intact" and not pair.is_same:
                set_view(entity, source[new.handle])
    take_out(found.doc, leaving)
    standing |= bring(canvas.doc, wanted, found.doc)
    bring_groups(canvas.doc, found.doc, standing)
    in_order = [standing[p.now.handle] for p in pairs if p.now and p.now.handle in standing]
    for layout in (found.doc.modelspace(), found.paper):
        set_order(layout, [e for e in in_order if e.dxf.owner == layout.layout_key])
    return standing


def _layouts(canvas: Canvas) -> tuple[Any, Any]:
    return canvas.doc.modelspace(), canvas.doc.layouts.get(canvas.name)


def _drawn(pairs: Sequence[Pair], standing: dict[str, Any]) -> tuple[Drawn, ...]:
    """The record to be: what was edited or deleted is kept as it was drawn, so that it is known again next time."""
    found = []
    for old, new in pairs:
        if old is not None and (old.state == "edited" or (old.state == "deleted" and new is not None)):
            found.append(old.drawn)
        elif new is not None:
            found.append(new._replace(handle=standing[new.handle].dxf.handle))
    return tuple(found)


def _enter(found: Survey, canvas: Canvas, record: DrawnRecord) -> None:
    document.set_up_styles(found.doc)
    for name in ("RISERKIT_SITE", "RISERKIT_DIGEST"):
        document.set_property(found.doc, name, canvas.doc.header.custom_vars.get(name) or "")
    write_record(found.doc, record)


def _settled(doc: Drawing) -> bytes:
    """The drawing as it stands once read back, so that drawing into it again gives the same bytes."""
    again = read(io.StringIO(document.to_bytes(doc).decode(doc.output_encoding, "dxfreplace")))
    record = read_record(again)
    set_next_handle(again, document.to_bytes(again), record.drawn if record else ())
    return document.to_bytes(again)


def _hand_notes(found: Survey, canvas: Canvas, pairs: Sequence[Pair]) -> list[Note]:
    source = {e.dxf.handle: e for layout in _layouts(canvas) for e in layout}
    notes = []
    for pair in pairs:
        old, new = pair.earlier, pair.now
        if old is None or old.state == "intact" or (old.state == "deleted" and new is None):
            continue
        drawn = source.get(new.handle) if new else None
        if old.state == "deleted":
            notes.append(_deleted_note(old, pair, drawn))
        else:
            notes.append(_edited_note(found.entity[old.drawn.handle], pair, drawn))
    return [*notes, *_own_notes(found)]


def _edited_note(entity: Any, pair: Pair, drawn: Any) -> Note:
    subject = pair.earlier.drawn.model_id if pair.earlier else ""
    if drawn is None:
        return Note("edited", subject, f"{told(entity)} kept as edited; no longer in the model", True)
    if pair.is_same:
        return Note("edited", subject, f"{told(entity)} kept as edited; riserkit draws {told(drawn)}")
    return Note("edited", subject, f"{told(entity)} kept as edited; the model now has {told(drawn)}", True)


def _deleted_note(old: Earlier, pair: Pair, drawn: Any) -> Note:
    text = f"{told(drawn)} stays deleted" + ("" if pair.is_same else "; the model has changed since")
    return Note("deleted", old.drawn.model_id, text, not pair.is_same)


def _own_notes(found: Survey) -> list[Note]:
    notes = []
    for entity in found.copies:
        mark = read_mark(entity)
        notes.append(Note("copy", mark.model_id if mark else "", f"{told(entity)}, copied by hand, is kept"))
    notes += [Note("own", "", f"{told(entity)}, drawn by hand, is kept") for entity in found.own]
    notes += [Note("definition", "", f"the {name}, defined by hand, is kept") for name in own_definitions(found)]
    notes += [Note("repaired", "", f"repaired on reading: {text}") for text in found.repairs]
    if found.record is None:
        notes.append(Note("repaired", "", "no record of what riserkit drew: what was deleted by hand is drawn again"))
    return notes


def _merge(sheet: str, found: Survey, pairs: Sequence[Pair], notes: Sequence[Note]) -> SheetMerge:
    def count(state: str | None, *, drawn: bool, same: bool | None = None) -> int:
        return sum(
            (p.earlier.state if p.earlier else None) == state
            and (p.now is not None) == drawn
            and (same is None or p.is_same == same)
            for p in pairs
        )

    edited = count("edited", drawn=True) + count("edited", drawn=False)
    return SheetMerge(
        sheet=sheet,
        kept=edited + len(found.copies) + len(found.own),
        unchanged=count("intact", drawn=True, same=True),
        replaced=count("intact", drawn=True, same=False),
        added=count(None, drawn=True),
        removed=count("intact", drawn=False),
        deleted=count("deleted", drawn=True),
        notes=tuple(notes),
    )
