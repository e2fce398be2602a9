"""How far a reading at a real door may lie from the tabled one, where that is further than the finder allows for all.

The tables are of parts as stated. What the tolerance of parts, the voltage of supplies and temperature make of a reading is the
solver's range; nearly all of them lie within a share of the reading, and those that do not are listed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from math import ceil, floor
from typing import Final

import numpy as np

from riserkit.bench.table import BenchTable
from riserkit.troubleshooting.predict import predict
from riserkit.troubleshooting.suspects import Suspect, SuspectKind
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS, Measurement

SHARE: Final = 0.12
"""Of a voltage: so far a reading may lie from the tabled one wherever nothing else is listed."""
LEAST_V: Final = 0.15
UNIT_V: Final = 0.1
_ANYWHERE: Final = Temperatures(-10.0, 50.0)


def wide_readings(table: BenchTable) -> dict[str, object]:
    """Readings between terminals of one device that may lie further from the tabled one.

    Returns:
        `share` and `least` of all others; `states`: the switches that are on, of idle and of each switch alone; `of`: the place of
        the fault, of the state, of the two terminals, and the least and greatest voltage in units of 0.1 V.
    """
    states = list(_states(table))
    asked = [(n, pair, one) for n, (_, state) in enumerate(states) for pair, one in _readings(table, state)]
    suspects = [Suspect(SuspectKind.DEVICE, f.words, f.blames, (f.way,), 1.0) for f in table.faults]
    found = predict(table.netlists, suspects, [one for *_, one in asked], _ANYWHERE, typical=True)
    known = np.isfinite(found.low) & np.isfinite(found.high) & np.isfinite(found.typical)
    with np.errstate(invalid="ignore"):
        room = SHARE * np.abs(found.typical) + LEAST_V
        beyond = known & ((found.low < found.typical - room) | (found.high > found.typical + room))
    listed = [
        [
            fault,
            asked[row][0],
            *asked[row][1],
            floor(found.low[row, fault] / UNIT_V),
            ceil(found.high[row, fault] / UNIT_V),
        ]
        for fault, row in np.argwhere(beyond.T).tolist()
    ]
    return {"share": SHARE, "least": LEAST_V, "states": [sorted(on) for on, _ in states], "of": listed}


def _states(table: BenchTable) -> Iterator[tuple[frozenset[int], Measurement]]:
    """Idle, the credential, and each other switch alone, as a measurement without its terminals."""
    circuit = table.circuit
    usual: Mapping[str, bool] = circuit.locked_state
    for one in table.combinations:
        on = one.on
        if len(on) > 1 or any(table.switches[n].is_power for n in on):
            continue
        command = {circuit.command: usual.get(circuit.command, False)} if circuit.command else {}
        yield on, Measurement(VOLTS, "", "", {**one.outside, **command}, on_battery=one.on_battery)
        card = next((n for n, switch in enumerate(table.switches) if not switch.names), -1)
        if not on and card >= 0:
            released = {circuit.command: not usual.get(circuit.command, False)}
            yield frozenset({card}), Measurement(VOLTS, "", "", {**one.outside, **released})


def _readings(table: BenchTable, state: Measurement) -> Iterator[tuple[tuple[int, int], Measurement]]:
    landed = dict.fromkeys(str(end) for c in table.circuit.netlist.conductors for end in (c.a, c.b))
    for component in table.circuit.netlist.components:
        names = [name for name in landed if name.partition(".")[0] == component.ref]
        places = sorted((table.terminal_of[name], name) for name in names if name in table.terminal_of)
        for (a, plus), (b, minus) in combinations(places, 2):
            one = Measurement(VOLTS, plus, minus, state.outside, on_battery=state.on_battery)
            yield (a, b), one
