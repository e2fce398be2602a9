"""Sheet sizes, sheet and layer names."""

from __future__ import annotations

import pytest

from riserkit.standards.sheets import SHEET_SIZES, layer_name, sheet_id


def test_every_sheet_is_landscape_with_a_frame_inside() -> None:
    for name, size in SHEET_SIZES.items():
        assert name == size.name
        assert size.width_mm > size.height_mm
        left, bottom, right, top = size.frame_mm
        assert (left, bottom) == (20, 10)
        assert (right, top) == (size.width_mm - 10, size.height_mm - 10)


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        (("T", "CABL"), "T-CABL"),
        (("T", "CABL", None, "N"), "T-CABL-N"),
        (("TY", "ANNO", "TEXT"), "TY-ANNO-TEXT"),
        (("E", "ANNO", "DIMS", "E"), "E-ANNO-DIMS-E"),
    ],
)
def test_layer_names(fields: tuple[str, ...], name: str) -> None:
    assert layer_name(*fields) == name


def test_second_minor_group() -> None:
    assert layer_name("T", "CABL", "BKBN", "N", minor_2="FIBR") == "T-CABL-BKBN-FIBR-N"
    with pytest.raises(ValueError, match="without a first"):
        layer_name("T", "CABL", minor_2="FIBR")


@pytest.mark.parametrize(
    "fields",
    [("t", "CABL"), ("Y", "CABL"), ("", "CABL"), ("TYX", "CABL"), ("T1", "CABL"), ("T", "CAB"), ("T", "CABLE"),
     ("T", "cabl"), ("T", "CABL\n"), ("T", "CABL", "TXT"), ("T", "CABL", "TEXT", "Q"), ("T", "CABL", "TEXT", "")],
)  # fmt: skip
def test_layer_fields_outside_the_format_are_refused(fields: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match="expected"):
        layer_name(*fields)


@pytest.mark.parametrize(("fields", "name"), [(("T", 1, 1), "T-101"), (("TY", 1, 1), "TY101"), (("T", 0, 99), "T-099")])
def test_sheet_ids(fields: tuple[str, int, int], name: str) -> None:
    assert sheet_id(*fields) == name


@pytest.mark.parametrize("fields", [("T", 10, 1), ("T", -1, 1), ("T", 1, 0), ("T", 1, 100), ("K", 1, 1)])
def test_sheet_ids_outside_the_format_are_refused(fields: tuple[str, int, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        sheet_id(*fields)
