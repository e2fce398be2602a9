"""Release with the suppressor chosen and with a plain diode, against the RL circuit by numbers of its own."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from riserkit.wiring.readings.release_time import release_times
from riserkit.wiring.values import DoorVoltages

HIGH_V = 12.6


def stepped_s(l_h: float, r_ohm: float, i0_a: float, i_release_a: float, clamp_v: float) -> float:
    """L di/dt = -R i - Vc in small steps (textbook RL circuit), until the current is low enough."""
    dt_s = 1e-6
    steps = np.arange(1, 400_000)
    # the exact step of a linear equation, so that only the sum is ours
    decay = np.exp(-r_ohm * dt_s / l_h)
    rest_a = -clamp_v / r_ohm
    i_a = rest_a + (i0_a - rest_a) * decay**steps
    return float(steps[np.argmax(i_a <= i_release_a)] * dt_s)


def test_a_magnet_lets_go_sooner_with_a_suppressor_than_with_a_plain_diode(doors: Any) -> None:
    """magnet-12-600: 0.6 H, 21.8 ohm, drops out at 0.6 V; 47 V varistor."""
    circuit = doors.circuit("splitter-magnet")
    (found,) = release_times(circuit, DoorVoltages(lock_high_v=HIGH_V))
    r_ohm = 12.0 / 0.55
    args = (0.6, r_ohm, HIGH_V / r_ohm, 0.6 / r_ohm)
    assert found.own_s == pytest.approx(stepped_s(*args, 47.0), abs=2e-6)
    assert found.diode_s == pytest.approx(stepped_s(*args, 0.7), abs=2e-6)
    assert found.diode_s > 5 * found.own_s
    assert (found.lock, found.suppressor) == ("M1", "R1")
    assert f"a plain diode would hold it {1000 * (found.diode_s - found.own_s):.0f} ms longer" in found.note


def test_a_diode_is_told_as_it_is(doors: Any) -> None:
    (found,) = release_times(doors.circuit("direct"), DoorVoltages(lock_high_v=HIGH_V))
    assert found.own_s == pytest.approx(found.diode_s)
    assert "diode R1" in found.note
    assert "longer" not in found.note


@pytest.mark.parametrize("missing", ["inductance", "voltage"])
def test_what_is_not_known_is_said(doors: Any, missing: str) -> None:
    part = {"id": "vague", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.2}
    part |= {} if missing == "inductance" else {"inductance_h": 0.3}
    circuit = doors.circuit("direct", {**doors.bare, "lock": "vague"}, parts=[part])
    (found,) = release_times(circuit, DoorVoltages(lock_high_v=HIGH_V if missing == "inductance" else None))
    assert (found.own_s, found.diode_s) == (None, None)
    assert "not computed" in found.note
    assert missing in found.note


def test_suppression_inside_the_lock_is_left_to_its_data_sheet(doors: Any) -> None:
    part = {"id": "own", "kind": "strike", "action": "fail-secure", "rated_v": 12, "hold_a": 0.2, "inductance_h": 0.3,
            "suppressor_fitted": True}  # fmt: skip
    circuit = doors.circuit("direct", {**doors.bare, "lock": "own"}, parts=[part])
    (found,) = release_times(circuit, DoorVoltages(lock_high_v=HIGH_V))
    assert (found.own_s, found.suppressor) == (None, "")
    assert "data sheet" in found.note


def test_each_leaf_has_its_own(doors: Any) -> None:
    circuit = doors.circuit("direct-with-peripherals", {**doors.strike, "lock_count": 2, "type": "double"})
    found = release_times(circuit, DoorVoltages(lock_high_v=HIGH_V))
    assert [(r.lock, r.suppressor) for r in found] == [("M1", "R1"), ("M2", "R2")]
