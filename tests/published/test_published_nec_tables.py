"""NEC 2023 Table 725.144, cable locations, and table 11(B): values carried as published."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from riserkit.standards.bundles import AMPACITY_A, BUNDLE_SIZES, HALF_LOADED_FACTOR, ampacity_a
from riserkit.standards.class2 import class2_limit
from riserkit.standards.copper import at_temperature
from riserkit.standards.jackets import jacket_allowed
from riserkit.standards.source import NotTabulatedError

Reader = Callable[[str], list[dict[str, str]]]


@pytest.mark.parametrize(
    ("awg", "bundle", "rating_c", "i_a"),
    [
        (26, 1, 60, 1.00),
        (24, 7, 60, 1.19),
        (24, 192, 60, 0.40),
        (23, 37, 75, 0.95),
        (22, 19, 90, 1.49),
        (26, 91, 90, 0.64),
    ],
)
def test_bundle_ampacity(awg: int, bundle: int, rating_c: int, i_a: float) -> None:
    # NEC 2023 Table 725.144, verified.
    assert ampacity_a(awg, bundle, rating_c) == i_a


def test_half_loaded_factor() -> None:
    assert HALF_LOADED_FACTOR == 1.4  # NEC 2023 725.144, verified


def test_bundle_ampacity_cell_by_cell(reference_rows: Reader) -> None:
    rows = [row for row in reference_rows("nec_725_144.csv") if row["edition"].startswith("2023")]
    assert len(rows) == sum(len(cells) for ratings in AMPACITY_A.values() for cells in ratings.values()) == 72
    for row in rows:
        awg, rating_c = int(row["AWG"]), int(row["temp_rating_C"])
        for bundle in (int(edge) for edge in row["bundle"].split("-")):
            assert bundle <= BUNDLE_SIZES[-1]
            if row["A_per_conductor"] == "NA":
                with pytest.raises(NotTabulatedError):
                    ampacity_a(awg, bundle, rating_c)
            else:
                assert ampacity_a(awg, bundle, rating_c) == float(row["A_per_conductor"])


def test_locations() -> None:
    """NEC 2023 800.113 (verified): plenum types only in plenums, plenum or riser types in risers, general use not."""
    assert [jacket_allowed(jacket, "plenum") for jacket in ("CMP", "CMR", "CM")] == [True, False, False]
    assert [jacket_allowed(jacket, "riser") for jacket in ("CMP", "CMR", "CM")] == [True, True, False]


def test_class_2_of_12_24_and_50_v() -> None:
    """Course guide, secondary: 12 V 5.0 A and 60 VA, 24 V 4.17 A and 100 VA, 50 V 2.0 A."""
    assert (class2_limit(12.0).nameplate_a, class2_limit(12.0).nameplate_va) == (5.0, 60.0)
    assert class2_limit(24.0).nameplate_a == pytest.approx(4.17, abs=0.005)
    assert class2_limit(24.0).nameplate_va == 100.0
    assert class2_limit(50.0).nameplate_a == 2.0


def test_class_2_row_by_row(reference_rows: Reader) -> None:
    rows = [row for row in reference_rows("nec_table11B_dc.csv") if row["class"] == "Class 2"]
    checked = 0
    for row in rows:
        low_v, high_v = (float(edge) for edge in re.findall(r"\d+", row["Vmax_range_V"]))
        if low_v >= 60:
            continue  # signal currents of 5 mA, no power supply
        for v in (low_v + 0.5, (low_v + high_v) / 2, high_v):
            limit = class2_limit(v, inherent=row["limit_type"] == "inherent")
            assert limit.i_max_a == pytest.approx(_value(row["Imax"], v))
            assert limit.nameplate_va == pytest.approx(_value(row["nameplate_VA"], v))
            assert limit.nameplate_a == pytest.approx(_value(row["nameplate_A"], v))
            if row["max_OCPD"] == "-":
                assert limit.overcurrent_a is None
            else:
                assert limit.overcurrent_a == pytest.approx(_value(row["max_OCPD"], v))
            checked += 1
    assert checked == 15


def _value(cell: str, v: float) -> float:
    """A cell of the table at one voltage: `8.0 A`, `150/Vmax` or `5.0*Vmax VA`."""
    number = float(re.match(r"[\d.]+", cell)[0])  # type: ignore[index]
    return number / v if "/Vmax" in cell else number * v if "*Vmax" in cell else number


def test_the_three_ratings_of_a_cell_tell_one_rise(reference_rows: Reader) -> None:
    """Table 725.144: 30, 45 and 60 K at the currents for 60, 75 and 90 °C are one rise for a squared ampere.

    Each printed current stands for anything within half a hundredth of it, the table's last digit. Copper has 10 % more
    resistance at 90 °C than at 60 °C, which the one rise leaves out; no cell may be off by more than that.
    """
    cells: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for row in reference_rows("nec_725_144.csv"):
        if row["edition"].startswith("2023") and row["A_per_conductor"] != "NA":
            rise_k, i_a = float(row["temp_rating_C"]) - 30, float(row["A_per_conductor"])
            span = (rise_k / (i_a + 0.005) ** 2, rise_k / (i_a - 0.005) ** 2)
            cells.setdefault((row["AWG"], row["bundle"]), []).append(span)
    hot = at_temperature(1.0, 90.0) / at_temperature(1.0, 60.0)
    assert hot == pytest.approx(1.10, abs=0.01)
    assert len(cells) == 23
    for cell, spans in cells.items():
        assert max(low for low, _ in spans) / min(high for _, high in spans) < hot, cell
