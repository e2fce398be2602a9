"""The lines of a test sheet, and the readings that came back judged by them."""

from __future__ import annotations

from riserkit.design import Design, DoorDesign
from riserkit.troubleshooting.returned import ReturnedExplainer, not_as_landed
from riserkit.wiring.as_built import designed_circuit, landed_rows
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.port_page import power_over_data
from riserkit.wiring.readings.expected import Reading, expected_readings
from riserkit.wiring.readings.judged import JudgedReading, judge_returned


def sheet_lines(made: Design, door: DoorDesign) -> tuple[Reading, ...]:
    """The lines of an opening's test sheet, of its circuit as drawn."""
    circuit = designed_circuit(door.wiring)
    lines = expected_readings(circuit, Temperatures.of(made.site.info)) if circuit is not None else ()
    return (*lines, *power_over_data(door.link, made.labels.port_of(door.placement)))


def judged_readings(made: Design, door: DoorDesign) -> tuple[JudgedReading, ...]:
    """The readings that came back of an opening, held against its test sheet; none where nothing came back."""
    rows = made.site.as_built.readings_of.get(door.mark, ()) if made.site.as_built else ()
    circuit = designed_circuit(door.wiring)
    if not rows:
        return ()
    explain = None
    if circuit is not None and not circuit.netlist.unknown:
        as_landed = door.wiring.netlist if landed_rows(door.wiring) else None
        explain = ReturnedExplainer(circuit, Temperatures.of(made.site.info), as_landed)
    return judge_returned(sheet_lines(made, door), rows, explain)


def readings_not_as_landed(made: Design, door: DoorDesign) -> tuple[JudgedReading, ...]:
    """Readings of an opening that are as its circuit is drawn, and that the landings which came back cannot give."""
    circuit, landed = designed_circuit(door.wiring), door.wiring.netlist
    if circuit is None or landed is None or circuit.netlist.unknown or not landed_rows(door.wiring):
        return ()
    return not_as_landed(circuit, Temperatures.of(made.site.info), landed, judged_readings(made, door))
