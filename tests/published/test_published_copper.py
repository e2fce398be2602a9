"""Copper: gauge and resistivity (NBS Handbook 100, verified) against NEC chapter 9 table 8 and IEC 60228."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.standards import copper

Reader = Callable[[str], list[dict[str, str]]]

_M_PER_KFT = 304.8


@pytest.mark.parametrize(("awg", "inch"), [(-3, 0.4600), (36, 0.0050)])
def test_the_two_gauges_that_define_the_rest(awg: int, inch: float) -> None:
    # NBS Handbook 100 section 2.1: 4/0 is 0.4600 in, 36 is 0.0050 in.
    assert copper.awg_diameter_m(awg) / 0.0254 == pytest.approx(inch, rel=1e-12)


@pytest.mark.parametrize(("awg", "ohm_per_km"), [(18, 25.5), (16, 16.0), (14, 10.1), (12, 6.34), (10, 3.984)])
def test_solid_copper_at_75c_meets_nec_table_8(awg: int, ohm_per_km: float) -> None:
    """Formula, resistivity and temperature together, within 0.3 %: the table is printed to three figures."""
    r_ohm = copper.at_temperature(copper.solid_resistance_per_m_20c_ohm(awg), 75) * 1000
    assert r_ohm == pytest.approx(ohm_per_km, rel=0.003)
    assert copper.NEC_TABLE_8_SOLID_75C_OHM_PER_KM[awg] == ohm_per_km


@pytest.mark.parametrize(("awg", "ohm_per_kft"), [(18, 7.95), (16, 4.99), (14, 3.14), (12, 1.98)])
def test_stranded_copper_at_75c_meets_nec_table_8_in_feet(awg: int, ohm_per_kft: float) -> None:
    """The table prints each size per km and per thousand feet; what we take from one must give the other."""
    r_ohm = copper.at_temperature(copper.resistance_per_m_20c_ohm(f"{awg} AWG"), 75) * _M_PER_KFT
    assert r_ohm == pytest.approx(ohm_per_kft, rel=0.003)


@pytest.mark.parametrize(("awg", "ohm_per_km"), [(20, 33.31), (22, 52.96), (23, 66.78), (24, 84.21), (26, 133.9)])
def test_solid_copper_at_20c(awg: int, ohm_per_km: float) -> None:
    # Standard annealed copper, consistent; half a unit of the last printed figure.
    digits = 1 if ohm_per_km > 100 else 2
    assert round(copper.solid_resistance_per_m_20c_ohm(awg) * 1000, digits) == ohm_per_km


def test_temperature_correction_of_nec_table_8() -> None:
    """R2 = R1 [1 + 0.00323 (T2 - 75)]: the coefficient at 75 °C is 0.00393 / (1 + 0.00393 x 55)."""
    r75_ohm = copper.at_temperature(1.0, 75)
    assert (copper.at_temperature(1.0, 76) - r75_ohm) / r75_ohm == pytest.approx(0.00323, abs=5e-6)


@pytest.mark.parametrize(("temp_c", "factor"), [(35, 0.943), (70, 0.833), (75, 0.820), (90, 0.781)])
def test_temperature_factors_printed_with_iec_60228(temp_c: float, factor: float) -> None:
    """IEC 60228 annex: factor that brings a reading back to 20 °C; agrees within 0.004 (its 254.5/(234.5 + t))."""
    assert 1 / copper.at_temperature(1.0, temp_c) == pytest.approx(factor, abs=0.004)


@pytest.mark.parametrize(
    ("area_mm2", "class_2", "class_5"),
    [(0.5, 36.0, 39.0), (0.75, 24.5, 26.0), (1.0, 18.1, 19.5), (1.5, 12.1, 13.3), (2.5, 7.41, 7.98), (4.0, 4.61, 4.95)],
)
def test_iec_60228_highest_resistance(area_mm2: float, class_2: float, class_5: float) -> None:
    # IEC 60228, plain copper, 20 °C, verified.
    assert copper.IEC_60228_CLASS_2_OHM_PER_KM[area_mm2] == class_2
    assert copper.resistance_per_m_20c_ohm(f"{area_mm2:g} mm2") * 1000 == pytest.approx(class_5, rel=1e-12)


def test_iec_60228_leaves_4_to_8_percent_for_manufacture() -> None:
    for area_mm2, ohm_per_km in copper.IEC_60228_CLASS_2_OHM_PER_KM.items():
        assert 1.043 < ohm_per_km / (17.241 / area_mm2) < 1.075


def test_gauges_row_by_row(reference_rows: Reader) -> None:
    for row in reference_rows("copper_awg.csv"):
        awg = int(row["AWG"])
        solid_ohm_per_km = copper.solid_resistance_per_m_20c_ohm(awg) * 1000
        assert copper.awg_diameter_m(awg) * 1000 == pytest.approx(float(row["dia_mm"]), abs=5.1e-5)
        assert copper.awg_area_mm2(awg) == pytest.approx(float(row["area_mm2"]), abs=5.1e-5)
        assert solid_ohm_per_km == pytest.approx(float(row["R20_solid_ohm_per_km(IACS)"]), abs=5.1e-4)
        at_75c = copper.at_temperature(solid_ohm_per_km, 75)
        assert at_75c == pytest.approx(float(row["R75_solid_ohm_per_km(IACS)"]), abs=5.1e-4)
        if row["NEC_T8_7strand_ohm_per_km"]:
            assert copper.NEC_TABLE_8_STRANDED_75C_OHM_PER_KM[awg] == float(row["NEC_T8_7strand_ohm_per_km"])
            assert copper.NEC_TABLE_8_SOLID_75C_OHM_PER_KM[awg] == float(row["NEC_T8_solid_ohm_per_km"])


def test_metric_sizes_row_by_row(reference_rows: Reader) -> None:
    rows = reference_rows("iec60228.csv")
    assert {float(row["mm2"]) for row in rows} == set(copper.IEC_60228_CLASS_5_OHM_PER_KM)
    for row in rows:
        area_mm2 = float(row["mm2"])
        assert copper.IEC_60228_CLASS_2_OHM_PER_KM[area_mm2] == float(row["class2_plain"])
        assert copper.IEC_60228_CLASS_5_OHM_PER_KM[area_mm2] == float(row["class5_plain"])


def test_worked_voltage_drop() -> None:
    """100 ft one way, 16 AWG stranded, 4 A: 3.992 V (course guide, secondary, at the table's 75 °C)."""
    r_ohm = copper.at_temperature(copper.resistance_per_m_20c_ohm("16 AWG"), 75) * 2 * 100 * 0.3048
    assert 4 * r_ohm == pytest.approx(3.992, rel=0.003)


def test_worked_voltage_drop_12_awg() -> None:
    """50 ft one way, 12 AWG stranded, 22 A: 4.36 V (secondary page, 75 °C)."""
    r_ohm = copper.at_temperature(copper.resistance_per_m_20c_ohm("12 AWG"), 75) * 2 * 50 * 0.3048
    assert 22 * r_ohm == pytest.approx(4.356, rel=0.003)
