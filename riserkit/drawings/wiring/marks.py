"""What stands out in a wiring diagram: conductors at fault with cross and letter, and those that carry a current.

All is black: line weight, cross and letter carry the meaning.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from riserkit.drawings.drafting import layers
from riserkit.drawings.drafting.boxes import Point, Rect
from riserkit.drawings.drafting.pens import Pen
from riserkit.drawings.drafting.text import text_width_mm
from riserkit.drawings.wiring.values import Label, Wire, WiringDiagram

FAULT_LETTER: Final = "F"
CROSS_MM: Final = 1.6
_HEAVY: Final = Pen(layers.CONDUCTOR, 0.70)
_HEAVIEST: Final = Pen(layers.CONDUCTOR, 1.00)
_LETTERS_MM: Final = (3.5, 2.5)
_STEP_MM: Final = 1.0
_CLEAR_MM: Final = 0.6


@dataclass(frozen=True, slots=True)
class Marks:
    """Conductors that stand out, by designation.

    Args:
        faulted: at fault or handled: heaviest line, a cross, the letter F.
        path: carry the lock's current: heavy line.
    """

    faulted: frozenset[str] = frozenset()
    path: frozenset[str] = frozenset()

    def pen(self, ref: str) -> str | Pen:
        """How a conductor is drawn."""
        if ref in self.faulted:
            return _HEAVIEST
        return _HEAVY if ref in self.path else layers.CONDUCTOR


@dataclass(frozen=True, slots=True)
class FaultMark:
    """Where a conductor is crossed, and its letter; none where no room is free beside the cross."""

    ref: str
    cross: Point
    letter: Label | None


def fault_marks(diagram: WiringDiagram, marks: Marks) -> tuple[FaultMark, ...]:
    """A cross on each conductor at fault, where it and its letter stand clear of all else."""
    taken = list(_taken(diagram))
    found: list[FaultMark] = []
    for wire in diagram.wires:
        if wire.ref in marks.faulted:
            mark = _mark(wire, [rect for ref, rect in taken if ref != wire.ref], _own(wire))
            found.append(mark)
            taken += [("", _cross(mark.cross)), *((("", label_rect(mark.letter)),) if mark.letter else ())]
    return tuple(found)


def label_rect(label: Label) -> Rect:
    """The box of a line of text."""
    width, (x, y) = text_width_mm(label.text, label.height_mm), label.at
    x0 = {"left": x, "center": x - width / 2, "right": x - width}[label.align]
    return Rect(x0, y - 0.3 * label.height_mm, x0 + width, y + label.height_mm)


def _taken(diagram: WiringDiagram) -> Iterator[tuple[str, Rect]]:
    """All that a mark must keep clear of, each with the conductor it belongs to."""
    for wire in diagram.wires:
        yield from ((wire.ref, rect) for rect in _own(wire))
        # labels and arches, also its own: a cross on an arch cannot be told from it
        yield from (("", label_rect(label)) for label in wire.labels)
        yield from (("", Rect(x, y, x, y).inset(-2.0)) for x, y in wire.bridges)
    for jacket in diagram.jackets:
        yield "", jacket.rect
        if jacket.label is not None:
            yield "", label_rect(jacket.label)
    for spare in diagram.spares:
        yield "", _segment(spare.start, spare.end).inset(-0.8)
    yield from (("", label_rect(label)) for label in diagram.spare_labels)
    yield from (("", box.rect) for box in diagram.boxes)
    for across in diagram.across:
        yield from (("", label_rect(label)) for label in across.labels)
        x, y = across.symbol.center
        yield "", Rect(x - 3.5, y - 3.6, x + 3.5, y + 3.6)


def _own(wire: Wire) -> list[Rect]:
    return [_segment(a, b) for a, b in pairwise(wire.path)]


def _segment(a: Point, b: Point) -> Rect:
    return Rect(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))


def _cross(at: Point) -> Rect:
    return Rect(*at, *at).inset(-CROSS_MM)


def _mark(wire: Wire, others: list[Rect], own: list[Rect]) -> FaultMark:
    spots = list(_spots(wire))
    clear = [at for at in spots if not _meets(_cross(at), others)]
    for height in _LETTERS_MM:
        for at in clear:
            for letter in _letters(at, height):
                if not _meets(label_rect(letter), [*others, *own]):
                    return FaultMark(wire.ref, at, letter)
    return FaultMark(wire.ref, (clear or spots)[0], None)


def _spots(wire: Wire) -> Iterator[Point]:
    """Points along the longest straight parts, from the middle of each outward."""
    for a, b in sorted(pairwise(wire.path), key=lambda ab: -(abs(ab[0][0] - ab[1][0]) + abs(ab[0][1] - ab[1][1]))):
        length = abs(a[0] - b[0]) + abs(a[1] - b[1])
        steps = int(length / 2 // _STEP_MM)
        for n in range(steps + 1):
            for side in (1, -1) if n else (1,):
                share = 0.5 + side * n * _STEP_MM / length if length else 0.5
                yield round(a[0] + share * (b[0] - a[0]), 3), round(a[1] + share * (b[1] - a[1]), 3)


def _letters(at: Point, height_mm: float) -> Iterator[Label]:
    (x, y), beside = at, CROSS_MM + 0.8
    yield Label(FAULT_LETTER, (x, y + beside), height_mm, "center")
    yield Label(FAULT_LETTER, (x, y - beside - height_mm), height_mm, "center")
    yield Label(FAULT_LETTER, (x + beside, y - height_mm / 2), height_mm, "left")
    yield Label(FAULT_LETTER, (x - beside, y - height_mm / 2), height_mm, "right")


def _meets(rect: Rect, others: list[Rect]) -> bool:
    x0, y0, x1, y1 = rect.inset(-_CLEAR_MM)
    return any(o.x0 < x1 and x0 < o.x1 and o.y0 < y1 and y0 < o.y1 for o in others)
