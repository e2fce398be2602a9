"""Survey of a drawing that may have been edited by hand: what in it is ours, edited, copied, deleted, or a drafter's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing
from ezdxf.filemanagement import readfile

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.errors import UNREADABLE, DrawingError, why_unreadable
from riserkit.drawings.dxf.record import MODEL, PAPER, Drawn, DrawnRecord, content_of, read_record
from riserkit.drawings.edits.match import Earlier


@dataclass(frozen=True)
class Survey:
    """A drawing as found.

    Args:
        doc: the drawing.
        paper: the layout that is ours.
        record: what riserkit drew there, None when that is not known.
        earlier: what riserkit drew there with what became of it, in drawing order.
        entity: our entities that still stand, by handle.
        copies: of ours, made by hand.
        own: entities that a drafter drew.
        repairs: what the check of the drawing had to mend.
    """

    doc: Drawing
    paper: Any
    record: DrawnRecord | None
    earlier: tuple[Earlier, ...]
    entity: Mapping[str, Any]
    copies: tuple[Any, ...]
    own: tuple[Any, ...]
    repairs: tuple[str, ...] = ()


def open_sheet(path: Path) -> tuple[Drawing, tuple[str, ...]]:
    """A drawing, with what its check had to mend.

    Raises:
        DrawingError: it cannot be read.
    """
    try:
        doc = readfile(path)
        auditor = doc.audit()
    except UNREADABLE as error:
        raise DrawingError(
            f"the drawing {path} was edited and cannot be read ({why_unreadable(error)}); "
            "save it again as DXF, or move it away"
        ) from error
    return doc, tuple(str(entry.message) for entry in (*auditor.errors, *auditor.fixes))


def survey(path: Path, sheet_id: str) -> Survey:
    """Read a drawing and tell apart what stands in it.

    Args:
        path: of the drawing.
        sheet_id: name of the sheet's layout.

    Raises:
        DrawingError: it cannot be read.
    """
    doc, repairs = open_sheet(path)
    marks.register(doc)
    paper = _paper(doc, sheet_id)
    record = read_record(doc)
    spaces = {entity.dxf.handle: space for space, entity in _entities(doc, paper)}
    marked, copied, own = _sorted_out(doc, paper)
    ours = _adopted(marked, copied, record)
    copies = tuple(e for e in copied if e.dxf.handle not in ours)
    earlier = _earlier(record, ours, spaces)
    for handle, entity in ours.items():
        mark = marks.read_mark(entity)
        if mark is not None and mark.handle != handle:
            marks.set_mark(entity, mark._replace(handle=handle))
    return Survey(doc, paper, record, earlier, ours, copies, own, repairs)


def _paper(doc: Drawing, sheet_id: str) -> Any:
    """Our layout, also when a drafter renamed it."""
    if sheet_id in doc.layouts.names():
        return doc.layouts.get(sheet_id)
    papers = [doc.layouts.get(name) for name in doc.layouts.names_in_taborder()[1:]]
    return next((p for p in papers if any(marks.read_mark(e) for e in p)), papers[0])


def _entities(doc: Drawing, paper: Any) -> Iterator[tuple[str, Any]]:
    for entity in doc.modelspace():
        yield MODEL, entity
    for entity in paper:
        yield PAPER, entity
    for name in doc.layouts.names_in_taborder()[1:]:
        layout: Any = doc.layouts.get(name)
        if layout.layout_key != paper.layout_key:
            yield from (("other", entity) for entity in layout)


def _sorted_out(doc: Drawing, paper: Any) -> tuple[dict[str, Any], list[Any], tuple[Any, ...]]:
    marked: dict[str, Any] = {}
    copied: list[Any] = []
    own: list[Any] = []
    for _, entity in _entities(doc, paper):
        mark = marks.read_mark(entity)
        if mark is None:
            # the view that stands for the sheet itself is no drawing of anybody's
            if not (entity.dxftype() == "VIEWPORT" and entity.dxf.get("id", 0) == 1):
                own.append(entity)
        elif mark.handle == entity.dxf.handle:
            marked[mark.handle] = entity
        else:
            copied.append(entity)
    return marked, copied, tuple(own)


def _adopted(marked: Mapping[str, Any], copied: list[Any], record: DrawnRecord | None) -> dict[str, Any]:
    """Ours by handle; a copy whose original is gone was cut and pasted, or renumbered by a program, and is ours.

    An original that the record does not know was taken away by riserkit: its copies stay copies.
    """
    ours = dict(marked)
    gone: set[str] = set()
    known = {drawn.handle for drawn in record.drawn} if record else set()
    for entity in copied:
        mark = marks.read_mark(entity)
        if mark is not None and mark.handle in known and mark.handle not in marked and mark.handle not in gone:
            gone.add(mark.handle)
            ours[entity.dxf.handle] = entity
    return ours


def _earlier(record: DrawnRecord | None, ours: Mapping[str, Any], spaces: Mapping[str, str]) -> tuple[Earlier, ...]:
    # what was pasted carries the handle of its original, by which the record knows it
    by_mark = {mark.handle: e for e in ours.values() if (mark := marks.read_mark(e)) is not None}
    found: list[Earlier] = []
    for drawn in record.drawn if record else ():
        entity = by_mark.pop(drawn.handle, None)
        if entity is None:
            found.append(Earlier(drawn, "deleted"))
        else:
            moved_space = spaces[entity.dxf.handle] != drawn.space
            found.append(_compared(entity, drawn._replace(handle=entity.dxf.handle), moved_space))
    for entity in by_mark.values():
        mark = marks.read_mark(entity)
        if mark is not None:
            space = spaces[entity.dxf.handle]
            drawn = Drawn(entity.dxf.handle, space, entity.dxftype(), mark.model_id, mark.fingerprint)
            found.append(_compared(entity, drawn._replace(content=content_of(entity)), False))
    return tuple(found)


def _compared(entity: Any, drawn: Drawn, moved_space: bool) -> Earlier:
    mark = marks.read_mark(entity)
    as_drawn = mark is not None and mark.fingerprint == marks.fingerprint(entity)
    return Earlier(drawn, "intact" if as_drawn and not moved_space else "edited")


def own_definitions(found: Survey) -> tuple[str, ...]:
    """Blocks and layers that a drafter defined, by name."""
    known = set(found.record.blocks) if found.record else set()
    blocks = [f"block {b.name}" for b in found.doc.blocks if not b.name.startswith(("*", "_")) and b.name not in known]
    shipped = {"0", "Defpoints", *(style.name for style in layers.LAYERS)}
    tables = [f"layer {layer.dxf.name}" for layer in found.doc.layers if layer.dxf.name not in shipped]
    return tuple(sorted(blocks) + sorted(tables)) if found.record else ()
