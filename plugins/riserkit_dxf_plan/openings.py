"""Leaves put together to doors, and doors of blocks that show no swing; still in drawing units."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit_xlsx.sizes import likely_unit, read_length, read_size

from riserkit.importing.facts import Operation
from riserkit_dxf_plan.layers import WINDOWS
from riserkit_dxf_plan.pieces import Pieces, Placed, Point
from riserkit_dxf_plan.swings import SwungLeaf, is_door_name

_MEET: Final = 0.14
"""How far apart the closed ends of a pair may lie, in widths of a leaf."""
_MEET_IN_BLOCK: Final = 0.3
_SAME: Final = 0.08
_UNLIKE: Final = 0.05
"""By how much of its width a leaf differs from one that is not as wide."""
_WIDTH_TAGS: Final = ("WIDTH", "W", "DOOR_WIDTH", "DOORWIDTH", "BREITE", "LARGEUR")
_SIZE_TAGS: Final = ("SIZE", "DOOR_SIZE", "DOORSIZE", "DIM", "DIMENSIONS")
_PAIR_OF_NUMBERS = re.compile(
    r"(\d{1,4}(?:[.,]\d+)?)\s*(mm|cm|m|in|\"|'|_)?\s*[x×X]\s*(\d{1,4}(?:[.,]\d+)?)\s*(mm|cm|m|in|\"|'|_)?"
)
_FEET_INCHES = re.compile(r"(\d{1,2})'?-(\d{1,2})\"?\s*[x×X]\s*(\d{1,2})'?-(\d{1,2})")
_ONE_NUMBER = re.compile(r"(\d{2,4}(?:[.,]\d+)?)\s*(mm|cm)\b|(\d{2})\s*(?:\"|in\b)", re.IGNORECASE)
_OPERATIONS: Final[tuple[tuple[str, Operation], ...]] = (
    ("slid", "sliding"), ("schieb", "sliding"), ("pocket", "sliding"), ("bypass", "sliding"), ("fold", "folding"), ("bifold", "folding"),
    ("coulis", "sliding"), ("correder", "sliding"), ("scorrevol", "sliding"), ("schuif", "sliding"),
    ("falt", "folding"), ("pliant", "folding"), ("plegable", "folding"),
    ("karussel", "revolving"), ("tournant", "revolving"), ("giratori", "revolving"), ("tambour", "revolving"),
    ("revolv", "revolving"), ("sektional", "overhead"), ("enroul", "overhead"),
    ("overhead", "overhead"), ("sectional", "overhead"), ("roll", "overhead"), ("garage", "overhead"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlanDoor:
    """A door as drawn.

    Args of note:
        along: direction of the wall, radians; `into`: of the side that it swings to, None where it swings to both or nobody knows.
        stated_m: the width that is written at it, in metres, and where; `height_m` likewise.
        is_gap: nothing but a gap in the wall is drawn.
        unequal: widths of the two leaves of a pair, where they differ.
    """

    middle: Point
    along: float
    width: float
    leaves: int
    handle: str
    layer: str
    hinge: Point | None = None
    into: float | None = None
    operation: Operation = "swing"
    insert: Placed | None = None
    sure: bool = True
    stated_m: tuple[float, str] | None = None
    height_m: float | None = None
    is_gap: bool = False
    unequal: tuple[float, ...] = ()


def doors_of(leaves: Sequence[SwungLeaf]) -> list[PlanDoor]:
    """Doors of leaves: single ones, pairs whose leaves close upon each other, and leaves that swing to both sides."""
    left = _without_doubles(leaves)
    order = sorted(range(len(left)), key=lambda n: (left[n].closed, left[n].hinge))
    cell = 4 * max((leaf.width for leaf in left), default=1.0) * _MEET_IN_BLOCK or 1.0
    grid: dict[tuple[int, int], list[int]] = {}
    for n in order:
        grid.setdefault((math.floor(left[n].closed[0] / cell), math.floor(left[n].closed[1] / cell)), []).append(n)
    used: set[int] = set()
    doors = []
    for n in order:
        if n in used:
            continue
        leaf = left[n]
        x, y = math.floor(leaf.closed[0] / cell), math.floor(leaf.closed[1] / cell)
        near = [
            m
            for i in (x - 1, x, x + 1)
            for j in (y - 1, y, y + 1)
            for m in grid.get((i, j), ())
            if m != n and m not in used
        ]
        mates = [(math.dist(leaf.closed, left[m].closed), m) for m in near if _is_pair(leaf, left[m])]
        if mates:
            mate = min(mates)[1]
            used |= {n, mate}
            doors.append(_pair(leaf, left[mate]))
        else:
            used.add(n)
            doors.append(_single(leaf))
    return doors


def _without_doubles(leaves: Sequence[SwungLeaf]) -> list[SwungLeaf]:
    """Leaves each once: an arc drawn twice is one, and two arcs about one hinge to both sides are one leaf."""
    found: list[SwungLeaf] = []
    places: dict[tuple[int, int], list[int]] = {}
    for leaf in leaves:
        cell = leaf.width or 1.0
        key = (round(leaf.hinge[0] / cell), round(leaf.hinge[1] / cell))
        near = [n for i in (-1, 0, 1) for j in (-1, 0, 1) for n in places.get((key[0] + i, key[1] + j), ())]
        same = [
            n for n in near
            if math.dist(found[n].hinge, leaf.hinge) <= _SAME * cell and math.dist(found[n].closed, leaf.closed) <= _SAME * cell
        ]  # fmt: skip
        if same:
            other = found[same[0]]
            if math.dist(other.tip, leaf.tip) > 0.5 * cell:
                found[same[0]] = replace(other, tip=other.closed)  # to both sides: no side is the one it swings to
            continue
        places.setdefault(key, []).append(len(found))
        found.append(leaf)
    return found


def _is_pair(one: SwungLeaf, other: SwungLeaf) -> bool:
    together = one.width + other.width
    in_block = one.swing.insert is not None and one.swing.insert == other.swing.insert
    meet = (_MEET_IN_BLOCK if in_block else _MEET) * max(one.width, other.width)
    if math.dist(one.closed, other.closed) > meet or abs(math.dist(one.hinge, other.hinge) - together) > meet:
        return False
    # Leaves of one door stand in one line.
    ax, ay = one.closed[0] - one.hinge[0], one.closed[1] - one.hinge[1]
    bx, by = other.closed[0] - other.hinge[0], other.closed[1] - other.hinge[1]
    return ax * bx + ay * by < -0.97 * one.width * other.width


def _side(leaf: SwungLeaf) -> float | None:
    """Direction square to the wall to which the leaf opens; None for both."""
    ux, uy = leaf.closed[0] - leaf.hinge[0], leaf.closed[1] - leaf.hinge[1]
    # The middle of the arc tells it also of a leaf that opens until it lies at the wall.
    tip = leaf.swing.middle if leaf.tip != leaf.closed else leaf.tip
    tx, ty = tip[0] - leaf.hinge[0], tip[1] - leaf.hinge[1]
    turn = ux * ty - uy * tx
    if abs(turn) < 0.05 * leaf.width**2:
        return None
    return math.atan2(uy, ux) + (math.pi / 2 if turn > 0 else -math.pi / 2)


def _single(leaf: SwungLeaf) -> PlanDoor:
    (hx, hy), (cx, cy) = leaf.hinge, leaf.closed
    return PlanDoor(
        ((hx + cx) / 2, (hy + cy) / 2), math.atan2(cy - hy, cx - hx), leaf.width, 1, _handle(leaf), leaf.swing.layer, leaf.hinge,
        _side(leaf), insert=leaf.swing.insert, sure=leaf.sure,
    )  # fmt: skip


def _pair(one: SwungLeaf, other: SwungLeaf) -> PlanDoor:
    (ax, ay), (bx, by) = one.hinge, other.hinge
    sides = [_side(one), _side(other)]
    same = sides[0] is not None and sides[1] is not None and math.cos(sides[0] - sides[1]) > 0
    return PlanDoor(
        ((ax + bx) / 2, (ay + by) / 2), math.atan2(by - ay, bx - ax), math.dist(one.hinge, other.hinge), 2, _handle(one),
        one.swing.layer, None, sides[0] if same else None, insert=one.swing.insert, sure=one.sure and other.sure,
        unequal=(one.width, other.width) if abs(one.width - other.width) > _UNLIKE * one.width else (),
    )  # fmt: skip


def _handle(leaf: SwungLeaf) -> str:
    return leaf.swing.insert.handle if leaf.swing.insert is not None else leaf.swing.handle


def still_doors(pieces: Pieces, swinging: frozenset[str], roles: Mapping[str, str]) -> Iterator[PlanDoor]:
    """Doors that are drawn as blocks without a swing: sliding, folding, overhead, or cut through above the leaf.

    Args:
        pieces: of the drawing.
        swinging: inserts that hold a swing, or are held by one.
        roles: what each layer holds.
    """
    for insert in pieces.inserts:
        folded = insert.name.casefold()
        named = is_door_name(insert.name)
        if not named and not (
            roles.get(insert.layer) == "doors" and not WINDOWS.search(insert.name) and not insert.name.startswith("*")
        ):
            continue
        if any(sign in folded for sign in ("tag", "mark", "label", "symbol", "legend", "_closed", "arrow", "head")):
            continue
        box = pieces.boxes.get(insert.handle, [])
        if insert.handle in swinging or any(h.startswith(f"{insert.handle}/") for h in swinging) or len(box) < 2:
            continue
        ux, uy = insert.x_axis
        long = math.hypot(ux, uy) or 1.0
        ux, uy = ux / long, uy / long
        along = [x * ux + y * uy for x, y in box]
        off = [y * ux - x * uy for x, y in box]
        wide, deep = max(along) - min(along), max(off) - min(off)
        turn = math.atan2(uy, ux)
        mid_along, mid_off = (max(along) + min(along)) / 2, (max(off) + min(off)) / 2
        if deep > wide:
            wide, turn = deep, turn + math.pi / 2
        middle = (mid_along * ux - mid_off * uy, mid_along * uy + mid_off * ux)
        operation: Operation = next((kind for word, kind in _OPERATIONS if word in folded), "opening")
        yield PlanDoor(
            middle, turn, wide, 1, insert.handle, insert.layer, operation=operation, insert=insert, sure=False
        )


def in_outer_blocks(doors: Sequence[PlanDoor], inserts: Sequence[Placed]) -> list[PlanDoor]:
    """The doors, each with the block that is its own: the leaf's may stand within one that has the attributes and the name.

    A block that holds several doors is that of a wing or a floor, and says nothing of one.
    """
    by_handle = {insert.handle: insert for insert in inserts}
    held = Counter(handle for door in doors if door.insert is not None for handle in _within(door.insert.handle))
    return [
        door if door.insert is None else replace(door, insert=_whole(door.insert, by_handle, held)) for door in doors
    ]


def _within(handle: str) -> Iterator[str]:
    """The handles of an insert and of those that hold it, the innermost first."""
    while handle:
        yield handle
        handle = handle.rpartition("/")[0]


def _whole(insert: Placed, by_handle: Mapping[str, Placed], held: Mapping[str, int]) -> Placed:
    for handle in list(_within(insert.handle))[1:]:
        outer = by_handle.get(handle)
        if outer is None or held[handle] > 1:
            break
        name = insert.name if written_size(insert.name) or not is_door_name(outer.name) else outer.name
        known = {tag for tag, _ in insert.attributes}
        more = tuple((tag, text) for tag, text in outer.attributes if tag not in known)
        insert = replace(insert, handle=handle, name=name, attributes=(*insert.attributes, *more))
    return insert


def with_written_size(door: PlanDoor) -> PlanDoor:
    """The door with the size that its block's name or attributes state."""
    if door.insert is None:
        return door
    size: tuple[float, float | None, str] | None = None
    for tag, text in door.insert.attributes:
        if tag in _WIDTH_TAGS:
            value = read_length(text) or _by_magnitude(text)
            size = (value, None, f"attribute {tag}") if value else size
        elif tag in _SIZE_TAGS:
            found = written_size(text)
            size = (found[0], found[1], f"attribute {tag}") if found else size
    if size is None:
        found = written_size(door.insert.name)
        size = (found[0], found[1], "the block's name") if found else None
    if size is None:
        return door
    return replace(door, stated_m=(size[0], size[2]), height_m=size[1])


def written_size(text: str) -> tuple[float, float | None] | None:
    """Width and height in metres that a name speaks of, such as `Single - 30_ x 84_`, `0915 x 2134mm`, `87.5cm`.

    Examples:
        >>> written_size("Single - 36_ x 84_-12"), written_size("M_Door:0915 x 2134mm"), written_size("T 87.5cm"), written_size("D7")
        ((0.9144, 2.1336), (0.915, 2.134), (0.875, None), None)
    """
    if feet := _FEET_INCHES.search(text):
        a, b, c, d = map(int, feet.groups())
        return round((a * 12 + b) * 0.0254, 6), round((c * 12 + d) * 0.0254, 6)
    if pair := _PAIR_OF_NUMBERS.search(text):
        wide, high = (float(pair[n].replace(",", ".")) for n in (1, 3))
        sign = pair[4] or pair[2] or ""
        unit = {"_": "in", '"': "in", "'": "ft"}.get(sign, sign) or likely_unit([wide], [high])
        if sign == "_" and wide < 24:
            unit = "ft"  # the sign that a name may not have stood for a foot
        size = read_size(f"{wide:g} x {high:g}", unit) if unit else None
        if (
            size is not None
            and size.width_m
            and size.height_m
            and 0.4 <= size.width_m <= 6
            and 1.5 <= size.height_m <= 5
        ):
            return round(size.width_m, 6), round(size.height_m, 6)
        return None
    if one := _ONE_NUMBER.search(text):
        value = read_length(f"{one[1]} {one[2]}") if one[1] else read_length(f'{one[3]}"')
        return (round(value, 6), None) if value and 0.4 <= value <= 6 else None
    return None


def _by_magnitude(text: str) -> float | None:
    unit = likely_unit([float(text)], []) if re.fullmatch(r"\d+(?:\.\d+)?", text) else ""
    return read_length(text, unit) if unit else None
