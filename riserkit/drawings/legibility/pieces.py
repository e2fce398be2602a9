"""Entities taken apart: boxes of lettering, lines, curves as chords, areas; blocks once, then moved into place."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any, Final, NamedTuple

from ezdxf.entities.dxfentity import DXFTagStorage

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.dxf.errors import TextError
from riserkit.drawings.dxf.lettering import baseline_start, ink_box
from riserkit.drawings.dxf.text import LINE_PITCH, text_width_mm, wrap
from riserkit.drawings.legibility.inline_codes import LetterLine, LetterRun, has_codes, lines_of

_CHORD_DEG: Final = 15.0
_SAGITTA: Final = 0.02
_SAGITTA_OF_SIZE: Final = 1e-6
"""Of a curve so large that chords of `_SAGITTA` would be without number."""
_MTEXT_LEADING: Final = 5 / 3
"""Pitch of lines of an MTEXT over its height, at a spacing factor of one."""


class Piece(NamedTuple):
    """A part of an entity in the coordinates of its space; `height` is that of lettering, 0 for all else."""

    points: tuple[Point, ...]
    layer: str
    text: str = ""
    height: float = 0.0
    is_area: bool = False
    is_curve: bool = False
    is_mask: bool = False


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def points(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """The points moved."""
        a, b, c, d, e, f = self
        return tuple((a * x + c * y + e, b * x + d * y + f) for x, y in points)

    @property
    def height(self) -> float:
        """By how much it stretches heights."""
        return math.hypot(self.c, self.d)


def moved(piece: Piece, by: Affine) -> Piece:
    """A piece moved, turned and stretched."""
    points, layer, text, height, *flags = piece
    return Piece(by.points(points), layer, text, height * by.height if height else height, *flags)


def arc_points(center: Point, radius: float, start_deg: float, sweep_deg: float) -> tuple[Point, ...]:
    """Points along an arc, near enough that chords leave it by no more than 0.02."""
    fine = math.degrees(2 * math.acos(max(1 - _SAGITTA / radius, -1.0))) if radius > _SAGITTA else _CHORD_DEG
    count = max(1, math.ceil(abs(sweep_deg) / min(_CHORD_DEG, max(fine, 1.0))))
    turns = (math.radians(start_deg + sweep_deg * k / count) for k in range(count + 1))
    return tuple((center[0] + radius * math.cos(t), center[1] + radius * math.sin(t)) for t in turns)


def _line(e: Any) -> Iterator[Piece]:
    start, end = e.dxf.start, e.dxf.end
    yield Piece(((start.x, start.y), (end.x, end.y)), e.dxf.layer)


def _circle(e: Any) -> Iterator[Piece]:
    center = (e.dxf.center.x, e.dxf.center.y)
    yield Piece(arc_points(center, e.dxf.radius, 0, 360), e.dxf.layer, is_curve=True)


def _arc(e: Any) -> Iterator[Piece]:
    start, end = float(e.dxf.start_angle), float(e.dxf.end_angle)
    sweep = (end - start) % 360 or 360.0
    yield Piece(arc_points((e.dxf.center.x, e.dxf.center.y), e.dxf.radius, start, sweep), e.dxf.layer, is_curve=True)


def _lwpolyline(e: Any) -> Iterator[Piece]:
    raw = [(x, y, bulge) for x, y, bulge in e.get_points("xyb")]
    ends = [*raw, raw[0]] if e.closed and raw else raw
    points: list[Point] = [(x, y) for x, y, _ in ends[:1]]
    for (x0, y0, bulge), (x1, y1, _) in pairwise(ends):
        points += _bulged((x0, y0), (x1, y1), bulge)[1:] if bulge else [(x1, y1)]
    if len(points) > 1:
        yield Piece(tuple(points), e.dxf.layer)


def _bulged(start: Point, end: Point, bulge: float) -> tuple[Point, ...]:
    """The arc between two vertices; the bulge is the tangent of a quarter of its sweep."""
    sweep = 4 * math.atan(bulge)
    chord = math.dist(start, end)
    if chord == 0:
        return start, end
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    off = math.copysign(1, bulge) * radius * math.cos(sweep / 2)
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    center = ((start[0] + end[0]) / 2 - uy * off, (start[1] + end[1]) / 2 + ux * off)
    first = math.degrees(math.atan2(start[1] - center[1], start[0] - center[0]))
    return arc_points(center, radius, first, math.degrees(sweep))


def _ellipse(e: Any) -> Iterator[Piece]:
    return _flattened(e, e.dxf.major_axis.magnitude)


def _spline(e: Any) -> Iterator[Piece]:
    held = [float(v) for p in (*e.control_points, *e.fit_points) for v in p]
    return _flattened(e, max(held, default=0.0) - min(held, default=0.0))


def _flattened(e: Any, size: float) -> Iterator[Piece]:
    points = tuple((p.x, p.y) for p in e.flattening(max(_SAGITTA, size * _SAGITTA_OF_SIZE)))
    if len(points) > 1:
        yield Piece(points, e.dxf.layer, is_curve=True)


def _leader(e: Any) -> Iterator[Piece]:
    points = tuple((v[0], v[1]) for v in e.vertices)
    if len(points) > 1:
        yield Piece(points, e.dxf.layer)


def _hatch(e: Any) -> Iterator[Piece]:
    for path in e.paths:
        points = tuple((v[0], v[1]) for v in getattr(path, "vertices", ()))
        if len(points) > 2:
            yield Piece(points, e.dxf.layer, is_area=True)


def _solid(e: Any) -> Iterator[Piece]:
    corners = [e.dxf.vtx0, e.dxf.vtx1, e.dxf.get("vtx3", e.dxf.vtx2), e.dxf.vtx2]
    yield Piece(tuple((v.x, v.y) for v in corners), e.dxf.layer, is_area=True)


def _wipeout(e: Any) -> Iterator[Piece]:
    yield Piece(tuple((p.x, p.y) for p in e.boundary_path_wcs()), e.dxf.layer, is_area=True, is_mask=True)


def _text(e: Any) -> Iterator[Piece]:
    text = _plain(e)
    if not text.strip() or getattr(e, "is_invisible", False):
        return
    dxf = e.dxf
    height, angle = float(dxf.height), float(dxf.get("rotation", 0.0))
    halign, valign, factor = dxf.get("halign", 0), dxf.get("valign", 0), float(dxf.get("width", 1.0))
    if (halign, valign) == (0, 0) or halign in (3, 5):
        start = (dxf.insert.x, dxf.insert.y)
    else:
        point = dxf.get("align_point", dxf.insert)
        alignment = (halign, 2 if halign == 4 else valign)
        start = baseline_start(text, (point.x, point.y), height, alignment, angle)
        # a text held in its middle or on its right is as much shorter on both sides
        over = _HELD_AT.get(halign, 0.0) * text_width_mm(text, height) * (1 - factor)
        start = start[0] + over * math.cos(math.radians(angle)), start[1] + over * math.sin(math.radians(angle))
    yield _inked(text, start, height, angle, dxf.layer, factor, float(dxf.get("oblique", 0.0)))


def _plain(e: Any) -> str:
    """A text as it is read; next to none has a code in it, and the library goes through each letter by letter."""
    text: str = e.dxf.text
    return text if text.isprintable() and "^" not in text and "%%" not in text else e.plain_text()


_HELD_AT: Final = {1: 0.5, 2: 1.0, 4: 0.5}


def _inked(
    text: str, start: Point, height: float, angle_deg: float, layer: str, factor: float = 1.0, slant_deg: float = 0.0
) -> Piece:
    x0, y0, x1, y1 = ink_box(text, start, height, 0.0)
    corners: tuple[Point, ...] = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    if factor != 1 or slant_deg:
        set_so = Affine(factor, 0.0, math.tan(math.radians(slant_deg)), 1.0, *start)
        corners = set_so.points([(x - start[0], y - start[1]) for x, y in corners])
    if angle_deg:
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        around = Affine(cos, sin, -sin, cos, *start)
        corners = around.points([(x - start[0], y - start[1]) for x, y in corners])
    return Piece(corners, layer, text, height)


def _wrapped(given: str, room: float, height: float) -> Sequence[str]:
    """Lines of a paragraph. A box narrower than a letter has a word a line, as programs that draw have it."""
    if not room:
        return (given,)
    try:
        return tuple(wrap(given, room, height))
    except TextError:
        return tuple(given.split())


def _mtext(e: Any) -> Iterator[Piece]:
    dxf, height = e.dxf, float(e.dxf.char_height)
    across, down = (dxf.attachment_point - 1) % 3, (dxf.attachment_point - 1) // 3
    angle = math.radians(e.get_rotation())
    place = Affine(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle), dxf.insert.x, dxf.insert.y)
    lines = tuple(lines_of(e) if has_codes(e) else _plain_lines(e, height))
    pitch = _MTEXT_LEADING * float(dxf.get("line_spacing_factor", LINE_PITCH / _MTEXT_LEADING))
    block = lines[0].height + sum(line.height * pitch for line in lines[1:]) if lines else 0.0
    y = block * down / 2
    for n, line in enumerate(lines):
        y -= line.height * (pitch if n else 1.0)
        for run in line.runs:
            if run.text.strip():
                start = run.x - line.width * across / 2, y + run.y
                flat = _inked(run.text, start, run.height, 0.0, dxf.layer, run.factor, run.oblique_deg)
                yield flat._replace(points=place.points(flat.points))


def _plain_lines(e: Any, height: float) -> Iterator[LetterLine]:
    room = float(e.dxf.get("width", 0.0))
    for given in e.plain_text(split=True):
        for line in _wrapped(given, room, height):
            yield LetterLine((LetterRun(line, 0.0, 0.0, height),), text_width_mm(line, height), height)


SIMPLE: Final[dict[str, Callable[[Any], Iterator[Piece]]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _lwpolyline,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LEADER": _leader,
    "HATCH": _hatch,
    "SOLID": _solid,
    "TRACE": _solid,
    "WIPEOUT": _wipeout,
    "TEXT": _text,
    "ATTRIB": _text,
    "MTEXT": _mtext,
}
"""What each kind of entity is taken apart by; blocks, dimensions and other compounds are by `Taker`."""

COMPOUND: Final = frozenset({"DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "MULTILEADER", "POLYLINE"})
UNSEEN: Final = frozenset({"VIEWPORT", "ATTDEF", "POINT", "XLINE", "RAY"})


class Taker:
    """Takes entities of one document apart; each block once."""

    def __init__(self, doc: Any) -> None:
        self._doc = doc
        self._blocks: dict[str, tuple[Piece, ...]] = {}
        self._hidden = {layer.dxf.name for layer in doc.layers if _is_hidden(layer)}
        self.unread: dict[str, int] = {}

    def pieces(self, entity: Any) -> Iterator[Piece]:
        """Pieces of an entity that are plotted, in the coordinates of its space."""
        kind = entity.dxftype()
        if isinstance(entity, DXFTagStorage):
            # An entity of some program's own: kept as it is, and nobody here knows what it looks like.
            self._leave(kind)
            return
        if entity.dxf.get("invisible", 0):
            return
        if kind == "INSERT":
            yield from self._insert(entity)
        elif kind in COMPOUND:
            for part in entity.virtual_entities():
                yield from self.pieces(part)
        elif entity.dxf.layer not in self._hidden:
            yield from self._simple(kind, entity)

    def _simple(self, kind: str, entity: Any) -> Iterator[Piece]:
        take = SIMPLE.get(kind)
        if take is not None:
            yield from take(entity)
        elif kind not in UNSEEN:
            self._leave(kind)

    def _leave(self, kind: str) -> None:
        self.unread[kind] = self.unread.get(kind, 0) + 1

    def _insert(self, ref: Any) -> Iterator[Piece]:
        layer = ref.dxf.layer
        if layer not in self._hidden:
            block = self._block(ref.dxf.name)
            for place in _places(ref) if block else ():
                stretch = place.height
                for points, own_layer, text, height, *flags in block:
                    on = layer if own_layer == "0" else own_layer
                    yield Piece(place.points(points), on, text, height * stretch, *flags)
        for attrib in ref.attribs:
            yield from self.pieces(attrib)

    def _block(self, name: str) -> tuple[Piece, ...]:
        if name not in self._blocks:
            block = self._doc.blocks.get(name)
            if block is None:
                self._leave("INSERT without its block")
            self._blocks[name] = tuple(piece for entity in block or () for piece in self.pieces(entity))
        return self._blocks[name]


def _places(ref: Any) -> Iterator[Affine]:
    """Where a block stands; in rows and columns, where each of its copies does."""
    m = list(ref.matrix44())
    first = Affine(m[0], m[1], m[4], m[5], m[12], m[13])
    yield first
    if ref.mcount <= 1:
        return
    dxf, turn = ref.dxf, math.radians(float(ref.dxf.get("rotation", 0.0)))
    across, up = (float(dxf.get(f"{way}_spacing", 0.0)) for way in ("column", "row"))
    flip = -1.0 if ref.ocs().transform and ref.ocs().uz.z < 0 else 1.0
    for n in range(1, ref.mcount):
        row, column = divmod(n, max(int(dxf.get("column_count", 1)), 1))
        x, y = column * across, row * up
        dx, dy = x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
        yield first._replace(e=first.e + flip * dx, f=first.f + dy)


def _is_hidden(layer: Any) -> bool:
    return bool(layer.is_off() or layer.is_frozen() or not layer.dxf.get("plot", 1))
