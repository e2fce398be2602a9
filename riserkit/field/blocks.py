"""What a paper is made of: headings, paragraphs, tables with boxes to tick and room to write, pictures.

Each block comes as pieces that a page either takes whole or leaves to the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import LINE_PITCH, block_height_mm, text_width_mm, wrap
from riserkit.drawings.prints.pdf import PdfPage
from riserkit.drawings.prints.pen import BLACK, GREY, WHITE, PagePen
from riserkit.field.form import PaperForm

TICK_MM: Final = 3.6
BESIDES_MM: Final = 68.0
"""What a page has besides a picture: head, the band of a HOLD, foot, a heading and the picture's title."""
_HEADING: Final = 1.4
_BANNER: Final = 2.2
_ABOVE_MM: Final = 1.6
_CHUNK: Final = 20
"""Lines that stand together at most: fewer than the smallest page takes."""


@dataclass(frozen=True)
class PagePiece:
    """So much of a page: its height, and what draws it with its upper left corner at x, y.

    Args:
        height_mm: on the page.
        draw: called with the pen and the corner.
        keeps_next: it may not stand last on a page.
        repeated: what stands again above it at the head of a new page.
    """

    height_mm: float
    draw: Callable[[PagePen, float, float], None]
    keeps_next: bool = False
    repeated: PagePiece | None = None


class PaperBlock(Protocol):
    """A part of a paper."""

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """As the form has it, from top to bottom."""
        ...

    def words(self) -> Iterator[str]:
        """All that it says, for the check number of the paper."""
        ...


@dataclass(frozen=True)
class PaperHeading:
    """A line above what follows."""

    text: str

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """One piece that stays with the next."""
        letters = _HEADING * form.text_mm
        lines = wrap(self.text, form.room_mm, letters)

        def draw(pen: PagePen, x: float, y: float) -> None:
            put_lines(pen, lines, x, y - 2.0, letters)
            low = y - 2.0 - block_height_mm(len(lines), letters) - 1.4
            pen.line((x, low), (x + form.room_mm, low), 0.5)

        yield PagePiece(2.0 + block_height_mm(len(lines), letters) + 3.4, draw, keeps_next=True)

    def words(self) -> Iterator[str]:
        """Its text."""
        yield self.text


@dataclass(frozen=True)
class Paragraph:
    """Running text; `ticked` puts a box to tick before it, `number` what it is called by, `heads` keeps it with what follows."""

    text: str
    ticked: bool = False
    number: str = ""
    heads: bool = False

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """Lines together, no more at once than a page takes."""
        indent = TICK_MM + 2.0 if self.ticked else 7.0 if self.number else 0.0
        lines = wrap(self.text, form.room_mm - indent, form.text_mm)
        for start in range(0, len(lines), _CHUNK):
            yield self._piece(form, lines[start : start + _CHUNK], indent, first=start == 0)

    def _piece(self, form: PaperForm, lines: Sequence[str], indent: float, *, first: bool) -> PagePiece:
        def draw(pen: PagePen, x: float, y: float) -> None:
            top = y - _ABOVE_MM
            put_lines(pen, lines, x + indent, top, form.text_mm)
            if first and self.ticked:
                put_tick(pen, x, top, form.text_mm)
            elif first and self.number:
                pen.text(self.number, (x, top - form.text_mm), form.text_mm)

        return PagePiece(block_height_mm(len(lines), form.text_mm) + _ABOVE_MM + 1.3, draw, keeps_next=self.heads)

    def words(self) -> Iterator[str]:
        """Its text."""
        yield self.text


@dataclass(frozen=True)
class FactList:
    """Names with their values, one a line."""

    rows: tuple[tuple[str, str], ...]

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """A piece a fact."""
        left = form.room_mm * (0.36 if form.is_narrow else 0.25)
        for name, value in self.rows:
            names, values = (
                wrap(name, left - 2.0, form.text_mm),
                wrap(value, form.room_mm - left, form.text_mm),
            )
            for start in range(0, max(len(names), len(values)), _CHUNK):
                few = slice(start, start + _CHUNK)
                yield _fact_piece(form, names[few], values[few], left)

    def words(self) -> Iterator[str]:
        """All of them."""
        for row in self.rows:
            yield from row


def _fact_piece(form: PaperForm, names: Sequence[str], values: Sequence[str], left: float) -> PagePiece:
    def draw(pen: PagePen, x: float, y: float) -> None:
        put_lines(pen, names, x, y, form.text_mm)
        put_lines(pen, values, x + left, y, form.text_mm)

    return PagePiece(block_height_mm(max(len(names), len(values)), form.text_mm) + 1.8, draw)


@dataclass(frozen=True)
class Notice:
    """What must be read first: white on black, a line in large letters and a sentence."""

    heading: str
    text: str = ""

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """The heading with the beginning of its sentence; a long one goes on under it."""
        large, pad = (1.5 if form.is_narrow else _BANNER) * form.text_mm, 3.0
        heads = wrap(self.heading, form.room_mm - 2 * pad, large)
        lines = wrap(self.text, form.room_mm - 2 * pad, form.text_mm) if self.text else ()
        first, rest = lines[:_CHUNK], lines[_CHUNK:]
        height = 2 * pad + block_height_mm(len(heads), large) + (2.5 + block_height_mm(len(first), form.text_mm))

        def draw(pen: PagePen, x: float, y: float) -> None:
            pen.fill([Rect(x, y - height, x + form.room_mm, y)])
            put_lines(pen, heads, x + pad, y - pad, large, WHITE)
            put_lines(pen, first, x + pad, y - pad - block_height_mm(len(heads), large) - 2.5, form.text_mm, WHITE)

        yield PagePiece(height + 3.0, draw)
        if rest:
            yield from Paragraph(" ".join(rest)).pieces(form)

    def words(self) -> Iterator[str]:
        """Heading and sentence."""
        yield self.heading
        yield self.text


@dataclass(frozen=True)
class Picture:
    """A drawing, as large as it is or as the page lets it be.

    Args:
        drawn: the drawing.
        title: above it.
    """

    drawn: PdfPage
    title: str = ""

    def scale(self, form: PaperForm) -> float:
        """Of its own size, 1 at most."""
        tallest = form.height_mm - 2 * form.margin_mm - BESIDES_MM
        return min(1.0, form.room_mm / self.drawn.width_mm, tallest / self.drawn.height_mm)

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """One piece, with its title."""
        scale = self.scale(form)
        above = 2 * form.text_mm if self.title else 0.0
        height = self.drawn.height_mm * scale

        def draw(pen: PagePen, x: float, y: float) -> None:
            if self.title:
                pen.text(self.title, (x, y - 1.1 * form.text_mm), 1.1 * form.text_mm)
            aside = (form.room_mm - self.drawn.width_mm * scale) / 2
            pen.picture(self.drawn, (x + aside, y - above - height), scale)

        yield PagePiece(height + above + 3.0, draw)

    def words(self) -> Iterator[str]:
        """Nothing: it shows what the tables say, and each form has pictures of its own, while the check number is one."""
        return iter(())


@dataclass(frozen=True)
class Signature:
    """Lines to be filled in by hand: who, with which instrument, when; a signature."""

    lines: tuple[str, ...]

    def pieces(self, form: PaperForm) -> Iterator[PagePiece]:
        """All of them together, two a row on paper."""
        columns = 1 if form.is_narrow else 2
        rows = [self.lines[n : n + columns] for n in range(0, len(self.lines), columns)]
        pitch, width = 11.0, form.room_mm / columns

        def draw(pen: PagePen, x: float, y: float) -> None:
            for n, row in enumerate(rows):
                base = y - (n + 1) * pitch + 2.0
                for c, label in enumerate(row):
                    at = x + c * width
                    pen.text(label, (at, base), form.text_mm)
                    after = max(27.0, text_width_mm(label, form.text_mm) + 2.0)
                    pen.line((at + min(after, width - 12.0), base - 0.8), (at + width - 4.0, base - 0.8))

        yield PagePiece(pitch * len(rows) + 2.0, draw)

    def words(self) -> Iterator[str]:
        """The labels."""
        yield from self.lines


def put_lines(pen: PagePen, lines: Sequence[str], x: float, y: float, height_mm: float, color: str = BLACK) -> None:
    """Lines below one another, the tops of the first capitals at y."""
    for n, line in enumerate(lines):
        pen.text(line, (x, y - height_mm - n * LINE_PITCH * height_mm), height_mm, "left", color)


def put_tick(pen: PagePen, x: float, y: float, text_mm: float) -> None:
    """A box to tick beside a line whose capitals have their tops at y."""
    low = y - text_mm / 2 - TICK_MM / 2
    pen.rect(Rect(x, low, x + TICK_MM, low + TICK_MM), 0.35)


def shaded(pen: PagePen, rect: Rect) -> None:
    """A ground that a copier keeps light."""
    pen.fill([rect], GREY)
