"""Blocks packed on a sheet must lie apart, inside, and off what was there."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from riserkit.drawings.door.pack import Packer, Sizes, fit
from riserkit.drawings.dxf.boxes import Rect

ROOM = Rect(0, 0, 100, 80)


def rects_of(blocks: list[Sizes], packer: Packer) -> list[Rect] | None:
    spots = fit(packer, blocks)
    if spots is None:
        return None
    found = []
    for spot, sizes in zip(spots, blocks, strict=True):
        width, height = sizes[spot.form]
        found.append(Rect(spot.x, spot.y - height, spot.x + width, spot.y))
    return found


@pytest.mark.parametrize("seed", range(20))
def test_blocks_lie_apart_and_inside(seed: int) -> None:
    random = Random(seed)
    taken = Rect(60, 0, 100, 25)
    blocks: list[Sizes] = [((random.randint(10, 40), random.randint(8, 22)),) for _ in range(5)]
    placed = rects_of(blocks, Packer((ROOM,)).without(taken))
    for rect in placed or []:
        assert ROOM.holds(rect)
        assert not rect.inset(-4).overlaps(taken)
    for one, other in combinations(placed or [], 2):
        assert not one.inset(-4).overlaps(other)


def test_four_that_just_fit_are_found() -> None:
    """Two by two with a gap of 4: 48 and 38 each way fill 100 by 80 to the millimetre."""
    blocks: list[Sizes] = [((48.0, 38.0),)] * 4
    assert rects_of(blocks, Packer((ROOM,))) is not None
    assert rects_of([*blocks[:3], ((49.0, 38.0),)], Packer((ROOM,))) is None


def test_a_search_finds_what_one_after_the_other_does_not() -> None:
    """The tall one must go beside the wide ones although it comes last."""
    blocks: list[Sizes] = [((60.0, 30.0),), ((60.0, 46.0),), ((36.0, 80.0),)]
    assert rects_of(blocks, Packer((ROOM,))) is not None


def test_another_form_is_taken_where_the_first_has_no_room() -> None:
    spots = fit(Packer((ROOM,)), [((120.0, 10.0), (90.0, 20.0))])
    assert spots is not None
    assert spots[0].form == 1


def test_what_cannot_fit_is_said() -> None:
    assert fit(Packer((ROOM,)), [((101.0, 10.0),)]) is None
