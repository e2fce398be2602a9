"""A drawing's entities, blocks within blocks, brought into one plane; bounded in depth and number whatever the file says."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Any, Final

from ezdxf.entities.boundary_paths import ArcEdge, LineEdge, PolylinePath
from ezdxf.math import Matrix44, Vec2, bulge_to_arc
from ezdxf.tools.text import plain_mtext

from riserkit.errors import visible
from riserkit_dxf_plan.pieces import Outline, Pieces, Placed, PlanText, Point, Segment, Swing

MOST_PIECES: Final = 1_000_000
MOST_DEPTH: Final = 16
_MOST_COPIES: Final = 10_000
_FARTHEST: Final = 1e12
_FULL_TURN_DEG: Final = 359.0
_SAME: Final = 1e-9
_SPLINE_LINES: Final = 12
_MOST_RINGS: Final = 2_000
_MOST_CORNERS: Final = 5_000


def flatten(doc: Any, layout: Any) -> Pieces:
    """All pieces of a layout; those on layers that are off or frozen are counted and left."""
    hidden = {layer.dxf.name.casefold() for layer in doc.layers if layer.is_off() or layer.is_frozen()}
    walker = _Walker(doc, hidden)
    walker.walk(layout, None, None, "", ())
    return walker.pieces


def bare_layer(name: str) -> str:
    """A layer's name without the prefix of the reference that it came with, bound (`ref$0$A-WALL`) or not (`ref|A-WALL`)."""
    for sign in ("$", "|"):
        name = name.rpartition(sign)[2] or name
    return name


class _Walker:
    def __init__(self, doc: Any, hidden: set[str]) -> None:
        self.doc, self.hidden = doc, hidden
        self.pieces = Pieces()
        self.count = 0
        self._bare: dict[str, str] = {}

    def walk(
        self,
        entities: Iterable[Any],
        matrix: Matrix44 | None,
        insert: Placed | None,
        layer_of: str,
        within: tuple[str, ...],
    ) -> None:
        pieces = self.pieces
        for entity in entities:
            self.count += 1
            if self.count > MOST_PIECES:
                pieces.is_cut = True
                return
            kind = entity.dxftype()
            if not entity.is_supported_dxf_attrib("layer"):
                # of no kind that the library knows, and on no layer
                pieces.left[visible(kind)[:40]] = pieces.left.get(visible(kind)[:40], 0) + 1
                continue
            layer = entity.dxf.layer
            if layer == "0" and layer_of:
                layer = layer_of
            if layer.casefold() in self.hidden or entity.dxf.invisible:
                pieces.hidden[layer] = pieces.hidden.get(layer, 0) + 1
                continue
            bare = self._bare.get(layer)
            if bare is None:
                bare = self._bare[layer] = bare_layer(layer)
            pieces.layers[bare] = pieces.layers.get(bare, 0) + 1
            try:
                self._take(kind, entity, matrix, insert, bare, layer, within)
            except (ValueError, TypeError, ArithmeticError, AttributeError, IndexError, KeyError):
                # A broken entity is left, and said; the others are read.
                pieces.left[f"broken {kind}"] = pieces.left.get(f"broken {kind}", 0) + 1

    def _take(
        self, kind: str, entity: Any, matrix: Matrix44 | None, insert: Placed | None, bare: str, layer: str, within: tuple[str, ...]
    ) -> None:  # fmt: skip
        if kind == "LINE":
            start, end = entity.dxf.start, entity.dxf.end
            if matrix is not None:
                start, end = matrix.transform(start), matrix.transform(end)
            self._segment((start[0], start[1]), (end[0], end[1]), bare, insert, entity.dxf.handle)
        elif kind == "LWPOLYLINE":
            self._polyline(
                [(x, y, b) for x, y, b in entity.get_points("xyb")],
                entity.closed,
                entity,
                matrix,
                insert,
                bare,
                entity.dxf.elevation,
            )
        elif kind == "ARC":
            self._arc(entity, matrix, insert, bare)
        elif kind == "INSERT":
            self._insert(entity, matrix, insert, layer, within)
        elif kind in ("TEXT", "MTEXT"):
            self._words(entity, kind, matrix, bare)
        elif kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline):
            points = [(*v.dxf.location.vec2, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
            self._polyline(points, entity.is_closed, entity, matrix, insert, bare, 0.0)
        elif kind == "ELLIPSE":
            self._ellipse(entity, matrix, insert, bare)
        elif kind == "SPLINE":
            self._spline(entity, matrix, insert, bare)
        elif kind in ("HATCH", "SOLID", "TRACE"):
            self._filled(kind, entity, matrix, insert, bare)
        elif kind in ("LEADER", "MULTILEADER", "MLEADER"):
            self._leader(kind, entity, matrix, bare)
        elif kind not in ("ATTDEF", "VIEWPORT", "POINT", "SEQEND"):
            self.pieces.left[kind] = self.pieces.left.get(kind, 0) + 1

    def _segment(self, start: Point, end: Point, layer: str, insert: Placed | None, handle: str | None) -> None:
        _expect_places((start, end))
        self.pieces.segments.append(Segment(start, end, layer, insert, handle or ""))
        if insert is not None:
            self.pieces.boxes.setdefault(insert.handle, []).extend((start, end))

    def _to_plane(self, entity: Any, points: Iterable[Any], matrix: Matrix44 | None) -> list[Point]:
        """Points of an entity's own system in the plane of the plan."""
        found = list(points)
        if entity.dxf.hasattr("extrusion") and tuple(entity.dxf.extrusion) != (0.0, 0.0, 1.0):
            found = list(entity.ocs().points_to_wcs(found))
        if matrix is not None:
            found = list(matrix.transform_vertices(found))
        flat = [(float(p[0]), float(p[1])) for p in found]
        _expect_places(flat)
        return flat

    def _arc(self, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str) -> None:
        start_deg, end_deg = entity.dxf.start_angle, entity.dxf.end_angle
        sweep_deg = (end_deg - start_deg) % 360 or 360.0
        cx, cy, cz = entity.dxf.center
        radius = entity.dxf.radius
        if sweep_deg > _FULL_TURN_DEG or radius <= 0:
            return
        turns = [math.radians(start_deg + sweep_deg * part) for part in (0, 0.5, 1)]
        points = [(cx, cy, cz), *((cx + radius * math.cos(t), cy + radius * math.sin(t), cz) for t in turns)]
        self._swing(self._to_plane(entity, points, matrix), layer, insert, entity.dxf.handle)

    def _ellipse(self, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str) -> None:
        sweep = (entity.dxf.end_param - entity.dxf.start_param) % math.tau or math.tau
        if math.degrees(sweep) > _FULL_TURN_DEG:
            return
        params = [entity.dxf.start_param + sweep * part for part in (0, 0.5, 1)]
        points = [entity.dxf.center, *entity.vertices(params)]
        if matrix is not None:
            points = list(matrix.transform_vertices(points))
        self._swing([(p[0], p[1]) for p in points], layer, insert, entity.dxf.handle)

    def _spline(self, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str) -> None:
        """A curve as short lines, from which arcs are told as from other chains of lines."""
        points = self._flat(list(entity.construction_tool().approximate(_SPLINE_LINES)), matrix)
        for one, other in pairwise(points):
            if one != other:
                self._segment(one, other, layer, insert, entity.dxf.handle)

    def _filled(self, kind: str, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str) -> None:
        """What is filled: walls may be nothing else, and of a block it says how far it reaches."""
        rings = []
        if kind == "HATCH":
            for path in entity.paths.paths[:_MOST_RINGS]:
                if isinstance(path, PolylinePath):
                    rings.append([(*v[:2], 0.0) for v in path.vertices[:_MOST_CORNERS]])
                else:
                    starts = (getattr(edge, "start_point", None) or getattr(edge, "start", None) for edge in path.edges)
                    rings.append([(at[0], at[1], 0.0) for at in starts if at is not None])
                    self._filled_arcs(path, entity, matrix, insert, layer)
        else:
            rings.append(list(entity.wcs_vertices()))
        for ring in rings:
            points = self._to_plane(entity, ring, matrix)
            if insert is not None:
                self.pieces.boxes.setdefault(insert.handle, []).extend(points)
            if len(points) > 2:
                self.pieces.fills.append(Outline(tuple(points), layer, entity.dxf.handle or ""))

    def _leader(self, kind: str, entity: Any, matrix: Matrix44 | None, layer: str) -> None:
        """Both ends of a leader, and the words of one that has them itself."""
        if kind == "LEADER":
            ways = [list(entity.vertices)]
        else:
            context = entity.context
            ways = [
                [*line.vertices, *([branch.last_leader_point] if branch.has_last_leader_line else [])]
                for branch in context.leaders
                for line in branch.lines
            ]
            if context.mtext is not None and (
                text := "\n".join(plain_mtext(context.mtext.default_content, split=True)).strip()
            ):
                ((x, y),) = self._flat([context.mtext.insert], matrix)
                ways = [[*way, context.mtext.insert] for way in ways]
                self.pieces.words.append(
                    PlanText((x, y), text, float(context.char_height), layer, entity.dxf.handle or "")
                )
        for way in ways:
            if len(way) > 1:
                one, other = self._flat([way[0], way[-1]], matrix)
                self.pieces.leaders.append((one, other))

    def _flat(self, points: Sequence[Any], matrix: Matrix44 | None) -> list[Point]:
        found = points if matrix is None else list(matrix.transform_vertices(points))
        flat = [(float(p[0]), float(p[1])) for p in found]
        _expect_places(flat)
        return flat

    def _filled_arcs(self, path: Any, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str) -> None:
        """Arcs and straight sides of a fill's outline."""
        pieces, handle = self.pieces, entity.dxf.handle or ""
        for edge in path.edges[:_MOST_CORNERS]:
            if isinstance(edge, ArcEdge):
                sweep_deg = (edge.end_angle - edge.start_angle) % 360 or 360.0
                if sweep_deg <= _FULL_TURN_DEG and edge.radius > 0:
                    turns = [math.radians(edge.start_angle + sweep_deg * part) for part in (0, 0.5, 1)]
                    cx, cy, r = edge.center.x, edge.center.y, edge.radius
                    arc = [(cx, cy, 0.0), *((cx + r * math.cos(t), cy + r * math.sin(t), 0.0) for t in turns)]
                    centre, start, middle, end = self._to_plane(entity, arc, matrix)
                    pieces.filled_swings.append(Swing(centre, start, middle, end, layer, insert, handle))
            elif isinstance(edge, LineEdge):
                one, other = self._to_plane(
                    entity, [(edge.start.x, edge.start.y, 0.0), (edge.end.x, edge.end.y, 0.0)], matrix
                )
                pieces.filled_edges.append(Segment(one, other, layer, insert, handle))

    def _swing(self, points: list[Point], layer: str, insert: Placed | None, handle: str | None) -> None:
        _expect_places(points)
        centre, start, middle, end = points
        self.pieces.swings.append(Swing(centre, start, middle, end, layer, insert, handle or ""))
        if insert is not None:
            self.pieces.boxes.setdefault(insert.handle, []).extend((centre, start, end))

    def _polyline(
        self, points: list[tuple[float, float, float]], closed: bool, entity: Any, matrix: Matrix44 | None,
        insert: Placed | None, layer: str, elevation: float,
    ) -> None:  # fmt: skip
        flat = self._to_plane(entity, [(x, y, elevation) for x, y, _ in points], matrix)
        handle = entity.dxf.handle
        count = len(points) if closed else len(points) - 1
        corners: list[Point] = []
        for n in range(count):
            one, other = points[n], points[(n + 1) % len(points)]
            corners.append(flat[n])
            if abs(one[2]) > 1e-6:
                centre, start_rad, end_rad, radius = bulge_to_arc(Vec2(one[:2]), Vec2(other[:2]), one[2])
                sweep = (end_rad - start_rad) % math.tau
                turns = [start_rad + sweep * part for part in (0, 0.5, 1)]
                arc = [(centre.x, centre.y, elevation), *((centre.x + radius * math.cos(t), centre.y + radius * math.sin(t), elevation)
                                                          for t in turns)]  # fmt: skip
                bent = self._to_plane(entity, arc, matrix)
                self._swing(bent, layer, insert, handle)
                corners.append(bent[2])
            else:
                self._segment(flat[n], flat[(n + 1) % len(flat)], layer, insert, handle)
        if not closed and len(flat) > 3 and math.dist(flat[0], flat[-1]) < _SAME:
            closed = True
        if closed and len(corners) > 2:
            self.pieces.outlines.append(Outline(tuple(corners), layer, handle or ""))

    def _words(self, entity: Any, kind: str, matrix: Matrix44 | None, layer: str) -> None:
        if kind == "MTEXT":
            text, at, height = entity.plain_text(), entity.dxf.insert, entity.dxf.char_height
            raw = entity.text
            at = _middle(entity, at, height, text)
        else:
            text, height, raw = entity.plain_text(), entity.dxf.height, entity.dxf.text
            placed = entity.get_placement()
            at = placed[1] if placed[1] is not None else placed[0]
            at = self._to_plane(entity, [at], None)[0]
            at = (*at, 0.0)
        if matrix is not None:
            at = matrix.transform(at)
            up = matrix.transform_direction((0, 1, 0))
            height *= math.hypot(up[0], up[1])
        _expect_places([(at[0], at[1]), (height, 0.0)])
        text = text.strip()
        if text:
            is_underlined = "%%u" in raw.lower() or "\\L" in raw
            self.pieces.words.append(
                PlanText((at[0], at[1]), text, height, layer, entity.dxf.handle or "", is_underlined)
            )

    def _insert(
        self, entity: Any, matrix: Matrix44 | None, insert: Placed | None, layer: str, within: tuple[str, ...]
    ) -> None:
        name = entity.dxf.name
        block = self.doc.blocks.get(name)
        pieces = self.pieces
        if block is None or name.casefold() in within or len(within) >= MOST_DEPTH:
            why = "insert of a block that is not there" if block is None else "block that holds itself"
            why = why if len(within) < MOST_DEPTH else "blocks nested too deep"
            pieces.left[why] = pieces.left.get(why, 0) + 1
            return
        if block.block.is_xref or block.block.is_xref_overlay:
            pieces.references[name] = str(block.block.dxf.get("xref_path", ""))
        for one in self._copies(entity):
            # A copy counts also where its block is empty, or copies of copies would have no end.
            self.count += 1
            if self.count > MOST_PIECES:
                pieces.is_cut = True
                return
            own = one.matrix44()
            whole = own if matrix is None else own @ matrix
            origin, axis = whole.transform(block.block.dxf.base_point), whole.transform_direction((1, 0, 0))
            attributes = tuple(
                (a.dxf.tag.upper(), a.plain_text().strip()) for a in one.attribs if a.plain_text().strip()
            )
            handle = "/".join(
                filter(None, (insert.handle if insert else "", one.dxf.handle or entity.dxf.handle or ""))
            )
            placed = Placed(
                handle, bare_layer(name), bare_layer(layer), (origin[0], origin[1]), (axis[0], axis[1]), attributes
            )
            pieces.inserts.append(placed)
            self.walk(block, whole, placed, layer, (*within, name.casefold()))
            if pieces.is_cut:
                return

    def _copies(self, entity: Any) -> Iterator[Any]:
        if entity.mcount > 1:
            if entity.mcount > _MOST_COPIES:
                raise ValueError("too many copies")
            yield from entity.multi_insert()
        else:
            yield entity


def _expect_places(points: Iterable[Point]) -> None:
    """No drawing reaches as far: a survey in millimetres has 10^10, and of much larger numbers the squares are none.

    Raises:
        ValueError: one of the points is no place.
    """
    if not all(abs(v) <= _FARTHEST for point in points for v in point):
        raise ValueError("no place of a drawing")


def _middle(entity: Any, at: Any, height: float, text: str) -> Any:
    """About the middle of a text of several lines, from the point that it hangs on."""
    point = entity.dxf.attachment_point
    lines = text.splitlines() or [""]
    wide, high = max(map(len, lines)) * height * 0.6, len(lines) * height * 1.66
    across = {1: 0.5, 2: 0.0, 0: -0.5}[point % 3]
    up = {0: -0.5, 1: 0.0, 2: 0.5}[(point - 1) // 3]
    turn = math.radians(entity.dxf.rotation) if entity.dxf.hasattr("rotation") else 0.0
    dx, dy = wide * across, high * up
    return (at[0] + dx * math.cos(turn) - dy * math.sin(turn), at[1] + dx * math.sin(turn) + dy * math.cos(turn), 0.0)
