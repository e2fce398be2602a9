"""Revision clouds round what the last issue changed, and a delta with its letter at what each issue changed.

After the practice of engineering drawings (ASME Y14.35, from memory): clouds of earlier issues go, deltas stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt
from shapely import STRtree, box, shortest_line

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Occupancy, Point, Rect, around_rects
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.cloud import BULGE, cloud_points, rise_of
from riserkit.drawings.dxf.lines import lines_in
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.view import View
from riserkit.drawings.revisions.content import SaidLine, model_lines, paper_lines
from riserkit.drawings.revisions.values import SheetContent, SheetRevisions


class _Size(NamedTuple):
    """How large a cloud is drawn, in mm: its distance from what it goes round, and the length of its arcs."""

    off: float
    chord: float

    @property
    def rise(self) -> float:
        """How far the arcs reach outward."""
        return rise_of(self.chord)


# The largest that runs over no text is taken; between rows of a table only the smallest has room.
_SIZES: Final = (_Size(2.4, 6.0), _Size(1.3, 3.4), _Size(0.7, 1.9), _Size(0.35, 1.15))
_TOGETHER_MM: Final = 5.0
"""What changed and is closer together than this goes into one cloud."""
_ROW_MM: Final = 12.0
"""How much higher or wider an area may grow so that its cloud cuts no text: by the other lines of a table's row."""
_DELTA: Final = "revision_delta"
_LETTER_ROOM_MM: Final = 3.6
_FARTHEST_MM: Final = 60.0
_STEP_MM: Final = 2.0
_SPOTS: Final = 40
"""Free places that are compared."""
_PEN: Final = Pen(layers.REVISION, 0.35)
_SUBJECT: Final = "revision"


def draw_revisions(canvas: Canvas, revised: SheetRevisions, *, is_plan: bool) -> None:
    """Draw the clouds and deltas of a sheet that is drawn otherwise.

    Args:
        canvas: the sheet.
        revised: what is marked.
        is_plan: places of symbols in the model count as what it says.
    """
    view = canvas.view
    on_paper = [_seen(view, b.rect) for b in canvas.placed_on_paper.boxes]
    in_model = [_plotted(view, b.rect) for b in canvas.placed.boxes]
    said = tuple(model_lines(canvas, is_plan=is_plan)), tuple(paper_lines(canvas))
    model, paper = canvas.doc.modelspace(), canvas.doc.layouts.get(canvas.name)
    _Marks(canvas, model, canvas.placed, view.scale, on_paper).draw(revised, said[0])
    with canvas.paper():
        _Marks(canvas, paper, canvas.placed_on_paper, 1.0, in_model).draw(revised, said[1])


def _seen(view: View, rect: Rect) -> Rect:
    """A rectangle of the paper where it lies over the model."""
    (px, py), (mx, my) = view.paper.center, view.model_center
    return Rect(*(m + (v - p) * view.scale for v, p, m in zip(rect, (px, py) * 2, (mx, my) * 2, strict=True)))


def _plotted(view: View, rect: Rect) -> Rect:
    """A rectangle of the model where it comes out on paper."""
    (px, py), (mx, my) = view.paper.center, view.model_center
    return Rect(*(p + (v - m) / view.scale for v, p, m in zip(rect, (px, py) * 2, (mx, my) * 2, strict=True)))


class _Marks:
    """Clouds and deltas in one space of a sheet; `unit` is the length of a plotted millimetre there."""

    def __init__(self, canvas: Canvas, layout: Any, placed: Occupancy, unit: float, elsewhere: Sequence[Rect]) -> None:
        self.canvas, self.layout, self.unit = canvas, layout, unit
        self.boxes = list(placed.boxes)
        self.taken = [*(b.rect for b in self.boxes), *elsewhere]

    def draw(self, revised: SheetRevisions, said: Sequence[SaidLine]) -> None:
        """Draw what is revised of what this space says."""
        for area in self._areas(_of(revised.clouded, said)):
            with self.canvas.subject(f"{_SUBJECT}:cloud"):
                for piece in self._cloud(area):
                    self.canvas.polyline(piece.points, _PEN, closed=piece.closed, bulge=BULGE)
        for letter, lines in revised.deltas:
            for area in self._areas(_of(lines, said)):
                self._delta(area, letter)

    def _areas(self, areas: list[Rect]) -> tuple[Rect, ...]:
        """Put together what is close."""
        near = _TOGETHER_MM * self.unit / 2
        merged = True
        while merged:
            merged = False
            tree = STRtree([box(*area.inset(-near)) for area in areas]) if areas else None
            kept: list[Rect] = []
            used: set[int] = set()
            for n, area in enumerate(areas):
                if n in used or tree is None:
                    continue
                others = [int(k) for k in tree.query(box(*area.inset(-near))) if int(k) not in used]
                used.update(others)
                kept.append(around_rects(areas[k] for k in others))
                merged = merged or len(others) > 1
            areas = kept
        return tuple(sorted(areas))

    def _cloud(self, area: Rect) -> Iterator[_Piece]:
        """The largest cloud that touches no text; of the smallest, what touches none."""
        others = [b.rect for b in self.boxes if not area.holds(b.rect)]
        for size in _SIZES:
            points, band = self._outline(area, size)
            if not any(_touches(band, rect) for rect in others):
                yield _Piece(points, closed=True)
                return
        whole = self._whole(area)
        if whole != area:
            yield from self._cloud(whole)
            return
        points, _ = self._outline(area, _SIZES[-1])
        reach = _SIZES[-1].rise * self.unit
        run: list[Point] = []
        for start, end in zip(points, [*points[1:], points[0]], strict=True):
            arc = around_rects((Rect(*start, *start), Rect(*end, *end))).inset(-reach)
            if any(arc.overlaps(rect) for rect in others):
                if len(run) > 1:
                    yield _Piece(run, closed=False)
                run = []
            else:
                run = [*(run or [start]), end]
        if len(run) > 1:
            yield _Piece(run, closed=False)

    def _whole(self, area: Rect) -> Rect:
        """An area with the texts that even its smallest cloud would cut; as it is where those reach far."""
        grown = area
        while True:
            _, band = self._outline(grown, _SIZES[-1])
            cut = [b.rect for b in self.boxes if not grown.holds(b.rect) and _touches(band, b.rect)]
            if not cut:
                return grown
            grown = around_rects((grown, *cut))
            if max(grown.height - area.height, grown.width - area.width) > _ROW_MM * self.unit:
                return area

    def _outline(self, area: Rect, size: _Size) -> tuple[list[Point], tuple[Rect, Rect]]:
        """Corners of the arcs, counter-clockwise, and the band that they keep to: outer and inner rectangle."""
        edge = area.inset(-size.off * self.unit)
        points = cloud_points(edge, size.chord * self.unit)
        return points, (edge.inset(-size.rise * self.unit), edge)

    def _delta(self, area: Rect, letter: str) -> None:
        """A triangle with the letter, beside the cloud where nothing else is."""
        spot = self._free_spot(area)
        if spot is None:
            return  # the table of revisions still tells of it
        body = Rect(*(v * self.unit for v in SYMBOLS[_DELTA].body))
        at = spot[0] - body.x0, spot[1] - body.y0
        with self.canvas.subject(f"{_SUBJECT}:{letter}"):
            self.canvas.insert(_DELTA, at, {"REV": letter}, layer=layers.REVISION, fit_mm={"REV": _LETTER_ROOM_MM})
        self.taken.append(body.moved(*at))

    def _free_spot(self, area: Rect) -> Point | None:
        side = SYMBOLS[_DELTA].body.width * self.unit
        margin, lines = 0.5 * self.unit, self._lines
        sheet, taken = self._sheet(), np.array(self.taken).reshape(-1, 4)
        free: list[tuple[int, int, Point]] = []
        for x, y in self._spots(area, side):
            spot = Rect(x, y, x + side, y + side).inset(-margin)
            if not sheet.holds(spot) or _overlaps_any(spot, taken):
                continue
            if not len(lines.query(box(*spot), predicate="intersects")):
                # In a cell of another table it would be taken for that row's: the fewer lines between, the better.
                between = shortest_line(box(*spot), box(*area))
                free.append((len(lines.query(between, predicate="intersects")), len(free), (x, y)))
                if len(free) == _SPOTS:
                    break
        return min(free)[2] if free else None

    def _spots(self, area: Rect, side: float) -> Iterator[Point]:
        """Places round an area, the nearest first."""
        step = _STEP_MM * self.unit
        ring = area.inset(-_SIZES[0].off * self.unit - _SIZES[0].rise * self.unit)
        for n in range(int(_FARTHEST_MM / _STEP_MM)):
            out = ring.inset(-n * step)
            across = [out.x1 - k * step for k in range(int(out.width / step) + 1)]
            up = [out.y1 - k * step for k in range(int(out.height / step) + 1)]
            yield from ((x, out.y1) for x in across)
            yield from ((out.x1, y) for y in up)
            yield from ((out.x0 - side, y) for y in up)
            yield from ((x, out.y0 - side) for x in across)

    def _sheet(self) -> Rect:
        """Where marks may stand: inside the outermost of what is drawn in this space."""
        return around_rects(b.rect for b in self.boxes) if self.boxes else Rect(0, 0, 0, 0)

    @cached_property
    def _lines(self) -> STRtree:
        """Lines that stood before the first delta, clouds included."""
        return STRtree(list(lines_in(self.layout)))


def _of(lines: SheetContent, said: Sequence[SaidLine]) -> list[Rect]:
    return [line.rect for line in said if line.digest in lines.get(line.model_id, ())]


class _Piece(NamedTuple):
    """A run of arcs."""

    points: Sequence[Point]
    closed: bool


def _overlaps_any(rect: Rect, others: npt.NDArray[np.float64], slack: float = 1e-6) -> bool:
    """Whether it shares more than an edge with any of n others, (n, 4), as `Rect.overlaps` has it."""
    low, high = np.array(rect[:2]), np.array(rect[2:])
    return bool(((low < others[:, 2:] - slack) & (others[:, :2] < high - slack)).all(axis=1).any())


def _touches(band: tuple[Rect, Rect], rect: Rect) -> bool:
    outer, inner = band
    return outer.overlaps(rect) and not inner.holds(rect)
