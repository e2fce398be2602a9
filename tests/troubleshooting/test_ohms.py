"""Ohms worked out for all places at once against the meter put into the circuit at each of them."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest

import riserkit.troubleshooting.predict as predicting
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.diagnose import all_suspects
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.predict import predict
from riserkit.wiring.readings.meter import OHMS
from tests.troubleshooting.simulated import AT
from tests.wiring.miswired_doors import VARIANTS

SOME = ("direct with peripherals", "relay module, magnet", "outside supply, two leaves", "splitter")


@pytest.mark.parametrize("variant", SOME)
def test_ohms_are_those_of_a_meter_in_the_circuit(doors: Any, monkeypatch: pytest.MonkeyPatch, variant: str) -> None:
    name, differs = VARIANTS[variant]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    chance = random.Random(variant)
    suspects = chance.sample(all_suspects(circuit), 40)
    asked = [ask.asked for ask in every_ask(circuit) if ask.asked.meter == OHMS and ask.asked.dead]
    asked = chance.sample(asked, min(12, len(asked)))
    at_once = predict(FaultNetlists(circuit), suspects, asked, AT, typical=True)
    monkeypatch.setattr(predicting, "linear_to_an_ohmmeter", lambda _: False)
    one_by_one = predict(FaultNetlists(circuit), suspects, asked, AT, typical=True)
    told = np.isfinite(one_by_one.typical)
    assert told.any() and not told.all()
    for own, metered in zip(at_once, one_by_one, strict=True):
        np.testing.assert_allclose(own, metered, rtol=1e-6, atol=1e-4)
