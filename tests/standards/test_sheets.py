"""Sheet sizes and names."""

from __future__ import annotations

import pytest

from riserkit.standards.sheets import SHEET_SIZES, sheet_id


def test_every_sheet_is_landscape_with_a_frame_inside() -> None:
    for name, size in SHEET_SIZES.items():
        assert name == size.name
        assert size.width_mm > size.height_mm
        left, bottom, right, top = size.frame_mm
        assert (left, bottom) == (20, 10)
        assert (right, top) == (size.width_mm - 10, size.height_mm - 10)


@pytest.mark.parametrize(("fields", "name"), [(("T", 1, 1), "T-101"), (("TY", 1, 1), "TY101"), (("T", 0, 99), "T-099")])
def test_sheet_ids(fields: tuple[str, int, int], name: str) -> None:
    assert sheet_id(*fields) == name


@pytest.mark.parametrize("fields", [("T", 10, 1), ("T", -1, 1), ("T", 1, 0), ("T", 1, 100), ("K", 1, 1)])
def test_sheet_ids_outside_the_format_are_refused(fields: tuple[str, int, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        sheet_id(*fields)
