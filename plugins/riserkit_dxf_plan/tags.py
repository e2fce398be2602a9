"""Which text is a door's mark: an attribute, a tag's block, or the nearest text that looks like one; and which only states its size."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from riserkit_dxf_plan.layers import is_of_door_tags
from riserkit_dxf_plan.openings import PlanDoor
from riserkit_dxf_plan.pieces import Pieces, PlanText, Point

_MARK_TAGS: Final = (
    "MARK", "NUMBER", "NO", "NR", "NUM", "TAG", "DOOR", "DOORNO", "DOOR_NO", "DOOR_NUMBER", "DOORNUMBER", "DOOR_MARK", "DOORMARK",
    "ID", "DOOR_ID", "DOOR_TAG", "NUMMER", "TUERNR", "NUMERO", "OPENING", "D_NO",
)  # fmt: skip
_NUMBERED: Final = r"(?:N[OR°º]?|NUM|NUMERO|NUMMER|NUMBER|REF|REP|REPERE|MARQUE|MARCA|COD|CODIGO|CODE|ID|MARK|TAG)"
_A_DOOR: Final = r"(?:DOOR|OPENING|T(?:UE|Ü|U)R|PORTE|PORTA|PUERTA|DEUR)"
_MARK_TAG = re.compile(rf"{_NUMBERED}[_ .-]?{_A_DOOR}|{_A_DOOR}[_ .-]?{_NUMBERED}?|NUMÉRO|NÚMERO|REPERE|REPÈRE")
"""A tag of an attribute that holds the mark, in other languages than that of `_MARK_TAGS` too."""
_MARK = re.compile(
    r"(?:[A-Z]{1,3}[-. ]?)?\d{1,4}(?:[A-Z]|[-./]\d{1,3}|[-.][A-Z])?[A-Z]?|[A-Z]{1,3}[-.]\d{1,3}[-.]?\w{0,3}"
    r"|(?=\D*\d)[A-Z]{1,3}(?:[-._][A-Z0-9]{1,4}){1,3}",
    re.IGNORECASE,
)
_CODE = re.compile(r"(\d{1,2})(\d)(\d)(\d)(?:\s*[A-Z.]{1,8})?")
_NEAR_M: Final = 1.6
"""How far from its door a tag stands at most."""
_MOST_NEAR: Final = 2000
"""Texts looked at about one point: a drawing with more of them there is no plan, and is not to take all day."""
_ON_M: Final = 0.05
_OWN: Final = "RISERKIT"
_OPENING: Final = "opening:"
_DOOR_TAG = re.compile(r"DOOR|DR\b|T[UÜ]E?R|OPENING|PORTE", re.IGNORECASE)

_OF_ANOTHER = re.compile(
    r"GRID|AXE|AXIS|ACHSE|RASTER|WIND|FENSTER|FENETRE|FENÊTRE|VENTANA|GLAZ|ROOM|RAUM|LOCAL|PIECE|SECT|ELEV|DETAIL|COUPE|SCHNITT",
    re.IGNORECASE,
)
"""A number in a circle that is no door's."""


@dataclass(frozen=True, slots=True)
class Tagged:
    """What is written at a door: its mark and where it was found; a size; other words.

    Args of note:
        size_m: width and height of a text that only states the size, such as `2668`.
    """

    mark: str = ""
    why: str = ""
    size_m: tuple[float, float] | None = None
    words: tuple[str, ...] = ()


def own_marks(model: Any) -> Sequence[tuple[Point, str]]:
    """Where riserkit's own plan has the circles of its openings, and their marks, which may be no more than words.

    A mark at two circles is left out: one of them has been copied by hand.
    """
    found: list[tuple[Point, str]] = []
    for circle in model.query("CIRCLE"):
        if circle.has_xdata(_OWN):
            said = next((str(tag.value) for tag in circle.get_xdata(_OWN) if tag.code == 1000), "")
            if said.startswith(_OPENING) and "/device/" not in said:
                found.append(((circle.dxf.center.x, circle.dxf.center.y), said.removeprefix(_OPENING)))
    count = Counter(mark for _, mark in found)
    return [one for one in found if count[one[1]] == 1]


def tags_of(
    doors: Sequence[PlanDoor],
    pieces: Pieces,
    roles: Mapping[str, str],
    unit_m: float,
    circles: Sequence[tuple[Point, str]] = (),
) -> list[Tagged]:
    """What is written at each door.

    Args:
        doors: in drawing units.
        pieces: of the drawing.
        roles: what each layer holds.
        unit_m: metres of a unit.
        circles: see `own_marks`.
    """
    found = [_of_own(door, circles, unit_m) or _of_attributes(door) for door in doors]
    placed = {door.insert.handle for door in doors if door.insert is not None}
    texts = [*pieces.words, *_tag_blocks(pieces, roles, placed)]
    sizes = _sizes(doors, texts, unit_m)
    numbers = Counter(word.text.strip() for word in texts)
    layers = {w.layer for w in texts if is_of_door_tags(w.layer, roles)}
    below = {}
    for n, word in enumerate(texts):
        first, *rest = word.text.strip().splitlines()
        if rest and (word.layer in layers or roles.get(word.layer) == "doors") and _MARK.fullmatch(first.strip()):
            texts[n] = replace(word, text=first.strip())
            below[id(texts[n])] = tuple(line.strip() for line in rest if line.strip())
    pairs = []
    places = _Near(texts, _NEAR_M / unit_m)
    marks = [w for w in texts if w.text.strip() not in sizes and _MARK.fullmatch(w.text.strip())]
    led = {id(marks[word]): n for word, n in led_doors(doors, marks, pieces, roles, unit_m).items()}
    taken = set()
    for word in marks:
        if id(word) in led and not found[led[id(word)]].mark:
            taken.add(id(word))
            why = "the text that a leader leads to it"
            found[led[id(word)]] = Tagged(word.text.strip(), why, words=below.get(id(word), ()))
    for n, door in enumerate(doors):
        if found[n].mark:
            continue
        for word in places.about(door.middle):
            if word.text.strip() in sizes or not _MARK.fullmatch(word.text.strip()):
                continue
            own = word.layer in layers or word.layer == door.layer
            if layers and not own:
                continue
            far_m = math.dist(word.at, door.middle) * unit_m
            # The same text at many doors is a type or a size, not the mark of one.
            far_m += 0.0 if own else 0.3
            far_m += 0.8 if numbers[word.text.strip()] > 1 else 0.0
            far_m += 0.8 if not own and _is_room_number(word, places, roles) else 0.0
            if far_m <= _NEAR_M:
                pairs.append((far_m, n, word))
    for _, n, word in sorted(pairs, key=lambda one: (one[0], one[1])):
        if not found[n].mark and id(word) not in taken:
            taken.add(id(word))
            why = f"the nearest text, {math.dist(word.at, doors[n].middle) * unit_m:.2f} m away"
            found[n] = Tagged(word.text.strip(), why, words=(*found[n].words, *below.get(id(word), ())))
    return [_with_size(tag, door, places, sizes) for tag, door in zip(found, doors, strict=True)]


def of_no_door(tags: Sequence[Tagged], pieces: Pieces, roles: Mapping[str, str]) -> list[PlanText]:
    """Texts on layers of door tags that became no door's mark, size or remark."""
    said = {text for tag in tags for text in (tag.mark, *tag.words)}
    return [
        word for word in pieces.words
        if is_of_door_tags(word.layer, roles) and code_size_m(word.text) is None
        and not said & {word.text.strip(), *(line.strip() for line in word.text.strip().splitlines())}
    ]  # fmt: skip


def marks_beside(
    gaps: Sequence[Point], doors: Sequence[PlanDoor], pieces: Pieces, roles: Mapping[str, str], unit_m: float
) -> list[tuple[str, Point]]:
    """Of gaps in walls those that a door's mark stands beside, each with it: one on a layer of such, and no door's already."""
    used = {tag.mark for tag in tags_of(doors, pieces, roles, unit_m)}
    marks = [
        word for word in pieces.words
        if _DOOR_TAG.search(word.layer) and _MARK.fullmatch(word.text.strip()) and word.text.strip() not in used
    ]  # fmt: skip
    near = [
        (math.dist(word.at, gap), word.text.strip(), gap)
        for word in marks for gap in gaps if math.dist(word.at, gap) * unit_m <= _NEAR_M
    ]  # fmt: skip
    found: dict[Point, str] = {}
    for _, mark, gap in sorted(near):
        if gap not in found and mark not in found.values():
            found[gap] = mark
    return [(mark, gap) for gap, mark in found.items()]


def _of_own(door: PlanDoor, circles: Sequence[tuple[Point, str]], unit_m: float) -> Tagged | None:
    near = [mark for at, mark in circles if math.dist(at, door.middle) * unit_m <= _ON_M]
    return Tagged(near[0]) if len(near) == 1 else None


def _of_attributes(door: PlanDoor) -> Tagged:
    if door.insert is None:
        return Tagged()
    attributes = dict(door.insert.attributes)
    mark = next((attributes[tag] for tag in _MARK_TAGS if attributes.get(tag)), "")
    mark = mark or next((text for tag, text in attributes.items() if text and _MARK_TAG.fullmatch(tag)), "")
    words = tuple(f"{tag}: {text}" for tag, text in door.insert.attributes if text != mark)
    if not mark and len(attributes) == 1 and _MARK.fullmatch(next(iter(attributes.values()))):
        mark, words = next(iter(attributes.values())), ()
    return Tagged(mark, "", None, words)


def _tag_blocks(pieces: Pieces, roles: Mapping[str, str], placed: Collection[str]) -> list[PlanText]:
    """Tags that are blocks of their own, with the mark as an attribute.

    Either the block is called a tag of doors, or the mark is all that it has, as of a circle with a number in it. `placed`:
    handles of what are doors themselves.
    """
    found = []
    for insert in pieces.inserts:
        if not insert.attributes or insert.handle in placed or not all(map(math.isfinite, insert.at)):
            continue
        name = insert.name.casefold()
        of_doors = _DOOR_TAG.search(name) and any(
            word in name for word in ("tag", "mark", "no", "nr", "iden", "symbol")
        )
        lone = len(insert.attributes) == 1 and roles.get(insert.layer, "") in ("texts", "doors", "")
        if of_doors or (lone and not _OF_ANOTHER.search(f"{insert.name} {insert.layer}")):
            attributes = dict(insert.attributes)
            mark = next((attributes[tag] for tag in _MARK_TAGS if attributes.get(tag)), insert.attributes[0][1])
            found.append(PlanText(insert.at, mark, 0.0, insert.layer, insert.handle))
    return found


def code_size_m(text: str) -> tuple[float, float] | None:
    """Width and height of a size in feet and inches, digit by digit: `2668` is 2'-6" by 6'-8".

    Examples:
        >>> code_size_m("2668"), code_size_m("16070 O.H."), code_size_m("101")
        ((0.762, 2.032), (4.8768, 2.1336), None)
    """
    match = _CODE.fullmatch(text.strip())
    if match is None:
        return None
    feet, inches, high, rest = (int(x) for x in match.groups())
    return round((feet * 12 + inches) * 0.0254, 6), round((high * 12 + rest) * 0.0254, 6)


def _sizes(doors: Sequence[PlanDoor], texts: Sequence[PlanText], unit_m: float) -> set[str]:
    """Texts that state a size: the doors beside them are that wide, and several doors share them."""
    widths = [door.width * unit_m for door in doors]
    codes = {text: code_size_m(text) for text in {word.text.strip() for word in texts}}
    likely = {text: size for text, size in codes.items() if size is not None and 1.8 <= size[1] <= 3.0}
    sure = [
        s for s in likely.values() if any(abs(s[0] - width) < 0.03 or abs(2 * s[0] - width) < 0.05 for width in widths)
    ]
    # Where several of them are as wide as doors are, the others are sizes too, of windows or of doors that slide.
    count = Counter(word.text.strip() for word in texts)
    return {text for text in likely if len(sure) > 1 or (sure and count[text] > 1)}


def _with_size(tag: Tagged, door: PlanDoor, places: _Near, sizes: set[str]) -> Tagged:
    near = [word for word in places.about(door.middle) if word.text.strip() in sizes]
    if not near or door.stated_m is not None:
        return tag
    word = min(near, key=lambda one: math.dist(one.at, door.middle))
    return Tagged(tag.mark, tag.why, code_size_m(word.text), tag.words)


def _is_room_number(word: PlanText, places: _Near, roles: Mapping[str, str]) -> bool:
    """Whether a number belongs to a room: its layer says so, or a name stands right above or below it."""
    if roles.get(word.layer) == "rooms":
        return True
    for other in places.about(word.at):
        dy = abs(other.at[1] - word.at[1])
        high = max(word.height, other.height)
        is_name = other is not word and re.search(r"[A-Za-z]{3,}", other.text) is not None
        if is_name and dy <= 2.6 * high and abs(other.at[0] - word.at[0]) <= 3.0 * high:
            return True
    return False


class _Near:
    """Texts within reach of a point."""

    def __init__(self, texts: Sequence[PlanText], far: float) -> None:
        self._texts, self._far = texts, far or 1.0
        self._places = _Grid([word.at for word in texts], self._far)

    def about(self, at: Point) -> list[PlanText]:
        found = [self._texts[n] for n in self._places.about(at)]
        return [word for word in found[:_MOST_NEAR] if math.dist(word.at, at) <= self._far]


_TAG_M: Final = 0.5
"""How far from the middle of a tag its leader begins: the rim of the circle round it; or three heights of its text."""
_REACH: Final = 0.8
"""How far from the middle of its door a leader ends, in widths of the door: at the leaf, or in the gap."""


def led_doors(
    doors: Sequence[PlanDoor], words: Sequence[PlanText], pieces: Pieces, roles: Mapping[str, str], unit_m: float
) -> dict[int, int]:
    """By number of the word the number of the door that a leader leads it to.

    A word that is led to two doors, and a door that two words are led to, are left to be told by place.

    Args:
        doors: in drawing units.
        words: those that may be marks.
        pieces: of the drawing: its leaders, and lines on layers of texts, which many draw in their place.
        roles: what each layer holds.
        unit_m: metres of a unit.
    """
    lines = [*pieces.leaders, *((s.start, s.end) for s in pieces.segments if roles.get(s.layer) == "texts")]
    cell = max([_TAG_M / unit_m, *(3 * word.height for word in words), *(door.width for door in doors)], default=1.0)
    tags, places = _Grid([word.at for word in words], cell), _Grid([door.middle for door in doors], cell)
    found: set[tuple[int, int]] = set()
    for line in lines:
        for tag_end, door_end in (line, line[::-1]):
            near = [
                (far, n)
                for n in tags.about(tag_end)
                if (far := math.dist(words[n].at, tag_end)) <= max(_TAG_M / unit_m, 3 * words[n].height)
                and math.dist(words[n].at, door_end) >= far + words[n].height
            ]
            reached = [
                (far, n)
                for n in places.about(door_end)
                if (far := math.dist(doors[n].middle, door_end)) <= _REACH * doors[n].width
            ]
            if near and reached:
                found.add((min(near)[1], min(reached)[1]))
    of_word, of_door = Counter(word for word, _ in found), Counter(door for _, door in found)
    return {word: door for word, door in found if of_word[word] == of_door[door] == 1}


class _Grid:
    """Numbers of points by place: those in the cell of a point and in the cells round it."""

    def __init__(self, points: Sequence[Point], cell: float) -> None:
        self._cell = cell or 1.0
        self._cells: dict[tuple[int, int], list[int]] = {}
        for n, point in enumerate(points):
            self._cells.setdefault(self._of(point), []).append(n)

    def _of(self, point: Point) -> tuple[int, int]:
        return math.floor(point[0] / self._cell), math.floor(point[1] / self._cell)

    def about(self, point: Point) -> list[int]:
        x, y = self._of(point)
        return [n for i in (x - 1, x, x + 1) for j in (y - 1, y, y + 1) for n in self._cells.get((i, j), ())]
