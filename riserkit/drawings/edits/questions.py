"""Questions on the sheet, where hand and design disagree: a cloud round the thing, and both values in words.

They stand on a layer of their own that prints, until somebody answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, Literal, NamedTuple

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.boxes import Rect, around
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.cloud import BULGE, cloud_points
from riserkit.drawings.dxf.marks import Keys, read_mark
from riserkit.drawings.dxf.text import block_height_mm, text_width_mm, wrap
from riserkit.drawings.edits.room import FreeRoom
from riserkit.drawings.edits.survey import SIGNS, Survey
from riserkit.drawings.edits.transfer import bring, set_order, take_out
from riserkit.drawings.legibility.frame import frame_of
from riserkit.drawings.legibility.read import sheet_shapes
from riserkit.drawings.legibility.values import SheetShapes

QuestionKind = Literal["edited", "erased", "gone", "definition"]
_CLOUD: Final = "cloud"
_LINE: Final = "line"
_ARC_MM: Final = 4.0
_TEXT_MM: Final = 2.5
_AIR_MM: Final = 1.5
_PAD_MM: Final = 2.0
_WIDTHS_MM: Final = (120.0, 176.0, 90.0, 64.0)
_SLACK: Final = 0.92
HEADING: Final = "Hand edit or design?"
HOW: Final = (
    "Erase a cloud, and its line here where it has none: what it holds is right. Erase what a cloud holds: the other value "
    "is taken. The next build sees it. Until then: do not build from what is clouded."
)


class Question(NamedTuple):
    """One question.

    Args:
        key: of the thing that it is about, or the name of a definition.
        kind: a thing edited by hand and changed in the design, erased and changed, edited and gone, or a definition.
        text: both values.
        subject: what the thing stands for.
        entity: the thing as it stands in the drawing.
    """

    key: str
    kind: QuestionKind
    text: str
    subject: str = ""
    entity: Any = None


def is_open(found: Survey, key: str, *kinds: QuestionKind) -> bool:
    """Whether the sheet asks about a thing, and nobody has answered by erasing the cloud."""
    kind = _kind(found, key)
    return bool(kind) and (not kinds or kind in kinds) and not _is_erased(found, key)


def answered(found: Survey, key: str, kind: QuestionKind) -> bool:
    """Whether the sheet asked about a thing, and somebody has erased the cloud."""
    return _kind(found, key) == kind and _is_erased(found, key)


def _kind(found: Survey, key: str) -> str:
    return found.record.questions.get(key, "").partition("/")[0] if found.record else ""


def _is_erased(found: Survey, key: str) -> bool:
    part = found.record.questions.get(key, "").partition("/")[2] if found.record else ""
    return _sign_key(key, part) not in found.signs


def _sign_key(key: str, part: str) -> str:
    kind = "LWPOLYLINE" if part == _CLOUD else "MTEXT"
    return Keys().next(_thing(key), part, kind)


def _thing(key: str) -> str:
    return f"question:{key}"


def ask(found: Survey, sheet: Canvas, questions: Sequence[Question]) -> Mapping[str, str]:
    """Put the questions on the sheet, and take those away that are settled.

    Args:
        found: the drawing, with everything else drawn.
        sheet: as the design has it.
        questions: all that are open.

    Returns:
        for the record: the kind of each by its key, and the part of it that is erased as an answer.
    """
    asked: dict[str, str] = {}
    canvas = Canvas(sheet.name, sheet.size, sheet.info)
    if questions:
        layers.set_up_layers(found.doc)
        take_out(found.doc, [])
        shapes = _without_signs(sheet_shapes(found.doc))
        with canvas.paper():
            asked = dict(_draw(canvas, shapes, questions))
    renew_signs(found, canvas)
    return asked


def _without_signs(sheet: SheetShapes) -> SheetShapes:
    return SheetShapes(
        sheet.sheet, sheet.paper,
        tuple(letter for letter in sheet.letters if not letter.model_id.startswith(SIGNS)),
        tuple(stroke for stroke in sheet.strokes if not stroke.model_id.startswith(SIGNS)),
    )  # fmt: skip


def _draw(canvas: Canvas, sheet: SheetShapes, questions: Sequence[Question]) -> Iterator[tuple[str, str]]:
    frame = frame_of(sheet.paper)
    room = FreeRoom(sheet, frame)
    boxes = _boxes(sheet)
    lines = []
    for n, question in enumerate(questions, 1):
        box = boxes.get(question.entity.dxf.handle) if question.entity is not None else None
        name = f"Q{n}"
        lines.append((question.key, f"{name}  {question.text}"))
        with canvas.subject(f"question:{n}", _thing(question.key)):
            if box is not None:
                cloud = _within(box.inset(-_AIR_MM), frame)
                with canvas.part(_CLOUD):
                    _draw_cloud(canvas, cloud)
                size = (text_width_mm(name, _TEXT_MM) + 1, _TEXT_MM + 1)
                x, y = room.beside(cloud.inset(-_AIR_MM), size)
                room.take(Rect(x, y, x + size[0], y + size[1]))
                with canvas.part("name"):
                    canvas.text(name, (x + 0.5, y + 0.5), _TEXT_MM, "left", layers.QUESTION)
        yield question.key, f"{question.kind}/{_CLOUD if box is not None else _LINE}"
    _draw_list(canvas, room, lines)


def _draw_cloud(canvas: Canvas, box: Rect) -> None:
    """A revision cloud: one closed line of arcs that bulge outward."""
    canvas.polyline(cloud_points(box, _ARC_MM), layers.QUESTION, closed=True, bulge=BULGE)


def _boxes(sheet: SheetShapes) -> dict[str, Rect]:
    """What each entity covers on the paper, by its handle."""
    corners: dict[str, list[tuple[float, float]]] = {}
    for letter in sheet.letters:
        corners.setdefault(letter.owner, []).extend(letter.corners)
    for stroke in sheet.strokes:
        corners.setdefault(stroke.owner, []).extend(stroke.points)
    return {owner: around(points) for owner, points in corners.items()}


def _within(box: Rect, frame: Rect) -> Rect:
    """A box no larger than the frame lets its cloud be, and no smaller than an arc."""
    inner = frame.inset(_AIR_MM)
    x0, y0 = max(min(box.x0, inner.x1 - 3), inner.x0), max(min(box.y0, inner.y1 - 3), inner.y0)
    return Rect(x0, y0, max(min(box.x1, inner.x1), x0 + 3), max(min(box.y1, inner.y1), y0 + 3))


def _draw_list(canvas: Canvas, room: FreeRoom, lines: Sequence[tuple[str, str]]) -> None:
    """All questions in words, in a box where the sheet has most room."""
    texts = [text for _, text in lines]
    sizes = [(width, _height_mm(texts, width)) for width in _WIDTHS_MM]
    width, height, (x, y0) = room.largest(sizes)
    box, inner = Rect(x, y0, x + width, y0 + height), (width - 2 * _PAD_MM) * _SLACK
    with canvas.subject("question:list"):
        canvas.rect(box, layers.QUESTION)
        y = box.y1 - _PAD_MM
        canvas.text(HEADING, (x + _PAD_MM, y), 3.5, "top_left", layers.QUESTION)
        y -= 1.9 * 3.5
        canvas.paragraph(HOW, (x + _PAD_MM, y), inner, _TEXT_MM, layers.QUESTION)
        y -= _line_mm(HOW, width)
    for n, (key, text) in enumerate(lines, 1):
        with canvas.subject(f"question:{n}", _thing(key)), canvas.part(_LINE):
            canvas.paragraph(text, (x + _PAD_MM, y), inner, _TEXT_MM, layers.QUESTION)
        y -= _line_mm(text, width)


def _line_mm(text: str, width: float) -> float:
    return block_height_mm(len(wrap(text, (width - 2 * _PAD_MM) * _SLACK, _TEXT_MM)), _TEXT_MM) + 0.9 * _TEXT_MM


def _height_mm(texts: Sequence[str], width: float) -> float:
    return 2 * _PAD_MM + 1.9 * 3.5 + sum(_line_mm(text, width) for text in (HOW, *texts))


def renew_signs(found: Survey, canvas: Canvas) -> None:
    """Bring what is new among the signs, keep what is the same, and take the rest away."""
    wanted: list[tuple[Any, Any]] = []
    kept: set[str] = set()
    for entity in canvas.doc.layouts.get(canvas.name):
        mark = read_mark(entity)
        if mark is None or not mark.model_id.startswith(SIGNS):
            continue
        standing = found.signs.get(mark.key)
        if standing is not None and marks.fingerprint(standing) == mark.fingerprint:
            kept.add(mark.key)
            marks.set_mark(standing, mark)
        else:
            wanted.append((entity, found.paper))
    take_out(found.doc, [entity for key, entity in found.signs.items() if key not in kept])
    brought = bring(canvas.doc, wanted, found.doc)
    signs = {key: found.signs[key] for key in kept} | brought
    set_last(
        found.paper,
        [signs[mark.key] for e in canvas.doc.layouts.get(canvas.name) if (mark := read_mark(e)) and mark.key in signs],
    )


def set_last(layout: Any, entities: Iterable[Any]) -> None:
    """Draw these after all else, in their order."""
    late = list(entities)
    set_order(layout, [e for e in layout if not any(e is one for one in late)] + late)
