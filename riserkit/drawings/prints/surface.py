"""A surface that a wiring diagram can be drawn on straight, without a drawing of its own: what a picture on a page needs.

A drawing carries layers, marks and a record for whoever edits it, and takes ten times as long to make and to print.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.prints.pdf import PdfPage
from riserkit.drawings.prints.pen import PagePen, picture_of
from riserkit.standards.sheets import PaperSize

_WEIGHT_MM: Final = {style.name: style.weight_mm for style in layers.LAYERS}
_SYMBOL_MM: Final = 40.0
_CIRCLE_STEPS: Final = 24


class PictureSurface:
    """What is drawn becomes a picture of a size.

    Args:
        width_mm, height_mm: of the picture.
        block_folders: the site's own blocks, before the shipped ones.
    """

    def __init__(self, width_mm: float, height_mm: float, block_folders: tuple[Path, ...] = ()) -> None:
        self._pen = PagePen("picture", width_mm, height_mm)
        self._folders = block_folders

    def picture(self) -> PdfPage:
        """All that has been drawn."""
        return self._pen.page()

    @contextmanager
    def subject(self, model_id: str, thing: str = "") -> Iterator[None]:
        """A picture keeps no marks."""
        yield

    @contextmanager
    def group(self, name: str) -> Iterator[None]:
        """Nobody picks anything of a picture."""
        yield

    def line(self, start: Point, end: Point, layer: str | Pen = layers.DIAGRAM) -> None:
        """A straight line."""
        self.polyline((start, end), layer)

    def polyline(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM, *, closed: bool = False) -> None:
        """A line through points."""
        self._pen.polyline([*points, points[0]] if closed else points, _weight_mm(layer))

    def rect(self, rect: Rect, layer: str | Pen = layers.DIAGRAM) -> None:
        """The outline of a box."""
        self._pen.rect(rect, _weight_mm(layer))

    def circle(self, center: Point, radius: float, layer: str | Pen = layers.DIAGRAM) -> None:
        """A circle."""
        turns = [2 * math.pi * n / _CIRCLE_STEPS for n in range(_CIRCLE_STEPS)]
        self.polyline(
            [(center[0] + radius * math.cos(t), center[1] + radius * math.sin(t)) for t in turns], layer, closed=True
        )

    def fill(self, points: Sequence[Point], layer: str | Pen = layers.DIAGRAM) -> None:
        """A polygon filled black."""
        self._pen.polygon(points)

    def text(
        self,
        text: str,
        at: Point,
        height_mm: float = 2.5,
        anchor: Literal["left", "center", "right"] = "left",
        layer: str = layers.TEXT,
        *,
        says: str = "",
    ) -> None:
        """One line of text; blank text draws nothing. What it says in full no picture asks for."""
        if text.strip():
            self._pen.text(text, at, height_mm, anchor)

    def insert(
        self,
        block: str,
        at: Point,
        attribs: Mapping[str, str] | None = None,
        *,
        layer: str = layers.EQUIPMENT,
        rotation_deg: float = 0.0,
        scale: float = 1.0,
    ) -> None:
        """A block without lettering, as a drawing has it."""
        half = _SYMBOL_MM / 2
        tags = tuple(sorted(attribs or {}))
        drawn = _symbol(block, tags, layer, rotation_deg, scale, self._folders)
        self._pen.picture(drawn, (at[0] - half, at[1] - half))


@lru_cache(maxsize=256)
def _symbol(
    block: str, tags: tuple[str, ...], layer: str, rotation_deg: float, scale: float, folders: tuple[Path, ...]
) -> PdfPage:
    canvas = Canvas("symbol", PaperSize("ISO", "symbol", _SYMBOL_MM, _SYMBOL_MM), DrawingInfo(block_folders=folders))
    at = (_SYMBOL_MM / 2, _SYMBOL_MM / 2)
    canvas.insert(block, at, dict.fromkeys(tags, ""), layer=layer, rotation_deg=rotation_deg, scale=scale)
    return picture_of(canvas)


def _weight_mm(layer: str | Pen) -> float:
    name = layer if isinstance(layer, str) else layer.layer
    stated = None if isinstance(layer, str) else layer.weight_mm
    return _WEIGHT_MM[name] if stated is None else stated
