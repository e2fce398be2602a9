"""A sheet read back from its file as it is plotted: the paper, and the model as its views show it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final, NamedTuple, cast

import numpy as np
import shapely
from ezdxf.document import Drawing

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect, around
from riserkit.drawings.dxf.errors import UNREADABLE, ContentError, DrawingError, why_unreadable
from riserkit.drawings.dxf.marks import marked_as
from riserkit.drawings.dxf.reading import MOST_PAPER_MM, check_bounds, paper_of, read_drawing, workable
from riserkit.drawings.legibility.pieces import COMPOUND, Affine, Piece, Taker, moved
from riserkit.drawings.legibility.values import CutOff, Lettering, SheetShapes, Stroke, line_shapes

_SLACK_MM = 0.01
_MOST_SCALE: Final = 1e6
_FAR: Final = 1e12
"""A million kilometres in millimetres: beyond that, or where a number is none, nothing can be measured any more."""


class _Source(NamedTuple):
    """Where a piece comes from."""

    entity: str
    owner: str
    model_id: str
    in_block: bool
    on_paper: bool
    is_diagram: bool


class _Window(NamedTuple):
    """A view: where it lies on the paper, and how it moves what it shows there."""

    paper: Rect
    place: Affine
    is_diagram: bool


def read_sheet(path: Path) -> SheetShapes:
    """Read one drawing from disk.

    Raises:
        DrawingError: the file cannot be read, or has no sheet.
    """
    try:
        doc = read_drawing(path)
    except UNREADABLE as error:
        raise DrawingError(
            f"{path} cannot be read as DXF: {why_unreadable(error)}; save it again, or take it out of the folder"
        ) from error
    with workable(path.name, "inspected"):
        return sheet_shapes(doc)


def sheet_shapes(doc: Drawing) -> SheetShapes:
    """What a document's first sheet shows.

    Raises:
        DrawingError: its paper has no size.
        ContentError: it holds what no drawing has.
    """
    name = doc.layouts.names_in_taborder()[1]
    paper = cast(Any, doc.layouts.get(name))
    width, height = paper_of(doc, name)
    check_bounds(doc, (doc.modelspace(), paper))
    reading = _Reading(Taker(doc))
    windows = [_window(v) for v in paper.query("VIEWPORT") if v.dxf.id != 1 and v.dxf.status != 0]
    reading.read_paper(e for e in paper if e.dxftype() != "VIEWPORT")
    if windows:
        reading.read_model(doc.modelspace(), windows)
    unread = tuple(sorted(reading.taker.unread.items()))
    sheet = Rect(0, 0, width, height)
    strokes = tuple(_unmasked(reading.strokes, reading.masks))
    return SheetShapes(name, sheet, tuple(reading.letters), strokes, tuple(reading.cut_off), unread)


def _window(viewport: Any) -> _Window:
    dxf = viewport.dxf
    width, height, scale = float(dxf.width), float(dxf.height), float(dxf.height) / float(dxf.view_height)
    if not (1 / _MOST_SCALE < scale < _MOST_SCALE and 0 < width < MOST_PAPER_MM and 0 < height < MOST_PAPER_MM):
        raise ContentError(f"the view {dxf.handle} is {width:g} by {height:g} mm at a scale of {scale:g}")
    center, view = dxf.center, dxf.view_center_point
    turn = math.radians(float(dxf.get("view_twist_angle", 0.0)))
    a, b = scale * math.cos(turn), scale * math.sin(turn)
    place = Affine(a, b, -b, a, center.x - a * view.x + b * view.y, center.y - b * view.x - a * view.y)
    if not all(map(math.isfinite, place)):
        raise ContentError(f"the view {dxf.handle} looks at a place that is no number")
    paper = Rect(center.x - width / 2, center.y - height / 2, center.x + width / 2, center.y + height / 2)
    return _Window(paper, place, abs(scale - 1) < 1e-3)


_LEAST_OF_AN_AREA: Final = 3
_MOST_MASKED: Final = 200_000


class _Mask(NamedTuple):
    """A mask, and how many strokes were drawn before it."""

    before: int
    on_paper: bool
    shape: Any


class _Reading:
    def __init__(self, taker: Taker) -> None:
        self.taker = taker
        self.letters: list[Lettering] = []
        self.strokes: list[Stroke] = []
        self.cut_off: list[CutOff] = []
        self.masks: list[_Mask] = []

    def read_paper(self, entities: Iterable[Any]) -> None:
        for entity in entities:
            for piece, source in self._taken(entity, on_paper=True):
                self._add(piece, source)

    def read_model(self, entities: Iterable[Any], windows: list[_Window]) -> None:
        for entity in entities:
            for piece, source in self._taken(entity, on_paper=False):
                self._show(piece, source, windows)

    def _taken(self, entity: Any, *, on_paper: bool) -> Iterator[tuple[Piece, _Source]]:
        handle, kind = entity.dxf.handle, entity.dxftype()
        own = marked_as(entity)
        for n, piece in enumerate(self.taker.pieces(entity)):
            for x, y in piece.points:
                if not (-_FAR < x < _FAR and -_FAR < y < _FAR):
                    raise ContentError(f"{kind} {handle} stands at a place where no drawing reaches")
            # each text of a block is one of its own; the lines of one MTEXT are one
            part = f"{handle}.{n}" if kind == "INSERT" or kind in COMPOUND else handle
            on = entity.dxf.layer if piece.layer == "0" else piece.layer
            if on == layers.VOID:
                continue  # it is meant to lie across everything
            placed = piece if on == piece.layer else piece._replace(layer=on)
            yield placed, _Source(part, handle, own, kind == "INSERT", on_paper, is_diagram=True)

    def _show(self, piece: Piece, source: _Source, windows: list[_Window]) -> None:
        """Put what each view shows of a piece on the paper."""
        least = math.inf
        at: Point = (0.0, 0.0)
        for window in windows:
            plotted = moved(piece, window.place)
            box = around(plotted.points)
            beyond = _beyond_mm(window.paper, box)
            if beyond < least:
                least, at = beyond, box.center
            if window.paper.overlaps(box, -_SLACK_MM):
                seen = source if window.is_diagram else source._replace(is_diagram=False)
                for part in [plotted] if beyond <= _SLACK_MM or piece.text else _clipped(plotted, window.paper):
                    self._add(part, seen)
        # The architect's drawing is whole in the file; what of it lies beyond the window is no loss.
        if least > _SLACK_MM and source.model_id and not _is_behind(source):
            self.cut_off.append(CutOff(source.model_id, at, least))

    def _add(self, piece: Piece, source: _Source) -> None:
        entity, owner, model_id, in_block, on_paper, is_diagram = source
        if piece.is_mask and len(piece.points) < _LEAST_OF_AN_AREA:
            return
        if piece.is_mask:
            self.masks.append(_Mask(len(self.strokes), on_paper, shapely.Polygon(piece.points)))
            return
        if piece.text and _is_behind(source):
            return
        if piece.text:
            found = Lettering(
                piece.text, piece.points, piece.height, piece.layer, entity, owner, model_id, on_paper
            )  # fmt: skip
            self.letters.append(found)
            return
        self.strokes.append(
            Stroke(piece.points, piece.is_area, piece.is_curve, in_block, is_diagram, piece.layer, entity, owner,
                   model_id, on_paper)
        )  # fmt: skip


def _is_behind(source: _Source) -> bool:
    """Whether a piece is of the architect's drawing, which is not ours to keep legible."""
    return source.in_block and source.model_id.startswith("background:")


def _unmasked(strokes: list[Stroke], masks: list[_Mask]) -> Iterator[Stroke]:
    """What is seen of the strokes: a mask hides what was drawn before it in its space."""
    over: dict[int, list[Any]] = {}
    count = 0
    if masks:
        lines = np.empty(len(strokes), dtype=object)
        whole = [n for n, stroke in enumerate(strokes) if len(stroke.points) > 1]
        lines[whole] = line_shapes([strokes[n].points for n in whole])
        for n in {*range(len(strokes))} - {*whole}:
            lines[n] = shapely.Point(strokes[n].points[0])
        tree = shapely.STRtree(lines)
        for mask in masks:
            hidden = tree.query(mask.shape, predicate="intersects").tolist()
            count += len(hidden)
            if count > _MOST_MASKED:
                raise ContentError(f"masks hide something more than {_MOST_MASKED} times")
            for n in hidden:
                if n < mask.before and strokes[n].on_paper == mask.on_paper:
                    over.setdefault(n, []).append(mask.shape)
    for n, stroke in enumerate(strokes):
        if n not in over:
            yield stroke
            continue
        shape = shapely.Polygon(stroke.points).buffer(0) if stroke.is_area else lines[n]
        for part in shapely.get_parts(shape.difference(shapely.union_all(over[n]))):
            line = part.exterior if part.geom_type == "Polygon" else part
            if line.geom_type in ("LineString", "LinearRing") and not line.is_empty:  # empty where all of it is hidden
                yield stroke._replace(points=tuple((float(x), float(y)) for x, y in line.coords))


def _beyond_mm(room: Rect, box: Rect) -> float:
    """How far a box reaches out of a room, 0 inside."""
    return max(room.x0 - box.x0, room.y0 - box.y0, box.x1 - room.x1, box.y1 - room.y1, 0.0)


def _clipped(piece: Piece, room: Rect) -> Iterator[Piece]:
    shape = shapely.Polygon(piece.points).buffer(0) if piece.is_area else shapely.LineString(piece.points)
    for part in shapely.get_parts(shapely.intersection(shape, shapely.box(*room))):
        line = part.exterior if part.geom_type == "Polygon" else part
        if line.geom_type in ("LineString", "LinearRing") and not line.is_empty:
            yield piece._replace(points=tuple((float(x), float(y)) for x, y in line.coords))
