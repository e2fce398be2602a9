"""Brings what is drawn now into a drawing that is there: entities, block definitions, the size of the paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.lldxf.const import DXFBlockInUseError
from ezdxf.xref import Loader

from riserkit.drawings.dxf import document, marks
from riserkit.drawings.dxf.record import block_print, paper_print
from riserkit.drawings.edits.survey import Survey
from riserkit.drawings.edits.values import Note

_PAPER_ATTRIBS: Final = ("paper_width", "paper_height", "page_setup_name", "limmin", "limmax", "extmin", "extmax",
                         "plot_paper_size", "paper_size", "plot_rotation")  # fmt: skip
_VIEW_ATTRIBS: Final = ("center", "width", "height", "view_center_point", "view_height")


def bring(source: Drawing, entities: Sequence[tuple[Any, Any]], target: Drawing) -> dict[str, Any]:
    """Copy entities into another drawing, with their marks.

    Args:
        source: drawing of the entities, as riserkit has just drawn it.
        entities: each with the layout that takes it.
        target: the drawing of those layouts; what it defines already stays as it is.

    Returns:
        the copies by key.
    """
    found: dict[str, Any] = {}
    layouts = {layout.layout_key: layout for _, layout in entities}
    pictures = set(_pictures(target))
    for key, layout in layouts.items():
        wanted = {entity.dxf.handle for entity, where in entities if where.layout_key == key}
        before = {id(e) for e in layout}
        loader = Loader(source, target)
        _load(loader, source, wanted, layout)
        loader.execute()
        for copy in layout:
            mark = marks.read_mark(copy)
            if id(copy) not in before and mark is not None:
                found[mark.key] = copy
    # copying leaves a second picture of each dimension behind, which nothing shows
    _drop_pictures(target, set(_pictures(target)) - pictures)
    return found


def _pictures(doc: Drawing) -> list[str]:
    return [block.name for block in doc.blocks if block.name.upper().startswith("*D")]


def _drop_pictures(doc: Drawing, names: Iterable[str]) -> None:
    """Delete pictures of dimensions that no dimension shows, be it in a layout or in a block."""
    layouts = [*doc.layouts, *doc.blocks]
    used = {e.dxf.get("geometry", "") for layout in layouts for e in layout if e.dxftype() == "DIMENSION"}
    for name in sorted(set(names) - used):
        if name in doc.blocks:
            doc.blocks.delete_block(name, safe=False)


def _load(loader: Loader, source: Drawing, wanted: set[str], into: Any) -> None:
    def is_wanted(entity: Any) -> bool:
        return entity.dxf.handle in wanted

    loader.load_modelspace(into, is_wanted)
    for name in source.layouts.names_in_taborder()[1:]:
        paper: Any = source.layouts.get(name)
        if any(is_wanted(e) for e in paper):
            loader.load_paperspace_layout_into(paper, into, is_wanted)


def bring_groups(source: Drawing, target: Drawing, paper: Any, standing: Mapping[str, Any]) -> None:
    """Put what stands for the members of each group into a group of that name; a drafter's additions stay in it.

    Args:
        source: the drawing as riserkit has just drawn it.
        target: the drawing that is drawn into.
        paper: the sheet's layout there.
        standing: what stands there for each thing drawn now, by its key.
    """
    drawn_in_model, model = source.modelspace().layout_key, target.modelspace().layout_key
    if source.modelspace().query("WIPEOUT"):
        document.hide_mask_edges(target)
    for name, group in source.groups:
        keys = [mark.key for e in group if (mark := marks.read_mark(e)) is not None]
        # of a group, all stand in one space
        own = model if any(e.dxf.owner == drawn_in_model for e in group) else paper.layout_key
        entities = [e for key in keys if (e := standing.get(key)) is not None and e.dxf.owner == own]
        if not entities:
            continue
        there = target.groups.get(name) if name in target.groups else target.groups.new(name, group.dxf.description)
        if there is not None:
            there.purge(target)
            there.extend(entities)
    for name in [name for name, group in target.groups if name not in source.groups and not _alive(group, target)]:
        target.groups.delete(name)


def _alive(group: Any, doc: Drawing) -> bool:
    group.purge(doc)
    return len(group) > 0


def take_out(doc: Drawing, entities: Iterable[Any]) -> None:
    """Delete entities, with the pictures of dimensions, which nothing else shows."""
    pictures = set()
    for entity in entities:
        if entity.dxftype() == "DIMENSION":
            pictures.add(entity.dxf.get("geometry", ""))
        entity.destroy()
    layouts: list[Any] = list(doc.layouts)
    for layout in layouts:
        layout.purge()
    _drop_pictures(doc, pictures)


_HANDLE: Final = re.compile(rb"\n  5\r?\n([0-9A-F]+)\r?\n|\n105\r?\n([0-9A-F]+)\r?\n")


def set_next_handle(doc: Drawing, written: bytes) -> None:
    """Go on numbering after the last handle written, whatever was taken and dropped in between."""
    used = [int(one or other, 16) for one, other in _HANDLE.findall(written)]
    seed = int(str(doc.header["$HANDSEED"]), 16)
    used = [handle for handle in used if handle != seed]
    doc.entitydb.handles.reset(f"{max(used) + 1:X}")


def set_order(layout: Any, ours: Sequence[Any]) -> None:
    """Ours first, in the order that riserkit draws in, then what is a drafter's, as it stood."""
    rank = {id(entity): n for n, entity in enumerate(ours)}
    entities = layout.entity_space.entities
    entities.sort(key=lambda entity: rank.get(id(entity), -1 if _is_sheet_view(entity) else len(rank)))


def _is_sheet_view(entity: Any) -> bool:
    return bool(entity.dxftype() == "VIEWPORT" and entity.dxf.get("id", 0) == 1)


def set_view(old: Any, new: Any) -> None:
    """Give a view the place and scale of another."""
    for name in _VIEW_ATTRIBS:
        old.dxf.set(name, new.dxf.get(name))


def bring_blocks(found: Survey, source: Drawing, now: Mapping[str, str]) -> tuple[Note, ...]:
    """Take over block definitions that changed, unless a drafter changed them too, and say which stayed."""
    notes = []
    for name, digest in now.items():
        block: Any = found.doc.blocks.get(name)
        if block is None or block_print(block) == digest:
            continue
        drawn = found.record.blocks.get(name) if found.record else None
        if block_print(block) == drawn:
            block.delete_all_entities()
            loader = Loader(source, found.doc)
            loader.load_block_layout_into(source.blocks.get(name), block)
            loader.execute()
        else:
            clash = drawn is not None and drawn != digest
            text = f"the block {name} kept as changed by hand" + ("; riserkit's own has changed too" if clash else "")
            notes.append(Note("definition", f"block:{name}", text, clash))
    return tuple(notes)


def drop_blocks(found: Survey, now: Mapping[str, str]) -> dict[str, str]:
    """Delete definitions that riserkit draws no more, and no one shows or changed; the digests of those that stay."""
    staying = {}
    for name, digest in (found.record.blocks if found.record else {}).items():
        if name in now or name.startswith("_") or name not in found.doc.blocks:
            continue
        try:
            if block_print(found.doc.blocks.get(name)) == digest:
                found.doc.blocks.delete_block(name)
                continue
        except DXFBlockInUseError:
            pass
        staying[name] = digest
    return staying


def bring_paper(found: Survey, paper: Any, wanted: str) -> tuple[Note, ...]:
    """Take over another size of paper, unless a drafter changed it; a conflict where the design's is another since."""
    old, new = found.paper.dxf, paper.dxf
    size = new.paper_width, new.paper_height
    if (round(old.paper_width, 1), round(old.paper_height, 1)) == (round(size[0], 1), round(size[1], 1)):
        return ()
    if found.record is not None and found.record.paper != paper_print(found.paper):
        text = (
            f"the paper stays at {old.paper_width:g} x {old.paper_height:g} mm; riserkit asks {size[0]:g} x {size[1]:g}"
        )
        return (Note("definition", "paper", text, found.record.paper != wanted),)
    for name in _PAPER_ATTRIBS:
        if new.hasattr(name):
            old.set(name, new.get(name))
    return ()
