"""The canvas: one DXF document for one sheet, drawn with a few plain calls.

Drawing goes into the model by default; its points are in drawing units, which are millimetres of paper unless the
sheet's view has another scale. `with canvas.paper():` draws on the paper itself. Heights of text and sizes of
symbols are always millimetres as plotted. Points are rounded to a thousandth, so that files are small and alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ezdxf.entities.insert import Insert
from ezdxf.layouts.base import BaseLayout
from ezdxf.math import Vec3

from riserkit.drawings.dxf import blocks, document, layers, marks
from riserkit.drawings.dxf.boxes import Occupancy, PlacedBox, Point, Rect, Wholes, around_rects, turned
from riserkit.drawings.dxf.document import NO_INFO, DrawingInfo
from riserkit.drawings.dxf.groups import Groups
from riserkit.drawings.dxf.lettering import ALIGNMENT, Anchor, baseline_start, entity_box, ink_box, text_attribs
from riserkit.drawings.dxf.paper import layout_name, set_up_paper
from riserkit.drawings.dxf.pens import Pen, line_attribs
from riserkit.drawings.dxf.record import DrawnRecord, digest_of, take_stock, write_record
from riserkit.drawings.dxf.text import (
    LINE_PITCH,
    block_height_mm,
    check_line,
    escape_mtext,
    escape_text,
    fit_text,
    text_width_mm,
    wrap,
)
from riserkit.drawings.dxf.title_block import least_height_mm
from riserkit.drawings.dxf.view import View, view_one_to_one
from riserkit.quantities.printed import UnitSystem
from riserkit.standards.sheets import PaperSize

__all__ = ("NO_INFO", "Canvas", "DrawingInfo")


class Canvas:
    """One sheet's drawing.

    Args:
        name: name of the sheet and of its paperspace layout, such as `T-601`.
        size: the sheet.
        info: properties of the file.
        view: the window into the model; the whole sheet at 1:1 when None.

    Raises:
        SheetError: the name cannot be that of a layout.
    """

    def __init__(self, name: str, size: PaperSize, info: DrawingInfo = NO_INFO, view: View | None = None) -> None:
        self.name = layout_name(name)
        self.size = size
        self.info = info
        self.view = view or view_one_to_one(Rect(0, 0, size.width_mm, size.height_mm))
        self.doc = document.new_document(self.info.dxf_version)
        document.set_property(self.doc, "RISERKIT_SITE", self.info.site_name)
        document.set_property(self.doc, "RISERKIT_DIGEST", self.info.digest)
        self.placed = Occupancy()
        self.placed_on_paper = Occupancy()
        self._subject = self._thing = marks.checked_id(f"sheet:{name}")
        self._part = ""
        self._keys = marks.Keys()
        self._group = 0
        self.wholes = Wholes()
        self._blocks: dict[str, blocks.Block] = {}
        self._together: list[Any] | None = None
        self._groups = Groups(self.doc)
        self._model: BaseLayout = self.doc.modelspace()
        self._paper = set_up_paper(self.doc, name, size, self.view, self._subject, self._keys)
        self._space: BaseLayout = self._model
        self._unit = self.view.scale
        self._boxes = self.placed
        self._measure = document.DimensionScale(unit=self._unit)
        document.dimension_style(self.doc, self._measure)

    @contextmanager
    def paper(self) -> Iterator[None]:
        """Draw on the paper instead of in the model, in millimetres from the sheet's lower left corner."""
        before = self._space, self._unit, self._boxes
        self._space, self._unit, self._boxes = self._paper, 1.0, self.placed_on_paper
        try:
            yield
        finally:
            self._space, self._unit, self._boxes = before

    @contextmanager
    def subject(self, model_id: str, thing: str = "") -> Iterator[None]:
        """Mark all that is drawn inside as standing for one thing of the model, such as `opening:101`.

        Args:
            model_id: its id.
            thing: what it is known by from one build to the next, where the id holds a running number: the terminals of
                a conductor, say.

        Raises:
            DrawingError: the id cannot stand in a drawing.
        """
        before = self._subject, self._thing, self._part
        self._subject, self._thing, self._part = marks.checked_id(model_id), thing or model_id, ""
        try:
            yield
        finally:
            self._subject, self._thing, self._part = before

    @contextmanager
    def part(self, name: str) -> Iterator[None]:
        """Say which part of its subject is drawn inside: the row and the column of a table, say."""
        before, self._part = self._part, name
        try:
            yield
        finally:
            self._part = before

    @contextmanager
    def group(self, name: str) -> Iterator[None]:
        """Put all that is drawn inside into one DXF group, which a drafter picks as one; a name used again adds to it."""
        before, self._together = self._together, []
        try:
            yield
        finally:
            drawn, self._together = self._together, before
            self._groups.add(name, drawn)

    def mask(self, rect: Rect, layer: str) -> None:
        """Hide what was drawn before behind a rectangle (a wipeout): the lines stay whole in the file."""
        (x0, y0), (x1, y1) = _point(rect[:2]), _point(rect[2:])
        document.hide_mask_edges(self.doc)
        self._stamp(self._space.add_wipeout([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dxfattribs={"layer": layer}))

    def line(self, start: Point, end: Point, layer: str | Pen = layers.DIAGRAM) -> None:
        """A straight line."""
        ends = {"start": Vec3(_point(start)), "end": Vec3(_point(end))}
        self._stamp(document.add_entity(self._space, "LINE", {**line_attribs(layer), **ends}))

    def polyline(
        self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM, *, closed: bool = False, bulge: float = 0.0
    ) -> None:
        """A line through two points or more; `bulge` is twice the rise of each piece over its length, to the right."""
        vertices = [(*_point(p), round(bulge, 4)) for p in points]
        self._stamp(document.add_polyline(self._space, vertices, closed, line_attribs(layer)))

    def rect(self, rect: Rect, layer: str | Pen = layers.DIAGRAM) -> None:
        """An upright rectangle."""
        x0, y0, x1, y1 = rect
        self.polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], layer, closed=True)

    def circle(self, center: Point, radius: float, layer: str | Pen = layers.DIAGRAM) -> None:
        """A circle; the radius is in the units of the points."""
        self._stamp(self._space.add_circle(_point(center), round(radius, 3), dxfattribs=line_attribs(layer)))

    def arc(
        self, center: Point, radius: float, start_deg: float, end_deg: float, layer: str | Pen = layers.DIAGRAM
    ) -> None:
        """An arc, counter-clockwise from the start angle."""
        angles = round(start_deg, 3), round(end_deg, 3)
        self._stamp(self._space.add_arc(_point(center), round(radius, 3), *angles, dxfattribs=line_attribs(layer)))

    def fill(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM) -> None:
        """A polygon filled solid."""
        hatch = self._space.add_hatch(color=256, dxfattribs=line_attribs(layer))
        hatch.paths.add_polyline_path([_point(p) for p in points], is_closed=True)
        self._stamp(hatch)

    def hatch(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM_LIGHT, *, pitch_mm: float = 3.0) -> None:
        """A polygon hatched with strokes at 45 degrees, so far apart as plotted."""
        hatch = self._space.add_hatch(color=256, dxfattribs=line_attribs(layer))
        gap = pitch_mm * self._unit * 0.5**0.5
        hatch.set_pattern_fill("LINES45", color=256, definition=[[45.0, (0.0, 0.0), (-gap, gap), []]])
        hatch.paths.add_polyline_path([_point(p) for p in points], is_closed=True)
        self._stamp(hatch)

    def text(
        self,
        text: str,
        at: Point,
        height_mm: float = 2.5,
        anchor: Anchor = "left",
        layer: str = layers.TEXT,
        rotation_deg: float = 0.0,
        says: str = "",
    ) -> Rect:
        """One line of text; blank text draws nothing.

        Args:
            text: as the user wrote it; made safe here.
            at: where the anchor stands.
            height_mm: height of capitals as plotted.
            anchor: which point of the text stands there.
            layer: layer name.
            rotation_deg: about the anchor, counter-clockwise.
            says: what it stands for where it is drawn shorter; what is revised is told by this.

        Returns:
            the box it covers, in the units of the point.

        Raises:
            TextError: below the least height, or longer than one entity can hold.
        """
        check_line(text, height_mm)
        at, height = _point(at), height_mm * self._unit
        if not text.strip():
            return Rect(*at, *at)
        alignment = ALIGNMENT[anchor]
        start = baseline_start(text, at, height, alignment, rotation_deg)
        attribs = text_attribs(text, start, at, height, alignment, rotation_deg)
        attribs |= {"layer": layer, "style": document.text_style(self.doc, text)}
        self._stamp(document.add_entity(self._space, "TEXT", attribs))
        return self._place(ink_box(text, start, height, rotation_deg), "text", says or text)

    def lines(
        self,
        lines: Sequence[str],
        top_left: Point,
        height_mm: float = 2.5,
        anchor: Anchor = "top_left",
        layer: str = layers.TEXT,
    ) -> Rect:
        """Lines of text below one another, each an entity of its own; the anchor is that of every line.

        Returns:
            the box they cover; the point itself when all are blank.
        """
        pitch = LINE_PITCH * height_mm * self._unit
        x, y = top_left
        with self.wholes.passage():
            boxes = [self.text(line, (x, y - n * pitch), height_mm, anchor, layer) for n, line in enumerate(lines)]
        return around_rects(boxes or [Rect(x, y, x, y)])

    def paragraph(
        self,
        text: str,
        top_left: Point,
        width_mm: float,
        height_mm: float = 2.5,
        layer: str = layers.NOTE,
    ) -> Rect:
        """Text wrapped to a width, as one MTEXT that a drafter can go on editing, and its box; blank text draws nothing.

        Raises:
            TextError: below the least height, or no room for one character.
        """
        check_line("", height_mm)
        top_left = _point(top_left)
        if not text.strip():
            return Rect(*top_left, *top_left)
        height, lines = height_mm * self._unit, wrap(text, width_mm, height_mm)
        # a tenth wider than measured, so that a program without the font breaks lines where we do
        attribs = {
            "layer": layer,
            "style": document.text_style(self.doc, text),
            "char_height": height,
            "insert": top_left,
            "width": round(width_mm * self._unit * 1.1, 3),
            "attachment_point": 1,
            "line_spacing_style": 2,
            "line_spacing_factor": LINE_PITCH * 0.6,
        }
        self._stamp(self._space.add_mtext(escape_mtext("\n".join(lines)), dxfattribs=attribs))
        width = max(text_width_mm(line, height) for line in lines)
        bottom = top_left[1] - block_height_mm(len(lines), height) - 0.3 * height
        return self._place(Rect(top_left[0], bottom, top_left[0] + width, top_left[1]), "text", text)

    def insert(
        self,
        block: str,
        at: Point,
        attribs: Mapping[str, str] | None = None,
        *,
        layer: str = layers.EQUIPMENT,
        rotation_deg: float = 0.0,
        scale: float = 1.0,
        fit_mm: Mapping[str, float] | None = None,
    ) -> Rect:
        """A block with its attributes filled in.

        Args:
            block: its name, the file's name without `.dxf`.
            at: where its base point stands.
            attribs: value for each attribute, as the user wrote it.
            layer: layer of the block's lines.
            rotation_deg: about the base point.
            scale: of the symbol as plotted.
            fit_mm: greatest plotted width of a value, by tag; longer ones are made smaller, then cut.

        Returns:
            the box of its lines, attributes left out.

        Raises:
            BlockError: no such block, or its attributes are not those given.
        """
        values, source = attribs or {}, self._block(block)
        blocks.check_values(source, values)
        at, factor = _point(at), scale * self._unit
        place: dict[str, Any] = {"layer": layer}
        if factor != 1:
            place.update(xscale=factor, yscale=factor, zscale=factor)
        if rotation_deg:
            place["rotation"] = rotation_deg
        ref = self._space.add_blockref(block, at, dxfattribs=place)
        if source.tags:
            self._fill_attribs(ref, values, fit_mm or {})
        self._stamp(ref)
        flat = Rect(*(v * factor for v in source.extents)).moved(*at)
        words = " ".join((block, *(f"{tag}={value}" for tag, value in sorted(values.items()))))
        return self._place(turned(flat, at, rotation_deg), "symbol", words, same_group=bool(source.tags))

    def tell(self, at: Point, words: str) -> None:
        """Say of a place what its lines show without a word: an issue then tells that they have changed."""
        self._place(Rect(*_point(at), *_point(at)), "symbol", words, same_group=True)

    def _block(self, name: str) -> blocks.Block:
        found = self._blocks.get(name) or blocks.load_block(self.doc, name, self.info.block_folders)
        return self._blocks.setdefault(name, found)

    def _fill_attribs(self, ref: Insert, values: Mapping[str, str], fit_mm: Mapping[str, float]) -> None:
        ref.add_auto_attribs({tag: escape_text(value) for tag, value in values.items()})
        self._group += 1
        for attrib in ref.attribs:
            tag = attrib.dxf.tag
            if tag in fit_mm and tag in values:
                room, height = fit_mm[tag] * self._unit, float(attrib.dxf.height)
                fitted = fit_text(values[tag], room, height, min(least_height_mm(tag) * self._unit, height))
                attrib.dxf.text, attrib.dxf.height = escape_text(fitted.lines[0]), fitted.height_mm
            document.style_letters(self.doc, attrib)
            if attrib.dxf.text.strip() and not attrib.is_invisible:
                self._place(entity_box(attrib), "text", same_group=True)

    def measure(self, ratio: float, unit_system: UnitSystem) -> None:
        """Say how dimensions read lengths from here on, in the file too: one added by hand says the real length.

        Args:
            ratio: real length over length in drawing units.
            unit_system: of the site.
        """
        self._measure = document.DimensionScale(ratio, self._unit, unit_system)
        document.dimension_style(self.doc, self._measure)

    def dimension(self, start: Point, end: Point, line_at: Point, text: str, *, angle_deg: float = 0.0) -> None:
        """A linear dimension at the scale of `measure`.

        Args:
            start: first point measured.
            end: second point measured.
            line_at: a point of the dimension line.
            text: what it says; `<>` stands for the length as measured, which follows when a drafter stretches it.
            angle_deg: direction of the dimension line; 90 for heights.
        """
        dim = self._space.add_linear_dim(
            base=_point(line_at),
            p1=_point(start),
            p2=_point(end),
            angle=angle_deg,
            text=escape_mtext(text),
            dimstyle=document.dimension_style(self.doc, self._measure),
            dxfattribs={"layer": layers.DIMENSION},
        )
        dim.render()
        self._stamp(dim.dimension)

    def save(self, path: Path) -> None:
        """Write the drawing, whole or not at all; the same drawing gives the same bytes.

        Raises:
            DrawingError: the folder cannot be written.
        """
        document.write_whole(path, self.to_bytes())

    def to_bytes(self) -> bytes:
        """The drawing as it stands in a file."""
        self.take_stock()
        return document.to_bytes(self.doc)

    def take_stock(self) -> DrawnRecord:
        """Enter into the drawing what has been drawn in it, and say it."""
        record = take_stock(self.doc, self._paper)
        write_record(self.doc, record)
        document.set_property(self.doc, "RISERKIT_DIGEST", self.info.digest or digest_of(record))
        return record

    def _stamp(self, entity: Any) -> None:
        marks.stamp(entity, self._subject, self._keys.next(self._thing, self._part, entity.dxftype()))
        if self._together is not None:
            self._together.append(entity)

    def _place(self, rect: Rect, kind: Any, words: str = "", *, same_group: bool = False) -> Rect:
        self._group += 0 if same_group else 1
        self._boxes.add(PlacedBox(rect, kind, self._subject, self._group, words, *self.wholes.now))
        return rect


def _point(point: Point) -> Point:
    return round(point[0], 3), round(point[1], 3)
