"""Survey of a drawing that may have been edited by hand: what in it is ours, edited, copied, deleted, or a drafter's.

Things are known by the keys of their marks and by what was drawn, never by handles, which programs number anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from ezdxf.document import Drawing

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.errors import UNREADABLE, DrawingError, why_unreadable
from riserkit.drawings.dxf.reading import check_bounds, read_drawing
from riserkit.drawings.dxf.record import MODEL, PAPER, Drawn, DrawnRecord, content_of, read_record
from riserkit.drawings.edits.match import Earlier

SIGNS: Final = ("question:", "void:")
"""What riserkit writes over a sheet: never a drawing of the model, and always drawn anew."""
_MOST_STRIPPED: Final = 0.5


@dataclass(frozen=True)
class Survey:
    """A drawing as found.

    Args:
        doc: the drawing.
        paper: the layout that is ours.
        record: what riserkit drew there, None when that is not known.
        earlier: what riserkit drew there with what became of it, in drawing order.
        entity: our entities that still stand, by key.
        signs: questions and other signs over the sheet, by key.
        copies: of ours, made by hand.
        own: entities that a drafter drew.
        strayed: keys of ours that were moved from the model to the paper, or back.
        repairs: what the check of the drawing had to mend.
    """

    doc: Drawing
    paper: Any
    record: DrawnRecord | None
    earlier: tuple[Earlier, ...]
    entity: Mapping[str, Any]
    signs: Mapping[str, Any]
    copies: tuple[Any, ...]
    own: tuple[Any, ...]
    strayed: frozenset[str] = frozenset()
    repairs: tuple[str, ...] = ()


def open_sheet(path: Path) -> tuple[Drawing, tuple[str, ...]]:
    """A drawing, with what its check had to mend.

    Raises:
        DrawingError: it cannot be read.
    """
    try:
        doc = read_drawing(path)
        check_bounds(doc, doc.layouts)
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
        DrawingError: it cannot be read, or another program has stripped it of riserkit's marks.
    """
    doc, repairs = open_sheet(path)
    marks.register(doc)
    paper = our_paper(doc, sheet_id)
    record = read_record(doc)
    known = {drawn.key for drawn in record.drawn} if record else None
    ours: dict[str, Any] = {}
    space_of: dict[str, str] = {}
    signs: dict[str, Any] = {}
    copies: list[Any] = []
    own: list[Any] = []
    for space, entity in _entities(doc, paper):
        mark = marks.read_mark(entity)
        if mark is None:
            # the view that stands for the sheet itself is no drawing of anybody's
            if not (entity.dxftype() == "VIEWPORT" and entity.dxf.get("id", 0) == 1):
                own.append(entity)
        elif mark.model_id.startswith(SIGNS):
            signs[mark.key] = entity
        elif known is not None and mark.key not in known:
            # pasted from another sheet, or copied from what riserkit took away since
            copies.append(entity)
        elif mark.key not in ours:
            ours[mark.key], space_of[mark.key] = entity, space
        elif _is_as_drawn(entity) and not _is_as_drawn(ours[mark.key]):
            copies.append(ours[mark.key])
            ours[mark.key], space_of[mark.key] = entity, space
        else:
            copies.append(entity)
    _refuse_stripped(path, record, ours, own)
    drawn = record.drawn if record else tuple(_drawn(e, space_of[key]) for key, e in ours.items())
    strayed = frozenset(d.key for d in drawn if d.key in ours and space_of[d.key] != d.space)
    earlier = tuple(_earlier(d, ours.get(d.key), strayed) for d in drawn)
    return Survey(doc, paper, record, earlier, ours, signs, tuple(copies), tuple(own), strayed, repairs)


def _refuse_stripped(path: Path, record: DrawnRecord | None, ours: Mapping[str, Any], own: Sequence[Any]) -> None:
    """Refuse a drawing in which what is a drafter's and what is ours can no longer be told apart."""
    missing = {d.fingerprint for d in record.drawn if d.key not in ours} if record else set()
    bare = sum(marks.fingerprint(e) in missing for e in own) if missing else 0
    if (not ours and own) or bare > _MOST_STRIPPED * (len(ours) + bare):
        raise DrawingError(
            f"{path}: {len(own)} entities of this sheet carry no mark of riserkit's and {len(ours)} do, so its hand edits "
            "cannot be told from what was drawn; the program that saved it drops extended data (XDATA). Nothing was "
            "changed. Save the sheet from a program that keeps extended data, or move it out of the folder, build, and "
            "carry the edits over by hand"
        )


def our_paper(doc: Drawing, sheet_id: str) -> Any:
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


def _is_as_drawn(entity: Any) -> bool:
    mark = marks.read_mark(entity)
    return mark is not None and mark.fingerprint == marks.fingerprint(entity)


def _drawn(entity: Any, space: str) -> Drawn:
    mark = marks.read_mark(entity)
    key, model_id, fingerprint = (mark.key, mark.model_id, mark.fingerprint) if mark else ("", "", "")
    return Drawn(key, space, entity.dxftype(), model_id, fingerprint, content_of(entity))


def _earlier(drawn: Drawn, entity: Any, strayed: frozenset[str]) -> Earlier:
    if entity is None:
        return Earlier(drawn, "deleted")
    return Earlier(drawn, "intact" if _is_as_drawn(entity) and drawn.key not in strayed else "edited")


def own_definitions(found: Survey) -> tuple[str, ...]:
    """Blocks and layers that a drafter defined, by name."""
    known = set(found.record.blocks) if found.record else set()
    blocks = [f"block {b.name}" for b in found.doc.blocks if not b.name.startswith(("*", "_")) and b.name not in known]
    shipped = {"0", "Defpoints", *(style.name for style in layers.LAYERS)}
    tables = [f"layer {layer.dxf.name}" for layer in found.doc.layers if layer.dxf.name not in shipped]
    return tuple(sorted(blocks) + sorted(tables)) if found.record else ()
