"""Colour codes."""

from __future__ import annotations

import pytest

from riserkit.standards.colours import (
    COLOUR_NAMES,
    CONDUCTOR_ORDER_CODES,
    conductor_colours,
)


def test_conductor_colours_are_distinct_at_every_length_and_keep_their_order() -> None:
    longest = conductor_colours(len(CONDUCTOR_ORDER_CODES))
    assert len(set(longest)) == len(longest) == 77
    assert conductor_colours(12) == ("RD", "BK", "WH", "GN", "BN", "BU", "OG", "YE", "VT", "GY", "PK", "TQ")
    assert all(conductor_colours(n) == longest[:n] for n in range(1, len(longest)))


def test_two_letters_of_a_combination_stand_in_the_standards_order() -> None:
    order = list(COLOUR_NAMES)
    for code in CONDUCTOR_ORDER_CODES[12:]:
        assert order.index(code[:2]) < order.index(code[2:])


def test_green_and_yellow_is_kept_for_protective_conductors() -> None:
    assert not {"GNYE", "YEGN"} & set(CONDUCTOR_ORDER_CODES)


@pytest.mark.parametrize("n", [0, -1, 78])
def test_conductor_counts_have_ends(n: int) -> None:
    with pytest.raises(ValueError, match="expected 1 to 77"):
        conductor_colours(n)
