"""An architect's drawing behind a plan: copied, grey and locked, or named as an external reference; at true coordinates."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
from ezdxf import recover
from ezdxf.disassemble import recursive_decompose
from ezdxf.document import Drawing
from ezdxf.entities.layer import Layer
from ezdxf.lldxf.const import DXFError
from ezdxf.path import make_path
from ezdxf.xref import ConflictPolicy, Loader
from shapely import LineString, MultiLineString
from shapely.affinity import affine_transform

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.text import FONT_FILE

# What a plan is made of. Pictures, embedded objects and references of the drawing are not taken over: they name other files.
_KINDS: Final = frozenset(
    {
        "LINE",
        "LWPOLYLINE",
        "POLYLINE",
        "ARC",
        "CIRCLE",
        "ELLIPSE",
        "SPLINE",
        "TEXT",
        "MTEXT",
        "INSERT",
        "HATCH",
        "SOLID",
        "ATTRIB",
    }
)
_GREY: Final = 253
_LINES: Final = frozenset({"LINE", "LWPOLYLINE", "POLYLINE", "ARC"})
_BROKEN: Final = (
    DXFError, OSError, ValueError, TypeError, LookupError, ArithmeticError, AttributeError, RecursionError,
)  # fmt: skip
_WALLS: Final = re.compile(r"wall|wand|mauer|\bmur", re.IGNORECASE)
_HEAVY: Final = 35
_BY_LAYER: Final = -1
_CHORD_M: Final = 0.02
_MOST_ENTITIES: Final = 400_000
_MOST_BYTES: Final = 200_000_000
_OWN_LOOK: Final = re.compile(r"(?<!\\)\\[fFcC][^;\\]*;")
"""Fonts and colours within a text of several lines."""
_MM_PER_M: Final = 1000.0


@dataclass(frozen=True, slots=True)
class BackgroundPlace:
    """Where a drawing lies behind a plan.

    Args:
        file: its name, as the site states it.
        unit_m: metres of one of its units.
        origin_m: where its origin stands.
        turn_deg: by which it is turned about that, counter-clockwise.
        held_as: `copy` takes its lines over; `reference` only names it.
    """

    file: str
    unit_m: float
    origin_m: tuple[float, float]
    turn_deg: float
    held_as: Literal["copy", "reference"]


def add_background(canvas: Any, path: Path, place: BackgroundPlace, offset_m: tuple[float, float]) -> None:
    """Put a drawing behind all that is drawn after it.

    Args:
        canvas: the sheet's drawing, whose model is in millimetres.
        path: the file.
        place: where it lies in the site.
        offset_m: what the plan's coordinates are lessened by.

    Raises:
        SheetError: there is no such file, or it cannot be read.
    """
    doc: Drawing = canvas.doc
    name = f"BACKGROUND-{''.join(ch if ch.isalnum() or ch in '-_' else '-' for ch in Path(place.file).stem)}"
    if layers.BACKGROUND not in doc.layers:
        _subdue(doc.layers.add(layers.BACKGROUND))
    if place.held_as == "reference":
        doc.add_xref_def(place.file, name)
    else:
        _copy(_source(path, path.stat().st_mtime_ns if path.is_file() else 0), doc, name)
    factor = place.unit_m * _MM_PER_M
    at = tuple(round((p - off) * _MM_PER_M, 3) for p, off in zip(place.origin_m, offset_m, strict=True))
    ref = doc.modelspace().add_blockref(
        name,
        at,
        dxfattribs={
            "layer": layers.BACKGROUND,
            "xscale": factor,
            "yscale": factor,
            "zscale": factor,
            "rotation": place.turn_deg,
        },
    )
    canvas._stamp(ref)


@lru_cache(maxsize=2)
def _source(path: Path, _changed: int) -> Drawing:
    """The drawing read, once for all sheets of a level."""
    if not path.is_file():
        raise SheetError(f"background {path.name}: there is no such file in the site's folder")
    if path.stat().st_size > _MOST_BYTES:
        raise SheetError(f"background {path.name}: expected a drawing of at most {_MOST_BYTES // 10**6} MB")
    try:
        doc, _ = recover.readfile(path)
    except _BROKEN as error:
        raise SheetError(f"background {path.name}: it cannot be read as a DXF drawing ({str(error)[:80]})") from None
    if len(doc.modelspace()) > _MOST_ENTITIES:
        raise SheetError(
            f"background {path.name}: expected at most {_MOST_ENTITIES} entities; take out what is no plan"
        )
    return doc


def heavy_lines(path: Path, place: BackgroundPlace) -> Any:
    """Walls of a drawing, by the names of layers, and its lines of 0.35 mm and more, which labels rather stand clear of.

    Returns:
        shapely lines in metres of the site; None where there are none.

    Raises:
        SheetError: there is no such file, or it cannot be read.
    """
    source = _source(path, path.stat().st_mtime_ns if path.is_file() else 0)
    try:
        found = list(_heavy(source, _CHORD_M / place.unit_m))
    except _BROKEN as error:
        raise SheetError(f"background {path.name}: its lines cannot be read ({str(error)[:80]})") from None
    if not found:
        return None
    cos, sin = (place.unit_m * f(math.radians(place.turn_deg)) for f in (math.cos, math.sin))
    return affine_transform(MultiLineString(found), (cos, -sin, sin, cos, *place.origin_m))


def _heavy(source: Drawing, chord: float) -> Iterator[LineString]:
    walls = {one.dxf.name for one in source.layers if _WALLS.search(one.dxf.name)}
    heavy = {one.dxf.name for one in source.layers if one.dxf.lineweight >= _HEAVY}
    shown = {one.dxf.name for one in source.layers if one.is_on() and not one.is_frozen()}
    for entity in islice(recursive_decompose(source.modelspace()), _MOST_ENTITIES):
        layer, weight = entity.dxf.get("layer", "0"), entity.dxf.get("lineweight", _BY_LAYER)
        if entity.dxftype() not in _LINES or layer not in shown:
            continue
        if layer in walls or weight >= _HEAVY or (weight == _BY_LAYER and layer in heavy):
            points = [(p.x, p.y) for p in make_path(entity).flattening(chord)]
            if len(points) > 1 and np.isfinite(points).all():
                yield LineString(points)


def _copy(source: Drawing, doc: Drawing, name: str) -> None:
    """Copy what a plan is made of into a block; its layers keep their names behind the block's, grey and locked."""
    block = doc.blocks.new(name)
    before_layers = {layer.dxf.name for layer in doc.layers}
    before_styles = {style.dxf.name for style in doc.styles}
    before_blocks = {one.name for one in doc.blocks}
    loader = Loader(source, doc, conflict_policy=ConflictPolicy.XREF_PREFIX)
    loader.load_modelspace(
        block, filter_fn=lambda entity: entity.dxftype() in _KINDS and not _is_reference(source, entity)
    )
    loader.execute()
    _quiet(block)
    for one in doc.blocks:
        if one.name not in before_blocks:
            for entity in [e for e in one if e.dxftype() not in _KINDS and e.dxftype() != "ATTDEF"]:
                one.delete_entity(entity)
            _quiet(one)
    for layer in doc.layers:
        if layer.dxf.name not in before_layers:
            _subdue(layer)
    for style in doc.styles:
        if style.dxf.name not in before_styles:
            # Its own font may not be at hand, and the text would be as wide as whatever takes its place.
            style.dxf.font = FONT_FILE
            style.dxf.discard("bigfont")


def _subdue(layer: Layer) -> None:
    """Grey, thin and locked."""
    layer.dxf.color, layer.dxf.lineweight = _GREY, 9
    layer.rgb = layers.BACKGROUND_RGB
    layer.lock()


def _is_reference(source: Drawing, entity: Any) -> bool:
    if entity.dxftype() != "INSERT":
        return False
    block: Any = source.blocks.get(entity.dxf.name)
    return block is None or bool(block.block.is_xref)


def _quiet(entities: Iterable[Any]) -> None:
    """Entities without colours, weights and marks of their own."""
    for entity in entities:
        entity.dxf.color, entity.dxf.lineweight = 256, -1
        entity.dxf.discard("true_color")
        entity.xdata = None
        if entity.dxftype() == "MTEXT":
            entity.text = _OWN_LOOK.sub("", entity.text)
            entity.dxf.discard("bg_fill")
        elif entity.dxftype() == "HATCH":
            entity.gradient = None
        for attribute in getattr(entity, "attribs", ()):
            attribute.dxf.color = 256
            attribute.xdata = None
