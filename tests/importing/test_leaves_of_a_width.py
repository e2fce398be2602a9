"""Widths of two leaves in one cell: `900+450`, `900/450`, `2 x 900`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.importing.tables import rows, texts
from tests.importing.test_lists_in_short import imported


@pytest.mark.parametrize(
    ("heading", "cell", "width_m", "is_asked"),
    [
        ("Width (mm)", "900+450", "1.35", True), ("Width (mm)", "900/450", "1.35", True), ("Width (mm)", "2 x 900", "1.8", False),
        ("Leaf width (mm)", "900 & 600", "1.5", True), ("Width", "(2) 3'-0\"", "1.829", False),
        ("Size (mm)", "900+450 x 2100", "1.35", True),
    ],
)  # fmt: skip
def test_two_leaves_in_one_cell_are_a_pair(
    heading: str, cell: str, width_m: str, is_asked: bool, tmp_path: Path
) -> None:
    """Their sum was read as the width of a single leaf, or not at all; of unequal ones it is asked which is used."""
    site = imported(tmp_path, {"Doors": (("Mark", heading, "Lock"), ("101", cell, "strike 12 V fail secure"))})
    door = rows(site, "openings")["101"]
    assert (door["type"], door["width_m"]) == ("double", width_m)
    assert ("leaves are unequal" in texts(site, "question")) == is_asked
    assert (cell in door.get("remarks", "")) == is_asked


@pytest.mark.parametrize("cell", ["900", "900 x 2100", "900/2100", "2 x"])
def test_one_leaf_or_a_size_is_no_pair(cell: str, tmp_path: Path) -> None:
    rows_ = (("Mark", "Width (mm)", "Height (mm)", "Lock"), ("101", cell, 2100, "strike 12 V fail secure"))
    site = imported(tmp_path, {"Doors": (*rows_, ("102", 900, 2100, "strike 12 V fail secure"))})
    assert rows(site, "openings")["101"].get("type", "") == ""
