"""IEEE 802.3-2022 class powers, recomputed from voltage, current and loop resistance.

Powers and voltages at the PSE: verified. Channel resistance of 20 and 12.5 ohm: consistent, which is what this file shows.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from riserkit.standards.cabling import CATEGORY_R_MAX_OHM_PER_M
from riserkit.standards.poe import POE_CLASSES, loop_resistance_ohm

Reader = Callable[[str], list[dict[str, str]]]

# Published per class, IEEE 802.3-2022 clauses 33 and 145: P_PSE W, P_PD W, V_PSE V, V_PD V, pairset ohm.
PUBLISHED = {
    0: (15.4, 12.95, 44, 37.0, 20.0),
    1: (4.0, 3.84, 44, 37.0, 20.0),
    2: (7.0, 6.49, 44, 37.0, 20.0),
    3: (15.4, 12.95, 44, 37.0, 20.0),
    4: (30.0, 25.5, 50, 42.5, 12.5),
    5: (45.0, 40.0, 50, 44.3, 12.5),
    6: (60.0, 51.0, 50, 42.5, 12.5),
    7: (75.0, 62.0, 52, 42.9, 12.5),
    8: (90.0, 71.3, 52, 41.1, 12.5),
}


@pytest.mark.parametrize("number", PUBLISHED)
def test_the_published_row_is_carried(number: int) -> None:
    row = POE_CLASSES[number]
    assert (row.p_pse_w, row.p_pd_w, row.v_pse_min_v, row.v_pd_min_v, row.r_pairset_ohm) == PUBLISHED[number]


@pytest.mark.parametrize("number", PUBLISHED)
def test_power_at_the_far_end_is_what_the_loop_leaves(number: int) -> None:
    """P_PD = P_PSE - I²R. The publication rounds; its largest departure is that of class 5, 40.0 for 39.94 W (0.16 %)."""
    p_pse_w, p_pd_w, v_pse_v, _, r_pairset_ohm = PUBLISHED[number]
    pairsets = 1 if number < 5 else 2
    i_a = p_pse_w / v_pse_v
    assert POE_CLASSES[number].i_pairset_a == pytest.approx(i_a / pairsets, rel=1e-12)
    assert POE_CLASSES[number].r_loop_max_ohm == r_pairset_ohm / pairsets
    assert p_pse_w - i_a**2 * r_pairset_ohm / pairsets == pytest.approx(p_pd_w, rel=0.0017)


@pytest.mark.parametrize("number", [0, 3, 4, 5, 6, 7, 8])
def test_voltage_at_the_far_end_is_published_truncated(number: int) -> None:
    """V_PD = V_PSE - I R, cut after one decimal. Classes 1 and 2 share the 37 V of their type and are left out."""
    row = POE_CLASSES[number]
    v_pd_v = row.v_pse_min_v - row.i_total_a * row.r_loop_max_ohm
    assert math.floor(round(v_pd_v * 10, 6)) / 10 == row.v_pd_min_v


def test_published_currents_per_pairset() -> None:
    # IEEE 802.3: 350 mA, 600 mA, 600 mA verified; 865 mA is the balanced share of class 8 (960 mA allows for unbalance).
    assert [round(POE_CLASSES[number].i_pairset_a, 3) for number in (3, 4, 6, 8)] == [0.350, 0.600, 0.600, 0.865]


@pytest.mark.parametrize(("number", "pairs"), [(4, 2), (6, 4), (8, 4)])
def test_100_m_of_category_cable_is_within_the_channel(number: int, pairs: int) -> None:
    """9.38 ohm per 100 m (TIA-568.2-D, verified) is 9.38 ohm a pairset; 12.5 ohm leaves room for heat and contacts."""
    r_ohm = loop_resistance_ohm(100, CATEGORY_R_MAX_OHM_PER_M, 20, pairs)
    assert r_ohm * pairs / 2 == pytest.approx(9.38)
    assert loop_resistance_ohm(100, CATEGORY_R_MAX_OHM_PER_M, 60, pairs) < POE_CLASSES[number].r_loop_max_ohm


def test_row_by_row_against_the_reference_table(reference_rows: Reader) -> None:
    rows = reference_rows("poe_classes.csv")
    assert {int(row["class"]) for row in rows} == set(POE_CLASSES)
    for row in rows:
        ours = POE_CLASSES[int(row["class"])]
        assert (ours.type, ours.pairs_powered) == (int(row["lowest_type"]), int(row["powered_pairs"]))
        assert ours.p_pse_w == float(row["P_PSE_min_W"])
        assert ours.p_pd_w == float(row["P_PD_max_W"])
        assert ours.v_pse_min_v == float(row["V_PSE_min_V"])
        assert ours.r_pairset_ohm == float(row["R_pairset_ohm"])
        assert ours.r_loop_max_ohm == float(row["R_effective_loop_ohm"])
        assert ours.v_pd_min_v == float(row["V_PD_min_published_V"] or 37)
        assert ours.i_pairset_a == pytest.approx(float(row["I_per_pairset_A"]), abs=5.1e-5)
        assert ours.i_total_a**2 * ours.r_loop_max_ohm == pytest.approx(float(row["I2R_loss_W"]), abs=5.1e-4)


def test_worked_poe_examples() -> None:
    """Class 3, 4 and 8 at 100 m (IEEE 802.3af, at, bt values) and a drop of 6.25 V (secondary page)."""
    results = []
    for number in (3, 4, 8):
        row = POE_CLASSES[number]
        drop_v = row.i_total_a * row.r_loop_max_ohm
        results.append((round(row.p_pse_w - row.i_total_a * drop_v, 2), round(row.v_pse_min_v - drop_v, 2)))
    assert results == [(12.95, 37.0), (25.5, 42.5), (71.28, 41.18)]
    # 48 V, 0.5 A, 12.5 ohm: the page's "42-43 V" is wrong, 41.75 V are left.
    assert 48 - 0.5 * POE_CLASSES[4].r_pairset_ohm == 41.75


def test_bundle_heat_example() -> None:
    """0.6 A in 8 conductors of 9.38 ohm/100 m: 0.27 W/m; 24 cables: 6 to 7 W/m (secondary page)."""
    w_per_m = 8 * 0.6**2 * CATEGORY_R_MAX_OHM_PER_M
    assert w_per_m == pytest.approx(0.270, abs=5e-4)
    assert 6 < 24 * w_per_m < 7
