"""Draws a sheet into a drawing that is there and may have been edited by hand: nothing of the drafter's is lost.

What is ours and untouched follows the design. Of what was edited, the aspects that a drafter changed stay and the others
follow; what both changed stays as edited, with a question on the sheet. What was deleted stays away, and what a drafter
drew or copied is not touched. Each is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing

from riserkit.drawings.dxf import document, marks
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import UNWORKABLE, DrawingError, why_unworkable
from riserkit.drawings.dxf.file_tags import drawing_of
from riserkit.drawings.dxf.groups import set_group_order
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.record import MODEL, Drawn, DrawnRecord, read_record, told, write_record
from riserkit.drawings.edits.decide import Decision, decide
from riserkit.drawings.edits.match import match
from riserkit.drawings.edits.merge import take_look, take_words
from riserkit.drawings.edits.questions import Question, ask, is_open
from riserkit.drawings.edits.survey import Survey, own_definitions, survey
from riserkit.drawings.edits.transfer import (
    bring,
    bring_blocks,
    bring_groups,
    bring_paper,
    drop_blocks,
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
        canvas: the sheet as the design has it now.
        after: takes the result, whole or not at all.

    Returns:
        what was kept, replaced, added, removed, and a line for each thing of the drafter's.

    Raises:
        DrawingError: the drawing cannot be read or carries no marks any more, or the result cannot be written.
    """
    try:
        merged, content = _drawn_into(survey(before, canvas.name), canvas, before.name)
    except UNWORKABLE as error:
        raise DrawingError(why_unworkable(before, "drawn into", error)) from error
    document.write_whole(after, content)
    return merged


def _drawn_into(found: Survey, canvas: Canvas, name: str) -> tuple[SheetMerge, bytes]:
    now = canvas.take_stock()
    source = {mark.key: e for layout in _layouts(canvas) for e in layout if (mark := read_mark(e)) is not None}
    outcomes = [decide(found, pair, source) for pair in match(found.earlier, now.drawn)]
    definitions = [
        *bring_blocks(found, canvas.doc, now.blocks),
        *bring_paper(found, canvas.doc.layouts.get(canvas.name), now.paper),
    ]
    definitions = [replace(n, is_conflict=n.is_conflict or is_open(found, n.subject)) for n in definitions]
    notes = [*definitions, *(o.note for o in outcomes if o.note is not None), *own_notes(found)]
    standing = _follow(found, canvas, outcomes, source)
    questions = [
        *(Question(n.subject, "definition", n.text, n.subject) for n in definitions if n.is_conflict),
        *_asked(outcomes, standing, found),
    ]
    asked = ask(found, canvas, questions)
    blocks = {**now.blocks, **drop_blocks(found, now.blocks)}
    _enter(found, canvas, DrawnRecord(_drawn(outcomes), blocks, now.paper, asked))
    return _merge(name, found, outcomes, notes), settled(found.doc)


def _follow(found: Survey, canvas: Canvas, outcomes: Sequence[Decision], source: dict[str, Any]) -> dict[str, Any]:
    """Make what is ours as was decided; returns what stands for each thing drawn now, by its key."""
    standing: dict[str, Any] = {}
    wanted: list[tuple[Any, Any]] = []
    leaving: list[Any] = []
    for o in outcomes:
        if o.action == "bring" and o.new is not None:
            wanted.append((source[o.new.key], found.doc.modelspace() if o.new.space == MODEL else found.paper))
            leaving += [o.entity] if o.entity is not None else []
        elif o.action == "drop":
            leaving.append(o.entity)
        elif o.action == "release":
            marks.unmark(o.entity)
        elif o.action == "stand" and o.new is not None:
            _adjust(o, source[o.new.key])
            standing[o.new.key] = o.entity
    brought = bring(canvas.doc, wanted, found.doc)
    for o in outcomes:
        if o.action == "bring" and o.new is not None and o.merge is not None:
            copy = brought[o.new.key]
            _move(copy, o.merge.aside)
            take_words(copy, o.entity, [tag for tag, side in o.merge.words.items() if side == "hand"])
            if o.merge.look == "hand":
                take_look(copy, o.entity)
    take_out(found.doc, leaving)
    standing |= brought
    bring_groups(canvas.doc, found.doc, found.paper, standing)
    in_order = [standing[o.new.key] for o in outcomes if o.new is not None and o.new.key in standing]
    for layout in (found.doc.modelspace(), found.paper):
        set_order(layout, [e for e in in_order if e.dxf.owner == layout.layout_key])
    return standing


def _adjust(outcome: Decision, source: Any) -> None:
    """Let the aspects of a standing entity follow that are the design's, and mark it as drawn now."""
    entity, merge = outcome.entity, outcome.merge
    if outcome.state == "intact" and entity.dxftype() == "VIEWPORT":
        set_view(entity, source)
    if merge is not None:
        _move(entity, merge.onward)
        take_words(entity, source, [tag for tag, side in merge.words.items() if side == "design"])
        if merge.look == "design":
            take_look(entity, source)
    mark = read_mark(source)
    if mark is not None:
        marks.set_mark(entity, mark)


def _move(entity: Any, by: tuple[float, float]) -> None:
    if by != (0.0, 0.0):
        entity.translate(*by, 0)


def _layouts(canvas: Canvas) -> tuple[Any, Any]:
    return canvas.doc.modelspace(), canvas.doc.layouts.get(canvas.name)


def _asked(outcomes: Sequence[Decision], standing: dict[str, Any], found: Survey) -> list[Question]:
    questions = []
    for o in outcomes:
        if o.asks is not None:
            key = o.new.key if o.new is not None else o.pair_key
            entity = standing.get(key) or found.entity.get(key)
            questions.append(Question(key, o.asks, o.question, o.subject, entity))
    return questions


def _drawn(outcomes: Sequence[Decision]) -> tuple[Drawn, ...]:
    """The record to be: all as drawn now; what the design has no more and a drafter has edited, as it was drawn."""
    found = []
    for o in outcomes:
        if o.new is not None:
            found.append(o.new)
        elif o.action == "keep" and o.old is not None:
            found.append(o.old.drawn)
    return tuple(found)


def _enter(found: Survey, canvas: Canvas, record: DrawnRecord) -> None:
    document.set_up_styles(found.doc)
    for name in ("RISERKIT_SITE", "RISERKIT_DIGEST"):
        document.set_property(found.doc, name, canvas.doc.header.custom_vars.get(name) or "")
    write_record(found.doc, record)
    # a set is of one version, whatever a drafter's program saved
    found.doc.dxfversion = canvas.doc.dxfversion


def settled(doc: Drawing) -> bytes:
    """The drawing as it stands once read back, so that drawing into it again gives the same bytes."""
    again = drawing_of(document.to_bytes(doc).decode(doc.output_encoding, "dxfreplace"))
    set_group_order(again)
    if read_record(again) is not None:
        set_next_handle(again, document.to_bytes(again))
    return document.to_bytes(again)


def own_notes(found: Survey) -> list[Note]:
    """A line for everything of a drafter's own."""
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


def _merge(sheet: str, found: Survey, outcomes: Sequence[Decision], notes: Sequence[Note]) -> SheetMerge:
    def count(state: str | None, *actions: str) -> int:
        return sum(o.state == state and o.action in actions for o in outcomes)

    edited = sum(o.state == "edited" for o in outcomes)
    return SheetMerge(
        sheet=sheet,
        kept=edited + len(found.copies) + len(found.own),
        unchanged=count("intact", "stand") - sum(o.is_view_moved for o in outcomes),
        replaced=count("intact", "bring") + sum(o.is_view_moved for o in outcomes),
        added=count(None, "bring") + count("deleted", "bring"),
        removed=count("intact", "drop"),
        deleted=sum(o.action == "absent" and o.new is not None for o in outcomes),
        notes=tuple(notes),
    )
