"""IEC 60757 letters, sheet sizes, and the published form of sheet names."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from riserkit.standards.colours import COLOUR_NAMES, CONDUCTOR_ORDER_CODES
from riserkit.standards.labels import format_backbone, format_horizontal_link, format_port, format_space
from riserkit.standards.sheets import (
    DISCIPLINES,
    SHEET_SIZES,
    SHEET_TYPES,
    TEXT_HEIGHT_MIN_MM,
    TEXT_HEIGHTS_MM,
    sheet_id,
)

Reader = Callable[[str], list[dict[str, str]]]


def test_letter_codes(reference_rows: Reader) -> None:
    rows = reference_rows("iec60757.csv")
    assert [(row["code"], row["colour"]) for row in rows] == list(COLOUR_NAMES.items())


def test_letter_combinations_follow_the_standards_order() -> None:
    """IEC 60757 (verified): letters of a combination stand in the table's order, RDBU; green with yellow is GNYE only."""
    assert "RDBU" in CONDUCTOR_ORDER_CODES
    assert not {"BURD", "GNYE", "YEGN"} & set(CONDUCTOR_ORDER_CODES)


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm"),
    [
        ("A0", 1189, 841),
        ("A1", 841, 594),
        ("A3", 420, 297),
        ("ANSI B", 431.8, 279.4),
        ("ANSI D", 863.6, 558.8),
        ("ARCH D", 914.4, 609.6),
    ],
)
def test_sheet_sizes(name: str, width_mm: float, height_mm: float) -> None:
    # ISO 216 A series, ASME Y14.1, architectural sizes: verified.
    size = SHEET_SIZES[name]
    assert (size.width_mm, size.height_mm) == (width_mm, height_mm)


def test_sheet_sizes_row_by_row(reference_rows: Reader) -> None:
    rows = reference_rows("sheet_sizes.csv")
    prefix = {"ISO": "", "ANSI Y14.1": "ANSI ", "ARCH": "ARCH "}
    assert {prefix[row["series"]] + row["name"] for row in rows} == set(SHEET_SIZES)
    for row in rows:
        size = SHEET_SIZES[prefix[row["series"]] + row["name"]]
        assert sorted((size.width_mm, size.height_mm)) == sorted((float(row["w_mm"]), float(row["h_mm"])))
        assert size.source.confidence == row["confidence"]


def test_iso_a_series_halves() -> None:
    """ISO 216: each size is half the one before, A0 is one square metre (within the millimetre rounding)."""
    names = ["A0", "A1", "A2", "A3", "A4"]
    assert SHEET_SIZES["A0"].width_mm * SHEET_SIZES["A0"].height_mm == pytest.approx(1e6, rel=1e-3)
    for larger, smaller in pairwise(names):
        assert SHEET_SIZES[smaller].width_mm == SHEET_SIZES[larger].height_mm
        assert SHEET_SIZES[smaller].height_mm == SHEET_SIZES[larger].width_mm // 2


def test_text_heights() -> None:
    # ISO 3098, from memory: each height is the one before times root two, rounded; NCS least 3/32 in, from memory.
    assert TEXT_HEIGHTS_MM == (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
    assert pytest.approx(2.38, abs=0.005) == TEXT_HEIGHT_MIN_MM


def test_published_forms_of_sheet_names() -> None:
    # NCS: T-101 and TY101 verified. There is no first-level discipline Y.
    assert (sheet_id("T", 1, 1), sheet_id("TY", 1, 1)) == ("T-101", "TY101")
    assert "Y" not in DISCIPLINES


def test_disciplines_and_sheet_types() -> None:
    """UDS module 1: disciplines in its order (verified; their letters from memory), sheet types (from memory)."""
    assert "".join(DISCIPLINES) == "GHVBCLSAIQFPDMEWTRXZO"
    assert list(DISCIPLINES.values()) == [
        "General", "Hazardous Materials", "Survey/Mapping", "Geotechnical", "Civil", "Landscape", "Structural",
        "Architectural", "Interiors", "Equipment", "Fire Protection", "Plumbing", "Process", "Mechanical",
        "Electrical", "Distributed Energy", "Telecommunications", "Resource", "Other Disciplines",
        "Contractor/Shop Drawings", "Operations",
    ]  # fmt: skip
    assert list(SHEET_TYPES.items()) == list(enumerate([
        "General", "Plans", "Elevations", "Sections", "Large-Scale Views", "Details", "Schedules and Diagrams",
        "User Defined", "User Defined", "3D Representations",
    ]))  # fmt: skip


def test_published_forms_of_labels() -> None:
    # TIA-606, from memory.
    assert format_space(1, "A") == "1A"
    assert format_space(1, "A", "B1") == "B1-1A"
    assert format_port("1A", "R1", "A", 1) == "1A.R1-A:01"
    assert format_horizontal_link("1A", "A", 47) == "1A-A47"
    assert format_backbone("1A", "2A", 1) == "1A/2A-1"
    assert format_backbone("B1-1A", "B2-1A", 1) == "B1-1A/B2-1A-1"
