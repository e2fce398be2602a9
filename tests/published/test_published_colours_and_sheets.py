"""IEC 60757 letters, sheet sizes, and the published form of sheet names."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from riserkit.standards.colours import COLOUR_NAMES, CONDUCTOR_ORDER_CODES
from riserkit.standards.labels import format_backbone, format_horizontal_link, format_port, format_space
from riserkit.standards.sheets import (
    ANSI_SIZES,
    ARCH_SIZE_E1,
    ARCH_SIZES,
    ISO_SIZES,
    SHEET_SIZES,
    TEXT_HEIGHT_MIN_MM,
    TEXT_HEIGHTS_MM,
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
        ("ISO A0", 1189, 841),
        ("ISO A1", 841, 594),
        ("ISO A3", 420, 297),
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
    series = {"ISO": "ISO", "ANSI Y14.1": "ANSI", "ARCH": "ARCH"}
    sources = {"ISO": ISO_SIZES, "ANSI": ANSI_SIZES, "ARCH": ARCH_SIZES}
    named = {f"{series[row['series']]} {row['name']}": row for row in rows}
    del named["ANSI F"]  # a roll size, which no sheet of ours has
    assert set(named) == set(SHEET_SIZES)
    for name, row in named.items():
        size = SHEET_SIZES[name]
        assert (size.height_mm, size.width_mm) == tuple(sorted((float(row["w_mm"]), float(row["h_mm"]))))
        source = ARCH_SIZE_E1 if name == "ARCH E1" else sources[size.series]
        assert source.confidence == row["confidence"]


def test_iso_a_series_halves() -> None:
    """ISO 216: each size is half the one before, A0 is one square metre (within the millimetre rounding)."""
    names = [f"ISO A{n}" for n in range(5)]
    assert SHEET_SIZES["ISO A0"].width_mm * SHEET_SIZES["ISO A0"].height_mm == pytest.approx(1e6, rel=1e-3)
    for larger, smaller in pairwise(names):
        assert SHEET_SIZES[smaller].width_mm == SHEET_SIZES[larger].height_mm
        assert SHEET_SIZES[smaller].height_mm == SHEET_SIZES[larger].width_mm // 2


def test_text_heights() -> None:
    # ISO 3098, from memory: each height is the one before times root two, rounded; NCS least 3/32 in, from memory.
    assert TEXT_HEIGHTS_MM == (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
    assert pytest.approx(2.38, abs=0.005) == TEXT_HEIGHT_MIN_MM


def test_published_forms_of_labels() -> None:
    # TIA-606, from memory.
    assert format_space(1, "A") == "1A"
    assert format_space(1, "A", "B1") == "B1-1A"
    assert format_port("1A", "R1", "A", 1) == "1A.R1-A:01"
    assert format_horizontal_link("1A", "A", 47) == "1A-A47"
    assert format_backbone("1A", "2A", 1) == "1A/2A-1"
    assert format_backbone("B1-1A", "B2-1A", 1) == "B1-1A/B2-1A-1"
