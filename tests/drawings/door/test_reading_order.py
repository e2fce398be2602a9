"""A table that is cut goes on as one reads: down a column, then in the next to the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from riserkit.drawings.door.blocks import DoorBlock, Form, long_table_block
from riserkit.drawings.door.pack import Packer
from riserkit.drawings.door.sheet import PlacedForm, _in_reading_order, _places
from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.setting.table import Table, TableColumn

PAPER = Rect(0, 0, 500, 300)
TABLE = Table(
    "Readings",
    (TableColumn("No."), TableColumn("What")),
    tuple((str(n), "the same words in each of the rows") for n in range(1, 31)),
)


def parts(first_mm: float, room_mm: float = 130.0) -> tuple[DoorBlock, ...]:
    return long_table_block("readings", "t", TABLE, 100.0, room_mm, first_mm)


def ordered(blocks: tuple[DoorBlock, ...], corners: tuple[Point, ...], free: Rect = PAPER) -> list[PlacedForm]:
    placed = [(block, block.forms[0], at) for block, at in zip(blocks, corners, strict=True)]
    _in_reading_order(Packer((free,)), placed, blocks[0].recut)  # type: ignore[arg-type]
    return placed


def test_a_part_that_the_search_put_left_of_the_first_is_the_first() -> None:
    blocks = parts(130.0, 130.0)
    assert len(blocks) == 2
    placed = ordered(blocks, ((300, 250), (20, 250)))
    assert [at for _, _, at in placed] == [(20, 250), (300, 250)]
    assert sum(form.height_mm for _, form, _ in placed) == pytest.approx(sum(b.forms[0].height_mm for b in blocks))


def test_a_search_that_goes_back_to_the_left_is_put_in_order() -> None:
    blocks = parts(130.0, 130.0)
    first, last = (block.forms[0].height_mm for block in blocks)
    right, left = Rect(200, 0, 280, first + 2), Rect(0, 0, 80, last + 2)
    placed = _places(Packer((right, left)), blocks)
    assert placed is not None
    assert [at[0] for _, _, at in placed] == [0, 200]


def test_what_stands_below_by_half_its_width_is_read_before_what_stands_to_the_right() -> None:
    blocks = parts(80.0, 80.0)
    assert len(blocks) == 3
    placed = ordered(blocks, ((20, 290), (300, 290), (14, 140)))
    assert [at for _, _, at in placed] == [(20, 290), (14, 140), (300, 290)]


def test_parts_in_order_stay_as_they_are() -> None:
    blocks = parts(80.0, 80.0)
    corners = ((20, 290), (14, 140), (300, 290))
    assert ordered(blocks, corners) == [(b, b.forms[0], at) for b, at in zip(blocks, corners, strict=True)]


@pytest.mark.parametrize("widened", [False, True])
def test_where_the_rows_do_not_go_into_the_places_in_order_each_stays_where_it_is(widened: bool) -> None:
    cut = parts(130.0, 130.0)
    forms = tuple(replace(block.forms[0], width_mm=block.forms[0].width_mm + 1) for block in cut) if widened else None

    def recut(_: Sequence[float]) -> tuple[Form, ...] | None:
        return forms

    blocks = tuple(replace(block, recut=recut) for block in cut)
    corners = ((300, 250), (20, 250))
    assert ordered(blocks, corners) == [(b, b.forms[0], at) for b, at in zip(blocks, corners, strict=True)]


def test_a_part_takes_the_free_ground_below_it_and_no_more() -> None:
    """The last row is higher than the others: in order the parts need a little more than the search gave them."""
    rows = (*TABLE.rows[:-1], ("30", ", ".join(["the same words over and over"] * 6)))
    blocks = long_table_block("readings", "t", replace(TABLE, rows=rows), 100.0, 130.0, 117.0)
    first, last = (block.forms[0].height_mm for block in blocks)
    corners = ((300, 2 + first), (20, 2 + last))
    assert [at for _, _, at in ordered(blocks, corners, Rect(0, 2, 500, 300))] == list(corners)
    roomy = ordered(blocks, corners, Rect(0, -20, 500, 300))
    assert [at for _, _, at in roomy] == [corners[1], corners[0]]
    assert first < roomy[1][1].height_mm <= first + 22
