"""Which reading is advised, where effort and what a reading tells pull apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from riserkit.troubleshooting.asking import Looks, ReadingTable
from riserkit.troubleshooting.asks import Ask
from riserkit.troubleshooting.decided import Predicted
from riserkit.wiring.readings.meter import VOLTS, Measurement


def _table(*volts: list[float]) -> ReadingTable:
    shown = np.array(volts)
    asks = tuple(Ask(f"{k}", "idle", Measurement(VOLTS, f"M{k}.+", f"M{k}.-"), 1.0) for k in range(len(volts)))
    looks = Looks((), *(np.empty((0, shown.shape[1])) for _ in range(3)))
    predicted = Predicted(shown - 0.1, shown + 0.1, shown)
    return ReadingTable(np.arange(shown.shape[1]), np.ones(shown.shape[1]), asks, predicted, looks, whole=True)


def test_a_reading_that_tells_enough_is_advised_though_one_next_to_no_effort_tells_too_little() -> None:
    """By hand: the first tells of one in 500, 0.02 bits for nothing; the second tells 1 bit of the two others."""
    table = _table([0.0, 0.0, 12.0], [0.0, 12.0, 12.0])
    asks = (replace(table.asks[0], effort=1e-9), table.asks[1])
    best = replace(table, asks=asks, weights=np.array([1.0, 0.998, 0.002])).best
    assert best is not None
    assert best.ask == asks[1]


def test_what_tells_too_little_of_everything_is_not_advised() -> None:
    table = _table([0.0, 0.0, 12.0], [12.0, 12.0, 0.0])
    assert replace(table, weights=np.array([1.0, 0.998, 0.002])).best is None
