"""Electrically locked egress doors: IBC 2021 and 2024 chapter 10, NFPA 101, 2010 ADA Standards (verified unless said)."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.standards import egress
from riserkit.standards.source import Limit

Reader = Callable[[str], list[dict[str, str]]]

_UNITS = {"in": ("m", 0.0254), "s": ("s", 1.0), "lbf": ("N", 4.4482216152605)}

BY_RULE: dict[str, Limit] = {
    "manual_device_height_min": egress.MANUAL_RELEASE_HEIGHT_MIN_M,
    "manual_device_height_max": egress.MANUAL_RELEASE_HEIGHT_MAX_M,
    "manual_device_max_distance": egress.MANUAL_RELEASE_DISTANCE_MAX_M,
    "min_unlock_time": egress.MANUAL_RELEASE_HOLD_MIN_S,
    "delay_max": egress.DELAY_MAX_S,
    "delay_max_approved": egress.DELAY_APPROVED_MAX_S,
    "effort_time_max": egress.EFFORT_TIME_MAX_S,
    "sign_distance_max": egress.DELAY_SIGN_DISTANCE_MAX_M,
    "release_force_max": egress.DELAY_FORCE_MAX_N,
    "panic_unlatch_force_max": egress.PANIC_UNLATCH_FORCE_MAX_N,
    "reach_low": egress.REACH_MIN_M,
    "reach_high": egress.REACH_MAX_M,
    "door_hardware_low": egress.DOOR_HARDWARE_HEIGHT_MIN_M,
    "door_hardware_high": egress.DOOR_HARDWARE_HEIGHT_MAX_M,
    "operable_force_max": egress.OPERABLE_FORCE_MAX_N,
}


def test_sensor_release_numbers() -> None:
    """IBC 2021 1010.2.12, 2024 1010.2.11, NFPA 101-2012 7.2.1.6.2: 40 to 48 in, within 60 in (1524 mm), 30 s."""
    assert egress.MANUAL_RELEASE_HEIGHT_MIN_M.value == pytest.approx(1.016)
    assert egress.MANUAL_RELEASE_HEIGHT_MAX_M.value == pytest.approx(1.2192)
    assert egress.MANUAL_RELEASE_DISTANCE_MAX_M.value == pytest.approx(1.524)
    assert egress.MANUAL_RELEASE_HOLD_MIN_S.value == 30
    assert egress.MANUAL_RELEASE_SIGN == "PUSH TO EXIT"


def test_delayed_egress_numbers() -> None:
    """IBC 2021 1010.2.13, 2024 1010.2.12: 15 s, 30 s where approved, after at most 3 s; sign within 12 in."""
    numbers = (egress.DELAY_MAX_S, egress.DELAY_APPROVED_MAX_S, egress.EFFORT_TIME_MAX_S)
    assert [limit.value for limit in numbers] == [15, 30, 3]
    assert egress.DELAY_SIGN_DISTANCE_MAX_M.value == pytest.approx(0.3048)


@pytest.mark.parametrize(
    ("subject", "sections"),
    [
        ("door-hardware release", ["1010.1.9.10", "1010.2.11", "1010.2.10"]),
        ("sensor release", ["1010.1.9.9", "1010.2.12", "1010.2.11"]),
        ("delayed egress", ["1010.1.9.8", "1010.2.13", "1010.2.12"]),
    ],
)
def test_sections_by_edition(subject: str, sections: list[str]) -> None:
    assert [egress.section_source(subject, edition).clause for edition in egress.EDITIONS] == sections


def test_numbers_row_by_row(reference_rows: Reader) -> None:
    rows = {row["rule"]: row for row in reference_rows("egress_numbers.csv")}
    assert rows.pop("sign")["value"] == egress.MANUAL_RELEASE_SIGN
    assert set(rows) == set(BY_RULE)
    for rule, row in rows.items():
        limit, (unit, factor) = BY_RULE[rule], _UNITS[row["unit"]]
        assert limit.unit == unit
        assert limit.value == pytest.approx(float(row["value"]) * factor, rel=1e-12), rule
        assert row["confidence"].startswith(limit.source.confidence), rule


def test_sections_row_by_row(reference_rows: Reader) -> None:
    names = {
        "door_hardware_release": "door-hardware release",
        "sensor_release": "sensor release",
        "delayed_egress": "delayed egress",
        "controlled_egress_I1_I2": "controlled egress",
        "stairway_doors": "stairway doors",
        "panic_hardware": "panic hardware",
        "monitored_or_access_control": "monitored egress",
        "elevator_lobby_exit_access": "elevator lobby",
    }
    rows = {names[row["subject"]]: row for row in reference_rows("ibc_sections.csv")}
    assert set(rows) == set(egress.SECTIONS)
    for subject, row in rows.items():
        assert egress.SECTIONS[subject] == {edition: row[edition] for edition in egress.EDITIONS if row[edition]}
        for edition in egress.SECTIONS[subject]:
            column = "confidence_2018" if edition == "2018" else "confidence_2021_2024"
            assert row[column].startswith(egress.section_source(subject, edition).confidence), (subject, edition)
