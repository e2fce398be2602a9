"""Netlists of a door's faults that are solved side by side against each by itself."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from riserkit.circuits.miswirings import MiswiringKind
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.changes import Wired
from riserkit.troubleshooting.diagnose import all_suspects
from riserkit.troubleshooting.netlists import FaultNetlists, batches
from riserkit.troubleshooting.predict import predict
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.readings.meter import VOLTS
from tests.troubleshooting.simulated import AT
from tests.wiring.miswired_doors import VARIANTS


def _of_wrong_kind(suspects: tuple[Suspect, ...]) -> list[Suspect]:
    return [
        s
        for s in suspects
        for change in s.ways[0]
        if isinstance(change, Wired) and change.miswiring.kind is MiswiringKind.WRONG_CONTACT
    ]


@pytest.mark.slow
def test_contacts_of_the_wrong_kind_are_solved_with_all_others_and_read_the_same(doors: Any) -> None:
    variant, differs = VARIANTS["outside supply, two leaves"]
    circuit = doors.circuit(variant, {**doors.served[variant], **differs})
    suspects = all_suspects(circuit)
    wrong = _of_wrong_kind(suspects)
    assert len(wrong) > 3
    faults = FaultNetlists(circuit)
    netlists = {s.ways[0]: made for s in (suspects[0], *wrong) if (made := faults(s.ways[0])) is not None}
    assert [len(batch) for batch in batches(netlists)] == [len(netlists)]
    asked = [ask.asked for ask in every_ask(circuit) if ask.asked.meter == VOLTS and not ask.asked.lifts]
    together = predict(FaultNetlists(circuit), suspects, asked, AT, typical=True)
    healthy = together.typical[:, 0]
    for one in wrong:
        alone = predict(FaultNetlists(circuit), [one], asked, AT, typical=True)
        column = suspects.index(one)
        for found, own in zip(together, alone, strict=True):
            np.testing.assert_allclose(found[:, column], own[:, 0], rtol=1e-9, atol=1e-9)
        assert not np.allclose(alone.typical[:, 0], healthy, equal_nan=True), one.words
