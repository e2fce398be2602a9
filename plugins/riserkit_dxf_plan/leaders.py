"""Leaders: lines from a tag to the door that it is of, where the tag itself may stand nearer to another one."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

from riserkit_dxf_plan.openings import PlanDoor
from riserkit_dxf_plan.pieces import Pieces, PlanText, Point

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
    """Numbers of points by place."""

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
