"""TIA-568.2-D lengths: 90 and 100 m, cord factors and 84 m at 40 °C verified; formula and other rows from memory."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.standards import cabling

Reader = Callable[[str], list[dict[str, str]]]

# Cord gauge, link m, sum of cords m as the table prints it (whole metres: 22.5 is printed 22, 26.67 is printed 27).
CORD_ROWS = [
    (24, 90, 10), (24, 85, 14), (24, 80, 18), (24, 75, 22), (24, 70, 27),
    (26, 90, 8), (26, 85, 11), (26, 80, 15), (26, 75, 18), (26, 70, 21),
]  # fmt: skip


def test_link_channel_and_resistance() -> None:
    assert (cabling.PERMANENT_LINK_M, cabling.CHANNEL_M) == (90, 100)
    # 9.38 ohm per 100 m of conductor (verified): a pair's loop is 18.76 ohm, within the link's 21 and channel's 25 ohm.
    loop_ohm = 2 * cabling.CATEGORY_R_MAX_OHM_PER_M * 100
    assert loop_ohm == pytest.approx(18.76)
    assert loop_ohm < cabling.PERMANENT_LINK_LOOP_MAX_OHM < cabling.CHANNEL_LOOP_MAX_OHM


@pytest.mark.parametrize(("awg", "link_m", "printed_m"), CORD_ROWS)
def test_cord_formula_gives_the_printed_rows(awg: int, link_m: float, printed_m: int) -> None:
    """Rounded half to even, as the print is: half up would give 23 for 22.5."""
    assert round(cabling.max_cord_total_m(link_m, awg)) == printed_m


def test_the_formula_itself() -> None:
    assert cabling.max_cord_total_m(75, 24) == 22.5
    assert cabling.max_cord_total_m(70, 24) == pytest.approx(26.67, abs=0.005)


def test_work_area_cord_stays_within_22_m() -> None:
    """W <= 22 m (TIA, verified) with 5 m of cords in the closet; example: H = 70 m gives C = 27, W = 22."""
    assert round(cabling.max_cord_total_m(70, 24)) - 5 == 22
    assert cabling.CORD_CEILING_M[24] - 5 == 22


def test_longest_link_at_40c_is_84_m() -> None:
    # 40 °C average with 10 m of cords at 20 °C: verified.
    assert cabling.derated_horizontal_m(40, screened=False) == 84
    assert cabling.max_horizontal_at_m(10, 24, 40, screened=False) == 84


@pytest.mark.parametrize("screened", [False, True])
@pytest.mark.parametrize("temp_c", [25, 30, 35, 40, 45, 50, 55, 60])
def test_lengths_at_temperature_follow_from_attenuation(temp_c: float, screened: bool) -> None:
    """90 m over the rise in attenuation: 0.4 %/°C to 40 °C and 0.6 above, 0.2 screened; within 0.8 m of the table."""
    above_40c = max(temp_c - 40, 0)
    rise = 0.002 * (temp_c - 20) if screened else 0.004 * (min(temp_c, 40) - 20) + 0.006 * above_40c
    assert cabling.derated_horizontal_m(temp_c, screened) == pytest.approx(90 / (1 + rise), abs=0.8)


def test_cords_row_by_row(reference_rows: Reader) -> None:
    for row in reference_rows("tia568_cords.csv"):
        awg, link_m = int(row["cord_AWG"]), float(row["H_m"])
        assert cabling.CORD_DERATING[awg] == float(row["D"])
        assert round(cabling.max_cord_total_m(link_m, awg)) == int(row["C_table_m(rounded)"])
        if (awg, link_m) != (26, 70):  # there the printed 21 m is our ceiling, the formula's 21.33 m lies above it
            assert cabling.max_cord_total_m(link_m, awg) == pytest.approx(float(row["C_formula_m"]), abs=0.0051)


def test_temperatures_row_by_row(reference_rows: Reader) -> None:
    rows = reference_rows("tia568_temp_derate.csv")
    assert len(rows) == len(cabling.LINK_AT_TEMPERATURE_M)
    for row in rows:
        temp_c = float(row["temp_C"])
        unscreened = row["UTP_max_horizontal_m(from memory table; 40C row verified)"]
        assert cabling.derated_horizontal_m(temp_c, screened=False) == float(unscreened)
        assert cabling.derated_horizontal_m(temp_c, screened=True) == float(row["screened_max_m(from memory)"])


def test_28_awg_cords() -> None:
    """TIA-568.2-D-1, from memory: D = 0.95 and no more than 15 m a channel; 90 m leave 12 / 1.95 m."""
    assert cabling.max_cord_total_m(90, 28) == pytest.approx(12 / 1.95)
    assert cabling.max_cord_total_m(70, 28) == 15
