"""Readings that leave the door in use come before those that take power off."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riserkit.troubleshooting.asking import Looks, ReadingTable
from riserkit.troubleshooting.asks import Ask
from riserkit.troubleshooting.decided import Predicted
from riserkit.troubleshooting.diagnose import all_suspects, diagnose
from riserkit.troubleshooting.door import ObservedDoor
from riserkit.troubleshooting.observed import read_reading
from riserkit.troubleshooting.sights import read_sight
from riserkit.wiring.readings.meter import OHMS, VOLTS, Lift, Measurement
from tests.troubleshooting.simulated import AT
from tests.wiring.miswired_doors import VARIANTS

VOLTAGE = Ask("M1.+ to M1.-", "idle", Measurement(VOLTS, "M1.+", "M1.-"), 1.0)
RESISTANCE = Ask("K1.A to K1.B", "power off", Measurement(OHMS, "K1.A", "K1.B", dead=True), 1.0)
LIFTED = Ask("K1.A to K1.B", "idle; wire off", Measurement(VOLTS, "K1.A", "K1.B", lifts=(Lift("K1.A"),)), 1.0)


def _table(asks: tuple[Ask, ...], typical: list[list[float]]) -> ReadingTable:
    shown = np.array(typical)
    count = shown.shape[1]
    looks = Looks((), *(np.empty((0, count)) for _ in range(3)))
    predicted = Predicted(shown - 0.1, shown + 0.1, shown)
    return ReadingTable(np.arange(count), np.ones(count), asks, predicted, looks, whole=True)


ONE_APART, ALL_APART = [12.0, 0.0, 0.0, 0.0], [5.0, 6.0, 7.0, 8.0]
ONE_OF_MANY, MANY_APART = [12.0, *[0.0] * 15], [float(n) for n in range(16)]


@pytest.mark.parametrize("better", [RESISTANCE, LIFTED])
def test_a_voltage_that_tells_nearly_as_much_goes_first(better: Ask) -> None:
    table = _table((VOLTAGE, better), [ONE_APART, ALL_APART])
    assert table.best is not None
    assert table.best.ask == VOLTAGE


def test_power_goes_off_where_voltages_tell_next_to_nothing() -> None:
    table = _table((VOLTAGE, RESISTANCE), [ONE_OF_MANY, MANY_APART])
    assert table.best is not None
    assert table.best.ask == RESISTANCE


def test_where_power_is_off_already_the_best_goes_first() -> None:
    table = replace(_table((VOLTAGE, RESISTANCE), [ONE_APART, ALL_APART]), is_off=True)
    assert table.best is not None
    assert table.best.ask == RESISTANCE


@pytest.mark.parametrize("variant", ["relay module", "relay by voltage, fail-safe", "outside supply", "dry trigger"])
def test_a_request_that_stays_is_looked_for_with_power_on(doors: Any, variant: str) -> None:
    name, differs = VARIANTS[variant]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    found = diagnose(circuit, read_sight(circuit, "REX always on"), AT)
    assert found.next is not None
    assert found.next.ask.asked.meter == VOLTS, found.next.ask.words


def test_whoever_measured_ohms_last_has_the_power_off(doors: Any) -> None:
    name, differs = VARIANTS["dry trigger"]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    seen = read_sight(circuit, "REX always on")
    on, off = (read_reading(circuit, text) for text in ("B2+ B2- 12.0 V idle", "B2+ B2- open power off"))
    tables = [_table_of(circuit, (*seen, *taken)) for taken in ((off, on), (on, off), ())]
    assert [table.is_off for table in tables] == [False, True, False]


def _table_of(circuit: Any, observed: tuple[Any, ...]) -> ReadingTable:
    return ObservedDoor(circuit, AT, observed).table(all_suspects(circuit)[:3])
