"""What a sheet says, thing by thing and line by line: words and symbols, wherever the layout has put them.

A wire that is led another way round a box, a row that is lower because one above it is new, or a cell whose words break
elsewhere because its table is narrower, has not been revised; on a plan the place of a symbol is what it says.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from hashlib import blake2b
from typing import Final, NamedTuple

from riserkit.drawings.dxf.boxes import Occupancy, PlacedBox, Rect, around_rects
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.revisions.values import SheetContent

_GRID_MM: Final = 0.5
"""What stands nearer than this to where it stood, on paper, has not moved."""
_TYPICAL: Final = re.compile(r"typical:[0-9a-f]+")
"""A typical's id tells how its doors are wired; its number is what stays."""

_CONTINUED: Final = re.compile(r"(?:,continued|\(continued\))$")
_NUMBERED: Final = re.compile(r"\d+\.(?: |$)")
"""A line may break right after the number."""


class SaidLine(NamedTuple):
    """One line of what is said of a thing: a text, the row of a table, a note, or a symbol with its values."""

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
    rows: defaultdict[tuple[str, int], list[PlacedBox]] = defaultdict(list)
    grid = _GRID_MM * unit
    for box in _whole_passages(boxes):
        name = _TYPICAL.sub("typical", box.subject)
        if box.kind != "text":
            where = f"\n{round(box.rect.center[0] / grid)} {round(box.rect.center[1] / grid)}" if with_places else ""
            yield SaidLine(name, _digest(_plain(box.words) + where), box.rect)
        elif box.row:
            rows[name, box.row].append(box)
        elif "\n" in box.words:
            yield from _notes(name, box)
        else:
            yield SaidLine(name, _digest(_plain(box.words)), box.rect)
    for (name, _), cells in rows.items():
        words = "\n".join(_plain(cell.words) for cell in cells)
        yield SaidLine(name, _digest(words), around_rects(cell.rect for cell in cells))


def _whole_passages(boxes: Iterable[PlacedBox]) -> Iterator[PlacedBox]:
    """The boxes; the lines that a text was broken into as one."""
    found: dict[tuple[str, int], list[PlacedBox]] = {}
    for box in boxes:
        if box.passage:
            found.setdefault((box.subject, box.passage), []).append(box)
        else:
            yield box
    for lines in found.values():
        yield lines[0]._replace(rect=around_rects(b.rect for b in lines), words=" ".join(b.words for b in lines))


def _plain(words: str) -> str:
    """Words without the spaces and line ends between them, nor that a table goes on: where they break is not what they say."""
    return _CONTINUED.sub("", "".join(words.split()))


def _notes(name: str, box: PlacedBox) -> Iterator[SaidLine]:
    """Each note of a block of notes, its number and where its lines break left out: one that is new renumbers the rest."""
    lines = box.words.split("\n")
    starts = [n for n, line in enumerate(lines) if n == 0 or _NUMBERED.match(line)]
    pitch = (box.rect.y1 - box.rect.y0) / len(lines)
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        words = _NUMBERED.sub("", " ".join(line.strip() for line in lines[start:end]), count=1)
        rect = Rect(box.rect.x0, box.rect.y1 - end * pitch, box.rect.x1, box.rect.y1 - start * pitch)
        yield SaidLine(name, _digest(_plain(words)), rect)


def _digest(said: str) -> str:
    return blake2b(said.encode("utf-8", "replace"), digest_size=5).hexdigest()
