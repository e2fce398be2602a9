"""What a sheet says, thing by thing and line by line: words and symbols, wherever the layout has put them.

A wire that is led another way round a box, or a row that is lower because one above it is new, has not been revised; on
a plan the place of a symbol is what it says.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from hashlib import blake2b
from typing import Final, NamedTuple

from riserkit.drawings.dxf.boxes import Occupancy, PlacedBox, Rect, around_rects
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.revisions.values import SheetContent

_GRID_MM: Final = 0.5
"""What stands nearer than this to where it stood, on paper, has not moved."""
_APART_MM: Final = 40.0
"""Texts of one thing that are farther apart on paper are not one line."""
_TYPICAL: Final = re.compile(r"typical:[0-9a-f]+")
"""A typical's id tells how its doors are wired; its number is what stays."""

_NUMBERED: Final = re.compile(r"\d+\. ")


class SaidLine(NamedTuple):
    """One line of what is said of a thing: texts beside each other, or a symbol with its values."""

    model_id: str
    digest: str
    rect: Rect


def sheet_content(canvas: Canvas, *, is_plan: bool) -> SheetContent:
    """What has been drawn, by id in the model.

    Args:
        canvas: the sheet, drawn.
        is_plan: places of symbols in the model count.
    """
    found: defaultdict[str, list[str]] = defaultdict(list)
    for line in (*model_lines(canvas, is_plan=is_plan), *paper_lines(canvas)):
        found[line.model_id].append(line.digest)
    return {name: tuple(sorted(digests)) for name, digests in sorted(found.items())}


def model_lines(canvas: Canvas, *, is_plan: bool) -> Iterator[SaidLine]:
    """Lines of what stands in the model, the sheet's own headings left out."""
    return _lines(_of_things(canvas, canvas.placed), canvas.view.scale, with_places=is_plan)


def paper_lines(canvas: Canvas) -> Iterator[SaidLine]:
    """Lines of what stands on the paper itself, the frame and its title block left out."""
    return _lines(_of_things(canvas, canvas.placed_on_paper), 1.0, with_places=False)


def _of_things(canvas: Canvas, placed: Occupancy) -> Iterator[PlacedBox]:
    return (box for box in placed.boxes if box.words and box.subject != f"sheet:{canvas.name}")


def _lines(boxes: Iterable[PlacedBox], unit: float, *, with_places: bool) -> Iterator[SaidLine]:
    texts: defaultdict[str, list[PlacedBox]] = defaultdict(list)
    grid = _GRID_MM * unit
    for box in boxes:
        name = _TYPICAL.sub("typical", box.subject)
        if box.kind == "text" and "\n" in box.words:
            yield from _notes(name, box)
            continue
        if box.kind == "text":
            texts[name].append(box)
            continue
        where = f"\n{round(box.rect.center[0] / grid)} {round(box.rect.center[1] / grid)}" if with_places else ""
        yield SaidLine(name, _digest(box.words + where), box.rect)
    for name, found in texts.items():
        for in_order in _rows(found, _APART_MM * unit, partial(_has_other_words, texts, name)):
            yield SaidLine(name, _digest("\n".join(t.words for t in in_order)), around_rects(t.rect for t in in_order))


def _notes(name: str, box: PlacedBox) -> Iterator[SaidLine]:
    """Each note of a block of notes, its number and where its lines break left out: one that is new renumbers the rest."""
    lines = box.words.split("\n")
    starts = [n for n, line in enumerate(lines) if n == 0 or _NUMBERED.match(line)]
    pitch = (box.rect.y1 - box.rect.y0) / len(lines)
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        words = _NUMBERED.sub("", " ".join(line.strip() for line in lines[start:end]), count=1)
        rect = Rect(box.rect.x0, box.rect.y1 - end * pitch, box.rect.x1, box.rect.y1 - start * pitch)
        yield SaidLine(name, _digest(words), rect)


def _has_other_words(texts: Mapping[str, Sequence[PlacedBox]], name: str, between: Rect) -> bool:
    """Whether words about something else lie in a box."""
    return any(between.overlaps(box.rect) for other, boxes in texts.items() if other != name for box in boxes)


_Occupied = Callable[[Rect], bool]


def _rows(texts: Iterable[PlacedBox], apart: float, is_occupied: _Occupied) -> Iterator[list[PlacedBox]]:
    """Texts beside each other, left to right: those whose middle lies within the height of the first.

    A balloon in the elevation and a line of the same device's box at the other side of the sheet are two things: far apart,
    with words about something else between them. Cells of a row have at most empty cells between them.
    """
    level: list[PlacedBox] = []
    for text in sorted(texts, key=lambda text: (-text.rect.y1, text.rect.x0)):
        if level and text.rect.center[1] <= level[0].rect.y0:
            yield from _parts(level, apart, is_occupied)
            level = []
        level.append(text)
    yield from _parts(level, apart, is_occupied)


def _parts(level: Iterable[PlacedBox], apart: float, is_occupied: _Occupied) -> Iterator[list[PlacedBox]]:
    row: list[PlacedBox] = []
    for text in sorted(level, key=lambda text: text.rect.x0):
        right = max((other.rect.x1 for other in row), default=text.rect.x0)
        if text.rect.x0 - right > apart and is_occupied(Rect(right, text.rect.y0, text.rect.x0, text.rect.y1)):
            yield row
            row = []
        row.append(text)
    if row:
        yield row


def _digest(said: str) -> str:
    return blake2b(said.encode("utf-8", "replace"), digest_size=5).hexdigest()
