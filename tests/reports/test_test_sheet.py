"""Test sheets: numbered readings with expected value, band and room to write; notes and cautions below."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.reports.test_sheet import CAUTIONS, site_test_table
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import expected_readings


def _rows(checked: Checked, mark: str) -> list[dict[str, Any]]:
    """The rows of one opening, then the cautions."""
    table = site_test_table(checked.design)
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows if row[0] in (mark, "")]


def readings(checked: Checked, mark: str) -> list[dict[str, Any]]:
    return [row for row in _rows(checked, mark) if row["no"] is not None]


def words(checked: Checked, mark: str) -> list[str]:
    return [str(row["what"]) for row in _rows(checked, mark) if row["no"] is None]


@pytest.mark.slow
def test_a_sheet_has_every_reading_of_the_circuit_and_room_to_write(checked: Checked) -> None:
    info = checked.design.site.info
    circuit = checked.design.door["102"].wiring.circuit
    expected = expected_readings(circuit, Temperatures(info.coldest_c, info.pathway_c))
    rows = readings(checked, "102")
    assert [r["no"] for r in rows] == list(range(1, len(rows) + 1))
    assert [(r["what"], r["red_lead"], r["black_lead"]) for r in rows[: len(expected)]] == [
        (r.what, r.plus, r.minus) for r in expected
    ]
    assert {r["reading"] for r in rows} == {""}
    for row, reading in zip(rows, expected, strict=False):
        if reading.low is not None and reading.high is not None:
            # outward, and by less than a tenth
            assert reading.low - 0.1 < row["at_least"] <= reading.low + 1e-6
            assert reading.high - 1e-6 <= row["at_most"] < reading.high + 0.1


@pytest.mark.slow
def test_bands_are_rounded_outward_and_hold_the_expected_value(checked: Checked) -> None:
    for mark in ("101", "102", "103", "105", "106"):
        for row in readings(checked, mark):
            if row["unit"] == "V" and isinstance(row["expected"], float) and row["at_least"] is not None:
                assert row["at_least"] <= row["expected"] <= row["at_most"]
    far = next(r for r in readings(checked, "101") if r["what"] == "lock M1, far end")
    volts = checked.design.door["101"].wiring.voltages
    assert far["at_least"] <= volts.lock_low_v
    assert far["at_most"] >= volts.lock_high_v
    # the meter's 0.05 V and half a percent, and less than a tenth of rounding
    assert far["at_least"] > volts.lock_low_v - 0.05 - 0.005 * volts.lock_high_v - 0.1


def test_the_port_shows_class_and_power(checked: Checked) -> None:
    """The class granted is the lower of what the port offers and the device asks for (IEEE 802.3)."""
    link = checked.design.door["101"].link
    rows = {r["what"]: r for r in readings(checked, "101") if r["what"].startswith("PoE")}
    assert (rows["PoE class"]["expected"], rows["PoE class"]["red_lead"]) == (4.0, "1A.R1-A:01")
    power = rows["PoE power, maximum"]
    assert power["expected"] == pytest.approx(link.pse_w, abs=0.005)
    assert power["at_most"] == link.pse_max_w


def test_notes_tell_release_time_and_what_to_do(checked: Checked) -> None:
    found = words(checked, "102")
    assert any("a plain diode would hold it" in text for text in found)
    assert any("supply-to-common link" in text for text in found)
    assert found[-len(CAUTIONS) :] == [f"caution: {text}" for text in CAUTIONS]
    assert any("authority having jurisdiction" in text for text in CAUTIONS)
    assert any("life-safety" in text for text in CAUTIONS)


def test_a_circuit_that_fails_its_checks_says_so(checked: Checked) -> None:
    assert any("fails its design checks" in text for text in words(checked, "107"))
    assert not any("fails its design checks" in text for text in words(checked, "101"))


def test_a_door_without_a_circuit_has_nothing_to_test(checked: Checked) -> None:
    assert not [r for r in readings(checked, "108") if r["meter"] == "volts DC"]
    assert any("no circuit to test" in text for text in words(checked, "108"))


def test_the_sites_table_is_all_doors_sheets(checked: Checked) -> None:
    table = site_test_table(checked.design)
    assert {row[0] for row in table.rows if row[0]} == {door.mark for door in checked.design.doors}
    assert [row[2] for row in table.rows if row[0] == ""] == [f"caution: {text}" for text in CAUTIONS]
    assert [row[0] for row in table.rows if row[0]] == sorted(row[0] for row in table.rows if row[0])
