"""Advice followed at doors with a known fault: it is never ruled out, and it is found. A share of the benchmark's faults."""

from __future__ import annotations

import random
from typing import Any

import pytest

from riserkit.troubleshooting.diagnose import Conclusion, all_suspects
from riserkit.troubleshooting.predict import Predictions
from tests.sweep import swept
from tests.troubleshooting.simulated import AT, as_it_is, complaint_of, follow, truths
from tests.wiring.miswired_doors import VARIANTS

_SOME = {"direct": 4, "direct with peripherals": 4, "controller's contact, fail-secure": 2, "relay by voltage": 2}
"""Variants, and how many faults of each are tried: fewer where each takes a second."""
_CASES = [(variant, faults * most) for most in (1, 4) for variant, faults in _SOME.items()]


@swept("case", _CASES, list(_SOME.items()))
@pytest.mark.slow
def test_the_true_fault_is_found_and_never_ruled_out(doors: Any, case: tuple[str, int]) -> None:
    variant, faults = case
    name, differs = VARIANTS[variant]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    kept = Predictions(circuit, AT, all_suspects(circuit))
    chance = random.Random(variant)
    found = 0
    for truth in chance.sample(truths(circuit), faults):
        door = as_it_is(truth.netlist, chance)
        search = follow(circuit, kept, truth, door, chance, complaint_of(circuit, door, truth.dead), most=8)
        assert not search.excluded, f"{truth.words}: {search.last.verdict}"
        found += search.last.verdict is Conclusion.SINGLE
    assert found >= max(1, faults // 4)
