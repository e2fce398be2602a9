"""Rectangles and occupancy, against shapely."""

from __future__ import annotations

import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from riserkit.drawings.dxf.boxes import Occupancy, PlacedBox, Rect, turned

SIZES = st.floats(0.5, 120)
RECTS = st.builds(lambda x, y, w, h: Rect(x, y, x + w, y + h), st.floats(-200, 200), st.floats(-200, 200), SIZES, SIZES)


@given(st.lists(RECTS, max_size=25))
def test_clashes_are_those_that_shapely_finds(rects: list[Rect]) -> None:
    placed = Occupancy()
    for n, rect in enumerate(rects):
        placed.add(PlacedBox(rect, "text", f"t:{n}", n))
    found = {tuple(sorted((a.group, b.group))) for a, b in placed.clashes()}
    boxes = [shapely.box(*rect) for rect in rects]
    pairs = [(i, j) for j in range(len(boxes)) for i in range(j)]
    # rectangles that share less than a sliver may count either way
    sure = {(i, j) for i, j in pairs if shapely.intersection(boxes[i], boxes[j]).area > 1e-3}
    possible = {(i, j) for i, j in pairs if boxes[i].intersects(boxes[j])}
    assert sure <= found <= possible


@given(RECTS, st.floats(-360, 360))
def test_turned_rectangle_is_that_of_shapely(rect: Rect, angle_deg: float) -> None:
    expected = shapely.affinity.rotate(shapely.box(*rect), angle_deg, origin=(10, 20)).bounds
    assert tuple(turned(rect, (10, 20), angle_deg)) == pytest.approx(expected, abs=1e-6)


def test_edges_that_touch_do_not_overlap() -> None:
    placed = Occupancy()
    placed.add(PlacedBox(Rect(0, 0, 10, 10), "symbol", "a", 1))
    for beside in (Rect(10, 0, 20, 10), Rect(-10, 0, 0, 10), Rect(0, 10, 10, 20), Rect(0, -10, 10, 0)):
        placed.add(PlacedBox(beside, "symbol", "beside", 2))
    assert not [pair for pair in placed.clashes() if placed.boxes[0] in pair]
    placed.add(PlacedBox(Rect(9.99, 0, 20, 10), "symbol", "b", 3))
    assert [pair for pair in placed.clashes() if placed.boxes[0] in pair]


def test_parts_of_one_symbol_do_not_clash() -> None:
    placed = Occupancy()
    placed.add(PlacedBox(Rect(0, 0, 10, 10), "symbol", "a", 1))
    placed.add(PlacedBox(Rect(2, 2, 4, 4), "text", "a", 1))
    assert not list(placed.clashes())
