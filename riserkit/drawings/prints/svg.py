"""What a sheet prints as the body of an SVG: text as text, geometry in whole tenths of a point."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from html import escape
from typing import Final

from riserkit.drawings.prints.pdf import POINTS_PER_MM, PdfPage, PdfPen, Photo, Segment, Shape, Strokes, Words

TENTHS_PER_MM: Final = 10 * POINTS_PER_MM
_BLACK: Final = "#000000"


def svg_body(page: PdfPage) -> str:
    """Elements of an SVG whose unit is a tenth of a point and whose y grows downward from the sheet's upper edge.

    Black and the round ends of strokes are left to whoever puts a frame around it; no style is written into elements.
    """
    return "".join(_elements(page))


def view_size(page: PdfPage) -> tuple[int, int]:
    """Width and height in the units of `svg_body`."""
    return round(page.width_mm * TENTHS_PER_MM), round(page.height_mm * TENTHS_PER_MM)


def _elements(page: PdfPage) -> Iterator[str]:
    pen = PdfPen(_BLACK, 0.5)
    height = view_size(page)[1]
    strokes: list[str] = []
    for item in page.drawn:
        if isinstance(item, Strokes):
            strokes += (_line(height, *ends) for ends in item.ends)
        elif isinstance(item, Shape) and not item.fill:
            strokes.append(_path(item.segments, height))
        else:
            yield _stroked(strokes, pen)
            strokes = []
            if isinstance(item, PdfPen):
                pen = item
            elif isinstance(item, Shape):
                yield _filled(item, height)
            elif isinstance(item, Photo):
                yield _photo(item, height)
            else:
                yield _text(item, height)
    yield _stroked(strokes, pen)


def _stroked(strokes: Sequence[str], pen: PdfPen) -> str:
    if not strokes:
        return ""
    colour = "" if pen.color[:7] == _BLACK else f' stroke="{escape(pen.color[:7])}"'
    return f'<path{colour} stroke-width="{max(1, round(10 * pen.width))}" d="{"".join(strokes)}"/>'


def _photo(photo: Photo, height: int) -> str:
    left, low, wide, high = (round(10 * n) for n in photo.box)
    data = base64.b64encode(photo.data).decode("ascii")
    return f'<image x="{left}" y="{height - low - high}" width="{wide}" height="{high}" href="data:image/jpeg;base64,{data}"/>'


def _filled(shape: Shape, height: int) -> str:
    rule = ' fill-rule="evenodd"' if shape.has_holes else ""
    return f'<path class="f" fill="{escape(shape.fill[:7])}"{rule} d="{_path(shape.segments, height)}"/>'


def _line(height: int, x0: float, y0: float, x1: float, y1: float) -> str:
    a, b, c, d = round(10 * x0), height - round(10 * y0), round(10 * x1), height - round(10 * y1)
    return f"M{a} {b}h{c - a}" if b == d else f"M{a} {b}v{d - b}" if a == c else f"M{a} {b}l{c - a} {d - b}"


def _path(segments: Sequence[Segment], height: int) -> str:
    text = []
    for step, numbers in segments:
        if step == "close":
            text.append("z")
            continue
        if step == "rect":
            x, y, wide, high = (round(10 * n) for n in numbers)
            text.append(f"M{x} {height - y}h{wide}v{-high}h{-wide}z")
            continue
        letter = {"moveTo": "M", "lineTo": "L", "curveTo": "C"}[step]
        rounded = (height - round(10 * n) if k % 2 else round(10 * n) for k, n in enumerate(numbers))
        text.append(letter + " ".join(map(str, rounded)))
    return "".join(text)


def _text(words: Words, height: int) -> str:
    if not words.visible or not words.text.strip():
        # it lies over outlines of the same words, for whoever searches
        hidden = ' class="h"'
        if not words.text.strip():
            return ""
    else:
        hidden = ""
    a, b, c, d, x, y = words.matrix
    size, at = round(10 * words.size, 1), (round(10 * x), height - round(10 * y))
    if (a, b, c, d) == (1.0, 0.0, 0.0, 1.0):
        place = f'x="{at[0]}" y="{at[1]}"'
    else:
        # y grows downward here
        turn = " ".join(f"{n:.4g}" for n in (a, -b, -c, d))
        place = f'transform="matrix({turn} {at[0]} {at[1]})"'
    colour = "" if words.color[:7] == _BLACK else f' fill="{escape(words.color[:7])}"'
    return f'<text{hidden} font-size="{size:g}" {place}{colour}>{escape(words.text)}</text>'
