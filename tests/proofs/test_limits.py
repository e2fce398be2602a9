"""The limit of every release by circuit: a lock is released below its drop-out voltage, and at that voltage it is not.

Sources: IBC 2021 1010.2.12 items 3 and 4, 1010.2.11 items 2 and 3, 1010.2.13 (verified, see ../shared/reference/REFERENCE.md
section 7): the device "directly interrupts power to the electric lock", and loss of power unlocks. What voltage still counts as
power is the lock's own drop-out voltage (common practice, no source).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from riserkit.circuits.faults import FaultKind
from riserkit.circuits.netlist import Element, ElementKind
from riserkit.proofs.behaviour import ROOM_C, landed_on, single_circuit, solve_door
from riserkit.proofs.values import Outcome

LEAK_OHM = 450.0


def leaking(lab, at, drop_out_v):
    """The sound door with a leak past the contact between two terminals; 450 ohm before 24 ohm leave half a volt or so."""
    leak = lab.part("Q1", "1 2", Element("leak", ElementKind.RESISTOR, "1", "2", {"r_ohm": LEAK_OHM}))
    magnet = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 24.0, 8.4, drop_out_v))
    wires = (*lab.sound, ("", "Q1.1", at[0]), ("", "Q1.2", at[1]))
    return lab.circuit(wires, leak, M1=magnet)


def highest_v(wired, state, own=()):
    """Highest voltage at the lock in a state over every fault and every other state, some devices' own faults left out."""
    seen = solve_door(single_circuit(wired), True, ROOM_C)
    bridging = [
        k for k, faults in enumerate(seen.faults)
        if faults and any(
            faults[0].subjects[0].startswith(f"{ref}.")
            or (faults[0].kind is FaultKind.CONDUCTORS_SHORTED
                and set(faults[0].subjects) <= landed_on(wired.netlist, *(f"{ref}.{end}" for end in ends)))
            for ref, *ends in own
        )
    ]  # fmt: skip
    columns = [k for k, one in enumerate(seen.states) if all(one[name] for name in state)]
    volts = np.abs(np.stack([s.coil_v[:, :, s.coil_index("M1.coil")] for s in (seen.low, seen.high)]))
    volts[:, bridging, :] = 0.0
    return float(volts[:, :, columns].max())


CLAUSES = [
    pytest.param("release-by-hand", ("S1.11", "S1.12"), ("S1.pressed",), (("S1", "11", "12"),),
                 id="1010.2.12 item 4, 1010.2.11 item 2: by hand"),
    pytest.param("release-on-fire-alarm", ("K3.C", "K3.NC"), ("K3.alarm",), (("K3", "C", "NC"),), id="1010.2.12 item 5"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "at", "state", "own"), CLAUSES)
def test_at_its_drop_out_voltage_a_lock_is_not_released(lab, rule, at, state, own):
    limit_v = highest_v(leaking(lab, at, 0.1), state, own)
    assert 0.3 < limit_v < 1.2
    above, exactly, below = (
        lab.prove(leaking(lab, at, v)).about(rule).outcome
        for v in (math.nextafter(limit_v, 2.0), limit_v, 0.9 * limit_v)
    )
    assert (above, exactly, below) == (Outcome.PASS, Outcome.FAIL, Outcome.FAIL)


def test_power_that_comes_back_in_counts_from_the_drop_out_voltage_on(lab):
    """1010.2.12 item 3, 1010.2.11 item 3, 1010.2.13: with mains lost a second source leaks half a volt into the feed."""

    def fed(drop_out_v):
        other = lab.part("Q1", "1 2", lab.source("output", "1", "2", 0.5, r_ohm=1.0))
        magnet = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 24.0, 8.4, drop_out_v))
        wires = (*lab.sound, ("", "Q1.1", "M1.+"), ("", "Q1.2", "M1.-"))
        return lab.circuit(wires, other, M1=magnet)

    wires_only = {FaultKind.CONDUCTOR_OPEN, FaultKind.CONDUCTORS_SHORTED, FaultKind.CONDUCTOR_EARTHED}
    seen = solve_door(single_circuit(fed(0.1)), True, ROOM_C)
    rows = [k for k, faults in enumerate(seen.faults) if not faults or faults[0].kind in wires_only]
    columns = [k for k, one in enumerate(seen.states) if one["G1.mains_lost"]]
    volts = [abs(s.coil_v[np.ix_(rows, columns)][:, :, s.coil_index("M1.coil")]).max() for s in (seen.low, seen.high)]
    limit_v = float(max(volts))
    assert 0.3 < limit_v < 1.2
    found = [
        lab.prove(fed(v)).about("release-on-power-loss").outcome
        for v in (math.nextafter(limit_v, 2.0), limit_v, 0.9 * limit_v)
    ]
    assert found == [Outcome.PASS, Outcome.FAIL, Outcome.FAIL]
