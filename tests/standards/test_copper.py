"""Choice of the value for a gauge, remedies and errors."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.standards import copper


def test_thick_gauges_take_the_stranded_value_at_20c() -> None:
    # 26.1 ohm/km at 75 °C, divided by 1 + 0.00393 * 55 = 1.21615
    assert copper.resistance_per_m_20c_ohm("18 AWG") == pytest.approx(0.0261 / 1.21615, rel=1e-12)
    assert copper.at_temperature(copper.resistance_per_m_20c_ohm("12 AWG"), 75) == pytest.approx(0.00650)


def test_solid_gauges_take_solid_copper() -> None:
    for awg in (12, 18, 19, 20, 22, 23, 24, 26):
        expected = copper.solid_resistance_per_m_20c_ohm(awg)
        assert copper.resistance_per_m_20c_ohm(f"{awg} AWG", "solid") == expected
    assert copper.resistance_source("24 AWG", "solid") is copper.IACS


def test_stranded_conductors_carry_their_own_factor() -> None:
    """NEC chapter 9 table 8: the stranded value stands 2.0 to 2.6 % above the solid one; thinner ones take the most of it."""
    table = copper.NEC_TABLE_8_STRANDED_75C_OHM_PER_KM
    most = max(ohm / copper.NEC_TABLE_8_SOLID_75C_OHM_PER_KM[awg] for awg, ohm in table.items())
    for gauge in ("22 AWG", "24 AWG"):
        solid, stranded = (copper.resistance_per_m_20c_ohm(gauge, how) for how in ("solid", "stranded"))
        assert stranded / solid == pytest.approx(most, abs=1e-3)
        assert copper.resistance_per_m_20c_ohm(gauge) == stranded


def test_solid_mm2_takes_class_1() -> None:
    """IEC 60228 table 1: at most 24.5 ohm/km for 0.75 mm2 solid, against 26.0 for class 5."""
    assert copper.resistance_per_m_20c_ohm("0.75 mm2", "solid") == 0.0245
    assert copper.resistance_source("0.75 mm2", "solid") is copper.IEC_CLASS_1


def test_mm2_takes_the_flexible_class() -> None:
    assert copper.resistance_per_m_20c_ohm("0.75 mm2") == 0.026
    assert copper.resistance_per_m_20c_ohm("1 mm2") == 0.0195


def test_the_value_is_never_below_a_solid_conductor_of_the_same_area() -> None:
    for awg in range(1, 31):
        solid = copper.solid_resistance_per_m_20c_ohm(awg)
        assert solid <= copper.resistance_per_m_20c_ohm(f"{awg} AWG") <= solid * 1.03
    for area in (0.14, 0.22, 0.34, 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 50):
        solid = copper.RESISTIVITY_20C_OHM_M / (area * 1e-6)
        assert solid * 1.1 < copper.resistance_per_m_20c_ohm(f"{area:g} mm2") <= solid * 1.16


@given(st.integers(1, 29))
def test_a_thicker_conductor_has_less_resistance(awg: int) -> None:
    assert copper.resistance_per_m_20c_ohm(f"{awg} AWG") < copper.resistance_per_m_20c_ohm(f"{awg + 1} AWG")


def test_larger_gauges_are_in_order_and_each_has_less_resistance() -> None:
    assert copper.larger_gauges("24 AWG") == ("22 AWG", "20 AWG", "18 AWG", "16 AWG", "14 AWG", "12 AWG")
    assert copper.larger_gauges("23 AWG")[0] == "22 AWG"
    assert copper.larger_gauges("12 AWG") == ()
    assert copper.larger_gauges("0.5 mm2") == ("0.75 mm2", "1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2")
    for start in ("24 AWG", "0.34 mm2"):
        series = (start, *copper.larger_gauges(start))
        values = [copper.resistance_per_m_20c_ohm(gauge) for gauge in series]
        assert values == sorted(values, reverse=True)
        assert len(set(values)) == len(values)


def test_each_value_says_where_it_comes_from() -> None:
    assert copper.resistance_source("18 AWG").cite() == "NEC chapter 9 table 8, uncoated stranded (verified)"
    assert copper.resistance_source("10 AWG").confidence == "from memory"
    assert copper.resistance_source("13 AWG").confidence == "consistent"
    assert copper.resistance_source("24 AWG") is copper.NEC_RAISED
    assert copper.resistance_source("1.5 mm2") is copper.IEC_CLASS_5
    assert copper.resistance_source("0.34 mm2") is copper.IEC_RAISED


@pytest.mark.parametrize(
    "gauge", ["", "18", "AWG 18", "18 awg", "18.5 AWG", "-2 AWG", "0 mm2", "0.75mm2", "99 AWG", "18 AWG\n", "١٨ AWG"]
)
def test_another_size_is_an_error_that_shows_it(gauge: str) -> None:
    with pytest.raises(ValueError, match=r"expected"):
        copper.resistance_per_m_20c_ohm(gauge)


@pytest.mark.parametrize("awg", [-4, 41])
def test_the_gauge_has_ends(awg: int) -> None:
    assert copper.awg_diameter_m(-3) > copper.awg_diameter_m(40)
    with pytest.raises(ValueError, match=str(awg)):
        copper.awg_diameter_m(awg)


@pytest.mark.parametrize("temp_c", [-300.0, -234.6, math.nan, math.inf])
def test_no_conductor_is_that_cold(temp_c: float) -> None:
    with pytest.raises(ValueError, match="conductor temperature"):
        copper.at_temperature(1.0, temp_c)
