"""Parts within their tolerance: what is in series divides a voltage otherwise than as stated."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from riserkit.circuits.netlist import ElementKind
from riserkit.troubleshooting.changes import COIL_TOLERANCE, changed
from riserkit.troubleshooting.predict import Predictions
from riserkit.troubleshooting.suspects import single_suspects
from riserkit.wiring.readings.meter import VOLTS, Measurement
from riserkit.wiring.roles import ElementRole
from tests.troubleshooting.simulated import AT, shown
from tests.wiring.miswired_doors import VARIANTS


def test_a_lock_in_series_with_a_coil_has_more_where_it_draws_least_and_the_coil_most(doors: Any) -> None:
    """Wires exchanged at the supply put the magnet in series with the sensor's relay: their tolerances have no part in each other."""
    name, differs = VARIANTS["outside supply, 12 V magnet"]
    circuit = doors.circuit(name, {**doors.served[name], **differs})
    (suspect,) = [s for s in single_suspects(circuit) if s.words == "wires of W6 exchanged at X1.1 and X1.0V"]
    asked = Measurement(VOLTS, "M1.+", "M1.-", {"K1.output": True})
    kept = Predictions(circuit, AT, [suspect])
    found = kept.of([suspect], [asked])
    wrong = kept.faults(suspect.ways[0])
    assert wrong is not None
    for sign in (-1.0, 1.0):

        def made(_: str, e: Any, sign: float = sign) -> Any:
            if e.kind is not ElementKind.COIL:
                return e
            by = 1.0 + (sign if e.role == ElementRole.LOCK_COIL else -sign) * COIL_TOLERANCE
            return replace(e, values={**e.values, "r_ohm": e.values["r_ohm"] * by})

        value = shown(changed(wrong, made), asked, 20.0)
        assert value is not None
        # the cable's temperature goes with the draw, and makes a tenth of a millivolt here
        assert found.low[0, 0] - 1e-3 <= value <= found.high[0, 0] + 1e-3
