"""What an installer measures at a door, where, and what the meter should show: read off the door's one netlist.

The expected value is that at the sources' nominal voltage with conductors at 20 °C; the band runs over the worst cases (lowest
and highest source, coldest and hottest conductor) of the condition that the reading is taken in, and a little wider for the
meter's own error. A supply with a battery floats while its mains are on; on its battery it runs from there to its end
voltage. A lock that picks up with more current than it holds with is taken as holding, which is what a meter has time to
see. The bands of meter, coil, continuity, diode and input are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from riserkit.circuits.circuit import circuits_of
from riserkit.circuits.elimination import FloatArray
from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.standards.egress import MANUAL_RELEASE_HOLD_MIN_S
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.over_limit import NOT_COMPUTED
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.meter import DIODE, NO_STEADY_STATE, OHMS, OVER_LIMIT, Shown, measure
from riserkit.wiring.readings.questions import MeterQuestion, questions
from riserkit.wiring.roles import DeviceRole, ElementRole

CLOSED_OHM: Final = 1.0
METER_V: Final = 0.05
METER_SHARE: Final = 0.005
COIL_TOLERANCE: Final = 0.1
CONTINUITY_TOLERANCE: Final = 0.1
LEADS_OHM: Final = 0.3
INPUT_TOLERANCE: Final = 0.1
DIODE_BAND_V: Final = (0.4, 0.8)
STATUS: Final = "controller's status"
SETTING: Final = "controller's setting"
_TROUBLE: Final = {NO_STEADY_STATE: "not computed: no steady state", OVER_LIMIT: NOT_COMPUTED}


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement.

    Args:
        what: what it shows, in words.
        meter: what the meter is set to.
        plus, minus: terminals `component.terminal` that its red and its black lead go to; `minus` empty where there is one
            place only.
        state: what to do first.
        expected: nominal value in `unit`; None when it is no number, or the circuit has no steady state.
        low, high: acceptable band in `unit`; None where it is open on that side.
        unit: `V`, `ohm`, `s` or `W`; empty for a thing to be seen.
        words: what is expected, where it is no number.
        computed: False where the circuit cannot be worked out, for the reason in `words`.
    """

    what: str
    meter: str
    plus: str
    minus: str
    state: str
    expected: float | None
    low: float | None = None
    high: float | None = None
    unit: str = "V"
    words: str = ""
    computed: bool = True


def expected_readings(circuit: DoorCircuit, at: Temperatures) -> tuple[Reading, ...]:
    """Every reading of one door.

    Args:
        circuit: the door's wiring.
        at: coldest and hottest conductor.
    """
    return readings_of_doors((circuit,), at)[0]


def readings_of_doors(circuits: Sequence[DoorCircuit], at: Temperatures) -> tuple[tuple[Reading, ...], ...]:
    """The readings of many doors in the order given, those of one structure solved side by side.

    Where that fails they are worked out door by door; a door that fails alone has one line that says why.
    """
    try:
        return _side_by_side(circuits, at)
    except FAILURES as error:
        if len(circuits) == 1:
            words = f"not computed: {failure_words(error)}"
            return ((Reading("readings of this door", "", "", "", "", None, unit="", words=words, computed=False),),)
    return tuple(readings for one in circuits for readings in readings_of_doors((one,), at))


def _side_by_side(circuits: Sequence[DoorCircuit], at: Temperatures) -> tuple[tuple[Reading, ...], ...]:
    groups: dict[tuple[object, ...], list[int]] = {}
    found: dict[int, tuple[Reading, ...]] = {}
    for place, circuit in enumerate(circuits):
        if circuit.netlist.unknown:
            found[place] = (*_not_computed(circuit), *_function_checks(circuit))
        else:
            groups.setdefault(_kind(circuit), []).append(place)
    for places in groups.values():
        members = [circuits[p] for p in places]
        for group in circuits_of([c.netlist for c in members]):
            alike = [members[k] for k in group.index]
            asked = questions(alike[0])
            shown = measure([c.netlist for c in alike], [q.asked for q in asked], at)
            for column, k in enumerate(group.index):
                measured = measured_readings(asked, shown, column)
                found[places[k]] = (*measured, *_function_checks(alike[column]))
    return tuple(found[place] for place in range(len(circuits)))


def measured_readings(asked: Sequence[MeterQuestion], shown: Sequence[Shown], column: int) -> tuple[Reading, ...]:
    """The readings that go with questions, in their order, of one of the doors measured."""
    return tuple(_reading(question, one, column) for question, one in zip(asked, shown, strict=True))


def _not_computed(circuit: DoorCircuit) -> Iterator[Reading]:
    """The readings of a circuit whose parts do not state all that it is computed with."""
    for q in questions(circuit):
        words = "not computed: its parts lack values"
        yield Reading(q.what, q.meter or q.asked.meter, *q.leads, q.state, None, words=words, computed=False)


def _kind(circuit: DoorCircuit) -> tuple[object, ...]:
    """What decides the questions, the structure of the netlist apart."""
    states = tuple(sorted(circuit.powered.items())), tuple(sorted(circuit.commanded.items()))
    batteries = tuple("float_nominal_v" in e.values for c in circuit.netlist.components for e in c.elements)
    return (*states, circuit.fail_safe, circuit.locks, circuit.supply, circuit.relay, circuit.voltage_relay, batteries)


def _reading(question: MeterQuestion, shown: Shown, column: int) -> Reading:
    q, asked = question, question.asked
    where = (q.what, q.meter or asked.meter, *q.leads, q.state)
    trouble = int(shown.trouble[column])
    if trouble:
        return Reading(*where, None, words=_TROUBLE[trouble], computed=False)
    nominal, worst = float(shown.nominal[column]), shown.worst[:, column]
    if asked.meter in (OHMS, DIODE):
        return _continuity(where, nominal, worst, asked.meter)
    low_v, high_v = min(nominal, float(worst.min())), max(nominal, float(worst.max()))
    if asked.less:
        # Drop goes with current, and current with the coil's own resistance.
        low_v, high_v = low_v * (1.0 - COIL_TOLERANCE), high_v * (1.0 + COIL_TOLERANCE)
    margin_v = METER_V + METER_SHARE * abs(high_v) if not q.input_v else q.input_v * INPUT_TOLERANCE
    low_v = max(0.0, low_v - margin_v) if low_v > -METER_V else low_v - margin_v
    return Reading(*where, nominal, low_v, high_v + margin_v)


def _continuity(where: tuple[str, str, str, str, str], nominal: float, worst: FloatArray, meter: str) -> Reading:
    unit = "ohm" if meter == OHMS else "V"
    if not np.isfinite(nominal):
        return Reading(*where, None, None, None, unit, "open")
    if meter == DIODE:
        return Reading(*where, nominal, *DIODE_BAND_V, unit)
    most_ohm = max(nominal, float(worst.max())) * (1.0 + CONTINUITY_TOLERANCE) + LEADS_OHM
    if most_ohm <= CLOSED_OHM:
        return Reading(*where, 0.0, 0.0, CLOSED_OHM, unit, "closed")
    least_ohm = min(nominal, float(worst.min())) * (1.0 - CONTINUITY_TOLERANCE)
    return Reading(*where, nominal, least_ohm, most_ohm, unit)


def _function_checks(circuit: DoorCircuit) -> Iterator[Reading]:
    """What no meter shows: settings, messages and times."""
    netlist = circuit.netlist
    for controller in netlist.devices(DeviceRole.CONTROLLER):
        yield Reading(f"{controller.ref} online", STATUS, controller.ref, "", "power on", None, unit="", words="online")
        for role, what, words in (
            (ElementRole.DOOR_INPUT, "door input, normal state", "normally closed"),
            (ElementRole.REQUEST_INPUT, "REX/AUX input, normal state", "normally open"),
        ):
            terminal = input_ends(netlist, role)[0]
            if landed(netlist, terminal):
                yield Reading(what, SETTING, terminal, "", "before handover", None, unit="", words=words)
    for reader in netlist.devices(DeviceRole.READER):
        yield Reading(
            f"read a card at {reader.ref}", STATUS, reader.ref, "", "power on", None, unit="", words="card read"
        )
    for name in netlist.elements(ElementRole.RELEASE_POLE):
        if netlist.component(name.partition(".")[0]).in_leaf:
            continue  # a bar releases as long as it is pushed
        ref, hold_s = name.partition(".")[0], netlist.element(name).values.get("hold_s")
        state = f"controller locks; press {ref} once, door stays free"
        words = "" if hold_s else "hold time not stated"
        least_s = MANUAL_RELEASE_HOLD_MIN_S.value
        yield Reading(f"hold time of {ref}", "stopwatch", ref, "", state, hold_s, least_s, None, "s", words)


def printed_band(reading: Reading) -> tuple[float | None, float | None]:
    """The band as printed: to a tenth outward, so that no sound door fails for a rounded edge."""
    low = None if reading.low is None else math.floor(reading.low * 10 + 1e-6) / 10 + 0.0
    high = None if reading.high is None else math.ceil(reading.high * 10 - 1e-6) / 10 + 0.0
    return low, high
