"""Test sheets: what the installer measures at each door, what the meter should show, and room to write what it did."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import astuple
from typing import Any, Final

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.devices import PRESSED, elevation_devices, opening_shape
from riserkit.drawings.door.readings import METER_CAUTIONS, DoorTest
from riserkit.drawings.setting.scale import length_text
from riserkit.holds import NO_HOLDS, Holds
from riserkit.kept import KeptWork
from riserkit.proofs.record import without_port_places
from riserkit.quantities.grouping import grouped
from riserkit.reports.table import Cell, ReportTable
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.as_built import designed_circuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.port_page import power_over_data
from riserkit.wiring.readings.expected import Reading, printed_band, readings_of_doors
from riserkit.wiring.readings.judged import judge_returned
from riserkit.wiring.readings.release_time import release_times
from riserkit.wiring.readings.shown import likely_miswirings, not_shown, wired_alike
from riserkit.wiring.readings.wired import in_words

COLUMNS: Final = (
    "no", "what", "meter", "red_lead", "black_lead", "state", "expected", "at_least", "at_most", "unit", "reading",
)  # fmt: skip
DO_NOT_ENERGISE: Final = "Do not put the door in service on these readings."
CAUTIONS: Final = (
    *METER_CAUTIONS,
    "The local code, the authority having jurisdiction and licensed practice govern.",
)
_READINGS: Final = "readings"
_MOST_REMEMBERED: Final = 1024
_REMEMBERED: dict[Hashable, str] = {}
_NOT_FEASIBLE: Final = (
    "The circuit tested here fails its design checks; do not put the door in service on these readings."
)


def door_tests(design: Design) -> Mapping[str, DoorTest]:
    """What is measured at each opening, and what to know of it, by mark."""
    # A door that was landed otherwise is tested by what it is meant to show.
    drawn = [(door.mark, designed_circuit(door.wiring)) for door in design.doors]
    circuits = [(mark, circuit) for mark, circuit in drawn if circuit is not None]
    marks, wired = [mark for mark, _ in circuits], [circuit for _, circuit in circuits]
    readings = dict(zip(marks, _readings(wired, Temperatures.of(design.site.info), design.kept), strict=True))
    hidden = dict(zip(marks, _gaps_by_door(wired, Temperatures.of(design.site.info), design.kept), strict=True))
    lines = {door.mark: (*readings.get(door.mark, ()), *_power_over_data(design, door)) for door in design.doors}
    return {
        door.mark: DoorTest(
            lines[door.mark],
            (*_pressed(design, door), *_notes(door, hidden.get(door.mark, ""))),
            _taken(design, door, lines[door.mark]),
        )
        for door in design.doors
    }


def _readings(circuits: Sequence[DoorCircuit], at: Temperatures, kept: KeptWork) -> tuple[tuple[Reading, ...], ...]:
    """As `readings_of_doors` has them; those of circuits that are not known yet are worked out side by side."""
    found = {n: kept.found(_READINGS, (circuit, at), _read_readings) for n, circuit in enumerate(circuits)}
    left = [n for n, known in found.items() if known is None]
    for n, new in zip(left, readings_of_doors([circuits[n] for n in left], at), strict=True):
        found[n] = new
        kept.keep(_READINGS, (circuits[n], at), new, _read_readings, lambda readings: [*map(astuple, readings)])
    return tuple(readings or () for readings in found.values())


def _read_readings(told: Sequence[Sequence[Any]]) -> tuple[Reading, ...]:
    return tuple(Reading(*values) for values in told)


def _taken(design: Design, door: DoorDesign, lines: Sequence[Reading]) -> tuple[str, ...]:
    """What came back for each line of a test sheet, with what is out of range marked."""
    if design.site.as_built is None:
        return ()
    judged = judge_returned(lines, design.site.as_built.readings_of.get(door.mark, ()))
    said = {id(one.line): f"{one.row.reading}{' OUT' if one.good is False else ''}" for one in judged}
    return tuple(said.get(id(line), "") for line in lines)


def site_test_table(
    design: Design,
    holds: Holds = NO_HOLDS,
    tests: Mapping[str, DoorTest] | None = None,
) -> ReportTable:
    """The test sheets of all openings, one below the other, with the cautions once at the end.

    Args:
        design: the whole design.
        holds: openings on HOLD.
        tests: `door_tests` of the design, where they are known.
    """
    found = door_tests(design) if tests is None else tests
    rows: list[tuple[Cell, ...]] = []
    for door in design.doors:
        test = found[door.mark]
        rows += [(door.mark, *row) for row in _hold_rows(door, holds)]
        rows += [(door.mark, *row) for row in _measurements(test)]
        notes = (*(door.wiring.circuit.notes if door.wiring.circuit else ()), *test.notes)
        rows += [(door.mark, *_text_row("note", text)) for text in notes]
    rows += [("", *_text_row("caution", text)) for text in CAUTIONS]
    return ReportTable("test_sheets", ("opening", *COLUMNS), tuple(rows), tuple(str(row[0]) in holds for row in rows))


def _hold_rows(door: DoorDesign, holds: Holds) -> Iterator[tuple[Cell, ...]]:
    """Before any reading: that the door is on HOLD, or who accepted what speaks against it."""
    words = holds.words(door.mark)
    if words:
        more = f". {DO_NOT_ENERGISE}" if door.mark in holds else ""
        yield (None, f"{words}{more}", *[None] * (len(COLUMNS) - 2))


def _measurements(test: DoorTest) -> Iterator[tuple[Cell, ...]]:
    for number, reading in enumerate(test.readings, start=1):
        yield (
            number, reading.what, reading.meter, reading.plus, reading.minus, reading.state, _expected(reading),
            *printed_band(reading), reading.unit, test.taken[number - 1] if test.taken else "",
        )  # fmt: skip


def _power_over_data(design: Design, door: DoorDesign) -> Iterator[Reading]:
    """What the switch shows of the door's port."""
    placement = door.placement
    if placement is not None:
        subject = f"{placement.switch}:{placement.port}"
        yield from power_over_data(door.link, design.labels.port.get(subject, subject))


def _pressed(design: Design, door: DoorDesign) -> Iterator[str]:
    """Where what people press to get out is to be found: at the height that the door's elevation has."""
    if door.wiring.netlist is None:
        return
    system, places = design.site.info.unit_system, {c.ref: c.place for c in door.wiring.netlist.components}
    for device in elevation_devices(door, design.site, opening_shape(door.opening, design.site)):
        if device.symbol == PRESSED and device.height_m is not None:
            height = length_text(device.height_m, system) + (" mm" if system == "metric" else "")
            yield f"{device.ref}: measure {height} ({device.basis}) from the floor to its centre; {places[device.ref]}."


def _notes(door: DoorDesign, hidden: str) -> Iterator[str]:
    circuit = door.wiring.circuit
    if circuit is None:
        yield "This opening has no circuit to test."
        return
    if door.wiring.chosen is None or not door.wiring.chosen.feasible:
        yield _NOT_FEASIBLE
    yield from (release.note for release in release_times(circuit, door.wiring.voltages))
    yield hidden


def _gaps_by_door(circuits: Sequence[DoorCircuit], at: Temperatures, kept: KeptWork) -> tuple[str, ...]:
    """What the readings leave open, by door; of doors wired alike the one with most copper speaks, whose bands are widest."""
    alike = grouped((wired_alike(circuit), place) for place, circuit in enumerate(circuits))
    told: dict[int, str] = {}
    for places in alike.values():
        longest = max(places, key=lambda p: sum(c.r20_ohm for c in circuits[p].netlist.conductors))
        try:
            words = _kept_gaps(circuits[longest], at, kept)
        except FAILURES as error:
            words = f"What these readings leave open is not computed: {failure_words(error)}. Check every wire by eye."
        told.update(dict.fromkeys(places, words))
    return tuple(told[place] for place in range(len(circuits)))


def _kept_gaps(circuit: DoorCircuit, at: Temperatures, kept: KeptWork) -> str:
    return kept.of("not shown", (without_port_places(circuit), at), lambda: _cached_gaps(circuit, at), str)


def _cached_gaps(circuit: DoorCircuit, at: Temperatures) -> str:
    """Remembered, for it takes a second or so a kind of door, and a set is built again and again while it is drawn."""
    copper_ohm = tuple(c.r20_ohm for c in circuit.netlist.conductors)
    key = wired_alike(circuit), repr(circuit.netlist.components), copper_ohm, at
    if key not in _REMEMBERED:
        if len(_REMEMBERED) >= _MOST_REMEMBERED:
            _REMEMBERED.clear()
        _REMEMBERED[key] = _gaps(circuit, at)
    return _REMEMBERED[key]


def _gaps(circuit: DoorCircuit, at: Temperatures) -> str:
    if circuit.netlist.unknown:
        return "Parts of this circuit lack values: what its readings show is not computed."
    tried = f"{len(likely_miswirings(circuit))} single miswirings tried, each in every state"
    found = [in_words(circuit.netlist, one.miswiring) for one in not_shown(circuit, at)]
    if found:
        return f"Not shown by these readings ({tried}): {'; '.join(found)}. Check these wires by eye."
    return f"These readings show every miswiring that changes what the door does ({tried}). Tug every wire: a loose one may pass."


def _text_row(word: str, text: str) -> tuple[Cell, ...]:
    return (None, f"{word}: {text}", *[None] * (len(COLUMNS) - 2))


def _expected(reading: Reading) -> Cell:
    if reading.words:
        return reading.words
    # A hair below zero from the solver's arithmetic is zero on any meter.
    return None if reading.expected is None else round(reading.expected, 2) + 0.0
