"""Legend, notes and abbreviations: boxes of samples with their meaning and of numbered notes, for every kind of sheet.

A legend names what is really drawn on its sheet: the caller lists the entries, each a sample and words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from typing import Final, Protocol

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.blocks import letters_mm
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.lettering import LEAST_IMPERIAL_MM
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM, block_height_mm, text_width_mm, wrap

TITLE_MM: Final = 3.5
TITLE_ROOM_MM: Final = 6.5
SLACK: Final = 1.1
_PAD_MM: Final = 2.0
_SAMPLE_MM: Final = (22.0, 7.0)
_COLUMN_LEAST_MM: Final = 46.0
_WORDS_LEAST_MM: Final = 30.0


class Sample(Protocol):
    """Something drawn in a legend beside its meaning."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Room it takes across, 22 mm at most, and up and down."""
        ...

    def draw(self, canvas: Canvas, center: Point) -> None:
        """Draw it round a point."""
        ...


@dataclass(frozen=True, slots=True)
class SymbolSample:
    """A block, as small as its letters allow."""

    name: str

    @property
    def size_mm(self) -> tuple[float, float]:
        """Its body at the scale it is drawn in."""
        body, scale = SYMBOLS[self.name].body, _sample_scale(self.name)
        return body.width * scale, body.height * scale

    def draw(self, canvas: Canvas, center: Point) -> None:
        """The block without values."""
        symbol, scale = SYMBOLS[self.name], _sample_scale(self.name)
        x, y = symbol.body.center
        at = (center[0] - x * scale, center[1] - y * scale)
        canvas.insert(self.name, at, dict.fromkeys(symbol.tags, ""), layer=layers.LEGEND, scale=scale)


@cache
def _sample_scale(name: str) -> float:
    """As small as a sample may be, and no smaller than the shipped block's letters allow."""
    body = SYMBOLS[name].body
    wanted = min(1.0, _SAMPLE_MM[0] / body.width, _SAMPLE_MM[1] / body.height)
    scale: float = max([wanted, *(LEAST_IMPERIAL_MM / height + 0.005 for height in letters_mm(name))])
    return round(scale, 3)


@dataclass(frozen=True, slots=True)
class LineSample:
    """A line as a pen draws it; `count` sets a stroke across with a number."""

    pen: Pen
    count: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Of the line alone, or with its number."""
        return 20.0, 8.0 if self.count else 2.0

    def draw(self, canvas: Canvas, center: Point) -> None:
        """Twenty millimetres of it."""
        x, y = center
        canvas.line((x - 10, y), (x + 10, y), self.pen)
        if self.count:
            draw_count(canvas, (x - 2, y), self.count, layers.LEGEND)


@dataclass(frozen=True, slots=True)
class LetterSample:
    """Letters of an abbreviation."""

    letters: str

    @property
    def size_mm(self) -> tuple[float, float]:
        """Of one line."""
        return text_width_mm(self.letters, 2.5) * SLACK, 2.5

    def draw(self, canvas: Canvas, center: Point) -> None:
        """The letters."""
        canvas.text(self.letters, center, 2.5, "middle", layers.LEGEND)


@dataclass(frozen=True, slots=True)
class FlagSample:
    """A marker of findings."""

    letters: str
    accepted: bool = False

    @property
    def size_mm(self) -> tuple[float, float]:
        """Of the marker."""
        return 8.0, 6.0

    def draw(self, canvas: Canvas, center: Point) -> None:
        """The marker."""
        draw_flag(canvas, center, self.letters, accepted=self.accepted, layer=layers.LEGEND)


def draw_flag(canvas: Canvas, center: Point, letters: str, *, accepted: bool, layer: str = layers.SYMBOL) -> None:
    """A marker of findings: a lozenge when open, a rectangle with the number of its note when accepted."""
    x, y = center
    pen = Pen(layer, 0.35)
    if accepted:
        half = max(3.0, text_width_mm(letters, 2.5) * SLACK / 2 + 0.7)
        canvas.rect(Rect(x - half, y - 2.2, x + half, y + 2.2), pen)
    else:
        canvas.polyline([(x - 3, y), (x, y + 3), (x + 3, y), (x, y - 3)], pen, closed=True)
    canvas.text(letters, (x, y), 2.5, "middle", layer)


def draw_count(canvas: Canvas, at: Point, count: str, layer: str = layers.IDENT) -> None:
    """An oblique stroke across a line with how many cables it stands for, after IEC 60617 (from memory)."""
    x, y = at
    canvas.line((x - 1.2, y - 1.6), (x + 1.2, y + 1.6), Pen(layer, 0.25))
    canvas.text(count, (x + 1.0, y + 1.9), 2.5, "left", layer)


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A sample and what it means."""

    sample: Sample
    meaning: str


@dataclass(frozen=True)
class LegendBox:
    """A legend laid out in columns."""

    title: str
    width_mm: float
    text_mm: float
    columns: tuple[tuple[LegendEntry, ...], ...]

    @cached_property
    def height_mm(self) -> float:
        """Outer height."""
        return TITLE_ROOM_MM + max(self._heights(), default=0.0) + _PAD_MM

    @cached_property
    def _samples_mm(self) -> tuple[float, ...]:
        """Room across for the samples of each column."""
        return tuple(max(entry.sample.size_mm[0] for entry in column) for column in self.columns)

    @cached_property
    def _texts_mm(self) -> float:
        """Room across for the words, the same in all columns."""
        count = len(self.columns)
        return (self.width_mm - 2 * _PAD_MM - sum(self._samples_mm) - count * 6.0) / max(count, 1)

    def _heights(self) -> list[float]:
        return [sum(map(self._entry_mm, column)) for column in self.columns]

    def _lines(self, entry: LegendEntry) -> tuple[str, ...]:
        return wrap(entry.meaning, self._texts_mm / SLACK, self.text_mm)

    def _entry_mm(self, entry: LegendEntry) -> float:
        text = block_height_mm(len(self._lines(entry)), self.text_mm)
        return max(entry.sample.size_mm[1], text) + 2.0

    def without(self, meaning: str) -> LegendBox:
        """The same without an entry, for a sheet of several that shows no such thing; the others keep their columns."""
        columns = (tuple(entry for entry in column if entry.meaning != meaning) for column in self.columns)
        return replace(self, columns=tuple(filter(None, columns)))

    def fits(self, height_mm: float) -> bool:
        """The words have room to be read, and all of it is no higher than this."""
        return self._texts_mm >= _WORDS_LEAST_MM and self.height_mm <= height_mm

    def draw(self, canvas: Canvas, top_left: Point, least_mm: float = 0.0) -> Rect:
        """Draw it, its box at least so high; returns the box."""
        x, top = top_left
        box = Rect(x, top - max(self.height_mm, least_mm), x + self.width_mm, top)
        _draw_box(canvas, box, self.title, layers.LEGEND)
        left = x + _PAD_MM
        for column, sample_mm in zip(self.columns, self._samples_mm, strict=True):
            y = top - TITLE_ROOM_MM
            for entry in column:
                height = self._entry_mm(entry)
                middle = y - height / 2
                lines = self._lines(entry)
                start = middle + block_height_mm(len(lines), self.text_mm) / 2
                with canvas.part(f"{self.title}/{entry.meaning}"), canvas.group(f"{self.title}/{entry.meaning}"):
                    entry.sample.draw(canvas, (left + sample_mm / 2, middle))
                    canvas.lines(lines, (left + sample_mm + 3.0, start), self.text_mm, "top_left", layers.LEGEND)
                y -= height
            left += sample_mm + self._texts_mm + 6.0
        return box


def lay_out_legend(
    entries: Sequence[LegendEntry],
    width_mm: float,
    *,
    height_mm: float = float("inf"),
    title: str = "Legend",
    least_mm: float = LEAST_HEIGHT_MM,
) -> LegendBox:
    """A legend that fits a height if it can: in more columns first, then in smaller letters; else the least high one."""
    readable = _readable(tuple(entries), width_mm, title, least_mm)
    return next((box for box in readable if box.fits(height_mm)), None) or min(readable, key=lambda box: box.height_mm)


@lru_cache(maxsize=64)
def _readable(entries: tuple[LegendEntry, ...], width_mm: float, title: str, least_mm: float) -> tuple[LegendBox, ...]:
    """Legends whose words have room to be read, those in large letters and few columns first; one at least.

    Remembered, for a sheet asks for one of a width at many heights.
    """
    most = max(1, int((width_mm - 2 * _PAD_MM) / _COLUMN_LEAST_MM))
    tried = [
        LegendBox(title, width_mm, text_mm, _in_columns(entries, count, text_mm))
        for text_mm in (2.5, least_mm)
        for count in range(1, most + 1)
    ]
    return tuple(box for box in tried if box.fits(float("inf"))) or tuple(tried[:1])


def _in_columns(entries: Sequence[LegendEntry], count: int, text_mm: float) -> tuple[tuple[LegendEntry, ...], ...]:
    """Columns about equally high, in order."""
    heights = [max(entry.sample.size_mm[1], 1.5 * text_mm) + 2.0 for entry in entries]
    columns: list[list[LegendEntry]] = [[]]
    used, share = 0.0, sum(heights) / count
    for entry, height in zip(entries, heights, strict=True):
        if columns[-1] and used + height / 2 > share * len(columns) and len(columns) < count:
            columns.append([])
        columns[-1].append(entry)
        used += height
    return tuple(tuple(column) for column in columns if column)


@dataclass(frozen=True)
class NotesBox:
    """Numbered notes laid out in columns."""

    title: str
    width_mm: float
    text_mm: float
    columns: tuple[tuple[tuple[str, str], ...], ...]

    @property
    def column_mm(self) -> float:
        """Width of one column."""
        return (self.width_mm - 2 * _PAD_MM) / max(len(self.columns), 1)

    @property
    def height_mm(self) -> float:
        """Outer height."""
        highest = max((sum(self._note_mm(text) for _, text in column) for column in self.columns), default=0.0)
        return TITLE_ROOM_MM + highest + _PAD_MM

    def _number_mm(self) -> float:
        return text_width_mm("00. ", self.text_mm)

    def _room_mm(self) -> float:
        return (self.column_mm - self._number_mm() - 3.0) / SLACK

    def _note_mm(self, text: str) -> float:
        return block_height_mm(len(wrap(text, self._room_mm(), self.text_mm)), self.text_mm) + self.text_mm * 0.9

    def draw(self, canvas: Canvas, top_left: Point, least_mm: float = 0.0) -> Rect:
        """Draw it, its box at least so high; returns the box."""
        x, top = top_left
        box = Rect(x, top - max(self.height_mm, least_mm), x + self.width_mm, top)
        _draw_box(canvas, box, self.title, layers.NOTE)
        for n, column in enumerate(self.columns):
            left, y = x + _PAD_MM + n * self.column_mm, top - TITLE_ROOM_MM
            for number, text in column:
                canvas.text(number, (left, y), self.text_mm, "top_left", layers.NOTE)
                canvas.paragraph(text, (left + self._number_mm(), y), self._room_mm(), self.text_mm)
                y -= self._note_mm(text)
        return box


def lay_out_notes(
    notes: Iterable[str],
    width_mm: float,
    *,
    height_mm: float = float("inf"),
    title: str = "Notes",
    least_mm: float = LEAST_HEIGHT_MM,
) -> NotesBox:
    """Notes numbered from 1 that fit a height if they can, else the least high way to set them."""
    numbered = [(f"{n}.", text) for n, text in enumerate(notes, 1)]
    most = max(1, int(width_mm / 85.0))
    tried = [
        NotesBox(title, width_mm, text_mm, _note_columns(numbered, count))
        for text_mm in (2.5, least_mm)
        for count in range(1, most + 1)
    ]
    fitting = (box for box in tried if box.height_mm <= height_mm)
    return next(fitting, None) or min(tried, key=lambda box: box.height_mm)


def _note_columns(notes: Sequence[tuple[str, str]], count: int) -> tuple[tuple[tuple[str, str], ...], ...]:
    """Columns of about equal amounts of text, in order."""
    total, columns, used = sum(len(text) + 40 for _, text in notes), [[]], 0  # type: ignore[var-annotated]
    for note in notes:
        if used >= total / count * len(columns) and len(columns) < count:
            columns.append([])
        columns[-1].append(note)
        used += len(note[1]) + 40
    return tuple(tuple(column) for column in columns)


def _draw_box(canvas: Canvas, box: Rect, title: str, layer: str) -> None:
    canvas.rect(box, Pen(layer, 0.35))
    canvas.text(title, (box.x0 + _PAD_MM, box.y1 - 1.6), TITLE_MM, "top_left", layer)
