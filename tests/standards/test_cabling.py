"""Lengths of links and cords."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.standards import cabling
from riserkit.standards.source import NotTabulatedError


@given(st.floats(70.0, 90.0), st.sampled_from([24, 26, 28]))
def test_link_and_cord_formulas_are_each_others_inverse(horizontal_m: float, cord_awg: int) -> None:
    cord_m = cabling.max_cord_total_m(horizontal_m, cord_awg)
    if cord_m < cabling.CORD_CEILING_M[cord_awg]:
        assert cabling.max_horizontal_m(cord_m, cord_awg) == pytest.approx(horizontal_m)


def test_a_link_past_90_m_leaves_no_cord() -> None:
    assert cabling.max_cord_total_m(90.0, 24) == 10.0
    assert cabling.max_cord_total_m(90.01, 24) == 0.0


def test_short_links_and_short_cords_stay_within_the_ceilings() -> None:
    assert [cabling.max_cord_total_m(10.0, awg) for awg in (24, 26, 28)] == [27.0, 21.0, 15.0]
    assert [cabling.max_horizontal_m(0.0, awg) for awg in (24, 26, 28)] == [90.0, 90.0, 90.0]
    assert cabling.max_horizontal_m(27.0, 24) == pytest.approx(69.6)
    assert cabling.max_horizontal_m(27.01, 24) == 0.0


@pytest.mark.parametrize("temp_c", [-20.0, 0.0, 20.0])
def test_cool_links_keep_90_m(temp_c: float) -> None:
    assert cabling.derated_horizontal_m(temp_c, screened=False) == 90.0


@given(st.floats(20.0, 60.0), st.floats(0.01, 10.0), st.booleans())
def test_warmer_is_never_longer(temp_c: float, step_c: float, screened: bool) -> None:
    warmer_c = min(temp_c + step_c, 60.0)
    assert cabling.derated_horizontal_m(warmer_c, screened) <= cabling.derated_horizontal_m(temp_c, screened)


def test_between_rows_the_line_is_straight() -> None:
    assert cabling.derated_horizontal_m(42.5, screened=False) == pytest.approx((84.0 + 81.7) / 2)


@pytest.mark.parametrize("temp_c", [60.01, 100.0, float("nan"), float("inf")])
def test_above_the_table_there_is_no_verdict(temp_c: float) -> None:
    with pytest.raises(NotTabulatedError, match="60 °C"):
        cabling.derated_horizontal_m(temp_c, screened=True)


def test_long_cords_and_heat_add_up() -> None:
    # 26 AWG cords of 14 m leave 102 - 14 * 1.5 = 81 m at 20 °C; at 40 °C 84/90 of that.
    assert cabling.max_horizontal_at_m(14, 26, 40, screened=False) == pytest.approx(75.6)


def test_unknown_cords_and_negative_lengths_are_errors() -> None:
    with pytest.raises(NotTabulatedError, match="23 AWG"):
        cabling.max_cord_total_m(80, 23)
    for call in (cabling.max_cord_total_m, cabling.max_horizontal_m):
        with pytest.raises(ValueError, match="expected 0 or more"):
            call(-1.0, 24)
        with pytest.raises(ValueError, match="expected 0 or more"):
            call(float("nan"), 24)
