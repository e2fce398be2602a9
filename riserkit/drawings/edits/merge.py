"""One thing merged three ways: as it was drawn last, as a drafter left it, as it is drawn now.

Place, shape, look and words are merged apart. What one side changed follows that side; what both changed to different
ends is a conflict, and stays as the drafter left it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final, Literal, NamedTuple

from riserkit.drawings.dxf.aspects import AS_LAYER, Aspects, Point
from riserkit.drawings.dxf.lettering import baseline_start
from riserkit.drawings.dxf.wrapped_text import unwrapped

Side = Literal["hand", "design"]
_STRETCHED: Final = (3, 5)
"""Alignments whose two points a drafter sets (aligned, fit)."""
_MIDDLE: Final = 4
_NOWHERE: Final = (0.0, 0.0)


class Merge(NamedTuple):
    """What is to be made of a thing.

    Args:
        shape: whose outline stands.
        look: whose layer, colour, line type and weight.
        words: for each tag whose words.
        onward: by how much what stands is to move on with the design.
        aside: by how much what is drawn now is to move as the other was moved by hand.
        conflicts: what both changed: `shape`, `look`, `words`.
        is_along: it was moved by hand and moves on with the design.
    """

    shape: Side
    look: Side
    words: Mapping[str, Side]
    onward: Point
    aside: Point
    conflicts: tuple[str, ...]
    is_along: bool


def merge(drawn: Aspects, hand: Aspects, design: Aspects) -> Merge:
    """Merge three states of a thing.

    Args:
        drawn: as drawn last.
        hand: as it stands.
        design: as drawn now.
    """
    shape, shape_clash = _of(drawn.shape, hand.shape, design.shape)
    look, look_clash = _of(drawn.look, hand.look, design.look)
    three = [dict(aspects.words) for aspects in (drawn, hand, design)]
    words = {tag: _of(*(words.get(tag, "") for words in three)) for tag in three[2]}
    clashes = {"shape": shape_clash, "look": look_clash, "words": any(clash for _, clash in words.values())}
    by_hand, by_design = _between(drawn.at, hand.at), _between(drawn.at, design.at)
    agreed = by_hand == by_design
    return Merge(
        shape, look, {tag: side for tag, (side, _) in words.items()},
        _NOWHERE if agreed or shape_clash else by_design,
        _NOWHERE if agreed else by_hand,
        tuple(name for name, clash in clashes.items() if clash),
        by_hand != _NOWHERE != by_design and not agreed and not shape_clash,
    )  # fmt: skip


def _of(drawn: str, hand: str, design: str) -> tuple[Side, bool]:
    """Whose value stands, and whether both changed it to different ends."""
    if hand in (drawn, design):
        return "design", False
    return "hand", design != drawn


def _between(one: Point, other: Point) -> Point:
    return round(other[0] - one[0], 3) + 0.0, round(other[1] - one[1], 3) + 0.0


def take_look(target: Any, source: Any) -> None:
    """Give an entity the layer, colour, line type and weight of another, and the codes round its paragraph."""
    target.dxf.layer = source.dxf.layer
    for name in AS_LAYER:
        if source.dxf.hasattr(name):
            target.dxf.set(name, source.dxf.get(name))
        else:
            target.dxf.discard(name)
    if target.dxftype() == "MTEXT":
        target.text = unwrapped(source.text)._replace(words=unwrapped(target.text).words).text


def take_words(target: Any, source: Any, tags: Iterable[str]) -> None:
    """Give an entity the words of another of its kind: its text, or its attributes of these tags."""
    wanted = set(tags)
    if target.dxftype() == "INSERT":
        values = {attrib.dxf.tag: attrib for attrib in source.attribs}
        for attrib in target.attribs:
            value = values.get(attrib.dxf.tag)
            if attrib.dxf.tag in wanted and value is not None and value.dxf.text != attrib.dxf.text:
                attrib.dxf.height = value.dxf.height
                if value.dxf.hasattr("width"):
                    attrib.dxf.width = value.dxf.width
                _set_text(attrib, value.dxf.text)
    elif wanted and target.dxftype() == "MTEXT":
        target.text = unwrapped(target.text)._replace(words=unwrapped(source.text).words).text
    elif wanted and target.dxftype() == "TEXT" and target.dxf.text != source.dxf.text:
        _set_text(target, source.dxf.text)


def _set_text(entity: Any, text: str) -> None:
    """Put words in the place of others; what is held in the middle or on the right starts elsewhere then."""
    dxf = entity.dxf
    dxf.text = text
    halign, valign = dxf.get("halign", 0), dxf.get("valign", 0)
    if (halign, valign) == (0, 0) or halign in _STRETCHED or not dxf.hasattr("align_point"):
        return
    alignment = (halign, 2 if halign == _MIDDLE else valign)
    held, angle = dxf.align_point, float(dxf.get("rotation", 0.0))
    start = baseline_start(entity.plain_text(), (held.x, held.y), float(dxf.height), alignment, angle)
    dxf.insert = (round(start[0], 3), round(start[1], 3))
