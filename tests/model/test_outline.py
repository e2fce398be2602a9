"""An outline is a polygon in Well-Known Text with finite corners, or is refused before anything draws it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from riserkit.model.place import Wall


@pytest.mark.parametrize(
    "wkt",
    [
        # The first two from OGC 06-103r4, table 6 (examples of Well-Known Text)
        "Polygon ((10 10, 10 20, 20 20, 20 15, 10 10))",
        "MultiPolygon (((10 10, 10 20, 20 20, 20 15, 10 10)), ((60 60, 70 70, 80 60, 60 60 )))",
        "POLYGON((0 0,1e1 0,\n 10 10.5,0 0))",
        "POLYGON ((100000 0, 0 0, 0 100000, 100000 0))",
    ],
)
def test_outlines(wkt):
    assert Wall(level="L1", outline_wkt=wkt).outline_wkt == wkt


@pytest.mark.parametrize(
    "wkt",
    [
        "", "x", "POINT (1 2)", "POLYGON EMPTY", "POLYGON ((0 0, 1 0", "POLYGON ((0 0, 1 0, 1 1, 0 1))",
        "POLYGON ((0 0, nan 0, 1 1, 0 0))", "POLYGON ((0 0, 1e300 0, 1 1, 0 0))", "POLYGON ((0 0, 10000001 0, 1 1, 0 0))",
        "GEOMETRYCOLLECTION (" * 5000, "POLYGON (" * 5000, "POLYGON ((0 0, 1 0, 1 1, 0 0))\0",
    ],
    ids=lambda x: x[:30],
)  # fmt: skip
def test_refused(wkt):
    with pytest.raises(ValidationError, match=r"expected an outline|at least 1|Value error"):
        Wall(level="L1", outline_wkt=wkt)
