"""What stands out in a wiring diagram: conductors at fault with a mark and a word, and those that carry a current.

All is black: line weight, the shape of the mark, the word and the arrows carry the meaning, so that any print shows it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import Final, Literal

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.pens import Pen
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.wiring.values import Label, Wire, WiringDiagram

FAULT_LETTER: Final = "F"
CROSS_MM: Final = 1.6
DOT_MM: Final = 1.3
ARROW_MM: Final = (3.4, 1.2)
"""Length of an arrow of current, and half its width."""
_HEAVY: Final = Pen(layers.CONDUCTOR, 0.70)
_HEAVIEST: Final = Pen(layers.CONDUCTOR, 1.00)
_WORDS_MM: Final = (3.5, 3.0, 2.5)
_STEP_MM: Final = 1.0
_LEADERS_MM: Final = 40
"""How far a word may stand off its conductor, either way."""
_LEADERS_FROM: Final = 12
"""From how many points along a conductor a leader is tried."""
_NEAR: Final = 12
"""How many of the free points nearest to an end are near it."""
_CLEAR_MM: Final = 1.2


@dataclass(frozen=True, slots=True)
class FaultSign:
    """How a conductor at fault is marked.

    Args:
        word: what happened to it, such as `OPEN HERE`.
        broken: it no longer conducts, and is crossed; else something is joined to it, and it bears a dot.
        near: the end at which it happened, and that the mark is near: `a`, `b`, or empty where it does not matter.
    """

    word: str
    broken: bool = False
    near: Literal["a", "b", ""] = ""


@dataclass(frozen=True, slots=True)
class Marks:
    """Conductors that stand out, by designation.

    Args:
        faulted: at fault or handled: heaviest line, a cross or a dot, and a word.
        path: carry the lock's current: heavy line, and an arrow.
        backward: those of the path whose current runs from their end `b` to their end `a`.
        devices: designations of devices at fault: heaviest outline.
    """

    faulted: Mapping[str, FaultSign] = field(default_factory=lambda: MappingProxyType({}))
    path: frozenset[str] = frozenset()
    backward: frozenset[str] = frozenset()
    devices: frozenset[str] = frozenset()

    def pen(self, ref: str) -> str | Pen:
        """How a conductor is drawn."""
        if ref in self.faulted:
            return _HEAVIEST
        return _HEAVY if ref in self.path else layers.CONDUCTOR

    def outline(self, ref: str) -> str | Pen:
        """How the outline of a device is drawn."""
        return Pen(layers.DIAGRAM, 1.00) if ref in self.devices else layers.DIAGRAM


@dataclass(frozen=True, slots=True)
class FaultMark:
    """Where a conductor is crossed or bears its dot, and the word beside it; none where no room is free.

    A word farther off is led to by a thin line, `leader`.
    """

    ref: str
    at: Point
    word: Label | None
    broken: bool
    leader: tuple[Point, Point] | None = None


def fault_marks(diagram: WiringDiagram, marks: Marks) -> tuple[FaultMark, ...]:
    """A mark on each conductor at fault, where it and its word stand clear of all else.

    A word with no room beside its conductor is put where there is some, on a leader; where there is none, the letter F
    takes its place.
    """
    frame = Rect(0, 0, diagram.width_mm, diagram.height_mm)
    taken = list(_taken(diagram))
    found: list[FaultMark] = []
    for wire in diagram.wires:
        if wire.ref in marks.faulted:
            mark = _mark(wire, marks.faulted[wire.ref], taken, frame)
            found.append(mark)
            taken += [("", rect) for rect in _rects(mark)]
    return tuple(found)


def current_arrows(diagram: WiringDiagram, marks: Marks) -> tuple[tuple[str, tuple[Point, Point, Point]], ...]:
    """An arrowhead on each conductor of the path, pointing the way of the current, clear of all else where it can be.

    Returns:
        Designation of the conductor, and the three corners, the tip first.
    """
    taken = list(_taken(diagram))
    taken += [("", rect) for mark in fault_marks(diagram, marks) for rect in _rects(mark)]
    found = []
    for wire in diagram.wires:
        if wire.ref in marks.path:
            path = wire.path[::-1] if wire.ref in marks.backward else wire.path
            others = [rect for ref, rect in taken if ref != wire.ref]
            found.append((wire.ref, _arrow(path, others)))
    return tuple(found)


def _rects(mark: FaultMark) -> Iterator[Rect]:
    yield _cross(mark.at)
    if mark.word is not None:
        yield label_rect(mark.word)
    if mark.leader is not None:
        yield from (Rect(*at, *at) for at in _along(mark.leader))


def _arrow(path: tuple[Point, ...], others: list[Rect]) -> tuple[Point, Point, Point]:
    spots = list(_spots(path))
    length, half = ARROW_MM
    clear = (spot for spot in spots if not _meets(_cross(spot[0]).inset(CROSS_MM - half - 0.4), others))
    (x, y), (dx, dy) = next(clear, spots[0])
    tip = (x + dx * length / 2, y + dy * length / 2)
    tail = (x - dx * length / 2, y - dy * length / 2)
    return tip, (tail[0] - dy * half, tail[1] + dx * half), (tail[0] + dy * half, tail[1] - dx * half)


def label_rect(label: Label) -> Rect:
    """The box of a line of text."""
    width, (x, y) = text_width_mm(label.text, label.height_mm), label.at
    x0 = {"left": x, "center": x - width / 2, "right": x - width}[label.align]
    return Rect(x0, y - 0.3 * label.height_mm, x0 + width, y + label.height_mm)


def _taken(diagram: WiringDiagram) -> Iterator[tuple[str, Rect]]:
    """All that a mark must keep clear of, each with the conductor it belongs to."""
    for wire in diagram.wires:
        yield from ((wire.ref, rect) for rect in _own(wire))
        # labels and arches, also its own: a cross on an arch looks like it
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


def _mark(wire: Wire, sign: FaultSign, taken: list[tuple[str, Rect]], frame: Rect) -> FaultMark:
    spots = [at for at, _ in _spots(wire.path)]
    others = [rect for ref, rect in taken if ref != wire.ref]
    clear = [at for at in spots if not _meets(_cross(at), others)]
    every = [*others, *_own(wire)]
    solid = [rect for ref, rect in taken if not ref]
    for some in _in_turn(wire, sign, clear):
        found = _beside_one(wire.ref, sign, some, every, frame)
        found = found or _led_from_one(wire.ref, sign, some, (every, solid), frame)
        if found is not None:
            return found
    letter = _beside_one(wire.ref, FaultSign(FAULT_LETTER, sign.broken), clear, every, frame)
    return letter or FaultMark(wire.ref, (clear or spots)[0], None, sign.broken)


def _in_turn(wire: Wire, sign: FaultSign, clear: list[Point]) -> Iterator[list[Point]]:
    """The points near the end where it happened, then all of them."""
    if sign.near and wire.path:
        x, y = wire.path[0 if sign.near == "a" else -1]
        yield sorted(clear, key=lambda at: (abs(at[0] - x) + abs(at[1] - y), at))[:_NEAR]
    yield clear


def _led_from_one(
    ref: str, sign: FaultSign, spots: list[Point], taken: tuple[list[Rect], list[Rect]], frame: Rect
) -> FaultMark | None:
    every, solid = taken
    for at in spots[:: max(1, len(spots) // _LEADERS_FROM)]:
        for word, leader in _led(sign.word, at, frame):
            if not _meets(label_rect(word), every) and not any(_crosses(leader, rect) for rect in solid):
                return FaultMark(ref, at, word, sign.broken, leader)
    return None


def _beside_one(ref: str, sign: FaultSign, clear: list[Point], every: list[Rect], frame: Rect) -> FaultMark | None:
    for height in _WORDS_MM:
        for at in clear:
            for word in _beside(sign.word, at, height):
                if frame.holds(label_rect(word)) and not _meets(label_rect(word), every):
                    return FaultMark(ref, at, word, sign.broken)
    return None


def _led(text: str, at: Point, frame: Rect) -> Iterator[tuple[Label, tuple[Point, Point]]]:
    """Places of a word within a diagram, the nearest first, each with its leader to a point."""
    height, reach = _WORDS_MM[-1], range(-_LEADERS_MM, _LEADERS_MM + 1, 2)
    for dx, dy in sorted(
        ((dx, dy) for dx in reach for dy in reach if abs(dx) > 3), key=lambda d: (d[0] ** 2 + d[1] ** 2, d)
    ):
        x, y = at[0] + dx, at[1] + dy
        word = Label(text, (x, y - height / 2), height, "left" if dx > 0 else "right")
        if frame.holds(label_rect(word)):
            yield word, (at, (x - 0.8 if dx > 0 else x + 0.8, y))


def _crosses(line: tuple[Point, Point], rect: Rect) -> bool:
    near = rect.inset(-0.4)
    return any(near.x0 < x < near.x1 and near.y0 < y < near.y1 for x, y in _along(line))


def _along(line: tuple[Point, Point]) -> Iterator[Point]:
    """Points a millimetre apart, the ends among them."""
    (x0, y0), (x1, y1) = line
    steps = max(1, int(max(abs(x1 - x0), abs(y1 - y0))))
    yield from ((x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps) for k in range(steps + 1))


def _spots(path: tuple[Point, ...]) -> Iterator[tuple[Point, Point]]:
    """Points along the longest straight parts, from the middle of each outward, each with the part's direction."""
    for a, b in sorted(pairwise(path), key=lambda ab: -(abs(ab[0][0] - ab[1][0]) + abs(ab[0][1] - ab[1][1]))):
        length = abs(a[0] - b[0]) + abs(a[1] - b[1])
        steps = int(length / 2 // _STEP_MM)
        for n in range(steps + 1):
            for side in (1, -1) if n else (1,):
                share = 0.5 + side * n * _STEP_MM / length if length else 0.5
                at = round(a[0] + share * (b[0] - a[0]), 3), round(a[1] + share * (b[1] - a[1]), 3)
                yield at, ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length else (1.0, 0.0)


def _beside(text: str, at: Point, height_mm: float) -> Iterator[Label]:
    (x, y), beside = at, CROSS_MM + 0.8
    yield Label(text, (x, y + beside), height_mm, "center")
    yield Label(text, (x, y - beside - height_mm), height_mm, "center")
    yield Label(text, (x + beside, y - height_mm / 2), height_mm, "left")
    yield Label(text, (x - beside, y - height_mm / 2), height_mm, "right")


def _meets(rect: Rect, others: list[Rect]) -> bool:
    x0, y0, x1, y1 = rect.inset(-_CLEAR_MM)
    return any(o.x0 < x1 and x0 < o.x1 and o.y0 < y1 and y0 < o.y1 for o in others)
