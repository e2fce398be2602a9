"""Coil release against a step-by-step integration, and at its limits."""

from __future__ import annotations

import pytest

from riserkit.circuits.errors import CircuitValueError
from riserkit.circuits.transient import release_time_s, stored_energy_j

L_H, R_OHM, I0_A = 0.8, 24.0, 0.5


@pytest.mark.parametrize("v_clamp_v", [0.0, 0.7, 40.0])
def test_agrees_with_integration(v_clamp_v):
    """L di/dt = -(R i + Vc), by small steps of the midpoint rule."""
    i, t, dt = I0_A, 0.0, 1e-6
    while i > 0.05:
        middle = i - 0.5 * dt * (R_OHM * i + v_clamp_v) / L_H
        i -= dt * (R_OHM * middle + v_clamp_v) / L_H
        t += dt
    assert release_time_s(L_H, R_OHM, I0_A, 0.05, v_clamp_v) == pytest.approx(t, abs=2 * dt)


def test_coil_below_its_release_current_has_let_go():
    assert release_time_s(L_H, R_OHM, 0.05, 0.05, 0.7) == 0.0
    assert release_time_s(L_H, R_OHM, 0.0500001, 0.05, 0.7) > 0.0


def test_higher_clamp_releases_faster():
    times = [release_time_s(L_H, R_OHM, I0_A, 0.05, v) for v in (0.0, 0.7, 12.0, 40.0, 60.0)]
    assert times == sorted(times, reverse=True)


def test_energy_goes_into_resistance_and_suppressor():
    """Energy stored is L I²/2: 0.8 H at 0.5 A holds 0.1 J."""
    assert stored_energy_j(L_H, I0_A) == pytest.approx(0.1)


@pytest.mark.parametrize("place", range(5))
def test_impossible_values_are_named(place):
    values = [L_H, R_OHM, I0_A, 0.05, 0.7]
    values[place] = -1.0
    with pytest.raises(CircuitValueError, match=("l_h", "r_ohm", "i0_a", "i_release_a", "v_clamp_v")[place]):
        release_time_s(*values)
